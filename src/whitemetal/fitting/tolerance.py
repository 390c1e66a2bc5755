"""Tolerance grades after ISO 286-1: the printed table, and the formula behind it.

The table's values are from memory; a test holds them to the formula within the rounding of the standard.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

RANGES: tuple[tuple[float, float], ...] = (
    (1e-3, 3e-3), (3e-3, 6e-3), (6e-3, 10e-3), (10e-3, 18e-3), (18e-3, 30e-3), (30e-3, 50e-3), (50e-3, 80e-3),
    (80e-3, 120e-3), (120e-3, 180e-3), (180e-3, 250e-3), (250e-3, 315e-3), (315e-3, 400e-3), (400e-3, 500e-3),
)  # fmt: skip
"""Ranges of nominal size, over and up to [m]. ISO 286-1, from memory."""

GRADES: Mapping[int, float] = {5: 7.0, 6: 10.0, 7: 16.0, 8: 25.0, 9: 40.0, 10: 64.0, 11: 100.0}
"""Grade and how many tolerance units i it is. ISO 286-1, from memory."""

PRINTED: Mapping[int, tuple[int, ...]] = {
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250, 290, 320, 360, 400),
}
"""Tolerance [µm] by grade and range, as printed in ISO 286-1. From memory."""


def tolerance_unit(size: float) -> float:
    """The tolerance unit i [m] for a nominal size [m]: ``0.45 D^(1/3) + 0.001 D`` in µm and mm.

    D is the geometric mean of the range that holds the size. Raises ValueError above 500 mm.
    """
    over, to = RANGES[_range(size)]
    mean = math.sqrt(over * to) * 1e3
    return (0.45 * math.cbrt(mean) + 0.001 * mean) * 1e-6


def by_formula(size: float, grade: int) -> float:
    """A grade's tolerance [m] for a nominal size [m] by the formula, not rounded."""
    return GRADES[grade] * tolerance_unit(size)


def tolerance(size: float, grade: int) -> float:
    """A grade's tolerance [m] for a nominal size [m] as printed. Raises ValueError above 500 mm and KeyError
    for a grade that is not in the table (5 to 11)."""
    return PRINTED[grade][_range(size)] * 1e-6


def _range(size: float) -> int:
    for number, (_, to) in enumerate(RANGES):
        if 0.0 < size <= to + 1e-9:
            return number
    raise ValueError(f"no tolerance grade for {size * 1e3:g} mm: the table ends at 500 mm")
