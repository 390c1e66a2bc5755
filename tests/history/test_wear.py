"""Wear and the next opening against closed forms and a simulation."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.history.next_opening import next_opening
from whitemetal.history.ratio import ratio
from whitemetal.history.wear import Opening, Wear, wear

YEAR = 8000.0 * 3600.0
U = 8e-6


def life(rate: float, count: int, *, noise: float = 0.0, seed: int = 0) -> list[Opening]:
    """Opened once a year and put back with what was found; bedding-in of 20 micrometres in the first year."""
    rng = np.random.default_rng(seed)
    clearance, made = 200e-6, []
    for year in range(count):
        found = None if year == 0 else clearance + rng.normal(0.0, noise)
        left = clearance + rng.normal(0.0, noise)
        made.append(Opening(f"{year}", year * YEAR, 50.0 * year, found, U, left, U, "first pair", "wire"))
        clearance += rate * YEAR + (20e-6 if year == 0 else 0.0)
    return made


def test_a_steady_rate_comes_back_and_bedding_in_is_left_out() -> None:
    found = wear(life(10e-6 / YEAR, 5))
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9)
    assert [bool(run.note) for run in found.runs] == [True, False, False, False]
    assert found.rate_u == pytest.approx(math.sqrt(2.0) * U / math.sqrt(3.0) / YEAR)


def test_against_starts() -> None:
    assert wear(life(10e-6 / YEAR, 5), "starts").rate == pytest.approx(10e-6 / 50.0)


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_too_little_is_said(count: int) -> None:
    found = wear(life(10e-6 / YEAR, count))
    assert found.rate is None
    assert "opening" in found.why


def test_a_wipe_is_a_step_and_not_a_rate() -> None:
    openings = life(10e-6 / YEAR, 6)
    wiped = [
        *openings[:3],
        *(
            replace(one, found=(one.found or 0) + 150e-6, left=(one.left or 0) + 150e-6)
            for one in openings[3:]
        ),
    ]
    found = wear(wiped)
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9)
    assert [run.after for run in found.runs if "step" in run.note] == ["3"]


def test_other_shells_begin_a_new_line() -> None:
    openings = life(10e-6 / YEAR, 8)
    fresh = [replace(one, shells="second pair") if i >= 3 else one for i, one in enumerate(openings)]
    found = wear(fresh)
    assert sum("other shells" in run.note for run in found.runs) == 3
    assert sum(not run.note for run in found.runs) == 3


def test_another_method_is_not_compared() -> None:
    openings = life(10e-6 / YEAR, 6)
    openings[4] = replace(openings[4], alike="lift")
    assert sum("not measured alike" in run.note for run in wear(openings).runs) == 2


def test_hours_that_run_backwards_are_refused() -> None:
    openings = life(10e-6 / YEAR, 3)
    with pytest.raises(InputError, match="hours"):
        wear([openings[0], openings[2], openings[1]])


def _known(rate: float, rate_u: float, left: float, u: float) -> Wear:
    return Wear("hours", rate, rate_u, 1.0, (), "", (left, u))


def test_with_everything_known_it_is_a_division() -> None:
    found = next_opening(_known(10e-6 / YEAR, 0.0, 250e-6, 0.0), 300e-6)
    assert found.reached == pytest.approx(5.0 * YEAR)
    assert found.open_by == pytest.approx(5.0 * YEAR)
    assert (found.low, found.high) == pytest.approx((5.0 * YEAR, 5.0 * YEAR))


def test_a_rate_that_may_be_nothing_has_no_end_and_says_so() -> None:
    found = next_opening(_known(2e-6 / YEAR, 6e-6 / YEAR, 250e-6, U), 300e-6)
    assert found.high == math.inf
    slow = next_opening(_known(-6e-6 / YEAR, 1e-6 / YEAR, 250e-6, U), 300e-6)
    assert slow.reached is None and slow.open_by is None and slow.why


def test_already_there_means_now() -> None:
    assert next_opening(_known(10e-6 / YEAR, 1e-6 / YEAR, 299e-6, U), 300e-6).open_by == 0.0


def test_the_plants_rule_decides_where_it_is_shorter() -> None:
    known = _known(10e-6 / YEAR, 1e-6 / YEAR, 250e-6, 1e-6)
    free = next_opening(known, 300e-6)
    bound = next_opening(known, 300e-6, longest=2.0 * YEAR)
    assert free.open_by is not None and free.open_by > 2.0 * YEAR and not free.by_plant
    assert (bound.open_by, bound.by_plant) == (2.0 * YEAR, True)


@pytest.mark.parametrize("risk", [0.05, 0.2])
def test_the_risk_is_what_it_says(risk: float) -> None:
    """Of 200,000 drawn bearings with this wear, the share past the limit at the opening is the risk asked for."""
    rate, rate_u, left, u = 10e-6 / YEAR, 1.5e-6 / YEAR, 240e-6, 6e-6
    found = next_opening(_known(rate, rate_u, left, u), 300e-6, risk)
    assert found.open_by is not None
    rng = np.random.default_rng(11)
    drawn = rng.normal(left, u, 200_000) + rng.normal(rate, rate_u, 200_000) * found.open_by
    assert np.mean(drawn > 300e-6) == pytest.approx(risk, abs=0.003)


@pytest.mark.parametrize("risk", [0.0, 0.5, 1.0])
def test_no_such_risk(risk: float) -> None:
    with pytest.raises(InputError):
        next_opening(_known(1e-12, 0.0, 2e-4, U), 3e-4, risk)


def test_the_interval_holds_95_percent_of_ratios() -> None:
    """Drawn numerators and denominators: the true ratio lies in 95 % of the intervals (Fieller is exact)."""
    rng = np.random.default_rng(12)
    held = 0
    for _ in range(20_000):
        found = ratio(rng.normal(50.0, 8.0), rng.normal(10.0, 1.5), 64.0, 2.25, 0.0, 1.959964)
        held += found.low <= 5.0 <= found.high
    assert held / 20_000 == pytest.approx(0.95, abs=0.005)
