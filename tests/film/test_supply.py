"""A delivered flow: flooded above what the bearing loses, starved below."""

from __future__ import annotations

import math

import pytest

from whitemetal.errors import InputError
from whitemetal.film.solved import starved_bearing
from whitemetal.film.supply import Delivered

CLEARANCE, SPEED, LENGTH = 0.2e-3, 8.0, 0.14


def delivered(part_of_unit: float) -> Delivered:
    return Delivered(0.875, part_of_unit * SPEED * 0.5 * CLEARANCE * LENGTH, SPEED, LENGTH)


@pytest.mark.parametrize("load", [0.3, 1.0, 4.0])
def test_between_the_parts_it_is_the_bearing_solved_for_that_part(load: float) -> None:
    """A part that is no node: 60 % solved apart; within 1 % of the least film there."""
    exact = starved_bearing(0.875, 0.6).at(load)
    assert exact is not None
    found = delivered(exact.side_flow)(load, CLEARANCE)
    assert found is not None
    assert found.least_gap == pytest.approx(exact.least_gap, rel=0.01)
    assert found.friction == pytest.approx(exact.friction, rel=0.01)
    assert found.side_flow == pytest.approx(exact.side_flow, rel=1e-9)


def test_what_comes_leaves_and_less_is_thinner() -> None:
    films = [delivered(q)(1.0, CLEARANCE) for q in (0.10, 0.2, 0.3, 0.4)]
    assert all(film is not None for film in films)
    assert [round(film.side_flow, 9) for film in films if film] == [0.10, 0.2, 0.3, 0.4]
    gaps = [film.least_gap for film in films if film]
    assert gaps == sorted(gaps) and gaps[0] < gaps[-1]


def test_more_than_it_loses_spills() -> None:
    flooded = starved_bearing(0.875, 1.0).at(1.0)
    assert delivered(5.0)(1.0, CLEARANCE) == flooded


def test_next_to_nothing_is_not_followed() -> None:
    assert delivered(1e-4)(1.0, CLEARANCE) is None


def test_a_wider_clearance_asks_for_more() -> None:
    """The same flow: flooded at a tight clearance, short of oil at a wide one."""
    given = delivered(0.45)
    tight, wide = given(1.0, 0.1e-3), given(1.0, 0.4e-3)
    assert tight == starved_bearing(0.875, 1.0).at(1.0)
    assert wide is not None and tight is not None and wide.least_gap < tight.least_gap


@pytest.mark.parametrize("flow", [0.0, -1.0, math.nan])
def test_no_flow(flow: float) -> None:
    with pytest.raises(InputError, match=r"oil\.flow"):
        Delivered(0.875, flow, SPEED, LENGTH)
