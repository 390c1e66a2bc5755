"""JCGM 106:2012, conformity probability, through `probability_between` and `probability_within_box`.

The examples and Table 1 are from memory (the standard is free to read, its text was not at hand); each was
worked by hand again from the normal distribution. The joint probability is checked against closed forms
and against scipy.stats.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from whitemetal.quantity import probability_between, probability_within_box

from .case import Case

INF = math.inf


def between(
    value: float, u: float, low: float | None = None, high: float | None = None, dof: float = INF
) -> Callable[[], float]:
    return lambda: probability_between(value, u, dof, low, high)


CASES = (
    Case(
        "burst strength 509.7 kPa, u 8.6, at least 490",
        "JCGM 106:2012 7.3 example 1 (lower limit)",
        "from memory",
        "0.99",
        between(509.7, 8.6, low=490.0),
    ),
    Case(
        "breakdown voltage -5.47 V, u 0.05, at most -5.40",
        "JCGM 106:2012 7.3 example 2 (upper limit)",
        "from memory",
        "0.92",
        between(-5.47, 0.05, high=-5.40),
    ),
    Case(
        "kinematic viscosity 13.6 mm2/s, u 1.8, 12.5 to 16.3",
        "JCGM 106:2012 7.4 example (two-sided)",
        "from memory",
        "0.66",
        between(13.6, 1.8, low=12.5, high=16.3),
    ),
    *(
        Case(
            f"one-sided limit, z = {z}",
            "JCGM 106:2012 Table 1",
            "from memory",
            p,
            between(-float(z), 1.0, high=0.0),
            "",
            0.005 * math.exp(-0.5 * float(z) ** 2) / math.sqrt(2 * math.pi),
            "z is printed to two decimals",
        )
        for p, z in (
            ("0.80", "0.84"),
            ("0.90", "1.28"),
            ("0.95", "1.64"),
            ("0.99", "2.33"),
            ("0.999", "3.09"),
        )
    ),
    Case(
        "guard band of 2u: risk of false acceptance at the edge",
        "JCGM 106:2012 8.3.2 (guarded acceptance, w = U)",
        "from memory",
        "0.023",
        lambda: 1.0 - probability_between(-2.0, 1.0, INF, None, 0.0),
    ),
    Case(
        "speed 106.6 km/h, u 2 %: faster than 100 km/h",
        "JCGM 106:2012 8.3.3 example (guarded rejection)",
        "from memory",
        "0.999",
        between(106.6, 0.02 * 106.6, low=100.0),
    ),
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_example(case: Case) -> None:
    case.check()


@pytest.mark.parametrize(("dof", "cdf"), [(1, lambda t: 0.5 + math.atan(t) / math.pi),
                                          (2, lambda t: 0.5 + t / (2 * math.sqrt(2 + t * t)))])  # fmt: skip
def test_student_closed_forms(dof: int, cdf: Callable[[float], float]) -> None:
    """Student's t with one and two degrees of freedom has a closed form (textbook)."""
    for low, high in ((-1.0, 2.0), (0.3, 0.9), (-4.0, -0.5)):
        found = probability_between(10.0, 2.0, dof, 10.0 + 2 * low, 10.0 + 2 * high)
        assert found == pytest.approx(cdf(high) - cdf(low), abs=1e-12)


def test_no_uncertainty_is_a_plain_comparison() -> None:
    assert probability_between(1.0, 0.0, INF, 1.0, 2.0) == 1.0
    assert probability_between(0.999, 0.0, INF, 1.0, 2.0) == 0.0
    assert probability_between(1.0, 0.0, INF) == 1.0


def test_no_limit_is_certain_and_limits_add_up() -> None:
    assert probability_between(1.0, 0.3, 7.5) == 1.0
    parts = [
        between(1.0, 0.3, None, 0.8, 7.5),
        between(1.0, 0.3, 0.8, 1.3, 7.5),
        between(1.0, 0.3, 1.3, None, 7.5),
    ]
    assert sum(part() for part in parts) == pytest.approx(1.0, abs=1e-14)


