"""The mass-conserving film: oil kept, equal to Swift-Stieber where flooded, less load when starved."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.film import gap
from whitemetal.film.reynolds import solve


@pytest.mark.parametrize(("eccentricity", "slenderness"), [(0.3, 1.0), (0.9, 0.5), (0.6, 2.0)])
def test_flooded_film_is_that_of_swift_and_stieber(eccentricity: float, slenderness: float) -> None:
    """Started full at the widest gap, the film ruptures once and does not form again: both models agree."""
    h = gap.circular(eccentricity, 0.7, 90, 21)
    other = solve(h, slenderness, tolerance=1e-9)
    film = solve(h, slenderness, rupture="jfo")
    np.testing.assert_allclose(film.pressure, other.pressure, rtol=0, atol=1e-7 * other.peak)
    np.testing.assert_allclose(film.fill[film.pressure > 0], 1.0, rtol=0, atol=0)


@pytest.mark.parametrize("pressure", [0.0, 0.05])
@pytest.mark.parametrize("eccentricity", [0.3, 0.9])
def test_grooved_bearing_keeps_its_oil(eccentricity: float, pressure: float) -> None:
    h = gap.circular(eccentricity, 0.3, 90, 21, tilt=(0.02, 0.03))
    feed = gap.groove(math.pi / 2, 0.35, 0.7, 90, 21) | gap.groove(1.5 * math.pi, 0.35, 0.7, 90, 21)
    film = solve(h, 1.0, feed=feed, feed_pressure=pressure, rupture="jfo")
    assert film.side_flow > 0.1
    assert film.feed_flow == pytest.approx(film.side_flow, rel=1e-8)
    assert film.fill.max() <= 1.0 + 1e-9
    assert film.fill.min() >= 0.0
    assert (film.fill < 0.999).any()
    assert np.all(film.pressure[film.fill < 1.0] == 0.0)


def test_weak_feed_spills_what_it_gives() -> None:
    """A slender short feed far from the ends: the rings of half cells at the ends fill up before they spill."""
    h = gap.circular(0.05, 1.0, 60, 15, tilt=(0.3, 0.1))
    film = solve(h, 4.0, feed=gap.groove(4.0, 0.1, 0.3, 60, 15), feed_pressure=0.01, rupture="jfo")
    assert film.feed_flow > 0.0
    assert film.feed_flow == pytest.approx(film.side_flow, rel=1e-8)


@pytest.mark.parametrize("supply", [1.0, 0.6, 0.2])
def test_starved_film_keeps_its_oil(supply: float) -> None:
    film = solve(gap.circular(0.6, 0.3, 90, 21), 1.0, rupture="jfo", supply=supply)
    assert film.inlet_flow + film.feed_flow == pytest.approx(film.side_flow + film.carried_flow, rel=1e-8)


def test_less_oil_carries_less() -> None:
    loads = [
        solve(gap.circular(0.5, 0.0, 90, 21), 1.0, rupture="jfo", supply=k).load for k in (1.0, 0.7, 0.4)
    ]
    assert loads[0] > loads[1] > loads[2] > 0.0


def test_start_does_not_matter() -> None:
    h = gap.circular(0.7, 0.3, 90, 21)
    feed = gap.groove(math.pi / 2, 0.35, 0.7, 90, 21)
    one = solve(h, 1.0, feed=feed, rupture="jfo")
    other = solve(h, 1.0, feed=feed, rupture="jfo", start=np.ones((90, 21)))
    np.testing.assert_allclose(other.pressure, one.pressure, rtol=0, atol=1e-9 * one.peak)
