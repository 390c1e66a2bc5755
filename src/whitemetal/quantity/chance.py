"""Probabilities that a verdict rests on: Student's t after JCGM 106:2012, 7, and its joint form.

scipy.special is imported on first use (`scipy.stats` is slow to load and is not needed).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

LATTICE_POINTS = 4093
"""Points of the quasi-random lattice in `probability_within_box`; its error there is below 2e-3 (tested)."""

NORMAL_FROM = 1e6
"""Degrees of freedom from which Student's t is the normal distribution to 1e-6."""


def coverage_factor(dof: float, probability: float = 0.95) -> float:
    """Two-sided coverage factor k with ``P(|t| <= k) = probability``, JCGM 100:2008, Table G.2.

    dof need not be whole; infinite gives the normal quantile.
    """
    from scipy.special import ndtri, stdtrit

    p = 0.5 * (1.0 + probability)
    return float(ndtri(p) if dof > NORMAL_FROM else stdtrit(dof, p))


def probability_between(
    value: float, u: float, dof: float, low: float | None = None, high: float | None = None
) -> float:
    """Probability that the true value lies in [low, high], given value, u [same unit] and dof.

    A limit that is None is absent. JCGM 106:2012, equations (13) to (15), with Student's t for the
    measurand's distribution where the degrees of freedom are finite (JCGM 106, 7.2, NOTE).
    """
    if u == 0.0:
        return float((low is None or value >= low) and (high is None or value <= high))
    above = _cdf((high - value) / u, dof) if high is not None else 1.0
    below = _cdf((low - value) / u, dof) if low is not None else 0.0
    return max(0.0, above - below)


def probability_within_box(
    values: NDArray[np.float64],
    covariance: NDArray[np.float64],
    dof: float,
    low: float | None = None,
    high: float | None = None,
) -> float:
    """Joint probability that all of n values lie in [low, high].

    values: shape (n,). covariance: shape (n, n), positive semidefinite. Multivariate Student's t with
    a common dof (multivariate normal when infinite), by separation of variables on a lattice rule with
    the tent transform, after Genz & Bretz, Computation of Multivariate Normal and t Probabilities (2009),
    chapter 4; the same input gives the same answer to the last bit.
    """
    n = len(values)
    if n == 1:
        return probability_between(float(values[0]), math.sqrt(float(covariance[0, 0])), dof, low, high)
    factor = _square_root(covariance)
    points = _lattice(LATTICE_POINTS, n)
    scale = _chi_scale(points[:, 0], dof)
    lower = np.full(n, -np.inf) if low is None else low - values
    upper = np.full(n, np.inf) if high is None else high - values
    return float(np.mean(_separated(factor, lower, upper, points[:, 1:], scale)))


def _cdf(x: float, dof: float) -> float:
    from scipy.special import ndtr, stdtr

    return float(ndtr(x) if dof > NORMAL_FROM else stdtr(dof, x))


def _square_root(covariance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lower triangular L with L L' = covariance, allowing for a singular one. Shape (n, n)."""
    tiny = 1e-12 * float(np.max(np.diag(covariance)))
    return np.asarray(np.linalg.cholesky(covariance + tiny * np.eye(len(covariance))), dtype=np.float64)


def _lattice(count: int, dimensions: int) -> NDArray[np.float64]:
    """A Richtmyer lattice (fractional parts of k sqrt(prime)), folded by the tent transform.

    Shape (count, dimensions).
    """
    roots = np.sqrt(np.array(_primes(dimensions), dtype=np.float64))
    steps = np.arange(1, count + 1, dtype=np.float64)[:, None] * roots
    return np.asarray(np.abs(2.0 * (steps % 1.0) - 1.0), dtype=np.float64)


def _primes(count: int) -> list[int]:
    found: list[int] = []
    candidate = 2
    while len(found) < count:
        if all(candidate % prime for prime in found):
            found.append(candidate)
        candidate += 1
    return found


def _chi_scale(uniform: NDArray[np.float64], dof: float) -> NDArray[np.float64]:
    """sqrt(chi2_dof / dof) at the given probabilities. Shape (count,)."""
    from scipy.special import gammaincinv

    if dof > NORMAL_FROM:
        return np.ones_like(uniform)
    return np.asarray(np.sqrt(2.0 * gammaincinv(dof / 2.0, np.clip(uniform, 1e-12, 1 - 1e-12)) / dof))


def _separated(
    factor: NDArray[np.float64],
    lower: NDArray[np.float64],
    upper: NDArray[np.float64],
    points: NDArray[np.float64],
    scale: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Genz's transformed integrand at each lattice point. points: shape (count, n - 1)."""
    from scipy.special import ndtr, ndtri

    count, n = len(scale), len(lower)
    drawn = np.zeros((count, n))
    product = np.ones(count)
    for i in range(n):
        known = drawn[:, :i] @ factor[i, :i]
        start = ndtr((lower[i] * scale - known) / factor[i, i])
        width = np.maximum(ndtr((upper[i] * scale - known) / factor[i, i]) - start, 0.0)
        product *= width
        if i < n - 1:
            drawn[:, i] = ndtri(np.clip(start + points[:, i] * width, 1e-15, 1 - 1e-15))
    return product
