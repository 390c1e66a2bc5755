"""Zones of vibration at the end of a run-in: on the bearing housing and of the shaft.

Zone boundaries are copied between books with errors, so each carries its source and its machine group, and a
test holds every cell. Values are from memory: check them against the standard before they decide anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Zone = Literal["A", "B", "C", "D"]
MM_S = 1e-3
"""A millimetre a second [m/s]: exact, by definition."""


@dataclass(frozen=True)
class Boundaries:
    """name: machine group and support. upto: highest r.m.s. velocity [m/s] of zones A, B and C."""

    name: str
    upto: tuple[float, float, float]
    source: str

    def zone(self, velocity: float) -> Zone:
        """The zone of a broad-band r.m.s. velocity [m/s]; a value on a boundary belongs to the lower zone."""
        return zone_among(velocity, self.upto)


_MACHINES = "ISO 20816-3 / 10816-3, from memory"
_PUMPS = "ISO 10816-7, from memory"


def _row(name: str, source: str, *upto: float) -> Boundaries:
    a, b, c = (round(each * MM_S, 9) for each in upto)
    return Boundaries(name, (a, b, c), source)


HOUSING: dict[str, Boundaries] = {
    one.name: one
    for one in (
        _row("group 1, rigid support", _MACHINES, 2.3, 4.5, 7.1),
        _row("group 1, flexible support", _MACHINES, 3.5, 7.1, 11.0),
        _row("group 2, rigid support", _MACHINES, 1.4, 2.8, 4.5),
        _row("group 2, flexible support", _MACHINES, 2.3, 4.5, 7.1),
        _row("pump category I, to 200 kW", _PUMPS, 2.5, 4.0, 6.6),
        _row("pump category I, above 200 kW", _PUMPS, 3.5, 5.0, 7.6),
        _row("pump category II, to 200 kW", _PUMPS, 3.2, 5.1, 8.5),
        _row("pump category II, above 200 kW", _PUMPS, 4.2, 6.1, 9.5),
    )
}
"""Group 1: above 300 kW, shaft height 315 mm and more; group 2: 15 to 300 kW, 160 to 315 mm. Zone boundaries
A/B, B/C and C/D [m/s]."""

GROUP_1_POWER = 300e3
"""Power [W] above which a machine is of group 1: ISO 20816-3, from memory."""

SHAFT = (4800.0, 9000.0, 13200.0)
"""Shaft vibration relative to the bearing, A/B, B/C and C/D: so many micrometres peak to peak over the root
of the speed in rev/min. ISO 7919-3 family, from memory."""

OF_CLEARANCE = (0.4, 0.6, 0.7)
"""And never more than this share of the diametral clearance. Common practice."""


def boundaries(name: str) -> Boundaries:
    """The row called ``name``. Raises InputError naming those there are."""
    try:
        return HOUSING[name]
    except KeyError:
        raise InputError(
            Problem("machine group", name, say("closing.group", known="; ".join(HOUSING)))
        ) from None


def shaft_boundaries(speed: float, clearance: float | None = None) -> tuple[float, float, float]:
    """Highest peak-to-peak shaft vibration [m] of zones A, B and C. speed [rad/s]; diametral clearance [m].

    Raises InputError for a speed that is not above zero.
    """
    if not speed > 0.0:
        raise InputError(Problem("speed", f"{speed:g}", say("card.above_zero")))
    rpm = speed * 60.0 / (2.0 * math.pi)
    a, b, c = (each / math.sqrt(rpm) * 1e-6 for each in SHAFT)
    if clearance is None:
        return a, b, c
    caps = [share * clearance for share in OF_CLEARANCE]
    return min(a, caps[0]), min(b, caps[1]), min(c, caps[2])


def shaft_zone(peak_to_peak: float, speed: float, clearance: float | None = None) -> Zone:
    """The zone of a shaft vibration [m peak to peak]."""
    return zone_among(peak_to_peak, shaft_boundaries(speed, clearance))


def zone_among(value: float, upto: tuple[float, float, float]) -> Zone:
    """The zone of a value whose zones A, B and C end at these. Raises InputError below nothing."""
    if not (math.isfinite(value) and value >= 0.0):
        raise InputError(Problem("vibration", f"{value:g}", say("card.not_negative")))
    for zone, limit in zip(("A", "B", "C"), upto, strict=True):
        if value <= limit * (1.0 + 1e-9):
            return zone  # type: ignore[return-value]
    return "D"
