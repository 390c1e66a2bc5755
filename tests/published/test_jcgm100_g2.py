"""JCGM 100:2008, Table G.2: Student's t for the fraction p, through `coverage_factor`.

The rows are from memory; each is checked a second time by integrating the density of Student's t numerically
(textbook), so that a slip of memory would show.
"""

from __future__ import annotations

import math

import pytest

from whitemetal.quantity import coverage_factor

from .case import Case

FRACTIONS = (
    math.erf(1 / math.sqrt(2)),
    0.90,
    0.95,
    math.erf(2 / math.sqrt(2)),
    0.99,
    math.erf(3 / math.sqrt(2)),
)
"""The columns 68.27, 95.45 and 99.73 % are one, two and three standard deviations of a normal distribution."""

ROWS: dict[float, str] = {
    1: "1.84 6.31 12.71 13.97 63.66 235.80",
    2: "1.32 2.92 4.30 4.53 9.92 19.21",
    3: "1.20 2.35 3.18 3.31 5.84 9.22",
    4: "1.14 2.13 2.78 2.87 4.60 6.62",
    5: "1.11 2.02 2.57 2.65 4.03 5.51",
    6: "1.09 1.94 2.45 2.52 3.71 4.90",
    7: "1.08 1.89 2.36 2.43 3.50 4.53",
    8: "1.07 1.86 2.31 2.37 3.36 4.28",
    9: "1.06 1.83 2.26 2.32 3.25 4.09",
    10: "1.05 1.81 2.23 2.28 3.17 3.96",
    12: "1.04 1.78 2.18 2.23 3.05 3.76",
    16: "1.03 1.75 2.12 2.17 2.92 3.54",
    20: "1.03 1.72 2.09 2.13 2.85 3.42",
    30: "1.02 1.70 2.04 2.09 2.75 3.27",
    50: "1.01 1.68 2.01 2.05 2.68 3.16",
    100: "1.005 1.660 1.984 2.025 2.626 3.077",
    math.inf: "1.000 1.645 1.960 2.000 2.576 3.000",
}


def in_row(dof: float) -> tuple[Case, ...]:
    return tuple(
        Case(
            f"t for p = {100 * p:.2f} %, dof {dof:g}",
            "JCGM 100:2008 Table G.2",
            "from memory",
            printed,
            lambda p=p: coverage_factor(dof, p),  # type: ignore[misc]
        )
        for p, printed in zip(FRACTIONS, ROWS[dof].split(), strict=True)
    )


CASES = tuple(case for dof in ROWS for case in in_row(dof))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_table(case: Case) -> None:
    case.check()


def within(k: float, dof: float) -> float:
    """P(|t| <= k) by integrating the density, which scipy.special.stdtrit does not do."""
    from scipy.integrate import quad

    log_norm = math.lgamma((dof + 1) / 2) - math.lgamma(dof / 2) - 0.5 * math.log(dof * math.pi)
    area, _ = quad(
        lambda t: math.exp(log_norm - (dof + 1) / 2 * math.log1p(t * t / dof)), 0.0, k, epsabs=1e-12
    )
    return 2.0 * float(area)


@pytest.mark.parametrize("dof", [1.0, 2.5, 7.3, 16.75, 120.0, 5e4])
@pytest.mark.parametrize("p", FRACTIONS)
def test_factor_encloses_its_probability(dof: float, p: float) -> None:
    """Also for degrees of freedom that are not whole."""
    assert within(coverage_factor(dof, p), dof) == pytest.approx(p, abs=1e-9)


def test_more_freedom_needs_a_smaller_factor() -> None:
    factors = [coverage_factor(dof) for dof in (1.5, 3.0, 10.0, 1e3, 0.99e6, math.inf)]
    assert factors == sorted(factors, reverse=True)
    assert factors[-2] == pytest.approx(factors[-1], abs=1e-5)
