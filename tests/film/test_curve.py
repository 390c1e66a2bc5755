"""Reading a curve between its nodes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film.curve import Curve, nodes, short_bearing, short_point
from whitemetal.film.motion import whirl

NAMES = ("eccentricity", "attitude", "least_gap", "friction", "inlet_flow", "side_flow", "peak")


@pytest.mark.parametrize("e", [1e-4, 0.01, 0.05, 0.13, 0.31, 0.57, 0.73, 0.888, 0.951, 0.9799])
def test_against_closed_forms_between_nodes(e: float) -> None:
    """The short bearing is known everywhere: 0.02 % between the nodes, coefficients 0.05 % of the largest."""
    exact = short_point(e, 0.5)
    found = short_bearing(0.5).at(exact.load_number)
    assert found is not None
    for name in NAMES:
        assert getattr(found, name) == pytest.approx(getattr(exact, name), rel=2e-4), name
    if e < nodes()[0]:
        assert found.centred
        return
    assert exact.coefficients is not None and found.coefficients is not None
    for theirs, ours in (
        (exact.coefficients.stiffness, found.coefficients.stiffness),
        (exact.coefficients.damping, found.coefficients.damping),
    ):
        np.testing.assert_allclose(ours, theirs, atol=5e-4 * np.abs(theirs).max())


@pytest.mark.parametrize("e", [0.011, 0.05, 0.13, 0.31, 0.57, 0.7])
def test_whirl_between_nodes(e: float) -> None:
    exact = short_point(e, 0.5)
    found = short_bearing(0.5).at(exact.load_number)
    assert found is not None and found.coefficients is not None and exact.coefficients is not None
    assert whirl(found.coefficients).threshold == pytest.approx(whirl(exact.coefficients).threshold, rel=2e-3)


def test_a_load_beyond_the_curve_is_not_carried() -> None:
    curve = short_bearing(0.5)
    assert curve.at(curve.highest * 1.0001) is None
    last = curve.at(curve.highest)
    assert last is not None and last.eccentricity == pytest.approx(0.98)


def test_load_rises_with_eccentricity() -> None:
    curve = short_bearing(0.5)
    found = [curve.at(load) for load in np.geomspace(1e-4, curve.highest, 60)]
    ways = [point.eccentricity for point in found if point is not None]
    assert len(ways) == 60 and ways == sorted(ways)


@pytest.mark.parametrize("load", [0.0, -1.0, math.nan, math.inf])
def test_no_load(load: float) -> None:
    with pytest.raises(InputError, match="load_number"):
        short_bearing(0.5).at(load)


def test_points_that_do_not_rise_are_refused() -> None:
    points = short_bearing(0.5).points
    with pytest.raises(InputError, match=r"curve\.points"):
        Curve(points[::-1])
    with pytest.raises(InputError, match=r"curve\.points"):
        Curve(points[:3])


def test_without_stiffness_there_is_none_between_either() -> None:
    bare = Curve(tuple(replace(short_point(e, 0.5), coefficients=None) for e in nodes()))
    point = bare.at(1.0)
    assert point is not None and point.coefficients is None


def test_nearer_the_middle_than_its_first_point_a_curve_knows_no_stiffness() -> None:
    curve = short_bearing(0.25)
    first = curve.points[0]
    there, nearer = curve.at(first.load_number), curve.at(0.5 * first.load_number)
    assert there is not None and there.coefficients is not None and not there.centred
    assert nearer is not None and nearer.coefficients is None and nearer.centred
    exact = short_point(nearer.eccentricity, 0.25)
    assert nearer.load_number == pytest.approx(exact.load_number, rel=1e-3)
