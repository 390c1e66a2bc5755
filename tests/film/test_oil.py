"""The oil: ends of the table, grades, density, bad input."""

from __future__ import annotations

import math

import pytest

from whitemetal.errors import InputError
from whitemetal.film.oil import ICE, VG_GRADES, from_grade, from_two, grade_number, kinematic_of


def test_through_its_two_points() -> None:
    oil = from_two((ICE + 40.0, 46e-6), (ICE + 100.0, 6.8e-6))
    assert oil.kinematic(ICE + 40.0) == pytest.approx(46e-6, rel=1e-12)
    assert oil.kinematic(ICE + 100.0) == pytest.approx(6.8e-6, rel=1e-12)


def test_order_of_the_points_does_not_matter() -> None:
    points = (ICE + 40.0, 46e-6), (ICE + 100.0, 6.8e-6)
    assert from_two(*points) == from_two(*reversed(points))


@pytest.mark.parametrize("grade", [g for g in VG_GRADES if 10 <= g <= 1500])
def test_grade_is_its_midpoint_at_40(grade: int) -> None:
    """ISO 3448: the grade is the viscosity at 40 degC."""
    assert from_grade(f"ISO VG {grade}").kinematic(ICE + 40.0) == pytest.approx(grade * 1e-6, rel=1e-12)


@pytest.mark.parametrize("text", ["ISO VG 46", "VG46", "46", "iso vg46", " ISO-VG 46 "])
def test_spellings(text: str) -> None:
    assert grade_number(text) == 46


@pytest.mark.parametrize("text", ["", "ISO VG 47", "SAE 30", "46 or 68", "VG"])
def test_no_grade(text: str) -> None:
    with pytest.raises(InputError, match=r"oil\.grade"):
        grade_number(text)


def test_what_was_assumed_is_said() -> None:
    assert len(from_grade("46").said) == 3
    assert len(from_grade("46", index=100.0, density_15=880.0).said) == 1


@pytest.mark.parametrize("celsius", [-30.0, 200.0, math.nan])
def test_the_table_ends(celsius: float) -> None:
    with pytest.raises(InputError, match="temperature"):
        from_grade("46").dynamic(ICE + celsius)


def test_a_thin_oil_ends_at_two() -> None:
    oil = from_two((ICE + 40.0, 10e-6), (ICE + 100.0, 2.5e-6))
    assert oil.highest < ICE + 150.0
    assert oil.kinematic(oil.highest) == pytest.approx(2e-6, rel=1e-9)


@pytest.mark.parametrize(
    ("first", "second", "field"),
    [
        ((ICE + 40, -46e-6), (ICE + 100, 6.8e-6), "thick"),
        ((ICE + 40, 46e-6), (ICE + 40.5, 45e-6), "second_temperature"),
        ((ICE + 40, 6.8e-6), (ICE + 100, 46e-6), "second_viscosity"),
        ((ICE + 40, math.nan), (ICE + 100, 6.8e-6), "thick"),
    ],
)
def test_bad_points(first: tuple[float, float], second: tuple[float, float], field: str) -> None:
    with pytest.raises(InputError, match=field):
        from_two(first, second)


def test_density_falls_by_seven_per_mille_in_ten_kelvin() -> None:
    """API MPMS 11.1 by hand: alpha_15 = 0.6278/875 = 7.175e-4 per K."""
    oil = from_grade("46")
    assert oil.density(ICE + 15.0) == 875.0
    assert oil.density(ICE + 25.0) == pytest.approx(
        875.0 * math.exp(-0.00717486 * (1 + 0.8 * 0.00717486)), rel=1e-6
    )


def test_a_dynamic_viscosity_comes_back() -> None:
    kinematic = kinematic_of(0.055, ICE + 60.0)
    oil = from_two((ICE + 60.0, kinematic), (ICE + 100.0, kinematic / 3))
    assert oil.dynamic(ICE + 60.0) == pytest.approx(0.055, rel=1e-12)
