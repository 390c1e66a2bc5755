"""Curves from the solved equation against closed forms, each other and themselves turned and mirrored."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.film import short
from whitemetal.film.gap import along, displaced, groove, lemon, plain
from whitemetal.film.solved import (
    MeasuredFilm,
    Setting,
    feed_gain,
    grooved_bearing,
    point_at,
    round_bearing,
    solve_setting,
    starved_bearing,
)


@pytest.mark.parametrize("e", [0.2, 0.5])
def test_a_very_short_bearing_moves_as_ocvirk_says(e: float) -> None:
    """L/D 0.1: 2.5 % of the largest stiffness and damping."""
    found, exact = point_at(Setting(plain(), 0.1), e).coefficients, short.coefficients(e)
    assert found is not None
    for ours, theirs in ((found.stiffness, exact.stiffness), (found.damping, exact.damping)):
        np.testing.assert_allclose(ours, theirs, atol=0.025 * np.abs(theirs).max())


@pytest.mark.parametrize("e", [0.15, 0.5, 0.8])
def test_damping_is_symmetric(e: float) -> None:
    """Reciprocity: Cxy = Cyx for a film without inertia."""
    found = point_at(Setting(plain(), 0.75), e).coefficients
    assert found is not None
    assert found.damping[0][1] == pytest.approx(found.damping[1][0], rel=0.005, abs=0.005)


def test_stiffness_along_the_load_is_the_slope_of_the_load() -> None:
    """A heavier load moves the journal along the locus: K times that motion gives the load's change."""
    e, step, setting = 0.6, 0.01, Setting(plain(), 0.75)
    here, ahead, behind = (point_at(setting, e + s, moving=s == 0.0) for s in (0.0, step, -step))
    assert here.coefficients is not None
    place = [
        np.array([p.eccentricity * math.cos(p.attitude), p.eccentricity * math.sin(p.attitude)])
        for p in (ahead, behind)
    ]
    change = np.array(here.coefficients.stiffness) @ (place[0] - place[1]) * here.load_number
    np.testing.assert_allclose(change, [ahead.load_number - behind.load_number, 0.0], rtol=0.01, atol=0.002)


def test_the_curve_is_the_solution_between_its_nodes() -> None:
    curve = round_bearing(0.75)
    for e in (0.05, 0.27, 0.61, 0.86, 0.955):
        point, read = point_at(Setting(plain(), 0.75), e), curve.at_way(e)
        for name in ("load_number", "attitude", "friction", "side_flow", "least_gap"):
            assert getattr(read, name) == pytest.approx(getattr(point, name), rel=1e-3), name
        assert point.coefficients is not None and read.coefficients is not None
        scale = np.abs(point.coefficients.stiffness).max()
        np.testing.assert_allclose(
            read.coefficients.stiffness, point.coefficients.stiffness, atol=0.02 * scale
        )


def test_the_grid_is_fine_enough() -> None:
    """Against twice as fine a grid: So 0.1 % to e 0.8, 0.2 % to 0.95; stiffness and damping 1 % and 2 %."""
    for e, allowed in ((0.2, 1e-3), (0.5, 1e-3), (0.8, 1e-3), (0.95, 2e-3)):
        usual = point_at(Setting(plain(), 0.75), e)
        fine = point_at(Setting(plain(360, 81), 0.75), e)
        assert usual.load_number == pytest.approx(fine.load_number, rel=allowed)
        assert usual.coefficients is not None and fine.coefficients is not None
        for ours, theirs in (
            (usual.coefficients.stiffness, fine.coefficients.stiffness),
            (usual.coefficients.damping, fine.coefficients.damping),
        ):
            np.testing.assert_allclose(ours, theirs, atol=(0.01 if e < 0.9 else 0.02) * np.abs(theirs).max())


@pytest.mark.parametrize("turn", [0.5, -1.1])
def test_turned_as_a_whole_it_is_the_same(turn: float) -> None:
    """Grooves and load turned together by a whole number of steps."""
    steps = round(turn / (2 * math.pi / 180))
    turned = steps * 2 * math.pi / 180
    feed = groove(math.pi / 2, 0.35, 0.8) | groove(-math.pi / 2, 0.35, 0.8)
    here = point_at(Setting(plain(), 0.75, 0.0, feed), 0.6)
    there = point_at(Setting(plain(), 0.75, turned, np.roll(feed, steps, axis=0)), 0.6)
    assert there.load_number == pytest.approx(here.load_number, rel=1e-6)
    assert there.attitude == pytest.approx(here.attitude, abs=1e-4)
    assert here.coefficients is not None and there.coefficients is not None
    np.testing.assert_allclose(
        there.coefficients.stiffness, here.coefficients.stiffness, rtol=1e-3, atol=5e-3
    )


def test_the_load_points_where_it_should() -> None:
    setting = Setting(lemon(2.0), 0.75, 0.3, groove(math.pi / 2, 0.35, 0.8) | groove(-math.pi / 2, 0.35, 0.8))
    point = point_at(setting, 0.5, moving=False)
    centres = 0.3 + point.attitude
    film = setting.film(point.eccentricity * math.cos(centres), point.eccentricity * math.sin(centres))
    assert film.load_angle == pytest.approx(0.3, abs=2e-5)
    gap = displaced(
        setting.bore, point.eccentricity * math.cos(centres), point.eccentricity * math.sin(centres)
    )
    assert point.least_gap == pytest.approx(float(gap.min()), rel=1e-5)


