"""The gap as an array: bores, taper, tilt, grooves, and the journal's place in it.

A gap has shape (n_theta, n_z): theta_i = 2 pi i / n_theta from a stated direction, in the direction of
rotation; zeta_j from -1 to 1, both ends included. Radial, over any reference clearance (or in metres, if all
of it is). All exact to first order in clearance over radius.
"""

from __future__ import annotations

import math

import numpy as np

from whitemetal.errors import InputError, Problem
from whitemetal.film.kinds import Array, Flags

N_THETA, N_Z = 180, 41
"""Default grid: So within 0.2 % up to eccentricity 0.9 and 0.5 % to 0.95 (tests/film/test_accuracy.py)."""


def around(n_theta: int = N_THETA) -> Array:
    """theta [rad], shape (n_theta,)."""
    return np.arange(n_theta, dtype=np.float64) * (2.0 * math.pi / n_theta)


def along(n_z: int = N_Z) -> Array:
    """zeta = 2 z / L, shape (n_z,)."""
    return np.linspace(-1.0, 1.0, n_z)


def displaced(clearance: Array, x: float, y: float, tilt_x: float = 0.0, tilt_y: float = 0.0) -> Array:
    """Gap with the journal's centre moved by (x, y) + zeta (tilt_x, tilt_y), along theta = 0 and 90
    degrees."""
    n, m = clearance.shape
    theta = around(n)
    round_ = np.stack([np.cos(theta), np.sin(theta)], axis=1)
    if tilt_x == 0.0 and tilt_y == 0.0:
        moved: Array = clearance - (round_ @ np.array([x, y]))[:, None]
        return moved
    centres = np.array([[x], [y]]) + np.array([[tilt_x], [tilt_y]]) * along(m)
    return clearance - round_ @ centres


def plain(n_theta: int = N_THETA, n_z: int = N_Z, *, clearance: float = 1.0, taper: float = 0.0) -> Array:
    """Round bore. taper: radial clearance at zeta = 1 less that at zeta = -1."""
    return np.broadcast_to(clearance + 0.5 * taper * along(n_z), (n_theta, n_z)).copy()


def circular(
    eccentricity: float,
    angle: float = 0.0,
    n_theta: int = N_THETA,
    n_z: int = N_Z,
    *,
    tilt: tuple[float, float] = (0.0, 0.0),
    taper: float = 0.0,
) -> Array:
    """Round bore with the journal at ``eccentricity`` in the direction ``angle``, tilted and tapered."""
    x, y = eccentricity * math.cos(angle), eccentricity * math.sin(angle)
    return displaced(plain(n_theta, n_z, taper=taper), x, y, *tilt)


def lemon(
    side_to_top: float,
    joint: float = 0.5 * math.pi,
    n_theta: int = N_THETA,
    n_z: int = N_Z,
    *,
    top: float = 1.0,
) -> Array:
    """Two-lobed bore, journal in the middle: clearance ``top`` half-way between the joints and side_to_top
    times that at them. joint: angle of one joint; the other is opposite. Two arcs of clearance
    side_to_top * top whose centres are moved towards each other."""
    side = side_to_top * top
    return plain(n_theta, n_z) * (side - (side - top) * np.abs(np.sin(around(n_theta) - joint)))[:, None]


def sideways(gap: Array, offset: float, joint: float, first: float) -> Array:
    """One half moved along the joint: the half that reaches from ``first`` (an angle on the joint line) over
    half a turn is moved by ``offset`` towards the angle ``joint``."""
    theta = around(gap.shape[0])
    half = np.mod(theta - first, 2.0 * math.pi) < math.pi
    moved: Array = gap + (np.where(half, offset, 0.0) * np.cos(theta - joint))[:, None]
    return moved


def relieved(gap: Array, at: float, width: float, depth: float) -> Array:
    """Relief at a joint: ``depth`` more at the angle ``at``, falling evenly to nothing at width/2 beside
    it."""
    off = np.abs(np.remainder(around(gap.shape[0]) - at + math.pi, 2.0 * math.pi) - math.pi)
    deeper: Array = gap + (depth * np.clip(1.0 - off / (0.5 * width), 0.0, None))[:, None]
    return deeper


def groove(
    at: float, width: float, length: float, n_theta: int = N_THETA, n_z: int = N_Z, *, centre: float = 0.0
) -> Flags:
    """Mask of an axial groove. at, width [rad]; length: part of L (below 1: closed at the ends); centre:
    zeta.

    The edges fall on the nearest nodes; at least one row of nodes is taken.
    """
    off = np.remainder(around(n_theta) - at + math.pi, 2.0 * math.pi) - math.pi
    round_ = np.abs(off) <= 0.5 * width + 1e-9
    if not round_.any():
        round_[int(np.abs(off).argmin())] = True
    stations = np.abs(along(n_z) - centre)
    axial = stations <= length + 1e-9
    axial[[0, -1]] = False
    if not axial.any():
        raise InputError(
            Problem("groove length", repr(length), f"at least one step of the grid, {2 / (n_z - 1):.3g}")
        )
    mask: Flags = np.logical_and.outer(round_, axial)
    return mask


def hole(
    at: float, radius: float, slenderness: float, n_theta: int = N_THETA, n_z: int = N_Z, *, zeta: float = 0.0
) -> Flags:
    """Mask of a round feed hole. radius: over the journal's radius; slenderness: L/D."""
    off = np.remainder(around(n_theta) - at + math.pi, 2.0 * math.pi) - math.pi
    axial = (along(n_z) - zeta) * slenderness
    far = np.hypot(off[:, None], axial[None, :])
    mask: Flags = far <= radius
    if not mask.any():
        mask[np.unravel_index(int(far.argmin()), far.shape)] = True
    return mask


def from_places(angles: Array, zetas: Array, values: Array, n_theta: int = N_THETA, n_z: int = N_Z) -> Array:
    """Clearance read place by place: straight between neighbours round the bore at each station, straight
    between stations and unchanged beyond the last. angles, zetas, values: shape (places,)."""
    stations = np.unique(zetas)
    rows = np.empty((n_theta, len(stations)))
    for k, station in enumerate(stations):
        here = zetas == station
        rows[:, k] = np.interp(around(n_theta), angles[here], values[here], period=2.0 * math.pi)
    return np.stack([np.interp(along(n_z), stations, row) for row in rows])
