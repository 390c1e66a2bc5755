"""Probabilities that a verdict rests on: Student's t after JCGM 106:2012, 7, and its joint form.

scipy.special is imported on first use (`scipy.stats` is slow to load and is not needed).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]

RANK = 1e-10
"""A variance below this part of the largest is taken as no further cause. Our own."""

ROUNDING = 1e-9
"""A part of a value's standard deviation below this is rounding. Our own."""

LATTICE_POINTS = 8191
"""Points of the quasi-random lattice in `probability_within_box`; its error there is below 1e-3 (tested)."""

CHI_NODES = 513
"""Points at which the chi quantile is reckoned; between them straight lines. Our own, its error tested."""

REMEMBERED = 512
"""Joint probabilities that stay in memory: of a few checks in each of the jobs in use. Our own."""

NORMAL_FROM = 1e6
"""Degrees of freedom from which Student's t is the normal distribution to 1e-6 (derived)."""


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
    values: Matrix,
    covariance: Matrix,
    dof: float,
    low: float | None = None,
    high: float | None = None,
) -> float:
    """Joint probability that all of n values lie in [low, high].

    values: shape (n,). covariance: shape (n, n), positive semidefinite
    (singular is allowed). Multivariate Student's t with
    a common dof (multivariate normal when infinite), by separation of variables on a lattice rule with
    the tent transform, after Genz & Bretz, Computation of Multivariate Normal and t Probabilities (2009),
    chapter 4; the same input gives the same answer to the last bit, and is reckoned once while it is
    remembered: a check is judged again whenever something beside it changed.
    """
    n = len(values)
    if n == 1:
        return probability_between(float(values[0]), math.sqrt(float(covariance[0, 0])), dof, low, high)
    given = (np.asarray(matrix, dtype=np.float64).tobytes() for matrix in (values, covariance))
    return _within_box(*given, dof, low, high)


@lru_cache(maxsize=REMEMBERED)
def _within_box(
    values_of: bytes, covariance_of: bytes, dof: float, low: float | None, high: float | None
) -> float:
    """The same of n > 1 values, all given as their bits."""
    values = np.frombuffer(values_of)
    n = len(values)
    covariance = np.frombuffer(covariance_of).reshape(n, n)
    lower = np.full(n, -np.inf) if low is None else low - values
    upper = np.full(n, np.inf) if high is None else high - values
    order, factor = _ordered_root(covariance, lower, upper)
    points = _lattice(LATTICE_POINTS, factor.shape[1])
    scale = _chi_scale(dof)
    return float(np.mean(_separated(factor, lower[order], upper[order], points[:, 1:], scale)))


def _cdf(x: float, dof: float) -> float:
    from scipy.special import ndtr, stdtr

    return float(ndtr(x) if dof > NORMAL_FROM else stdtr(dof, x))


def _ordered_root(covariance: Matrix, lower: Matrix, upper: Matrix) -> tuple[NDArray[np.intp], Matrix]:
    """An order of the n values, and L of shape (n, rank) with L L' = covariance in that order.

    The value least likely to lie within its interval comes first (Genz & Bretz 2009, 4.1.3), which makes
    the integrand smooth; a singular covariance ends at its rank. lower, upper: shape (n,), about zero.
    """
    left = covariance.copy()
    floor = RANK * max(float(np.max(np.diag(covariance))), 1e-300)
    order: list[int] = []
    columns: list[Matrix] = []
    known = np.zeros(len(lower))
    while len(order) < len(lower) and np.max(np.delete(np.diag(left), order)) > floor:
        spread = np.sqrt(np.clip(np.diag(left), floor, None))
        _start, width, middle = _truncated((lower - known) / spread, (upper - known) / spread)
        width[(np.diag(left) <= floor) | np.isin(np.arange(len(lower)), order)] = np.inf
        first = int(np.argmin(width))
        column = left[:, first] / spread[first]
        column[order] = 0.0
        known = known + column * middle[first]
        left = left - np.outer(column, column)
        order.append(first)
        columns.append(column)
    order += [i for i in range(len(lower)) if i not in order]
    places = np.array(order, dtype=np.intp)
    return places, np.column_stack(columns or [np.zeros(len(lower))])[places]