def test_a_lemon_bore_reaches_further_sideways_and_is_stiffer_when_light() -> None:
    """Two arcs moved together: the journal cannot leave the middle without a load, so a light load whirls less."""
    grooves = (math.pi / 2, -math.pi / 2)
    oval = grooved_bearing(0.75, grooves, 0.35, 0.8, side_to_top=2.0)
    round_ = grooved_bearing(0.75, grooves, 0.35, 0.8)
    light = 0.05
    a, b = oval.at(light), round_.at(light)
    assert a is not None and b is not None and a.coefficients is not None and b.coefficients is not None
    assert a.coefficients.stiffness[0][0] > 2.0 * b.coefficients.stiffness[0][0]


@pytest.mark.parametrize("load", [0.3, 1.0, 5.0])
def test_a_measured_bore_without_errors_is_the_nominal_one(load: float) -> None:
    read = round_bearing(0.75).at(load)
    measured = MeasuredFilm(np.zeros((180, 41)), 0.75, -math.pi / 2)(load, 0.2e-3)
    assert read is not None and measured is not None
    assert measured.eccentricity == pytest.approx(read.eccentricity, rel=1e-3)
    assert measured.friction == pytest.approx(read.friction, rel=2e-3)
    assert measured.attitude == pytest.approx(read.attitude, abs=2e-3)


def test_tilt_thins_the_film_though_the_mean_is_fine() -> None:
    tilt = displaced(np.zeros((180, 41)), 0.0, 0.0, 0.0, -25e-6)
    straight = MeasuredFilm(np.zeros((180, 41)), 0.875, -math.pi / 2)(1.0, 0.2e-3)
    tilted = MeasuredFilm(tilt, 0.875, -math.pi / 2)(1.0, 0.2e-3)
    assert straight is not None and tilted is not None
    assert tilted.least_gap < 0.7 * straight.least_gap


def test_a_taper_wider_than_the_clearance_is_contact() -> None:
    taper = np.broadcast_to(150e-6 * along(), (180, 41)).copy()
    assert MeasuredFilm(taper, 0.875, 0.0)(1.0, 0.2e-3) is None


def test_starved_film() -> None:
    """Half the oil: the delivered flow is half, the film thinner; the full supply is the flooded bearing."""
    whole, half = starved_bearing(0.875, 1.0), starved_bearing(0.875, 0.5)
    for a, b in zip(whole.points[2:-2:4], half.points[2:-2:4], strict=True):
        assert b.side_flow == pytest.approx(0.5 * a.side_flow, rel=1e-3)
        assert b.load_number < a.load_number
    flooded, found = round_bearing(0.875).at(1.0), whole.at(1.0)
    assert flooded is not None and found is not None
    assert found.eccentricity == pytest.approx(flooded.eccentricity, rel=0.01)
    with pytest.raises(InputError, match="supply"):
        starved_bearing(0.875, 0.0)


@pytest.mark.parametrize("e", [0.0, 0.5])
def test_flow_from_a_ring_groove(e: float) -> None:
    """Closed form: a groove all round at mid-land feeds two lands of L/2, pi (D/L)² (1 + 1.5 e²) for each unit of
    pressure while the film is full everywhere."""
    ring = np.zeros((180, 41), dtype=np.bool_)
    ring[:, 20] = True
    setting = Setting(plain(), 0.8, 0.0, ring, feed_pressure=10.0)
    gain = feed_gain(setting, e, 0.0, setting.film(e, 0.0), step=5.0)
    assert gain == pytest.approx(math.pi * 0.8**-2 * (1 + 1.5 * e * e), rel=2e-3)


def test_flow_by_feed_pressure_grows_in_proportion() -> None:
    feed = groove(math.pi / 2, 0.35, 0.8) | groove(-math.pi / 2, 0.35, 0.8)
    setting = Setting(plain(), 0.75, 0.0, feed)
    x, y = 0.4, 0.4
    film = setting.film(x, y)
    small, large = (feed_gain(setting, x, y, film, step=step) for step in (0.005, 0.02))
    assert small > 0.0
    assert small == pytest.approx(large, rel=0.05)


def test_a_curve_is_solved_once() -> None:
    assert round_bearing(0.75) is round_bearing(0.75)


def test_few_ways_make_a_curve_too() -> None:
    curve = solve_setting(Setting(plain(90, 21), 1.0), moving=False, ways=(0.1, 0.4, 0.7, 0.9))
    assert [round(point.way, 6) for point in curve.points] == [0.1, 0.4, 0.7, 0.9]


@pytest.mark.parametrize(
    ("e", "allowed"), [(0.05, 2e-4), (0.3, 2e-4), (0.7, 2e-4), (0.9, 2e-4), (0.93, 1e-3), (0.97, 1e-3)]
)
def test_load_between_nodes_is_that_of_the_grid(e: float, allowed: float) -> None:
    film = Setting(plain(), 0.7, film_start="widest gap").film(e, 0.0)
    assert round_bearing(0.7, moving=False).at_way(e).load_number == pytest.approx(film.load, rel=allowed)
