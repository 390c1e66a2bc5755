"""The forecast against run-ins that are not its own curves, and the plain fit against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from whitemetal.closing.run_in.first_order import fit_rise
from whitemetal.closing.run_in.forecast import forecast, shapes
from whitemetal.errors import InputError

from .simulate import run_in


def _covered(minutes: float, count: int, seed: int) -> float:
    rng = np.random.default_rng(seed)
    held = 0
    for _ in range(count):
        made = run_in(rng, minutes)
        found = forecast(made.time, made.temperature)
        held += found.low <= made.end <= found.high
    return held / count


def test_the_interval_at_fifteen_minutes_holds_what_it_says() -> None:
    """90 to 98 % of 200 run-ins; 95 % is claimed. Other seeds and times: the soak test."""
    assert 0.90 <= _covered(15.0, 200, seed=20261125) <= 0.98


@pytest.mark.soak
@pytest.mark.parametrize("minutes", [10.0, 15.0, 25.0, 40.0])
def test_the_interval_holds_at_other_times(minutes: float) -> None:
    assert 0.90 <= _covered(minutes, 2000, seed=int(minutes)) <= 0.99


def test_the_interval_narrows_as_readings_come() -> None:
    made = run_in(np.random.default_rng(3), 120.0)
    width = []
    for minutes in (12, 30, 60, 120):
        some = made.time <= minutes * 60.0
        found = forecast(made.time[some], made.temperature[some])
        width.append(found.high - found.low)
    assert width == sorted(width, reverse=True)
    assert width[-1] < 0.3 * width[0]


def test_chance_and_interval_tell_the_same() -> None:
    made = run_in(np.random.default_rng(4), 20.0)
    found = forecast(made.time, made.temperature)
    assert found.chance_above(found.high) == pytest.approx(0.025, abs=2e-3)
    assert found.chance_above(found.settles) == pytest.approx(0.5, abs=2e-3)
    assert found.chance_above(found.low) == pytest.approx(0.975, abs=2e-3)


def test_units_and_clock_change_nothing() -> None:
    """A run an hour later on the clock is given from its own start: times count from there."""
    made = run_in(np.random.default_rng(5), 20.0)
    once = forecast(made.time, made.temperature)
    warmer = forecast(made.time, made.temperature + 10.0)
    assert warmer.settles - once.settles == pytest.approx(10.0, abs=0.03)


def test_the_curves_go_from_nothing_to_one() -> None:
    grid = shapes(np.array([0.0, 60.0 * 3600.0]))
    assert np.abs(grid[:, 0]).max() < 1e-12
    assert np.abs(grid[:, 1] - 1.0).max() < 1e-6


@pytest.mark.parametrize(("points", "minutes"), [(5, 30.0), (30, 9.0)])
def test_too_early_is_said(points: int, minutes: float) -> None:
    time = np.linspace(0.0, minutes * 60.0, points)
    with pytest.raises(InputError, match="first 10 minutes"):
        forecast(time, 300.0 + time / 600.0)


def test_a_first_order_rise_comes_back_exactly() -> None:
    time = np.linspace(0.0, 3600.0, 40)
    found = fit_rise(time, 295.0 + 31.0 * (1.0 - np.exp(-time / 700.0)))
    assert (found.rise, found.constant, found.start) == pytest.approx((31.0, 700.0, 295.0), rel=1e-8)
    assert found.settles == pytest.approx(326.0)
    assert found.iterations < 50 and found.change < 1e-6


def test_too_few_points_for_a_fit() -> None:
    with pytest.raises(InputError, match="at least 4"):
        fit_rise(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 1.5]))
