"""Weighted linear least squares, with everything a reader needs to doubt it.

Solved by an orthogonal (QR) factorization, so that NIST StRD Norris and NoInt1 are reproduced to
more than ten digits (``tests/published/test_nist.py``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.errors import NotConverged

SINGULAR = 1e-10
"""A column is told apart from those before it when more of its length than this part is its own. Our own
choice."""

TINY = 1e-300
"""Keeps a division from zero; smaller than any length. Our own."""


@dataclass(frozen=True)
class LinearFit:
    """A fit ``y = X b`` with independent errors of standard uncertainty ``u``.

    coefficients: shape (p,). operator: shape (p, n), ``b = operator @ y`` (the estimate is linear).
    covariance: shape (p, p), from ``u`` alone. residuals: shape (n,), y - X b.
    standardized: shape (n,), residuals over their own standard deviation (0 where that is 0).
    chi_square, dof: weighted sum of squares of residuals and its degrees of freedom n - p.
    residual_sd: sqrt(chi_square / dof), the Birge ratio when u is known (nan with no dof).
    """

    coefficients: NDArray[np.float64]
    operator: NDArray[np.float64]
    covariance: NDArray[np.float64]
    residuals: NDArray[np.float64]
    standardized: NDArray[np.float64]
    chi_square: float
    dof: int

    @property
    def residual_sd(self) -> float:
        return math.sqrt(self.chi_square / self.dof) if self.dof > 0 else math.nan

    @property
    def chi_probability(self) -> float:
        """Probability of a chi-square at least this large by chance (1 when nothing is over-determined)."""
        from scipy.special import gammaincc

        return float(gammaincc(self.dof / 2.0, self.chi_square / 2.0)) if self.dof > 0 else 1.0


def fit_linear(design: NDArray[np.float64], y: NDArray[np.float64], u: NDArray[np.float64]) -> LinearFit:
    """Fit ``y = design @ b`` by weighted least squares.

    design: shape (n, p), n >= p. y, u: shape (n,), u > 0. Raises NotConverged when the columns of
    the design are not independent, whatever their units (residual: the smallest part of a column that is
    not a combination of those before it).
    """
    weighted = design / u[:, None]
    q, r = np.linalg.qr(weighted)
    own = np.abs(np.diag(r)) / np.maximum(np.linalg.norm(weighted, axis=0)[: len(r)], TINY)
    if len(y) < design.shape[1] or own.min() < SINGULAR:
        raise NotConverged("the fit: this layout cannot tell its unknowns apart;", float(own.min()), 0)
    inverse = np.linalg.inv(r)
    operator = (inverse @ q.T) / u[None, :]
    b = inverse @ (q.T @ (y / u))
    residuals = y - design @ b
    spread = u * np.sqrt(np.clip(1.0 - np.sum(q * q, axis=1), 0.0, 1.0))
    known = spread > 1e-6 * u
    standardized = np.where(known, residuals / np.where(known, spread, 1.0), 0.0)
    chi_square = float(np.sum((residuals / u) ** 2))
    return LinearFit(b, operator, inverse @ inverse.T, residuals, standardized, chi_square, len(y) - len(b))


def fit_general(
    design: NDArray[np.float64], y: NDArray[np.float64], covariance: NDArray[np.float64]
) -> LinearFit:
    """Fit ``y = design @ b`` when the errors of y are correlated (generalized least squares).

    design: shape (n, p), n >= p. y: shape (n,). covariance: of y, shape (n, n), positive definite. The
    problem is whitened by the Cholesky factor of the covariance and solved by `fit_linear`; residuals and
    standardized residuals are those of y itself. A part in 1e12 of the largest variance is added to each, so
    that errors which are wholly shared do not stop the factorization. Raises NotConverged like `fit_linear`.
    """
    tiny = 1e-12 * float(np.max(np.diag(covariance)))
    factor = np.linalg.cholesky(covariance + tiny * np.eye(len(y)))
    white = fit_linear(np.linalg.solve(factor, design), np.linalg.solve(factor, y), np.ones(len(y)))
    residuals = y - design @ white.coefficients
    of_residuals = covariance - design @ white.covariance @ design.T
    spread = np.sqrt(np.clip(np.diag(of_residuals), 0.0, None))
    known = spread > 1e-6 * np.sqrt(np.diag(covariance))
    standardized = np.where(known, residuals / np.where(known, spread, 1.0), 0.0)
    operator = np.linalg.solve(factor.T, white.operator.T).T
    return LinearFit(
        white.coefficients, operator, white.covariance, residuals, standardized, white.chi_square, white.dof
    )
