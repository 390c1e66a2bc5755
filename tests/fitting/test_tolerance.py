"""Tolerance grades: the printed table against the formula, and the standard's ways of rounding."""

from __future__ import annotations

import math

import pytest

from whitemetal.fitting.tolerance import GRADES, PRINTED, RANGES, by_formula, tolerance, tolerance_unit


def test_the_tolerance_unit_by_hand() -> None:
    """120 to 180 mm: D = sqrt(120 * 180) = 146.97 mm, cube root 5.2772; i = 2.3748 + 0.1470 = 2.5217 µm."""
    assert math.isclose(tolerance_unit(0.160) * 1e6, 2.5217, abs_tol=2e-4)
    assert math.isclose(by_formula(0.160, 7) * 1e6, 16 * 2.5217, abs_tol=4e-3)


ROUNDING_UM, ROUNDING = 1.2, 0.03
"""How far the printed tolerances may be from the formula: a micrometre, or 3 % where the standard rounds to
fives and tens (400 for 388.8 µm). The figures themselves are from memory."""


@pytest.mark.parametrize("grade", GRADES)
@pytest.mark.parametrize("place", range(1, len(RANGES)))
def test_the_printed_table_is_the_formula_rounded(grade: int, place: int) -> None:
    exact = by_formula(RANGES[place][1], grade) * 1e6
    assert abs(PRINTED[grade][place] - exact) <= max(ROUNDING_UM, ROUNDING * exact)


@pytest.mark.parametrize("grade", GRADES)
def test_up_to_three_millimetres_the_table_is_a_little_wider(grade: int) -> None:
    """The oldest rows were kept: from nothing to a sixth above the formula."""
    assert 1.0 <= PRINTED[grade][0] / (by_formula(3e-3, grade) * 1e6) <= 7 / 6


def test_grades_and_sizes_grow() -> None:
    for row in PRINTED.values():
        assert list(row) == sorted(row) and len(row) == len(RANGES)
    for place in range(len(RANGES)):
        column = [PRINTED[grade][place] for grade in sorted(GRADES)]
        assert column == sorted(column)


@pytest.mark.parametrize(
    ("size", "grade", "expected"), [(0.160, 7, 40), (0.120, 7, 35), (0.1201, 7, 40), (0.5, 5, 27)]
)
def test_a_size_on_the_edge_of_a_range_belongs_to_the_lower(size: float, grade: int, expected: int) -> None:
    assert round(tolerance(size, grade) * 1e6) == expected


def test_beyond_the_table_there_is_none() -> None:
    with pytest.raises(ValueError, match="500 mm"):
        tolerance(0.501, 7)
