"""Torques and orders of nuts against tables printed elsewhere.

The 75 % of proof table is that of a published metric bolt torque page (75 % of ISO 898-1 proof), which agrees
with T = K d F; the yield table is worked out by the VDI 2230-1 formula and quoted with its friction. Patterns
for circles are those printed with ASME PCC-1, from memory.
"""

from __future__ import annotations

import pytest

from whitemetal.closing.bolts import grade, thread
from whitemetal.closing.sequence import circle_order
from whitemetal.closing.torque import from_yield, torque_of
from whitemetal.units import INCH, POUND_FORCE

from .case import Case

PATTERNS = {
    4: "1-3-2-4",
    6: "1-4-2-5-3-6",
    8: "1-5-3-7-2-6-4-8",
    12: "1-7-4-10-2-8-5-11-3-9-6-12",
    16: "1-9-5-13-3-11-7-15-2-10-6-14-4-12-8-16",
}

METRIC = {
    "M10": {"8.8": (50, 38), "10.9": (72, 54), "12.9": (84, 63)},
    "M12": {"8.8": (88, 66), "10.9": (126, 94), "12.9": (147, 110)},
    "M16": {"8.8": (219, 164), "10.9": (313, 235), "12.9": (365, 274)},
    "M20": {"8.8": (441, 331), "10.9": (610, 458), "12.9": (713, 535)},
    "M24": {"8.8": (762, 572), "10.9": (1055, 791), "12.9": (1233, 925)},
    "M30": {"8.8": (1515, 1136), "10.9": (2095, 1572), "12.9": (2449, 1837)},
}
"""N m at nut factors 0.20 and 0.15."""

INCH_ROWS = {
    "1/2": {"Grade 2": (49, 37), "Grade 5": (75, 57), "Grade 8": (106, 80)},
    "5/8": {"Grade 2": (97, 73), "Grade 5": (150, 113), "Grade 8": (212, 159)},
    "3/4": {"Grade 2": (172, 129), "Grade 5": (266, 200), "Grade 8": (376, 282)},
    "7/8": {"Grade 2": (167, 125), "Grade 5": (430, 322), "Grade 8": (606, 455)},
    "1": {"Grade 2": (250, 187), "Grade 5": (644, 483), "Grade 8": (909, 682)},
    "1 1/4": {"Grade 2": (500, 375), "Grade 5": (1120, 840), "Grade 8": (1817, 1363)},
}
"""lbf ft at nut factors 0.20 and 0.15."""

YIELD_KN = {
    "M8": ("18.6", "27.4", "32.0"), "M10": ("29.6", "43.5", "50.9"), "M12": ("43.1", "63.3", "74.1"),
    "M16": ("81.0", "118.9", "139.2"), "M20": ("130.5", "185.8", "217.5"), "M24": ("187.9", "267.6", "313.1"),
    "M30": ("300.0", "427.2", "499.9"), "M36": ("438.1", "624.0", "730.2"),
}  # fmt: skip
RP02 = {"10.9": 940e6, "12.9": 1100e6}
_SOURCE = "75 % of proof, T = K d F: published metric and inch bolt torque tables"
_VDI = "VDI 2230-1 formula at 90 % of yield, friction 0.12"


def torque(size: str, name: str, factor: float) -> float:
    """Torque [N m] at 75 % of the proof load."""
    found = thread(size)
    return torque_of(
        0.75 * grade(name).proof_stress(found.diameter) * found.stress_area, found.diameter, factor
    )


def at_yield(size: str, name: str) -> float:
    """Preload [kN]; 8.8 yields at 640 N/mm² to M16 and at 660 above (ISO 898-1, from memory)."""
    found = thread(size)
    proof = RP02.get(name, 640e6 if found.diameter <= 0.016 else 660e6)
    return from_yield(found, proof, 0.12, 1.5 * found.diameter, 1.1 * found.diameter)[0] / 1e3


def _row(size: str, name: str, factor: float, printed: int, unit: str) -> Case:
    scale = 1.0 if unit == "N m" else POUND_FORCE * 12 * INCH
    return Case(
        f"{size} {name}, K {factor:.2f}", _SOURCE, "seen", str(printed),
        lambda: torque(size, name, factor) / scale, unit, max(0.006 * printed, 0.5001),
        "stress areas are rounded in the tables",
    )  # fmt: skip


CASES = (
    *(
        _row(size, name, factor, printed, unit)
        for table, unit in ((METRIC, "N m"), (INCH_ROWS, "lbf ft"))
        for size, grades in table.items()
        for name, pair in grades.items()
        for factor, printed in zip((0.20, 0.15), pair, strict=True)
    ),
    *(
        Case(f"{size} {name}, preload", _VDI, "derived", printed,
             lambda size=size, name=name: at_yield(size, name), "kN", 0.004 * float(printed),  # type: ignore[misc]
             "the table was worked out with rounded diameters")
        for size, row in YIELD_KN.items()
        for name, printed in zip(("8.8", "10.9", "12.9"), row, strict=True)
    ),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    case.check()


@pytest.mark.parametrize("count", PATTERNS)
def test_cross_pattern_as_printed(count: int) -> None:
    """ASME PCC-1, from memory."""
    assert "-".join(str(number) for number in circle_order(count)) == PATTERNS[count]
