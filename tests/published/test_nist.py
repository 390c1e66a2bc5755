"""NIST Statistical Reference Datasets Norris and NoInt1 through `fit_linear`, and random weighted problems
against `numpy.linalg.lstsq` and closed forms. Data, certified values and their source: data/README.md."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from whitemetal.errors import NotConverged
from whitemetal.quantity import LinearFit, fit_linear

from .case import Case

DATA = Path(__file__).parent / "data"
NORRIS_SOURCE = "NIST/ITL StRD, Norris"
NOINT1_SOURCE = "NIST/ITL StRD, NoInt1"


def columns(name: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """y and x of a data set."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return np.array([float(row["y"]) for row in rows]), np.array([float(row["x"]) for row in rows])


def norris() -> LinearFit:
    y, x = columns("norris.csv")
    return fit_linear(np.column_stack([np.ones_like(x), x]), y, np.ones_like(y))


def noint1() -> LinearFit:
    y, x = columns("noint1.csv")
    return fit_linear(x[:, None], y, np.ones_like(y))


def standard_deviation(fit: LinearFit, which: int) -> float:
    """Standard deviation of a coefficient as NIST states it: with u of the data taken from the residuals."""
    return math.sqrt(fit.covariance[which, which]) * fit.residual_sd


def r_squared() -> float:
    y, _ = columns("norris.csv")
    return 1.0 - norris().chi_square / float(np.sum((y - y.mean()) ** 2))


def certified(name: str, source: str, tag: str, text: str, compute: object) -> Case:
    """A certified value, to be met to ten digits."""
    return Case(name, source, tag, text, compute, "", abs(float(text)) * 1e-10, "ten digits")  # type: ignore[arg-type]


