"""Uncertainty carried through a function and through the film."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from whitemetal.film.curve import short_bearing
from whitemetal.film.heat import Convection
from whitemetal.film.oil import ICE, from_grade
from whitemetal.film.running import Conditions, FilmAt, settle
from whitemetal.film.spread import carry, spread
from whitemetal.quantity import Influence, Quantity, covariance, exact

A, B, SHARED = (Influence(name, name, u) for name, u in (("a", 0.1), ("b", 0.2), ("s", 0.3)))
X = Quantity(1.0, {A: 0.1, SHARED: 0.3})
Y = Quantity(2.0, {B: 0.2, SHARED: -0.3})


def test_linear_functions_exactly() -> None:
    """JCGM 100 (13) by hand: 2x + 3y with the shared part 2 * 0.3 - 3 * 0.3."""
    (found,) = carry(lambda v: (2 * v[0] + 3 * v[1],), (X, Y))
    assert found.quantity.value == 8.0
    assert found.quantity.u == pytest.approx(math.sqrt(0.2**2 + 0.6**2 + 0.3**2), rel=1e-12)
    assert found.shift == pytest.approx(0.0, abs=1e-12) and not found.bent


def test_results_stay_correlated() -> None:
    total, difference = carry(lambda v: (v[0] + v[1], v[0] - v[1]), (X, Y))
    expected = X.variance - Y.variance
    assert covariance(total.quantity, difference.quantity) == pytest.approx(expected, rel=1e-12)


def test_a_bend_is_seen() -> None:
    """x² at 0: no slope, all second order."""
    (found,) = carry(lambda v: (v[0] ** 2,), (Quantity(0.0, {A: 0.1}),))
    assert found.quantity.u == pytest.approx(0.0, abs=1e-15)
    assert found.shift == pytest.approx(0.01) and found.bent


def test_exact_inputs_cost_no_run() -> None:
    runs: list[Sequence[float]] = []

    def run(values: Sequence[float]) -> tuple[float, ...]:
        runs.append(values)
        return (values[0] * values[1],)

    carry(run, (X, exact(5.0)))
    assert len(runs) == 3


CURVE = short_bearing(0.25)
FAN = Conditions(
    0.16, 0.04, 990 * math.pi / 30, 6000.0, from_grade("ISO VG 68"), Convection(ICE + 25.0, 0.6)
)  # fmt: skip


def test_film_and_temperature_against_many_drawn_clearances() -> None:
    """JCGM 101: 800 clearances drawn, each with its own heat balance; standard deviations agree to 6 %."""
    clearance = Quantity(0.2e-3, {A: 6e-6})

    def gap_of(values: Sequence[float]) -> tuple[float, FilmAt]:
        return values[0], CURVE

    found = spread(FAN, gap_of, (clearance,))
    drawn = np.random.default_rng(1).normal(0.2e-3, 6e-6, 800)
    states = [settle(FAN, float(each), CURVE) for each in drawn]
    assert found.film.quantity.u == pytest.approx(np.std([s.film for s in states]), rel=0.06)
    assert found.temperature.quantity.u == pytest.approx(np.std([s.temperature for s in states]), rel=0.06)
    assert found.power.quantity.u == pytest.approx(np.std([s.power for s in states]), rel=0.06)
    assert not found.film.bent
    assert found.state == settle(FAN, 0.2e-3, CURVE)