def test_large_dof_joins_the_normal_distribution() -> None:
    just_below, normal = between(0.0, 1.0, -1.5, 2.0, 0.99e6)(), between(0.0, 1.0, -1.5, 2.0)()
    assert just_below == pytest.approx(normal, abs=1e-6)


LATTICE = 1e-3
"""The accuracy `probability_within_box` claims."""

Matrix = NDArray[np.float64]


def correlated(n: int, rho: float) -> Matrix:
    return np.asarray(np.full((n, n), rho) + (1 - rho) * np.eye(n))


def random_covariance(draw: np.random.Generator, n: int, rank: int) -> Matrix:
    root = draw.normal(size=(n, rank))
    return np.asarray(root @ root.T)


@pytest.mark.parametrize("n", [2, 3, 5, 9])
def test_independent_values_multiply(n: int) -> None:
    """Normal and independent: the product of the single probabilities."""
    values = np.linspace(-0.5, 0.7, n)
    spread = np.linspace(0.4, 1.3, n)
    single = [probability_between(v, u, INF, -1.0, 1.0) for v, u in zip(values, spread, strict=True)]
    found = probability_within_box(values, np.diag(spread**2), INF, -1.0, 1.0)
    assert found == pytest.approx(math.prod(single), abs=LATTICE)


@pytest.mark.parametrize("dof", [3.0, 12.0, INF])
@pytest.mark.parametrize("n", [2, 6, 9])
def test_perfectly_correlated_values_are_one_value(n: int, dof: float) -> None:
    """Rank one: all within means the least and the greatest within; a singular covariance is no obstacle."""
    values = np.linspace(0.2, 0.5, n)
    found = probability_within_box(values, np.full((n, n), 0.09), dof, 0.0, 1.0)
    expected = probability_between(0.0, 0.3, dof, -0.2, 0.5)
    assert found == pytest.approx(expected, abs=LATTICE)


@pytest.mark.parametrize("dof", [4.0, INF])
@pytest.mark.parametrize("rho", [-0.999, -0.7, -0.2, 0.0, 0.3, 0.8, 0.999])
def test_two_values_in_a_quadrant(rho: float, dof: float) -> None:
    """Sheppard: 1/4 + asin(rho) / (2 pi), for every elliptical distribution, Student's t included."""
    found = probability_within_box(np.zeros(2), correlated(2, rho), dof, 0.0, None)
    assert found == pytest.approx(0.25 + math.asin(rho) / (2 * math.pi), abs=LATTICE)


@pytest.mark.parametrize("dof", [4.0, INF])
def test_three_values_in_an_octant(dof: float) -> None:
    """1/8 + (asin r12 + asin r13 + asin r23) / (4 pi) (textbook)."""
    covariance = np.array([[1.0, 0.5, -0.3], [0.5, 1.0, 0.2], [-0.3, 0.2, 1.0]])
    expected = 0.125 + (math.asin(0.5) + math.asin(-0.3) + math.asin(0.2)) / (4 * math.pi)
    assert probability_within_box(np.zeros(3), covariance, dof, None, 0.0) == pytest.approx(
        expected, abs=LATTICE
    )


@pytest.mark.parametrize("dof", [3.0, 9.0, 40.0, INF])
@pytest.mark.parametrize("n", [2, 3, 6, 9])
def test_against_scipy(n: int, dof: float) -> None:
    """Random covariances against scipy.stats.multivariate_normal / multivariate_t (another implementation, in
    Fortran / by its own random lattice)."""
    from scipy.stats import multivariate_normal, multivariate_t

    draw = np.random.default_rng(100 * n + (0 if dof == INF else int(dof)))
    for _ in range(3):
        covariance = random_covariance(draw, n, n + 1)
        spread = float(np.sqrt(np.diag(covariance).max()))
        values = draw.uniform(-0.5, 0.5, size=n) * spread
        low, high = -1.2 * spread, 1.5 * spread
        lower, upper = np.full(n, low) - values, np.full(n, high) - values
        if dof == INF:
            theirs = multivariate_normal(np.zeros(n), covariance, maxpts=100_000, abseps=1e-4)
            expected = theirs.cdf(upper, lower_limit=lower)
        else:
            theirs = multivariate_t(np.zeros(n), covariance, df=dof, seed=1)
            expected = theirs.cdf(upper, lower_limit=lower, maxpts=20_000 * n, random_state=1)
        assert probability_within_box(values, covariance, dof, low, high) == pytest.approx(
            expected, abs=LATTICE
        )