CASES = (
    certified("Norris B0", NORRIS_SOURCE, "seen", "-0.262323073774029", lambda: norris().coefficients[0]),
    certified(
        "Norris sd of B0", NORRIS_SOURCE, "seen", "0.232818234301152", lambda: standard_deviation(norris(), 0)
    ),
    certified("Norris B1", NORRIS_SOURCE, "seen", "1.00211681802045", lambda: norris().coefficients[1]),
    certified(
        "Norris sd of B1",
        NORRIS_SOURCE,
        "seen",
        "0.429796848199937e-3",
        lambda: standard_deviation(norris(), 1),
    ),
    certified("Norris residual sd", NORRIS_SOURCE, "seen", "0.884796396144373", lambda: norris().residual_sd),
    certified("Norris R squared", NORRIS_SOURCE, "seen", "0.999993745883712", r_squared),
    certified(
        "NoInt1 B1", NOINT1_SOURCE, "from memory", "2.07438016528926", lambda: noint1().coefficients[0]
    ),
    certified(
        "NoInt1 sd of B1",
        NOINT1_SOURCE,
        "from memory",
        "0.165289256198347e-1",
        lambda: standard_deviation(noint1(), 0),
    ),
    certified(
        "NoInt1 residual sd", NOINT1_SOURCE, "from memory", "3.56753034006338", lambda: noint1().residual_sd
    ),
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_certified(case: Case) -> None:
    case.check()


def test_data_are_complete() -> None:
    """36 and 11 observations, as NIST states; degrees of freedom 34 and 10."""
    assert (norris().dof, noint1().dof) == (34, 10)


def problem(seed: int) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """A random weighted problem: design, y, u."""
    draw = np.random.default_rng(seed)
    p = int(draw.integers(1, 5))
    n = p + int(draw.integers(1, 20))
    design = draw.normal(size=(n, p)) * 10.0 ** draw.uniform(-2, 2, size=p)
    return design, draw.normal(size=n), 10.0 ** draw.uniform(-3, 1, size=n)


@pytest.mark.parametrize("seed", range(60))
def test_against_numpy(seed: int) -> None:
    """Coefficients and chi-square against numpy.linalg.lstsq (singular values, another factorization); the
    covariance against the inverse of the normal matrix, JCGM 100 F.1.2.3 and textbook least squares."""
    design, y, u = problem(seed)
    fit = fit_linear(design, y, u)
    theirs, squares, _, _ = np.linalg.lstsq(design / u[:, None], y / u, rcond=None)
    np.testing.assert_allclose(fit.coefficients, theirs, rtol=1e-8, atol=1e-12 * np.abs(theirs).max())
    assert fit.chi_square == pytest.approx(float(squares[0]), rel=1e-9)
    normal = np.linalg.inv(design.T @ np.diag(u**-2) @ design)
    np.testing.assert_allclose(fit.covariance, normal, rtol=1e-6, atol=1e-9 * np.abs(normal).max())
    np.testing.assert_allclose(
        fit.operator @ y, fit.coefficients, rtol=1e-9, atol=1e-12 * np.abs(theirs).max()
    )
    propagated = fit.operator @ np.diag(u**2) @ fit.operator.T
    np.testing.assert_allclose(propagated, normal, rtol=1e-6, atol=1e-9 * np.abs(normal).max())


@pytest.mark.parametrize("seed", range(20))
def test_standardized_residuals(seed: int) -> None:
    """Standardized residual: residual over its own standard deviation, u sqrt(1 - h) with h the leverage,
    here from the hat matrix by a pseudo-inverse."""
    design, y, u = problem(seed)
    fit = fit_linear(design, y, u)
    weighted = design / u[:, None]
    leverage = np.diag(weighted @ np.linalg.pinv(weighted))
    residuals = y - design @ fit.coefficients
    free = 1.0 - leverage > 1e-9
    expected = residuals[free] / (u[free] * np.sqrt(1.0 - leverage[free]))
    np.testing.assert_allclose(fit.standardized[free], expected, rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(fit.residuals, residuals, rtol=1e-12, atol=0)


def test_chi_probability() -> None:
    """Closed form: with two degrees of freedom the probability is exp(-chi_square / 2)."""
    fit = fit_linear(np.ones((3, 1)), np.array([0.0, 1.0, 3.5]), np.array([1.0, 2.0, 0.7]))
    assert fit.dof == 2
    assert fit.chi_probability == pytest.approx(math.exp(-0.5 * fit.chi_square), rel=1e-12)


def test_weighted_mean() -> None:
    """Closed form: the weighted mean and its variance 1 / sum(1/u^2), JCGM 100 H.4.2 in form."""
    y, u = np.array([1.0, 2.0, 4.0]), np.array([0.1, 0.2, 0.4])
    fit = fit_linear(np.ones((3, 1)), y, u)
    weights = [100.0, 25.0, 6.25]
    assert fit.coefficients[0] == pytest.approx((100 + 50 + 25) / sum(weights), rel=1e-14)
    assert fit.covariance[0, 0] == pytest.approx(1 / sum(weights), rel=1e-14)


@pytest.mark.parametrize(
    "design",
    [
        np.ones((4, 2)),
        np.column_stack([np.arange(4.0), 2 * np.arange(4.0)]),
        np.ones((1, 2)),
        np.zeros((3, 1)),
    ],
    ids=["same column twice", "multiple", "fewer readings than unknowns", "zero column"],
)
def test_what_cannot_be_told_apart_is_refused(design: NDArray[np.float64]) -> None:
    with pytest.raises(NotConverged):
        fit_linear(design, np.arange(float(len(design))), np.ones(len(design)))


def test_units_of_a_column_do_not_matter() -> None:
    """A slope per nanometre beside a mean in metres is as independent as before."""
    x = np.array([0.0, 1.0, 2.0, 3.0])
    y = 2.0 + 3.0 * x
    fit = fit_linear(np.column_stack([np.ones(4), 1e-14 * x]), y, np.full(4, 1e-6))
    np.testing.assert_allclose(fit.coefficients, [2.0, 3.0e14], rtol=1e-9)
