"""Strips, lift, feelers and the values of birth as printed or by closed forms of geometry.

Seen: the strip ranges of US Army TM 5-2420-222-34 and of an encyclopaedia's list. Common practice: the factors
1.118 and 1.414 of a lift. Derived: the chord of a blade, by exact distances that know nothing of the program.
"""

from __future__ import annotations

import math

import pytest

from whitemetal.card import Bearing, Card, Machine
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Fact, Reading
from whitemetal.gauging.feeler.blade import sagitta
from whitemetal.gauging.lift.geometry import BETWEEN, ON_PAD, pad_factor
from whitemetal.gauging.strip.ranges import STRIPS
from whitemetal.units import INCH

from . import forward
from .case import Case

ARMY = "US Army TM 5-2420-222-34"
LISTED = "ranges listed in an encyclopaedia's article on gauging strips"
PADS = "common practice for tilting pads; derived from geometry"
CHORD = "derived from geometry (exact chord)"
NAVY = "US Navy, NAVEDTRA 14075: wear = original thickness less thickness now"


def ends(number: int) -> tuple[float, float]:
    strip = list(STRIPS.values())[number]
    return strip.low, strip.high


INCH_RANGES = (("0.001", "0.003"), ("0.002", "0.006"), ("0.004", "0.009"))
MM_OF_INCH = (("0.025", "0.076"), ("0.051", "0.152"), ("0.102", "0.229"))
MM_RANGES = (
    ("0.018", "0.045"), ("0.025", "0.175"), ("0.100", "0.250"), ("0.175", "0.500"), ("0.5", "1.0"),
    ("0.75", "1.75"),
)  # fmt: skip


def off_centre(reading: float, arc: float, diameter: float) -> float:
    """Clearance [mm] that the strip method makes of a reading off top centre [mm]."""
    card = Card(Machine("T-1", "test", "fan", 100.0), Bearing("1", diameter * 1e-3, 0.08))
    method = METHODS["strip"]
    facts = {"strip_range": Fact("0.175 to 0.500 mm"), "off_centre": Fact(f"{arc} mm")}
    taken = [Reading(p.label, "", reading * 1e-3, 1e-6) for p in method.default_places(card)]
    found = method.evaluate(card, method.default_places(card), facts, tuple(taken)).overall
    assert found is not None
    return found.value * 1e3


def exact(arc: float, diameter: float, clearance: float) -> float:
    """Gap [mm] at an arc off top centre, by exact distances."""
    section = forward.Section(diameter * 1e-3, (diameter + clearance) * 1e-3)
    return section.along_ray(2.0 * arc / diameter) * 1e3


def bridged(width: float, journal: float, clearance: float) -> float:
    """How far a stiff blade on top of a journal stays below the bore at its middle [mm]: the bore over its edges
    against the bore over its middle, by exact heights of two circles."""
    bore = 0.5 * (journal + clearance)
    return bore - math.sqrt(bore**2 - 0.25 * width**2)


def worn(now: float, born: float) -> float:
    card = Card(Machine("T-1", "test", "fan", 100.0), Bearing("1", 0.16, 0.14, unit="in"))
    method = METHODS["crown"]
    label = method.default_places(card)[0].label
    facts = {f"birth.crown.{label}": Fact(f"{born:.4f} in"), "anvil": Fact("ball anvil")}
    taken = (Reading(label, f"{now:.4f} in", now * INCH, 1e-4 * INCH),)
    return method.evaluate(card, method.default_places(card), facts, taken).assessed[0].values[0].value / INCH


CASES = (
    *(
        Case(f"strip {low} to {high} in: {word}", ARMY, "seen", printed, lambda n=n, end=end: ends(n)[end] / INCH, "in")  # type: ignore[misc]
        for n, (low, high) in enumerate(INCH_RANGES)
        for end, (word, printed) in enumerate((("from", low), ("to", high)))
    ),
    *(
        Case(f"strip {low} to {high} mm: {word}", ARMY, "seen", printed, lambda n=n, end=end: ends(n)[end] * 1e3, "mm")  # type: ignore[misc]
        for n, (low, high) in enumerate(MM_OF_INCH)
        for end, (word, printed) in enumerate((("from", low), ("to", high)))
    ),
    *(
        Case(f"strip {low} to {high} mm: {word}", LISTED, "seen", printed, lambda n=n, end=end: ends(n + 3)[end] * 1e3, "mm", 1e-9, "exact in metres")  # type: ignore[misc]
        for n, (low, high) in enumerate(MM_RANGES)
        for end, (word, printed) in enumerate((("from", low), ("to", high)))
    ),
    Case("lift over clearance, five pads, along a pad", PADS, "common practice", "1.118", lambda: pad_factor(5, ON_PAD)),
    Case("lift over clearance, five pads, the other way up", PADS, "derived", "1.118", lambda: pad_factor(5, BETWEEN)),
    Case("lift over clearance, four pads, between pads", PADS, "common practice", "1.414", lambda: pad_factor(4, BETWEEN)),
    Case("lift over clearance, four pads, along pads", PADS, "derived", "1.000", lambda: pad_factor(4, ON_PAD)),
    *(
        Case(f"blade {width} mm wide on a journal of {journal} mm stands low by", CHORD, "derived",
             f"{1e3 * bridged(width, journal, 0.2):.2f}", lambda w=width, d=journal: 1e3 * sagitta(w * 1e-3, 0.5e-3 * d) * 1e3,  # type: ignore[misc]
             "µm", 1e3 * bridged(width, journal, 0.2) * 0.2 / journal + 0.005, "first order: the bore's radius is the journal's and half the clearance more")
        for width, journal in ((3.0, 160.0), (6.0, 160.0), (6.0, 80.0))
    ),
    *(
        Case(f"clearance from a strip {arc} mm off top centre, journal 100 mm", CHORD, "derived", "0.300",
             lambda a=arc: off_centre(exact(a, 100.0, 0.3), a, 100.0), "mm")  # type: ignore[misc]
        for arc in (6.0, 15.0, 25.0)
    ),
    Case("crown wear of a shell born 0.1248 in, now 0.1230 in", NAVY, "derived", "0.0018", lambda: worn(0.1230, 0.1248), "in"),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_printed(case: Case) -> None:
    case.check()
