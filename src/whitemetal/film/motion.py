"""Whirl: what the film's stiffness and damping mean for a rigid rotor.

x along the load, y 90 degrees on from it in the direction of rotation. Stiffness K = k c/W and damping
C = b c omega/W, dimensionless, with k = -dF/dx the film's own force F on the journal. Threshold and whirl
ratio of a rigid symmetric rotor from its characteristic equation at the border of stability (Lund, 1966,
from memory; derived in docs/theory/film.md).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from whitemetal.errors import InputError, Problem

Pair = tuple[tuple[float, float], tuple[float, float]]
"""A 2 x 2 matrix by rows: ((xx, xy), (yx, yy))."""

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²]: exact, by definition."""


@dataclass(frozen=True)
class Coefficients:
    """stiffness: k c/W [-]. damping: b c omega/W [-]. Rows: force along x, y; columns: motion along x, y."""

    stiffness: Pair
    damping: Pair


@dataclass(frozen=True)
class Whirl:
    """The border of stability of a rigid rotor on this film.

    equivalent_stiffness: k_eq c/W [-]. ratio_squared: square of whirl frequency over speed [-]; not
    positive where no border exists. threshold: m c omega²/W [-] at the border with the coefficients held,
    infinite where the rotor is stable at any speed, 0 where it is stable at none. ratio: whirl frequency over
    speed [-], 0 where there is no border.
    """

    equivalent_stiffness: float
    ratio_squared: float
    threshold: float

    @property
    def ratio(self) -> float:
        return math.sqrt(self.ratio_squared) if self.ratio_squared > 0.0 else 0.0


def whirl(film: Coefficients) -> Whirl:
    """Border of stability: k_eq = (Kxx Cyy + Kyy Cxx - Kxy Cyx - Kyx Cxy)/(Cxx + Cyy),
    ratio² = [(Kxx - k_eq)(Kyy - k_eq) - Kxy Kyx]/(Cxx Cyy - Cxy Cyx), threshold = k_eq/ratio².

    Raises InputError when a coefficient is not finite or the damping is not positive definite.
    """
    (kxx, kxy), (kyx, kyy) = film.stiffness
    (cxx, cxy), (cyx, cyy) = film.damping
    every = (kxx, kxy, kyx, kyy, cxx, cxy, cyx, cyy)
    determinant = cxx * cyy - cxy * cyx
    if not all(math.isfinite(each) for each in every) or cxx <= 0.0 or cyy <= 0.0 or determinant <= 0.0:
        raise InputError(
            Problem("film.damping", f"{film.damping}", "finite numbers, damping positive definite")
        )
    stiffness = (kxx * cyy + kyy * cxx - kxy * cyx - kyx * cxy) / (cxx + cyy)
    ratio_squared = ((kxx - stiffness) * (kyy - stiffness) - kxy * kyx) / determinant
    if stiffness <= 0.0:
        return Whirl(stiffness, ratio_squared, 0.0)
    return Whirl(stiffness, ratio_squared, stiffness / ratio_squared if ratio_squared > 0.0 else math.inf)


def decay(film: Coefficients, mass: float) -> float:
    """Largest real part of the eigenvalues over the running speed [-]: the rotor is stable when negative.

    mass: m c omega²/W [-], above zero. From det(mass s² + C s + K) = 0, a quartic in s.
    """
    import numpy as np

    (kxx, kxy), (kyx, kyy) = film.stiffness
    (cxx, cxy), (cyx, cyy) = film.damping
    quartic = [
        mass * mass,
        mass * (cxx + cyy),
        mass * (kxx + kyy) + cxx * cyy - cxy * cyx,
        kxx * cyy + kyy * cxx - kxy * cyx - kyx * cxy,
        kxx * kyy - kxy * kyx,
    ]
    return float(np.max(np.roots(quartic).real))
