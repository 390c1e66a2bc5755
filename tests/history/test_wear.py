"""Wear and the next opening against closed forms and a simulation."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from whitemetal.errors import InputError
from whitemetal.history.next_opening import next_opening
from whitemetal.history.ratio import ratio
from whitemetal.history.wear import How, Opening, Since, Taken, Wear, wear

YEAR = 8000.0 * 3600.0
U = 8e-6
WIRE: How = (("method", "wire"), ("torque", "420 N m"))


def opened(
    year: float, found: float | None, left: float | None, *, how: How = WIRE, renewed: bool = False,
    shells: str = "first pair",
) -> Opening:  # fmt: skip
    def taken(name: str, value: float | None) -> tuple[Taken, ...]:
        return (Taken(f"{year:g} {name}", value, U, how),) if value is not None else ()

    return Opening(
        f"{year:g}", year * 3.15e7, year * YEAR, 50.0 * year, taken("found", found), taken("left", left),
        shells, renewed,
    )  # fmt: skip


def life(rate: float, count: int, *, noise: float = 0.0, seed: int = 0) -> list[Opening]:
    """Opened once a year and put back with what was found; new shells that bed in by 20 micrometres in the
    first year."""
    rng = np.random.default_rng(seed)
    clearance, made = 200e-6, []
    for year in range(count):
        found = None if year == 0 else clearance + rng.normal(0.0, noise)
        made.append(opened(year, found, clearance + rng.normal(0.0, noise), renewed=year == 0))
        clearance += rate * YEAR + (20e-6 if year == 0 else 0.0)
    return made


def higher(openings: list[Opening], first: int, by: float) -> list[Opening]:
    """From the first-th opening on, everything is found and left wider."""

    def wider(taken: tuple[Taken, ...]) -> tuple[Taken, ...]:
        return tuple(replace(one, value=one.value + by) for one in taken)

    return [
        replace(one, found=wider(one.found), left=wider(one.left)) if i >= first else one
        for i, one in enumerate(openings)
    ]


def test_a_steady_rate_comes_back_and_bedding_in_is_left_out() -> None:
    """Three runs of a year, each u = sqrt(2) U: u(rate) = sqrt(2) U / (sqrt(3) year)."""
    found = wear(life(10e-6 / YEAR, 5))
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9, abs=0.0)
    assert [bool(run.note) for run in found.runs] == [True, False, False, False]
    assert found.rate_u == pytest.approx(math.sqrt(2.0) * U / math.sqrt(3.0) / YEAR, rel=1e-9, abs=0.0)


def test_against_starts_and_the_calendar() -> None:
    openings = life(10e-6 / YEAR, 5)
    assert wear(openings, "starts").rate == pytest.approx(10e-6 / 50.0, rel=1e-9, abs=0.0)
    assert wear(openings, "calendar").rate == pytest.approx(10e-6 / 3.15e7, rel=1e-9, abs=0.0)


@pytest.mark.parametrize("count", [0, 1, 2])
def test_too_little_is_said(count: int) -> None:
    """Two openings of new shells have one run between them, and it beds in."""
    found = wear(life(10e-6 / YEAR, count))
    assert found.rate is None
    assert "opening" in found.why


def test_two_openings_of_shells_that_had_run_before_give_a_rate_and_say_what_it_rests_on() -> None:
    """220 - 200 = 20 micrometres in two years; u = sqrt(8² + 8²) = 11.31 micrometres in two years."""
    found = wear([opened(0, None, 200e-6), opened(2, 220e-6, 210e-6)])
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9, abs=0.0)
    assert found.rate_u == pytest.approx(11.3137e-6 / (2.0 * YEAR), rel=1e-5, abs=0.0)
    assert "one run" in found.said[0]
    assert found.since == Since(210e-6, U, 0.0, as_left=True)


def test_a_run_whose_first_clearance_was_not_taken_is_not_taken_for_bedding_in() -> None:
    openings = life(10e-6 / YEAR, 4)
    openings[0] = replace(openings[0], left=())
    found = wear(openings)
    assert [run.before for run in found.runs] == ["1", "2"]
    assert not any(run.note for run in found.runs)


def test_a_wipe_is_a_step_and_not_a_rate() -> None:
    found = wear(higher(life(10e-6 / YEAR, 6), 3, 0.0))
    assert not any(run.step for run in found.runs)
    openings = life(10e-6 / YEAR, 6)
    openings[3:] = [
        replace(one, found=higher([one], 0, 150e-6)[0].found, left=one.left) if one.name == "3" else one
        for one in openings[3:]
    ]
    found = wear(openings)
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9, abs=0.0)
    assert [run.after for run in found.runs if run.step] == ["3"]


def test_two_wipes_do_not_hide_each_other() -> None:
    openings = life(10e-6 / YEAR, 9)
    for i in (3, 6):
        openings[i] = replace(openings[i], found=higher([openings[i]], 0, 300e-6)[0].found)
    found = wear(openings)
    assert [run.after for run in found.runs if run.step] == ["3", "6"]
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9, abs=0.0)


def test_other_shells_begin_a_new_line() -> None:
    openings = life(10e-6 / YEAR, 8)
    fresh = [replace(one, shells="second pair") if i >= 3 else one for i, one in enumerate(openings)]
    found = wear(fresh)
    assert sum("other shells" in run.note for run in found.runs) == 3
    assert sum(not run.note for run in found.runs) == 4


def test_another_method_is_not_compared() -> None:
    openings = life(10e-6 / YEAR, 6)
    lift: How = (("method", "lift"),)
    openings[4] = opened(4, 250e-6, 250e-6, how=lift)
    assert sum("not measured alike" in run.note for run in wear(openings).runs) == 2


def test_what_was_not_said_is_compared_and_what_differs_is_not() -> None:
    said: How = (("method", "wire"), ("torque", ""))
    other: How = (("method", "wire"), ("torque", "300 N m"))
    first = opened(0, None, 200e-6)
    assert wear([first, opened(1, 210e-6, None, how=said)]).rate is not None
    found = wear([first, opened(1, 210e-6, None, how=other)])
    assert found.rate is None and "420 N m; 300 N m" in found.runs[0].note


def test_of_two_ways_the_one_that_both_openings_share_is_taken() -> None:
    lift: How = (("method", "lift"),)
    first = opened(0, None, 200e-6)
    second = opened(1, 215e-6, None)
    second = replace(second, found=(Taken("lift", 300e-6, 1e-6, lift), *second.found))
    assert wear([first, second]).rate == pytest.approx(15e-6 / YEAR, rel=1e-9, abs=0.0)


def test_a_bearing_put_back_as_found_joins_its_two_runs() -> None:
    """One measurement is the end of run 1 and the beginning of run 2: the changes a, b have
    V = U² [[2, -1], [-1, 2]]. For equal runs V⁻¹ x is the same for both, so that the rate is (a + b)/2 = end
    less beginning over two years, and u² = x' V x / 4 = 2 U² / 4 a year: the middle point cancels.
    """
    middle = Taken("once", 212e-6, U, WIRE)
    openings = [
        opened(0, None, 200e-6),
        Opening("1", 1.0, YEAR, 50.0, (middle,), (middle,), "first pair"),
        opened(2, 220e-6, None),
    ]
    found = wear(openings)
    assert found.rate == pytest.approx(10e-6 / YEAR, rel=1e-9, abs=0.0)
    assert found.rate_u == pytest.approx(math.sqrt(2.0) * U / (2.0 * YEAR), rel=1e-9, abs=0.0)


def test_going_on_from_what_the_rate_was_made_of_is_correlated() -> None:
    """rate = (found - left)/year; its covariance with found is U²/year."""
    found = wear([opened(0, None, 200e-6), opened(1, 210e-6, None)])
    assert found.since is not None and not found.since.as_left
    assert found.since.covariance == pytest.approx(U * U / YEAR, rel=1e-9, abs=0.0)


def test_hours_that_run_backwards_are_refused() -> None:
    openings = life(10e-6 / YEAR, 3)
    with pytest.raises(InputError, match="running hours"):
        wear([openings[0], openings[2], openings[1]])


def test_hours_not_known_leave_a_run_out() -> None:
    openings = life(10e-6 / YEAR, 5)
    openings[2] = replace(openings[2], hours=None)
    assert sum("not known" in run.note for run in wear(openings).runs) == 2


def test_scatter_beyond_chance_widens_the_rate_and_costs_degrees_of_freedom() -> None:
    steady = wear(life(10e-6 / YEAR, 6))
    openings = life(10e-6 / YEAR, 6)
    for i, by in ((2, 30e-6), (3, -30e-6), (4, 30e-6)):
        openings[i] = replace(openings[i], found=higher([openings[i]], 0, by)[0].found)
    found = wear(openings)
    assert steady.dof == math.inf and steady.birge == 1.0
    assert found.dof == 3 and found.birge > 2.0 and found.rate_u > 2.0 * steady.rate_u


def _known(rate: float, rate_u: float, left: float, u: float, cov: float = 0.0) -> Wear:
    return Wear("hours", rate, rate_u, 1.0, math.inf, (), "", Since(left, u, cov, as_left=True))


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
    """Of 200,000 drawn bearings with this wear, the share past the limit at the opening is the risk asked
    for."""
    rate, rate_u, left, u = 10e-6 / YEAR, 1.5e-6 / YEAR, 240e-6, 6e-6
    found = next_opening(_known(rate, rate_u, left, u), 300e-6, risk)
    assert found.open_by is not None
    rng = np.random.default_rng(11)
    drawn = rng.normal(left, u, 200_000) + rng.normal(rate, rate_u, 200_000) * found.open_by
    assert np.mean(drawn > 300e-6) == pytest.approx(risk, abs=0.003)


def test_the_risk_is_what_it_says_where_clearance_and_rate_are_correlated() -> None:
    """Drawn in pairs: the clearance's error goes into the rate with half its weight."""
    rate, left, u = 10e-6 / YEAR, 240e-6, 8e-6
    gain = 0.5 / YEAR
    rate_u = math.hypot(gain * u, 0.5e-6 / YEAR)
    found = next_opening(_known(rate, rate_u, left, u, cov=gain * u * u), 300e-6, 0.05)
    assert found.open_by is not None
    rng = np.random.default_rng(12)
    error = rng.normal(0.0, u, 200_000)
    drawn_rate = rate + gain * error + rng.normal(0.0, 0.5e-6 / YEAR, 200_000)
    drawn = left + error + drawn_rate * found.open_by
    assert np.mean(drawn > 300e-6) == pytest.approx(0.05, abs=0.003)


