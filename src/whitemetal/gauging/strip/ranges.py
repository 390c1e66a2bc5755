"""Plastic gauging strips that are sold: from what to what gap each can be read, and how finely.

Three ranges are those of US Army TM 5-2420-222-34; the wider and the narrow ones are listed in an
encyclopaedia's article on such strips. Scale steps of the inch strips are common practice (0.0005 to
0.001 in); those of the others are our own assumption until the step on the packet is recorded.
"""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.units import INCH

ARMY = "US Army TM 5-2420-222-34"
ENCYCLOPAEDIA = "ranges listed in an encyclopaedia's article on gauging strips"

ROUNDING = 1e-6
"""The ends of a range are printed rounded [m]: 0.003 in is printed as 0.076 mm. Our own."""


@dataclass(frozen=True)
class Strip:
    """A strip. name: as a choice. low, high: least and greatest gap on its scale [m]. step: of its scale [m].
    source: of the range; step_source: of the step."""

    name: str
    low: float
    high: float
    step: float
    source: str
    step_source: str

    def reaches(self, value: float) -> bool:
        """Whether a gap [m] is on the strip's scale."""
        return self.low - ROUNDING <= value <= self.high + ROUNDING

    def at_end(self, value: float) -> bool:
        """Whether a gap [m] on the scale is its very first or last mark."""
        return value <= self.low + ROUNDING or value >= self.high - ROUNDING


def _inch(low: int, high: int, half_thou: int) -> Strip:
    """A strip of the Army's manual; low, high in thousandths of an inch, step in half ones."""
    thou = 1e-3 * INCH
    name = f"0.{low:03d} to 0.{high:03d} in ({low * thou * 1e3:.3f} to {high * thou * 1e3:.3f} mm)"
    return Strip(name, low * thou, high * thou, 0.5 * half_thou * thou, ARMY, "common practice")


def _metric(low: int, high: int, step: int) -> Strip:
    """A strip of the encyclopaedia's list, in micrometres."""
    name = f"{low * 1e-3:.3f} to {high * 1e-3:.3f} mm"
    return Strip(name, low * 1e-6, high * 1e-6, step * 1e-6, ENCYCLOPAEDIA, "our own assumption")


STRIPS: dict[str, Strip] = {
    strip.name: strip
    for strip in (
        _inch(1, 3, 1),
        _inch(2, 6, 2),
        _inch(4, 9, 2),
        _metric(18, 45, 9),
        _metric(25, 175, 25),
        _metric(100, 250, 25),
        _metric(175, 500, 50),
        _metric(500, 1000, 100),
        _metric(750, 1750, 200),
    )
}
"""By name, in the order in which they are offered."""


def strips_for(low: float, high: float) -> tuple[Strip, ...]:
    """The strips whose scale holds all gaps from low to high [m], the finest first."""
    found = [strip for strip in STRIPS.values() if strip.reaches(low) and strip.reaches(high)]
    return tuple(sorted(found, key=lambda strip: (strip.step, strip.high - strip.low)))
