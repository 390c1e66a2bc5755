"""JCGM 100:2008 (GUM), H.1: calibration of an end gauge of 50 mm, through `whitemetal.quantity`.

Input values: the measurement model and every input as given by the documentation of GTC (Measurement
Standards Laboratory of New Zealand), page "Gauge block measurement (GUM H1)", seen. Printed results:
u 32 nm, l = 50 000 838 nm, and 34 nm with second-order terms, seen there and in the examples of the R package
propagate, which quotes U99 = 93 nm and 16 degrees of freedom of H.1.6; the components of H.1.3 and H.1.7 are
from memory. All lengths here are in nanometres.
"""

from __future__ import annotations

import math

import pytest

from whitemetal.quantity import Influence, Quantity, budget, coverage_factor

from .case import Case

NOT_ROUNDED = "the GUM rounds u to 32 nm before it multiplies"


def of(name: str, value: float, u: float, dof: float = math.inf) -> Quantity:
    return Quantity.of(value, Influence(name, name, u, dof))


def difference() -> Quantity:
    """H.1.3.2: mean of the comparisons, random and systematic error of the comparator."""
    return of("d0", 215.0, 5.8, 24) + of("d1", 0.0, 3.9, 5) + of("d2", 0.0, 6.7, 8)


def end_gauge() -> Quantity:
    """Equation (H.3): l = l_s + d - l_s (delta_alpha theta + alpha_s delta_theta), first order."""
    standard = of("l_s", 50_000_623.0, 25.0, 18)
    theta = of("theta_bar", -0.1, 0.2) + of("Delta", 0.0, 0.5 / math.sqrt(2))
    delta_alpha = of("delta_alpha", 0.0, 1e-6 / math.sqrt(3), 50)
    alpha = of("alpha_s", 11.5e-6, 2e-6 / math.sqrt(3))
    delta_theta = of("delta_theta", 0.0, 0.05 / math.sqrt(3), 2)
    return standard + difference() - standard * (delta_alpha * theta + alpha * delta_theta)


def second_order() -> tuple[Quantity, Quantity]:
    """H.1.7: the products whose first-order part vanishes.

    l_s u(delta_alpha) u(theta) and l_s u(alpha_s) u(delta_theta). The algebra is of first order, so they
    enter as two influences of their own.
    """
    u_theta = math.hypot(0.2, 0.5 / math.sqrt(2))
    length = 50_000_623.0
    return (
        of("delta_alpha theta", 0.0, length * 1e-6 / math.sqrt(3) * u_theta),
        of("alpha_s delta_theta", 0.0, length * 2e-6 / math.sqrt(3) * 0.05 / math.sqrt(3)),
    )


def with_second_order() -> Quantity:
    first, second = second_order()
    return end_gauge() + first + second


def u99() -> float:
    result = end_gauge()
    return coverage_factor(math.floor(result.dof), 0.99) * result.u


H16, H17 = "JCGM 100:2008 H.1.6", "JCGM 100:2008 H.1.7"
CASES = (
    Case("end gauge, length", "JCGM 100:2008 H.1.5", "seen", "50000838", lambda: end_gauge().value, "nm"),
    Case(
        "end gauge, u of the difference", "JCGM 100:2008 H.1.3.2", "seen", "9.7", lambda: difference().u, "nm"
    ),
    Case(
        "end gauge, dof of the difference",
        H16,
        "from memory",
        "25.6",
        lambda: difference().dof,
        "",
        0.2,
        "the GUM rounds u(d) to 9.7 nm first",
    ),
    Case("end gauge, u first order", "JCGM 100:2008 H.1.4", "seen", "32", lambda: end_gauge().u, "nm"),
    Case("end gauge, effective dof, truncated", H16, "seen", "16", lambda: math.floor(end_gauge().dof)),
    Case("end gauge, U99", H16, "seen", "93", u99, "nm", 1.0, NOT_ROUNDED),
    Case(
        "end gauge, second-order term of theta", H17, "from memory", "11.7", lambda: second_order()[0].u, "nm"
    ),
    Case(
        "end gauge, second-order term of alpha", H17, "from memory", "1.7", lambda: second_order()[1].u, "nm"
    ),
    Case("end gauge, u with second order", H17, "seen", "34", lambda: with_second_order().u, "nm"),
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_end_gauge(case: Case) -> None:
    case.check()


def test_u99_as_the_guide_rounds_it() -> None:
    """H.1.6: t99(16) = 2.92 times 32 nm."""
    result = end_gauge()
    assert round(coverage_factor(math.floor(result.dof), 0.99) * round(result.u)) == 93


def test_contributions() -> None:
    """Components as the documentation of GTC prints them (seen): l_s 25, delta_theta 16.599, d2 6.7, d0 5.8,
    d1 3.9, delta_alpha 2.88679 nm; the others contribute nothing to first order."""
    expected = {"l_s": 25.0, "delta_theta": 16.599, "d2": 6.7, "d0": 5.8, "d1": 3.9, "delta_alpha": 2.88679}
    lines = budget(end_gauge())
    assert [line.label for line in lines[:6]] == list(expected)
    assert {line.label: line.u for line in lines[:6]} == pytest.approx(expected, rel=2e-5)
    assert all(line.u == 0.0 for line in lines[6:])
    assert sum(line.share for line in lines) == pytest.approx(1.0, abs=1e-12)