def test_coverage_of_the_interval_to_the_limit() -> None:
    """Seeded lives of five openings: the true run to the limit lies in the 95 % interval in 93 to 97 of
    100."""
    rate, limit, held, count = 40e-6 / YEAR, 800e-6, 0, 1500
    for seed in range(count):
        openings = life(rate, 5, noise=U, seed=seed)
        true = (limit - (200e-6 + 20e-6 + 4 * 40e-6)) / rate
        found = next_opening(wear(openings), limit)
        held += found.low <= true <= found.high
    assert 0.93 <= held / count <= 0.97


def test_the_interval_of_a_run_goes_on_from_a_clearance_that_made_the_rate() -> None:
    """Fieller with a covariance: the clearance's error goes into the rate, so that it counts in the run
    twice; the true run lies in 95 % of the intervals, and without the covariance in fewer."""
    rate, left, u, gain = 40e-6 / YEAR, 240e-6, 8e-6, 1.0 / YEAR
    rng, held = np.random.default_rng(13), {True: 0, False: 0}
    for _ in range(4000):
        error = rng.normal(0.0, u)
        for told in held:
            known = _known(rate + gain * error, gain * u, left + error, u, gain * u * u if told else 0.0)
            found = next_opening(known, 400e-6)
            held[told] += found.low <= (400e-6 - left) / rate <= found.high
    assert held[True] / 4000 == pytest.approx(0.95, abs=0.01)
    assert abs(held[False] / 4000 - 0.95) > 0.015


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
