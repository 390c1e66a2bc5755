"""The steady Reynolds equation for an incompressible oil on any gap.

Equation, dimensionless::

    d/dtheta (H^3 dP/dtheta) + (D/L)^2 d/dzeta (H^3 dP/dzeta) = dH/dtheta + 2 dH/dtau

H = h/c with any reference clearance c (radial), theta [rad] round the bore in the direction of rotation,
zeta = 2 z / L from -1 to 1, tau = omega t, P = p c^2 / (6 mu omega R^2). P = 0 at both ends. Load comes out
as the Sommerfeld number So = F c^2 / (D L mu omega R^2) = F psi^2 / (D L mu omega) with psi = c / R (ISO
7902-1); that of Raimondi and Boyd is S = 1 / (2 pi So). Flows are in R c N L with N in rev/s (Raimondi and
Boyd), friction force in mu omega R^2 L / c, so that (R/c) f = friction / (2 So).

Discretized by finite volumes on a uniform grid, second order; solved by projected multigrid
(`whitemetal.film.multigrid`), with direct solves behind it (`whitemetal.film.policy`).
"""

from __future__ import annotations

import math

import numpy as np

from whitemetal.errors import InputError, Problem
from whitemetal.film import starved
from whitemetal.film.field import Film, FilmStart, Rupture, network_of
from whitemetal.film.kinds import Array, Flags
from whitemetal.film.rig import Rig

SLENDEREST, WIDEST = 0.1, 4.0
"""L/D between which a film of finite length is solved. Our own."""

TOLERANCE = 1e-6
"""Unbalanced flow, over the flow that the wedge drives, at which a film counts as solved. Our own."""

ROUGHLY = 1e-4
"""As TOLERANCE, for the film that one that keeps its oil starts from. Our own."""

LEAST_ROUND, LEAST_ALONG = 12, 5
"""Points round and along that a gap must have at least. Our own."""


def solve(
    gap: Array,
    slenderness: float,
    *,
    feed: Flags | None = None,
    feed_pressure: float = 0.0,
    rupture: Rupture = "swift-stieber",
    squeeze: Array | None = None,
    film_start: FilmStart | None = None,
    supply: float = 1.0,
    start: Array | None = None,
    tolerance: float = TOLERANCE,
) -> Film:
    """Pressure and what follows from it in the gap H = h/c, shape (n_theta, n_z), both ends included.

    slenderness: L/D, 0.1 to 4. feed: mask of the nodes held at feed_pressure (in units of P; 0 or more).
    film_start: where the film begins at P = 0; "widest gap" (of the mean over the length; what Raimondi and
    Boyd and ISO 7902 take for a 360-degree bearing; the default without feed) or "free" (the default with
    feed). squeeze: dH/dtau, same shape. supply: JFO only, part of the gap that is filled with oil where the
    film starts (below 1: starved). start: a pressure to start from. tolerance: on the residual. rupture:
    "swift-stieber" (P >= 0, the ruptured part keeps no flow) or "jfo" (Jakobsson, Floberg and Olsson: all oil
    is kept).
    Raises InputError (field ``gap``, ``slenderness``, ``feed``...), NotConverged.
    """
    check(gap, slenderness, feed, feed_pressure, squeeze, start, tolerance, supply, rupture, film_start)
    return solve_checked(
        gap, slenderness, feed, feed_pressure, rupture, squeeze, film_start, supply, start, tolerance
    )


def solve_checked(
    gap: Array, slenderness: float, feed: Flags | None, feed_pressure: float, rupture: Rupture,
    squeeze: Array | None, film_start: FilmStart | None, supply: float, start: Array | None, tolerance: float,
) -> Film:  # fmt: skip
    """`solve` for those who have checked what goes in."""
    if rupture == "jfo":
        problem = network_of(gap, slenderness, feed, feed_pressure, squeeze, film_start)
        first = start if start is not None else solve_checked(
            gap, slenderness, feed, feed_pressure, "swift-stieber", squeeze, film_start, 1.0, None, ROUGHLY
        ).pressure  # fmt: skip
        return starved.solve_conserving(problem, first, supply=supply, tolerance=tolerance)
    rig = Rig(gap, slenderness, feed, feed_pressure, film_start, squeeze)
    if start is not None:
        rig.begin(start)
    rig.at(0.0, 0.0)
    try:
        return rig.solve(cold=start is None, tolerance=tolerance)
    finally:
        rig.leave()


