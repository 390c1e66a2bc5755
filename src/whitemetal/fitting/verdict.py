"""What the numbers prove: conformity probability, guard band, and what would settle a doubt.

Decision rule after ISO 14253-1:2017 and JCGM 106:2012: the uncertainty counts against whoever claims.
A value is *within limits* when the probability that the true value lies within them is at least 95 %,
*outside limits* when it is at most 5 %, otherwise *not proven*. For a check the probability is that of
all places together, from their covariance.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from whitemetal.quantity import probability_between, probability_within_box

Word = Literal["within limits", "outside limits", "not proven"]
RuleName = Literal["conformity probability", "simple acceptance"]

WITHIN = 0.95
OUTSIDE = 0.05
"""Probabilities of the default decision rule (ISO 14253-1:2017 default of 95 %)."""

TOO_COARSE = 0.25
"""A method whose expanded uncertainty is above this share of the band is too coarse. Common practice."""

MARGIN = 2e-3
"""A joint probability this far from what decides need not be reckoned: twice the greatest error with which it
is (tested). Our own."""

MOST_SQUEEZES = 6
"""More repeats of a whole squeeze than this are not advised: nobody does them. Our own."""


EDGE = 1e-12
"""By simple acceptance a value this little [m] beyond a limit is at it: two orders of the same summation
differ by less, and no gauge shows so little. Our own."""


@dataclass(frozen=True)
class Policy:
    """The decision rule. Another than the default is chosen by an engineer (by, why) and recorded."""

    rule: RuleName = "conformity probability"
    by: str = ""
    why: str = ""


@dataclass(frozen=True)
class Band:
    """Limits of a quantity, diametral [m]; None where there is no such limit."""

    low: float | None
    high: float | None

    @property
    def width(self) -> float:
        return math.inf if self.low is None or self.high is None else self.high - self.low


def word_for(probability: float) -> Word:
    """The word of the default decision rule for a conformity probability."""
    if probability >= WITHIN:
        return "within limits"
    return "outside limits" if probability <= OUTSIDE else "not proven"


def judge_one(value: float, u: float, dof: float, band: Band, policy: Policy) -> tuple[Word, float]:
    """Word and probability for a single value."""
    probability = probability_between(value, u, dof, band.low, band.high)
    if policy.rule == "simple acceptance":
        return _accepted(np.array([value]), band), probability
    return word_for(probability), probability


def judge_all(
    values: NDArray[np.float64], covariance: NDArray[np.float64], dof: float, band: Band, policy: Policy
) -> tuple[Word, float]:
    """Word and joint probability for all places together. values: shape (n,); covariance: shape (n, n)."""
    probability = probability_within_box(values, covariance, dof, band.low, band.high)
    if policy.rule == "simple acceptance":
        return _accepted(values, band), probability
    return word_for(probability), probability


def _accepted(values: NDArray[np.float64], band: Band) -> Word:
    low_ok = band.low is None or bool(values.min() >= band.low - EDGE)
    high_ok = band.high is None or bool(values.max() <= band.high + EDGE)
    return "within limits" if low_ok and high_ok else "outside limits"


def acceptance_edges(u: float, dof: float, band: Band) -> tuple[float | None, float | None] | None:
    """The guarded edges: a single value between them is within limits by the default rule.

    An edge is None where there is no limit on that side; the whole is None when even the middle of the
    band cannot be proven (the method is too coarse for this band). JCGM 106:2012, 8.3.
    """

    def chance(value: float) -> float:
        return probability_between(value, u, dof, band.low, band.high)

    if band.low is None and band.high is None:
        return (None, None)
    reach = 40.0 * u
    best = _best(band, reach)
    if chance(best) < WITHIN:
        return None
    low = _edge(chance, band.low, best) if band.low is not None else None
    high = _edge(chance, band.high, best) if band.high is not None else None
    return (low, high)


def _best(band: Band, reach: float) -> float:
    if band.low is not None and band.high is not None:
        return 0.5 * (band.low + band.high)
    return band.low + reach if band.low is not None else (band.high or 0.0) - reach


def _edge(chance: Callable[[float], float], bad: float, good: float) -> float:
    """Where the probability crosses WITHIN between a limit and a proven value, by bisection to 1 nm."""
    while abs(good - bad) > 1e-9:
        middle = 0.5 * (bad + good)
        if chance(middle) >= WITHIN:
            good = middle
        else:
            bad = middle
    return good


def _between(
    values: NDArray[np.float64], covariance: NDArray[np.float64], dof: float, band: Band
) -> tuple[float, float]:
    """What the joint probability is at least and at most, from each value's own: no more than the least of
    them, no less than what is left when all that they lack is taken away (Fréchet 1935, from memory)."""
    spread = np.sqrt(np.diag(covariance))
    own = [
        probability_between(float(value), float(u), dof, band.low, band.high)
        for value, u in zip(values, spread, strict=True)
    ]
    return max(0.0, 1.0 - sum(1.0 - one for one in own)), min(own)


def squeezes_to_settle(
    values: NDArray[np.float64],
    covariance: NDArray[np.float64],
    dof: float,
    shrinking: float,
    done: int,
    band: Band,
) -> int | None:
    """How many squeezes in all, agreeing with these, would settle a *not proven*; None if six do not.

    shrinking: share of the variance that repeating the squeeze shrinks; done: squeezes so far.
    """

    def settled(total: int) -> bool:
        there = covariance * ((1.0 - shrinking) + shrinking * done / total)
        least, most = _between(values, there, dof, band)
        if word_for(least - MARGIN) == "within limits" or word_for(most + MARGIN) == "outside limits":
            return True
        if most + MARGIN < WITHIN and least - MARGIN > OUTSIDE:
            return False
        return word_for(probability_within_box(values, there, dof, band.low, band.high)) != "not proven"

    if done >= MOST_SQUEEZES or not settled(MOST_SQUEEZES):
        return None
    return next(total for total in range(done + 1, MOST_SQUEEZES + 1) if settled(total))