def _truncated(start: Matrix, end: Matrix) -> tuple[Matrix, Matrix, Matrix]:
    """Of standard normals: probability below ``start``, probability between, and the mean there."""
    from scipy.special import ndtr

    below = ndtr(start)
    width = np.clip(ndtr(end) - below, 1e-300, None)
    density = np.exp(-0.5 * np.square([start, end])) / math.sqrt(2.0 * math.pi)
    middle = np.clip((density[0] - density[1]) / width, np.maximum(start, -40.0), np.minimum(end, 40.0))
    return below, width, middle


@lru_cache(maxsize=16)
def _lattice(count: int, dimensions: int) -> NDArray[np.float64]:
    """A Richtmyer lattice (fractional parts of k sqrt(prime)), folded by the tent transform.

    Shape (count, dimensions), read-only: it is the same for every question of that size.
    """
    roots = np.sqrt(np.array(_primes(dimensions), dtype=np.float64))
    steps = np.arange(1, count + 1, dtype=np.float64)[:, None] * roots
    return _read_only(np.abs(2.0 * (steps % 1.0) - 1.0))


def _primes(count: int) -> list[int]:
    found: list[int] = []
    candidate = 2
    while len(found) < count:
        if all(candidate % prime for prime in found):
            found.append(candidate)
        candidate += 1
    return found


@lru_cache(maxsize=64)
def _chi_scale(dof: float) -> NDArray[np.float64]:
    """sqrt(chi2_dof / dof) at the probabilities of the lattice's first column. Shape (count,), read-only.

    As a function of the normal quantile it is all but straight, so the costly inverse is taken at few nodes
    and joined by straight lines; the error is below 2e-5 (tested).
    """
    from scipy.special import gammaincinv, ndtr, ndtri

    uniform = np.clip(_lattice(LATTICE_POINTS, 1)[:, 0], 1e-12, 1 - 1e-12)
    if dof > NORMAL_FROM:
        return _read_only(np.ones_like(uniform))
    nodes = np.linspace(ndtri(uniform.min()), ndtri(uniform.max()), CHI_NODES)
    there = np.sqrt(2.0 * gammaincinv(dof / 2.0, ndtr(nodes)) / dof)
    return _read_only(np.interp(ndtri(uniform), nodes, there))


def _read_only(numbers: NDArray[np.float64]) -> NDArray[np.float64]:
    numbers.setflags(write=False)
    return numbers


def _separated(factor: Matrix, lower: Matrix, upper: Matrix, points: Matrix, scale: Matrix) -> Matrix:
    """Genz's transformed integrand at each lattice point. points: shape (count, rank - 1).

    Values whose last cause is the same one bound it together (Genz & Bretz 2009, 5.1, singular case).
    """
    from scipy.special import ndtri

    count, rank = len(scale), factor.shape[1]
    last = np.array(
        [int(np.max(np.nonzero(np.abs(row) > ROUNDING)[0], initial=0)) for row in factor / _size(factor)]
    )
    drawn = np.zeros((count, rank))
    product = np.ones(count)
    for j in range(rank):
        start, end = _bounds(j, np.nonzero(last == j)[0], factor, lower, upper, drawn, scale)
        width = np.maximum(end - start, 0.0)
        product *= width
        if j < rank - 1:
            drawn[:, j] = ndtri(np.clip(start + points[:, j] * width, 1e-15, 1 - 1e-15))
    return product


def _size(factor: Matrix) -> Matrix:
    """Standard deviation of each value, shape (n, 1); 1 where it is zero."""
    size = np.sqrt(np.sum(factor * factor, axis=1, keepdims=True))
    return np.asarray(np.where(size > 0.0, size, 1.0))


def _bounds(
    j: int, rows: NDArray[np.intp], factor: Matrix, lower: Matrix, upper: Matrix, drawn: Matrix, scale: Matrix
) -> tuple[Matrix, Matrix]:
    """Where the j-th normal may lie, as probabilities: what all ``rows`` allow. Each shape (count,)."""
    from scipy.special import ndtr

    start, end = np.zeros(len(scale)), np.ones(len(scale))
    for i in rows:
        known = drawn[:, :j] @ factor[i, :j]
        slope = factor[i, j]
        with np.errstate(divide="ignore", invalid="ignore"):
            ends = [(side * scale - known) / slope for side in (lower[i], upper[i])]
        a, b = ends if slope >= 0.0 else ends[::-1]
        start = np.maximum(start, ndtr(np.where(np.isnan(a), -np.inf, a)))
        end = np.minimum(end, ndtr(np.where(np.isnan(b), np.inf, b)))
    return start, end
