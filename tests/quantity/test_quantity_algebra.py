"""Uncertain quantities: identities that hold whatever the numbers, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whitemetal.quantity import (
    Influence,
    Quantity,
    budget,
    combine,
    covariance,
    covariance_matrix,
    coverage_factor,
    exact,
    fit_general,
    fit_linear,
)

NUMBERS = st.floats(-1e3, 1e3).filter(lambda x: abs(x) > 1e-3)
DOUBTS = st.floats(1e-6, 1.0)


def of(key: str, value: float, u: float, dof: float = math.inf, family: str = "") -> Quantity:
    return Quantity.of(value, Influence(key, key, u, dof, family=family))


@given(NUMBERS, DOUBTS)
def test_a_thing_less_itself_is_exactly_nothing(value: float, u: float) -> None:
    a = of("a", value, u)
    assert (a - a).value == 0.0
    assert (a - a).u == 0.0
    assert (a / a).u == pytest.approx(0.0, abs=1e-12)


@given(NUMBERS, NUMBERS, DOUBTS, DOUBTS)
def test_independent_uncertainties_add_in_squares(a: float, b: float, ua: float, ub: float) -> None:
    x, y = of("a", a, ua), of("b", b, ub)
    assert (x + y).u == pytest.approx(math.hypot(ua, ub), rel=1e-12)
    assert (x - y).u == pytest.approx(math.hypot(ua, ub), rel=1e-12)
    assert (x * y).u == pytest.approx(math.hypot(b * ua, a * ub), rel=1e-12)
    assert (x / y).u / abs(a / b) == pytest.approx(math.hypot(ua / a, ub / b), rel=1e-9)


@given(NUMBERS, DOUBTS)
def test_shared_uncertainty_adds_in_full(value: float, u: float) -> None:
    a = of("a", value, u)
    assert (a + a).u == pytest.approx(2 * u, rel=1e-12, abs=0.0)
    assert (a * a).u == pytest.approx(2 * abs(value) * u, rel=1e-12, abs=0.0)
    assert covariance(a, 3.0 * a) == pytest.approx(3 * u * u, rel=1e-12, abs=0.0)


def test_functions_use_their_slopes() -> None:
    angle = of("a", 0.2, 0.01)
    assert angle.cos().value == pytest.approx(math.cos(0.2), rel=1e-15)
    assert angle.cos().u == pytest.approx(0.01 * math.sin(0.2), rel=1e-12)
    assert of("a", 4.0, 0.1).sqrt().u == pytest.approx(0.1 / 4, rel=1e-12)
    assert (1.0 / of("a", 4.0, 0.1)).u == pytest.approx(0.1 / 16, rel=1e-12)
    assert (3.0 - angle).value == pytest.approx(2.8, rel=1e-15)
    assert (-angle).value == -0.2


def test_welch_satterthwaite_of_equal_parts() -> None:
    """Equal contributions with equal dof nu, n of them: effective dof n nu (JCGM 100:2008, G.2b)."""
    total = exact(0.0)
    for i in range(5):
        total = total + of(f"x{i}", 1.0, 0.3, 7.0)
    assert total.dof == pytest.approx(35.0, rel=1e-12)


def test_one_known_source_frees_the_rest() -> None:
    """u = sqrt(2) of one source with dof 4 and one known exactly: 4 (u^4 total) / (u^4 part) = 16."""
    assert (of("a", 0.0, 1.0, 4.0) + of("b", 0.0, 1.0)).dof == pytest.approx(16.0, rel=1e-12)
    assert exact(1.0).dof == math.inf


@pytest.mark.parametrize(("u", "dof"), [(-1.0, 5.0), (math.nan, 5.0), (math.inf, 5.0), (1.0, 0.0), (1.0, -2.0),
                                        (1.0, math.nan)])  # fmt: skip
def test_an_influence_without_sense_is_refused(u: float, dof: float) -> None:
    with pytest.raises(ValueError, match="a:"):
        Influence("a", "a", u, dof)


def random_quantities(seed: int, count: int) -> list[Quantity]:
    draw = np.random.default_rng(seed)
    sources = [of(f"s{i}", float(draw.normal()), float(draw.uniform(0.1, 1)), 9.0) for i in range(4)]
    made = []
    for _ in range(count):
        total = exact(float(draw.normal()))
        for source in draw.choice(4, size=3, replace=False):
            total = total + float(draw.normal()) * sources[int(source)]
        made.append(total)
    return made


@pytest.mark.parametrize("seed", range(10))
def test_a_linear_combination_is_the_sum_of_its_terms(seed: int) -> None:
    quantities = random_quantities(seed, 5)
    weights = [float(w) for w in np.random.default_rng(seed + 100).normal(size=5)]
    term_by_term = exact(0.0)
    for weight, quantity in zip(weights, quantities, strict=True):
        term_by_term = term_by_term + weight * quantity
    at_once = combine(weights, quantities)
    assert at_once.value == pytest.approx(term_by_term.value, rel=1e-12, abs=1e-12)
    assert at_once.u == pytest.approx(term_by_term.u, rel=1e-12)
    matrix = covariance_matrix(quantities)
    assert at_once.variance == pytest.approx(float(np.array(weights) @ matrix @ np.array(weights)), rel=1e-10)


@pytest.mark.parametrize("seed", range(10))
def test_covariance_matrix(seed: int) -> None:
    """Symmetric, never negative, variances on its diagonal, and of no higher rank than there are sources."""
    quantities = random_quantities(seed, 6)
    matrix = covariance_matrix(quantities)
    pairwise = [[covariance(a, b) for b in quantities] for a in quantities]
    np.testing.assert_allclose(matrix, pairwise, rtol=1e-10, atol=1e-12)
    np.testing.assert_allclose(np.diag(matrix), [q.variance for q in quantities], rtol=1e-12)
    assert np.linalg.eigvalsh(matrix).min() > -1e-12
    assert np.linalg.matrix_rank(matrix, tol=1e-9) <= 4


def test_budget_sums_to_the_variance_by_family() -> None:
    total = of("a1", 0.0, 3.0, family="a") + of("a2", 0.0, 4.0, family="a") + of("b", 0.0, 12.0)
    lines = budget(total)
    assert [(line.label, line.u, line.count) for line in lines] == [("b", 12.0, 1), ("a2", 5.0, 2)]
    assert [line.share for line in lines] == pytest.approx([144 / 169, 25 / 169], rel=1e-12)
    assert budget(exact(1.0)) == ()


@pytest.mark.parametrize("seed", range(10))
def test_general_fit(seed: int) -> None:
    """Generalized least squares in closed form: (X' V^-1 X)^-1 X' V^-1 y, and its covariance."""
    draw = np.random.default_rng(seed)
    design, y = draw.normal(size=(8, 3)), draw.normal(size=8)
    root = draw.normal(size=(8, 10))
    v = root @ root.T
    fit = fit_general(design, y, v)
    inverse = np.linalg.inv(v)
    covariance_of_b = np.linalg.inv(design.T @ inverse @ design)
    b = covariance_of_b @ design.T @ inverse @ y
    np.testing.assert_allclose(fit.coefficients, b, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(fit.covariance, covariance_of_b, rtol=1e-7, atol=1e-9)
    np.testing.assert_allclose(fit.operator @ y, b, rtol=1e-7, atol=1e-9)
    left = y - design @ b
    assert fit.chi_square == pytest.approx(float(left @ inverse @ left), rel=1e-7)
    spread = np.sqrt(np.diag(v - design @ covariance_of_b @ design.T))
    np.testing.assert_allclose(fit.standardized, left / spread, rtol=1e-6, atol=1e-9)


def test_general_fit_without_correlation_is_the_weighted_fit() -> None:
    draw = np.random.default_rng(4)
    design, y, u = draw.normal(size=(9, 2)), draw.normal(size=9), draw.uniform(0.1, 2.0, size=9)
    general, weighted = fit_general(design, y, np.diag(u**2)), fit_linear(design, y, u)
    np.testing.assert_allclose(general.coefficients, weighted.coefficients, rtol=1e-8)
    np.testing.assert_allclose(general.standardized, weighted.standardized, rtol=1e-7, atol=1e-9)
    assert general.chi_square == pytest.approx(weighted.chi_square, rel=1e-8)


def test_an_error_shared_by_all_does_not_shrink_with_readings() -> None:
    """Mean of n readings with own variance s^2 and shared variance c^2: s^2/n + c^2 (JCGM 100:2008, F.1.2.3)."""
    n, own, shared = 6, 2.0, 3.0
    v = own**2 * np.eye(n) + shared**2
    fit = fit_general(np.ones((n, 1)), np.arange(float(n)), v)
    assert fit.coefficients[0] == pytest.approx(2.5, rel=1e-9)
    assert fit.covariance[0, 0] == pytest.approx(own**2 / n + shared**2, rel=1e-9)


@given(st.floats(1.0, 1e7), st.floats(0.5, 0.999))
def test_coverage_factor_is_never_below_the_normal_one(dof: float, p: float) -> None:
    assert coverage_factor(dof, p) >= coverage_factor(math.inf, p) * (1 - 1e-9)
