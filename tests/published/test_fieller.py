"""Fieller's interval of a ratio against a published worked example: the notebook of the statistics package
DCSTATS (14 over 7, standard deviations 3 and 2, uncorrelated, 10 degrees of freedom, 90 %)."""

from __future__ import annotations

import pytest

from whitemetal.history.ratio import Ratio, ratio

from .case import Case

SOURCE = "DCSTATS notebook, Fieller's theorem"
T_10 = 1.812461
"""Student's t at 10 degrees of freedom for two tails of 5 %, as printed there."""


def printed() -> Ratio:
    return ratio(14.0, 7.0, 9.0, 4.0, 0.0, T_10)


CASES = (
    Case("14/7, lower limit", SOURCE, "seen", "1.051413", lambda: printed().low),
    Case("14/7, upper limit", SOURCE, "seen", "4.414296", lambda: printed().high),
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    case.check()
