"""A quantity at several places inside its limits by the guard band, as a programme can use it.

A check is within limits when the probability that all its values lie within the limits is at least 95 %
(`fitting.verdict`). One by one this is an interval a value (the guarded edges). All together it is a convex
set (the probability of a box under a normal or Student distribution is quasi-concave in the place of its
middle: Prékopa, Acta Sci. Math. 34, 1973; Borell, Period. Math. Hung. 6, 1975; both from memory), so that a
programme that is linear may approach it by planes that touch it, each where the line from a point inside
to the point that was found crosses the edge (Veinott, Operations Research 15, 1967, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from whitemetal.fitting.plan_model import Matrix, Measured
from whitemetal.fitting.verdict import WITHIN, Band, acceptance_edges
from whitemetal.quantity import probability_within_box

FAR = 40.0
"""Where a limit is missing, the middle of the band lies this many times the uncertainty from the other. As
`fitting.verdict` does; our own."""

SLOPE_STEP = 0.05
"""Step of the numerical slope, in standard uncertainties. Our own."""

HALVINGS = 30
"""Halvings between a point inside and one outside. Our own."""


@dataclass(frozen=True)
class Plane:
    """Values v inside the set have ``normal @ v >= bound``. normal: shape (n,) [1/m]."""

    normal: Matrix
    bound: float


@dataclass(frozen=True)
class Box:
    """Limits of a quantity and the uncertainty with which it is checked after the work."""

    measured: Measured
    band: Band

    @property
    def middle(self) -> Matrix:
        """The point deepest inside the limits, shape (n,) [m]."""
        low, high, far = self.band.low, self.band.high, FAR * float(self.measured.u.max())
        if low is None and high is None:
            return self.measured.values
        if low is None or high is None:
            return np.full(len(self.measured.values), low + far if low is not None else (high or 0.0) - far)
        return np.full(len(self.measured.values), 0.5 * (low + high))

    def edges(self, place: int) -> tuple[float | None, float | None] | None:
        """The guarded edges of one value [m], None where even the middle cannot be proven."""
        return acceptance_edges(float(self.measured.u[place]), self.measured.dof, self.band)

    def chance(self, values: Matrix) -> float:
        """Probability that all values [m], shape (n,), lie within the limits."""
        return probability_within_box(
            values, self.measured.covariance, self.measured.dof, self.band.low, self.band.high
        )

    def inside(self, values: Matrix) -> bool:
        """Whether a check that read these values would be within limits."""
        return self.chance(values) >= WITHIN

    def plane(self, values: Matrix) -> Plane:
        """A plane between the set and values that are not inside it. The middle must be inside."""
        good, bad = self.middle, values
        for _ in range(HALVINGS):
            half = 0.5 * (good + bad)
            good, bad = (half, bad) if self.inside(half) else (good, half)
        normal = self._slope(good)
        return Plane(normal, float(normal @ good))

    def _slope(self, values: Matrix) -> Matrix:
        """Direction in which the probability grows, of length 1, shape (n,)."""
        steps = SLOPE_STEP * self.measured.u
        slope = np.array([
            (self.chance(values + step) - self.chance(values - step)) / (2.0 * length)
            for step, length in zip(np.diag(steps), steps, strict=True)
        ])  # fmt: skip
        return np.asarray(slope / np.linalg.norm(slope))
