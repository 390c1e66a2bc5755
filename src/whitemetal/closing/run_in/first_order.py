"""A first-order rise fitted by nonlinear least squares: y = start + rise (1 - exp(-t / constant)).

Gauss-Newton with Levenberg's damping on the three unknowns; the covariance is s² (J^T J)^-1 at the solution
(first order, as in every handbook of regression). A settling of a bearing is never quite first order: this is
the plain reading of the curve, and `forecast` is the honest one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.words import say

Vector = NDArray[np.float64]

MOST_ITERATIONS = 200
"""Iterations before the fit is given up. Our own."""

TOLERANCE = 1e-12
"""Relative change of the unknowns at which the fit has converged. Our own."""


@dataclass(frozen=True)
class Rise:
    """rise [K], constant [s], start [K]. covariance: of the free unknowns in that order, shape (k, k).

    sum_of_squares [K²], dof: of the residuals. iterations, change: how the fit came to an end.
    """

    rise: float
    constant: float
    start: float
    covariance: Vector
    sum_of_squares: float
    dof: int
    iterations: int
    change: float

    @property
    def settles(self) -> float:
        """Temperature it goes to [K]."""
        return self.start + self.rise

    @property
    def residual_sd(self) -> float:
        """Standard deviation of the residuals [K]."""
        return float(np.sqrt(self.sum_of_squares / self.dof))


def fit_rise(time: Vector, value: Vector, start: float | None = None) -> Rise:
    """Fit to values [K] at times [s] since the start, shape (n,). start: held where it is known.

    Raises InputError for fewer points than unknowns, NotConverged.
    """
    free = 2 if start is not None else 3
    if len(time) <= free or len(time) != len(value):
        raise InputError(Problem("readings", str(len(time)), say("run_in.points", count=free + 1)))
    unknown = _begin(time, value, start)
    damping, squares = 1e-3, _squares(time, value, unknown, start)
    for iteration in range(1, MOST_ITERATIONS + 1):
        jacobian, residual = _jacobian(time, unknown, free), value - _model(time, unknown, start)
        normal = jacobian.T @ jacobian
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), jacobian.T @ residual)
        tried = unknown + step
        found = _squares(time, value, tried, start) if tried[1] > 0.0 else np.inf
        if found > squares:
            damping *= 10.0
            if damping > 1e12:
                break
            continue
        change = float(np.max(np.abs(step) / np.maximum(np.abs(tried), 1e-12)))
        unknown, squares, damping = tried, found, damping / 10.0
        if change < TOLERANCE or squares == 0.0:
            return _found(time, value, unknown, start, squares, iteration, change)
    last = float(np.max(np.abs(step) / np.maximum(np.abs(unknown), 1e-12)))
    if last < 1e-6:
        return _found(time, value, unknown, start, squares, iteration, last)
    raise NotConverged(say("run_in.not_converged"), residual=last, iterations=iteration)


def _begin(time: Vector, value: Vector, start: float | None) -> Vector:
    """A start from the curve itself: the constant by a scan, the rest linear in it."""
    span = float(time[-1] - time[0]) or 1.0
    best, best_squares = None, np.inf
    for constant in span * np.geomspace(0.05, 50.0, 41):
        shape = 1.0 - np.exp(-time / constant)
        columns = shape[:, None] if start is not None else np.column_stack([shape, np.ones_like(time)])
        target = value - (start or 0.0)
        linear, *_ = np.linalg.lstsq(columns, target, rcond=None)
        squares = float(np.sum((target - columns @ linear) ** 2))
        if squares < best_squares:
            known = [] if start is not None else [linear[1]]
            best, best_squares = np.array([linear[0], 1.0 / constant, *known]), squares
    assert best is not None
    return best


def _model(time: Vector, unknown: Vector, start: float | None) -> Vector:
    first = unknown[2] if start is None else start
    return np.asarray(first + unknown[0] * -np.expm1(-time * unknown[1]))


def _squares(time: Vector, value: Vector, unknown: Vector, start: float | None) -> float:
    return float(np.sum((value - _model(time, unknown, start)) ** 2))


def _jacobian(time: Vector, unknown: Vector, free: int) -> Vector:
    decay = np.exp(-time * unknown[1])
    columns = [1.0 - decay, unknown[0] * time * decay, np.ones_like(time)]
    return np.column_stack(columns[:free])


def _found(
    time: Vector,
    value: Vector,
    unknown: Vector,
    start: float | None,
    squares: float,
    iterations: int,
    change: float,
) -> Rise:
    free = len(unknown)
    dof = len(time) - free
    jacobian = _jacobian(time, unknown, free)
    covariance = np.linalg.inv(jacobian.T @ jacobian) * squares / dof
    turn = np.diag([1.0, -1.0 / unknown[1] ** 2, 1.0][:free])
    first = float(unknown[2]) if start is None else start
    return Rise(
        float(unknown[0]),
        float(1.0 / unknown[1]),
        first,
        turn @ covariance @ turn.T,
        squares,
        dof,
        iterations,
        change,
    )