@pytest.mark.parametrize("dof", [5.0, INF])
def test_fewer_causes_than_values(dof: float) -> None:
    """Nine places that hang on three unknowns: against plain simulation (seeded, one part in 2,000)."""
    draw = np.random.default_rng(7)
    root = draw.normal(size=(9, 3))
    values = draw.uniform(-0.3, 0.3, size=9)
    count = 1_000_000
    scale = 1.0 if dof == INF else np.sqrt(dof / draw.chisquare(dof, size=count))
    simulated = values[:, None] + root @ draw.normal(size=(3, count)) * scale
    expected = float(np.mean(np.all(np.abs(simulated) <= 2.0, axis=0)))
    found = probability_within_box(values, root @ root.T, dof, -2.0, 2.0)
    assert found == pytest.approx(expected, abs=LATTICE + 5e-4)


def test_more_places_are_never_more_probable() -> None:
    """A further place can only lower the joint probability, and it never exceeds the least single one."""
    draw = np.random.default_rng(11)
    covariance = random_covariance(draw, 6, 7)
    values = draw.uniform(-1, 1, size=6)
    joint = [probability_within_box(values[:n], covariance[:n, :n], 15.0, -3.0, 3.0) for n in range(1, 7)]
    assert all(later <= earlier + 2 * LATTICE for earlier, later in itertools.pairwise(joint))
    single = [
        probability_between(v, math.sqrt(c), 15.0, -3.0, 3.0)
        for v, c in zip(values, np.diag(covariance), strict=True)
    ]
    assert joint[-1] <= min(single) + LATTICE


def test_no_uncertainty_at_all() -> None:
    """Exact values are within or they are not; a value on the limit is within."""
    nothing = np.zeros((2, 2))
    assert probability_within_box(np.array([1.0, 2.0]), nothing, 5.0, 1.0, 2.0) == 1.0
    assert probability_within_box(np.array([0.9, 2.0]), nothing, 5.0, 1.0, 2.0) == 0.0


@pytest.mark.parametrize(("exact_one", "certain"), [(0.5, True), (1.5, False)])
def test_one_value_without_uncertainty(exact_one: float, certain: bool) -> None:
    covariance = np.diag([0.04, 0.0, 0.09])
    values = np.array([0.8, exact_one, 0.3])
    expected = probability_within_box(values[[0, 2]], covariance[np.ix_([0, 2], [0, 2])], 8.0, 0.0, 1.0)
    found = probability_within_box(values, covariance, 8.0, 0.0, 1.0)
    assert found == pytest.approx(expected if certain else 0.0, abs=LATTICE)


def test_unit_of_length_does_not_matter() -> None:
    """Micrometres or metres: the same probability to rounding."""
    draw = np.random.default_rng(5)
    covariance, values = random_covariance(draw, 5, 3), draw.uniform(-0.4, 0.4, size=5)
    in_metres = probability_within_box(values * 1e-6, covariance * 1e-12, 9.0, -1.5e-6, 1.5e-6)
    assert in_metres == pytest.approx(probability_within_box(values, covariance, 9.0, -1.5, 1.5), abs=1e-9)


def test_same_input_same_bits() -> None:
    covariance = random_covariance(np.random.default_rng(3), 6, 6)
    runs = {probability_within_box(np.zeros(6), covariance, 12.0, -1.0, 2.0) for _ in range(3)}
    assert len(runs) == 1
