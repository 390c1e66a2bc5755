"""NIST StRD Misra1a, a first-order rise, through `fit_rise`. Data and certified values: data/README.md."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy.optimize import curve_fit

from whitemetal.closing.run_in.first_order import Rise, fit_rise

from .case import Case
from .test_nist import columns

SOURCE = "NIST/ITL StRD, Misra1a"


@cache
def misra1a() -> Rise:
    y, x = columns("misra1a.csv")
    return fit_rise(x, y, start=0.0)


def sd_of_rate() -> float:
    found = misra1a()
    return math.sqrt(found.covariance[1, 1]) / found.constant**2


CASES = (
    Case("Misra1a b1", SOURCE, "from memory", "238.94212918", lambda: misra1a().rise, tolerance=1e-6,
         why="the fit stops at a relative change of 1e-12"),
    Case("Misra1a b2, times 10000", SOURCE, "from memory", "5.5015643181", lambda: 1e4 / misra1a().constant,
         tolerance=1e-8, why="the fit stops at a relative change of 1e-12"),
    Case("Misra1a sd of b1", SOURCE, "from memory", "2.7070075241",
         lambda: math.sqrt(misra1a().covariance[0, 0]), tolerance=1e-7, why="as above"),
    Case("Misra1a sd of b2, times 1e6", SOURCE, "from memory", "7.2668688436", lambda: 1e6 * sd_of_rate(),
         tolerance=1e-6, why="as above"),
    Case("Misra1a residual sd", SOURCE, "from memory", "0.10187876330", lambda: misra1a().residual_sd,
         tolerance=1e-10, why="as above"),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_certified_value(case: Case) -> None:
    case.check()


def test_the_same_as_another_library() -> None:
    """scipy.optimize.curve_fit from the second start that NIST gives (250, 5e-4)."""
    y, x = columns("misra1a.csv")
    best, covariance = curve_fit(lambda t, a, b: a * (1 - np.exp(-b * t)), x, y, p0=[250.0, 5e-4])
    found = misra1a()
    assert [found.rise, 1.0 / found.constant] == pytest.approx(list(best), rel=1e-7)
    assert found.covariance[0, 0] == pytest.approx(covariance[0, 0], rel=1e-4)
