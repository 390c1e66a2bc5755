"""The quick way to the journal's position against the slow one, and against a film settled anew there."""

from __future__ import annotations

import math

import numpy as np
import pytest

from whitemetal.film import gap, nested, resting
from whitemetal.film.balance import position
from whitemetal.film.nested import close_in
from whitemetal.film.reynolds import solve
from whitemetal.film.rig import Rig
from whitemetal.film.seek import Polar, Task, seek


def askew(n: int, m: int) -> Task:
    """Taper, tilt and two part-length grooves."""
    bore = gap.displaced(gap.plain(n, m, taper=0.1), 0.0, 0.0, 0.02, 0.05)
    feed = gap.groove(math.pi / 2, 0.35, 0.75, n, m) | gap.groove(1.5 * math.pi, 0.35, 0.75, n, m)
    return Task(1.3, 0.4, bore, 1.0, feed, 0.02, None, "swift-stieber", 1.0)


@pytest.mark.parametrize(("load", "turn"), [(0.2, 0.4), (1.3, 0.4), (1.3, 3.0), (6.0, 5.2)])
def test_both_ways_lead_to_the_same_place(load: float, turn: float) -> None:
    usual = askew(180, 41)
    task = Task(load, turn, usual.clearance, 1.0, usual.feed, 0.02, None, "swift-stieber", 1.0)
    first = resting.guess(task, None)
    quick, slow = close_in(task, first, 1e-6), seek(task, Polar(), first, None, 1e-6)
    assert quick is not None
    assert (quick.place.x, quick.place.y) == pytest.approx((slow.place.x, slow.place.y), abs=3e-6)


@pytest.mark.parametrize("tolerance", [1e-4, 1e-6])
def test_a_film_settled_anew_carries_the_load_there(tolerance: float) -> None:
    task = askew(180, 41)
    found = close_in(task, resting.guess(task, None), tolerance)
    assert found is not None
    there = gap.displaced(task.clearance, found.place.x, found.place.y)
    film = solve(there, 1.0, feed=task.feed, feed_pressure=0.02, tolerance=1e-10)
    left = math.hypot(film.load_x - 1.3 * math.cos(0.4), film.load_y - 1.3 * math.sin(0.4)) / 1.3
    assert left <= 1.5 * tolerance
    assert found.place.film.residual <= nested.EXACT_ENOUGH * tolerance


@pytest.mark.parametrize(("n", "m"), [(180, 41), (360, 81), (720, 161)])
def test_the_finest_grid_needs_few_films_however_fine(n: int, m: int) -> None:
    """Two places, and at most five cycles: a slow way would show in the count."""
    task = askew(n, m)
    found = close_in(task, resting.guess(task, None), 1e-4)
    assert found is not None
    assert found.count <= 3
    assert found.place.film.iterations <= 5


def test_a_load_beyond_the_bearing_is_left_to_the_slow_way() -> None:
    task = Task(1e5, 0.0, gap.plain(90, 21), 1.0, None, 0.0, None, "swift-stieber", 1.0)
    assert close_in(task, resting.guess(task, None), 1e-5) is None
    assert position(1e5, 0.0, gap.plain(90, 21), 1.0).contact


def test_a_journal_moved_on_its_rig_finds_the_film_of_a_fresh_one() -> None:
    """With the coarser networks of a place near by, and with new ones, the settled film is the same."""
    task = askew(90, 21)
    rig = Rig(task.clearance, 1.0, task.feed, 0.02, None)
    rig.at(0.3, 0.1)
    rig.relax(cold=True, tolerance=1e-9)
    kept = rig.laid
    for x, y, serves in ((0.302, 0.101, True), (0.6, -0.2, False)):
        rig.at(x, y)
        assert (rig.laid == kept) is serves
        moved = rig.solve(cold=False, tolerance=1e-10)
        fresh = solve(
            gap.displaced(task.clearance, x, y), 1.0, feed=task.feed, feed_pressure=0.02, tolerance=1e-10
        )
        np.testing.assert_allclose(moved.pressure, fresh.pressure, rtol=0, atol=1e-7 * fresh.peak)
        assert moved.side_flow == pytest.approx(fresh.side_flow, rel=1e-7)
    rig.leave()


def test_no_place_is_given_out_whose_film_does_not_carry_the_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last grid left at its first place: near, and not within the tolerance."""

    def once(here: nested.Ground, at: tuple[float, float], *rest: object) -> bool:
        here.put(*at)
        here.relax(0.0, 1)
        return True

    task = askew(180, 41)
    monkeypatch.setattr(nested, "closer", once)
    assert close_in(task, resting.guess(task, None), 1e-6) is None
