"""The decision rule and the guard band, against quantiles from printed tables and closed forms."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from whitemetal.fitting import verdict
from whitemetal.fitting.verdict import (
    OUTSIDE,
    WITHIN,
    Band,
    Policy,
    acceptance_edges,
    judge_all,
    judge_one,
    squeezes_to_settle,
    word_for,
)
from whitemetal.quantity import probability_within_box

BAND = Band(0.200e-3, 0.280e-3)
U = 5e-6
NORMAL_95 = 1.6448536
"""One-sided 95 % quantile of the normal distribution, printed tables."""


@pytest.mark.parametrize(
    ("chance", "word"),
    [
        (0.95, "within limits"),
        (0.9499, "not proven"),
        (0.0501, "not proven"),
        (0.05, "outside limits"),
        (1.0, "within limits"),
        (0.0, "outside limits"),
    ],
)
def test_words(chance: float, word: str) -> None:
    assert word_for(chance) == word


def test_guard_band_is_the_one_sided_quantile() -> None:
    """JCGM 106 8.3: with the far limit out of reach the guard band at 95 % is 1.645 u."""
    edges = acceptance_edges(U, math.inf, BAND)
    assert edges is not None and edges[0] is not None and edges[1] is not None
    assert edges[0] - 0.200e-3 == pytest.approx(NORMAL_95 * U, rel=1e-3)
    assert 0.280e-3 - edges[1] == pytest.approx(NORMAL_95 * U, rel=1e-3)


def test_a_value_just_inside_its_edge_is_proven_and_just_outside_is_not() -> None:
    edges = acceptance_edges(U, 20.0, BAND)
    assert edges is not None and edges[0] is not None
    assert judge_one(edges[0] + 0.1e-6, U, 20.0, BAND, Policy())[0] == "within limits"
    assert judge_one(edges[0] - 0.1e-6, U, 20.0, BAND, Policy())[0] == "not proven"


def test_the_narrow_band_of_a_small_bearing_leaves_next_to_nothing() -> None:
    """80 mm, 0.12 to 0.16 mm, u about 9 µm: 40 - 2 x 1.645 x 9 is 10.4 µm by hand."""
    edges = acceptance_edges(9e-6, math.inf, Band(0.12e-3, 0.16e-3))
    assert edges is not None and edges[0] is not None and edges[1] is not None
    assert edges[1] - edges[0] == pytest.approx(40e-6 - 2 * NORMAL_95 * 9e-6, abs=1.0e-6)


def test_a_band_too_narrow_has_no_edges() -> None:
    """At 0.03 mm wide and u 9 µm the middle has 90.4 % (erf(15 / (9 sqrt 2)) by hand): nothing is provable."""
    assert math.erf(15 / (9 * math.sqrt(2))) < 0.95
    assert acceptance_edges(9e-6, math.inf, Band(0.12e-3, 0.15e-3)) is None


def test_one_sided_limits() -> None:
    assert acceptance_edges(U, math.inf, Band(None, None)) == (None, None)
    upper = acceptance_edges(U, math.inf, Band(None, 0.28e-3))
    assert upper is not None and upper[0] is None
    assert upper[1] == pytest.approx(0.28e-3 - NORMAL_95 * U, abs=1e-8)


def test_independent_places_multiply() -> None:
    """Two independent places at the 95 % edge of one limit: 0.95 squared is not within."""
    edge = 0.200e-3 + NORMAL_95 * U
    values, covariance = np.array([edge, edge]), np.diag([U**2, U**2])
    word, chance = judge_all(values, covariance, math.inf, BAND, Policy())
    assert chance == pytest.approx(0.95**2, abs=2e-3)
    assert word == "not proven"


def test_simple_acceptance_looks_at_the_values_alone() -> None:
    values, covariance = np.array([0.2001e-3, 0.2799e-3]), np.diag([U**2, U**2])
    policy = Policy("simple acceptance", "engineer", "maker states limit and wire method together")
    assert judge_all(values, covariance, math.inf, BAND, policy)[0] == "within limits"
    assert judge_all(values, covariance, math.inf, BAND, Policy())[0] == "not proven"
    outside = np.array([0.1999e-3, 0.2799e-3])
    assert judge_all(outside, covariance, math.inf, BAND, policy)[0] == "outside limits"


def test_by_simple_acceptance_a_value_at_the_limit_is_within_however_it_was_summed() -> None:
    """0.205 mm less a zero of 0.005 mm is 0.200 mm, and in floats a little less."""
    value = 0.205 * 1e-3 - 0.005 * 1e-3
    assert value < 0.200e-3
    policy = Policy("simple acceptance", "engineer", "maker states limit and wire method together")
    assert judge_one(value, U, math.inf, BAND, policy)[0] == "within limits"
    assert judge_one(0.200e-3 - 1e-11, U, math.inf, BAND, policy)[0] == "outside limits"


def test_repeats_settle_only_what_shrinks() -> None:
    """Value 9 µm inside, u 8 µm: all shrinking needs u <= 9/1.645 = 5.47, that is (8/5.47)^2 = 2.14, so 3."""
    values, covariance = np.array([0.209e-3]), np.array([[64e-12]])
    assert squeezes_to_settle(values, covariance, math.inf, 1.0, 1, BAND) == 3
    assert squeezes_to_settle(values, covariance, math.inf, 0.0, 1, BAND) is None


def test_what_would_settle_is_foretold_as_if_every_joint_probability_were_reckoned(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Clear cases are decided from each value's own probability: over many checks never otherwise than by the
    joint one, and for most of them without it."""
    reckoned: list[float] = []

    def spied(*given: Any) -> float:
        reckoned.append(probability_within_box(*given))
        return reckoned[-1]

    monkeypatch.setattr(verdict, "probability_within_box", spied)
    chance, asked = np.random.default_rng(20), 0
    for _ in range(60):
        causes = chance.normal(0.0, 4e-6, (6, 8))
        values, covariance = (
            chance.uniform(0.205e-3, 0.24e-3) + chance.normal(0.0, 8e-6, 6),
            causes @ causes.T,
        )
        dof, shrinking = float(chance.uniform(5.0, 60.0)), float(chance.uniform(0.1, 0.9))

        def slowly(total: int) -> bool:
            there = covariance * (1.0 - shrinking + shrinking / total)  # noqa: B023
            asked_of = probability_within_box(values, there, dof, BAND.low, BAND.high)  # noqa: B023
            return not OUTSIDE < asked_of < WITHIN

        expected = next((n for n in range(2, 7) if slowly(n)), None) if slowly(6) else None
        assert squeezes_to_settle(values, covariance, dof, shrinking, 1, BAND) == expected
        asked += 1 if expected is None else expected
    assert 0 < len(reckoned) < asked / 2, (len(reckoned), asked)
