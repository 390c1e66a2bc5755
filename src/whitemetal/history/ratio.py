"""The ratio of two uncertain numbers with an interval that may have no end: Fieller's theorem (1954)."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Ratio:
    """value: a/b. low, high: the interval, infinite where it has no end. bounded: whether the denominator is
    known to differ from nothing at this level."""

    value: float
    low: float
    high: float
    bounded: bool


def ratio(a: float, b: float, var_a: float, var_b: float, cov: float, k: float) -> Ratio:
    """Interval of a/b: all t with (a - t b)² <= k² (var_a - 2 t cov + t² var_b).

    k: quantile of Student's or the normal distribution, for the level wanted. When b is not known to differ
    from nothing the set has no end and (-inf, inf) is given. Raises ZeroDivisionError for b = 0.
    """
    value = a / b
    square = b * b - k * k * var_b
    middle = a * b - k * k * cov
    below = a * a - k * k * var_a
    if square <= 0.0:
        return Ratio(value, -math.inf, math.inf, bounded=False)
    root = math.sqrt(max(0.0, middle * middle - square * below))
    return Ratio(value, (middle - root) / square, (middle + root) / square, bounded=True)
