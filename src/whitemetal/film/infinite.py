"""The infinitely long bearing: the one-dimensional Reynolds equation, a path of its own chosen by name.

d/dtheta (H^3 dP/dtheta) = dH/dtheta with P >= 0 (Swift-Stieber) and P = 0 where the film starts. Units as in
`whitemetal.film.reynolds`; everything is per length, as if L were in the place of infinity.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from whitemetal.errors import InputError, Problem
from whitemetal.film import field, policy, reynolds
from whitemetal.film.kinds import Array, Flags

LEAST_POINTS = 24
"""Points round that an infinitely long film needs at least. Our own."""


@dataclass(frozen=True)
class LongFilm(field.Carrying):
    """pressure: P, shape (n_theta,). load_x, load_y: in units of So; friction_full: as in `reynolds.Film`;
    inlet_flow: in R c N L. residual: unbalanced flow over wedge flow. iterations: changes of the rupture.
    """

    pressure: Array
    load_x: float
    load_y: float
    friction_full: float
    inlet_flow: float
    residual: float
    iterations: int


def solve_long(
    gap: Array, *, feed: Flags | None = None, feed_pressure: float = 0.0, film_start: str | None = None
) -> LongFilm:
    """The film in the gap H(theta), shape (n_theta,); feed, feed_pressure, film_start as in `reynolds.solve`.

    Raises InputError for a gap that touches or is not a number, NotConverged.
    """
    row = np.asarray(gap, dtype=np.float64)
    if row.ndim != 1 or len(row) < LEAST_POINTS:
        raise InputError(Problem("gap", f"shape {row.shape}", f"one row of at least {LEAST_POINTS} points"))
    sheet = np.repeat(row[:, None], reynolds.LEAST_ALONG, axis=1)
    mask = None if feed is None else np.repeat(np.asarray(feed)[:, None], reynolds.LEAST_ALONG, axis=1)
    reynolds.check(sheet, 1.0, mask, feed_pressure, None, None, reynolds.TOLERANCE)
    starts: reynolds.FilmStart = "widest gap" if (film_start or "") != "free" and feed is None else "free"
    network = field.network_of(sheet, 1.0, mask, feed_pressure, None, starts)
    middle, wide = sheet.shape[1] // 2, 2.0 / (sheet.shape[1] - 1)
    links = policy.ring(network.e[:, middle], network.g[:, middle])
    fixed, given = network.fixed[:, middle], network.given[:, middle]
    pressure, residual, changes = policy.settle(links, network.source[:, middle], fixed, given)
    return _measured(row, pressure, network, middle, wide, residual, changes)


def _measured(
    row: Array, p: Array, network: field.Network, middle: int, wide: float, residual: float, changes: int
) -> LongFilm:
    """Load, friction, flow of the row ``middle`` of a sheet whose cells are ``wide`` along."""
    n = len(row)
    step = 2.0 * math.pi / n
    theta = step * np.arange(n)
    x, y = 3.0 * step * float(p @ np.cos(theta)), 3.0 * step * float(p @ np.sin(theta))
    slope = 0.5 * (np.roll(row, -1) - np.roll(row, 1))
    friction = float((step / row - 3.0 * p * slope).sum())
    at = int(network.cut) if network.cut >= 0.0 else 0
    after = (at + 1) % n
    drop = network.g[after, middle] if network.cut >= 0.0 else network.e[at, middle]
    before = 0.0 if network.cut >= 0.0 else p[at]
    flow = (network.couette[at, middle] + drop * (before - p[after])) / wide
    return LongFilm(p, x, y, friction, math.pi * float(flow), residual, changes)