def check(
    gap: Array,
    slenderness: float,
    feed: Flags | None,
    feed_pressure: float,
    squeeze: Array | None,
    start: Array | None,
    tolerance: float,
    supply: float = 1.0,
    rupture: str = "swift-stieber",
    film_start: str | None = None,
) -> None:
    """Refuse what has no solution, every fault at once."""
    problems = faults(
        gap, slenderness, feed, feed_pressure, squeeze, start, tolerance, supply, rupture, film_start
    )
    if problems:
        raise InputError(*problems)


def faults(
    gap: Array,
    slenderness: float,
    feed: Flags | None,
    feed_pressure: float,
    squeeze: Array | None,
    start: Array | None,
    tolerance: float,
    supply: float,
    rupture: str,
    film_start: str | None = None,
) -> list[Problem]:
    """What is wrong with the arguments of `solve`."""
    problems = gap_problems(gap)
    if not SLENDEREST <= slenderness <= WIDEST:
        problems.append(Problem("slenderness", repr(slenderness), f"L/D from {SLENDEREST} to {WIDEST}"))
    if not (math.isfinite(feed_pressure) and feed_pressure >= 0.0):
        problems.append(Problem("feed_pressure", repr(feed_pressure), "a pressure of zero or more"))
    if not 0.0 < tolerance < 1.0:
        problems.append(Problem("tolerance", repr(tolerance), "a number between 0 and 1"))
    if not 0.0 < supply <= 1.0 or (supply < 1.0 and rupture != "jfo"):
        problems.append(Problem("supply", repr(supply), "a part above 0, at most 1; below 1 with jfo only"))
    if rupture not in ("swift-stieber", "jfo"):
        problems.append(Problem("rupture", rupture, "swift-stieber or jfo"))
    if film_start not in (None, "widest gap", "free"):
        problems.append(Problem("film_start", str(film_start), "widest gap or free"))
    for name, array in (("feed", feed), ("squeeze", squeeze), ("start", start)):
        if array is not None:
            problems += like_gap(name, np.asarray(array), np.shape(gap))
    if feed is not None and not problems and bool(np.asarray(feed)[:, 1:-1].all()):
        problems.append(Problem("feed", "every node", "a feed that leaves some of the bearing to the film"))
    return problems


def gap_problems(gap: Array) -> list[Problem]:
    """What is wrong with a gap array."""
    array = np.asarray(gap)
    if array.ndim != 2 or array.shape[0] < LEAST_ROUND or array.shape[1] < LEAST_ALONG:
        return [
            Problem(
                "gap", f"shape {array.shape}", f"at least {LEAST_ROUND} points round, {LEAST_ALONG} along"
            )
        ]
    if not np.issubdtype(array.dtype, np.number) or not np.isfinite(array).all():
        return [Problem("gap", "not a number somewhere", "a number at every point")]
    if array.min() <= 0.0:
        return [
            Problem("gap", f"least gap {array.min():.3g}", "more than zero everywhere: the surfaces touch")
        ]
    return []


def like_gap(name: str, array: Array, shape: tuple[int, ...]) -> list[Problem]:
    """What is wrong with an array that should go with the gap."""
    if array.shape != shape:
        return [Problem(name, f"shape {array.shape}", f"the shape of the gap, {shape}")]
    if not np.isfinite(array).all():
        return [Problem(name, "not a number somewhere", "a number at every point")]
    return []


__all__ = ["Film", "FilmStart", "Rupture", "check", "faults", "solve"]
