"""The pressure field on one grid: its network, its solution by multigrid, and what it amounts to.

Units and equation: `whitemetal.film.reynolds`, which is the door to all of this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.film.kinds import Array, Flags, Ints

Rupture = Literal["swift-stieber", "jfo"]
FilmStart = Literal["widest gap", "free"]

MOST_CYCLES = 60
"""Multigrid cycles before the direct method takes over. Our own."""

MOST_SPARE = 2
"""Sets of work arrays kept for the next film on the same grid. Our own."""

COARSEST_ROUND, COARSEST_ALONG = 8, 5
"""Points round and along of the coarsest grid of the multigrid. Our own."""


@dataclass(frozen=True)
class Film:
    """A solved film. Units as in the module's head; arrays have shape (n_theta, n_z).

    pressure: P >= 0. fill: part of the gap filled with oil, 1 under pressure (Swift-Stieber: the oil that
    leaves the film carried on as it is; JFO: solved for). load_x, load_y: force of the film on the shell in
    the direction theta = 0 and 90 degrees, in units of So; the load on the journal that this film carries.
    moment_x, moment_y: the same integrals weighted with zeta (force times L/2).
    friction_full, friction_filled: shear force on the journal with the gap full all round, and with the
    ruptured part sheared only where it is filled. inlet_flow: round through the line where the film
    starts, or out of the feed. side_flow: out at both ends. carried_flow: what comes round to the line where
    the film starts. JFO keeps its oil: where the film starts at the widest gap inlet + feed = side + carried;
    where free, feed = side. residual: sum of unbalanced flow over the sum of wedge flow.
    iterations: cycles on the finest grid (JFO: changes of the ruptured part).
    """

    pressure: Array
    fill: Array
    load_x: float
    load_y: float
    moment_x: float
    moment_y: float
    friction_full: float
    friction_filled: float
    inlet_flow: float
    side_flow: float
    feed_flow: float
    carried_flow: float
    residual: float
    iterations: int
    rupture: Rupture

    @property
    def load(self) -> float:
        """Size of the load, the Sommerfeld number So of ISO 7902."""
        return math.hypot(self.load_x, self.load_y)

    @property
    def load_angle(self) -> float:
        """Direction of the load [rad], from theta = 0 towards the rotation."""
        return math.atan2(self.load_y, self.load_x)

    @property
    def friction_coefficient(self) -> float:
        """(R/c) f with the film full all round (Raimondi and Boyd)."""
        return self.friction_full / (2.0 * self.load)

    @property
    def peak(self) -> float:
        """Largest P."""
        return float(self.pressure.max())

    @property
    def peak_over_mean(self) -> float:
        """p_max L D / F: 6 P_max / So ([p] = 6 mu omega R^2/c^2, [F/(L D)] = mu omega R^2/c^2)."""
        return 6.0 * self.peak / self.load


@dataclass(frozen=True)
class Plan:
    """Levels of the multigrid: sizes shape (levels, 3), way and turns shape (levels,), points in all.

    spare: stores that no solve is using; taken and given back whole, so that threads never share one.
    """

    sizes: Ints
    way: Ints
    turns: Ints
    points: int
    spare: list[Array]

    def take(self) -> Array:
        """A store of shape (10, points), its content of no meaning."""
        try:
            return self.spare.pop()
        except IndexError:
            return np.empty((10, self.points))

    def give_back(self, store: Array) -> None:
        """Keep a store for the next solve."""
        if len(self.spare) < MOST_SPARE:
            self.spare.append(store)


@lru_cache(maxsize=16)
def plan(n_theta: int, n_z: int, slenderness: float) -> Plan:
    """Halve the direction that is coupled more strongly until the coarsest grid is reached."""
    n, m = n_theta, n_z
    round_, along = (n / (2.0 * math.pi)) ** 2, ((m - 1) / (2.0 * slenderness)) ** 2
    rows, way = [(n, m, 0)], []
    while n > COARSEST_ROUND or m > COARSEST_ALONG:
        start = rows[-1][2] + n * m
        if n > COARSEST_ROUND and (round_ >= along or m <= COARSEST_ALONG):
            n, round_ = (n + 1) // 2, round_ / 4.0
            way.append(0)
        else:
            m, along = ((m + 1) // 2 if m % 2 else m // 2 + 1), along / 4.0
            way.append(1)
        rows.append((n, m, start))
    turns = np.ones(len(rows), dtype=np.int64)
    turns[4::2] = 2
    points = rows[-1][2] + n * m
    return Plan(np.array(rows, dtype=np.int64), np.array([*way, 0], dtype=np.int64), turns, points, [])


@dataclass(frozen=True)
class Network:
    """The finest network of one gap: conductances, Couette flow, source, given pressures."""

    gap: Array
    slenderness: float
    fixed: Flags
    given: Array
    cut: float
    e: Array
    n: Array
    g: Array
    couette: Array
    squeeze_flow: Array
    source: Array

    @property
    def wedge(self) -> float:
        """Sum of |source|: the flow a residual is measured by."""
        fed = float((self.given[self.fixed] * self.e[self.fixed]).sum()) if self.fixed.any() else 0.0
        return float(np.abs(self.source).sum()) + fed


def network_of(
    gap: Array,
    slenderness: float,
    feed: Flags | None,
    feed_pressure: float,
    squeeze: Array | None,
    film_start: FilmStart | None,
) -> Network:
    """The finest network."""
    from whitemetal.film import network

    n, m = gap.shape
    h = np.ascontiguousarray(gap, dtype=np.float64)
    fixed = np.zeros((n, m), dtype=np.bool_) if feed is None else np.array(feed, dtype=np.bool_)
    fixed[:, 0] = fixed[:, -1] = False
    starts = film_start or ("widest gap" if feed is None else "free")
    cut = widest(h) if starts == "widest gap" else -1.0
    e, along, g, couette = (np.empty((n, m)) for _ in range(4))
    dtheta, dzeta = 2.0 * math.pi / n, 2.0 / (m - 1)
    network.build(h, dtheta, dzeta, slenderness**-2.0, cut, e, along, g, couette)
    squeezed = np.zeros((n, m))
    if squeeze is not None:
        squeezed = -2.0 * squeeze * (dtheta * dzeta) * widths(n, cut)[:, None]
    source = np.roll(couette, 1, axis=0) - couette + squeezed
    source[:, 0] = source[:, -1] = 0.0
    source[fixed] = 0.0
    if cut >= 0.0:
        network.open_at_cut(e, g, cut)
    given = np.where(fixed, feed_pressure, 0.0)
    return Network(h, slenderness, fixed, given, cut, e, along, g, couette, squeezed, source)


def widths(n: int, cut: float) -> Array:
    """Width of each node's cell round the bore, in steps, shape (n,): narrower where the film starts."""
    wide = np.ones(n)
    if cut >= 0.0:
        at = int(cut)
        wide[at] = 0.5 + 0.5 * (cut - at)
        wide[(at + 1) % n] = 1.0 - 0.5 * (cut - at)
    return wide


def widest(gap: Array) -> float:
    """Place of the widest mean gap in steps of the grid: of the circle through the three highest points."""
    mean = gap.mean(axis=1)
    n = len(mean)
    i = int(mean.argmax())
    low, mid, high = mean[i - 1], mean[i], mean[(i + 1) % n]
    bend = 2.0 * mid - low - high
    if bend <= 0.0:
        return float(i)
    angle = 2.0 * math.pi / n
    offset = math.atan2((high - low) * (1.0 - math.cos(angle)), bend * math.sin(angle)) / angle
    place = (i + offset) % n
    return float(place) if place < n else 0.0


def relaxed(problem: Network, start: Array | None, tolerance: float) -> tuple[Array, float, int]:
    """Pressure by projected multigrid, its residual and the cycles taken."""
    from whitemetal.film import multigrid, network

    n, m = problem.gap.shape
    levels = plan(n, m, problem.slenderness)
    store = levels.take()
    flags = np.zeros((2, levels.points), dtype=np.bool_)
    finest = store[:, : n * m].reshape(10, n, m)
    for row, level in enumerate((problem.given, problem.source, problem.e, problem.n, problem.g)):
        finest[row] = level
    flags[network.FIXED, : n * m] = problem.fixed.ravel()
    network.hierarchy(levels.sizes, levels.way, store, flags)
    work = (2, 1, levels.turns, levels.sizes, levels.way, store, flags)
    if start is not None:
        finest[0] = np.where(problem.fixed, problem.given, np.maximum(start, 0.0))
        finest[0, :, (0, -1)] = 0.0
    wedge = problem.wedge
    left_over, cycles = multigrid.settle(start is None, MOST_CYCLES, tolerance * wedge, *work)
    residual = left_over / wedge if wedge > 0.0 else 0.0
    pressure = finest[0].copy()
    levels.give_back(store)
    if residual <= tolerance:
        return pressure, residual, cycles
    pressure, residual, changes = directly(problem)
    if not residual <= tolerance:
        raise NotConverged("the pressure in the film", residual, cycles + changes)
    return pressure, residual, cycles + changes


def directly(problem: Network) -> tuple[Array, float, int]:
    """The same pressure by direct solves (`whitemetal.film.policy`): slow and certain."""
    from whitemetal.film import policy

    fixed = problem.fixed.copy()
    fixed[:, 0] = fixed[:, -1] = True
    links = policy.sheet(problem.e, problem.n, problem.g)
    pressure, residual, changes = policy.settle(
        links, problem.source.ravel(), fixed.ravel(), problem.given.ravel()
    )
    return pressure.reshape(problem.gap.shape), residual, changes


def measured(
    problem: Network,
    pressure: Array,
    fill: Array | None,
    residual: float,
    iterations: int,
    rupture: Rupture,
    supply: float = 1.0,
) -> Film:
    """Load, moments, friction and flow of a pressure field."""
    from whitemetal.film import measures

    out = np.zeros(10)
    h, at = problem.gap, int(problem.cut) if problem.cut >= 0.0 else -1
    measures.load(pressure, out)
    if fill is None:
        fill = np.ones_like(h)
        measures.carry(pressure, h, problem.fixed, at, fill)
    measures.friction(pressure, h, fill, out)
    network_now = (problem.couette, fill, problem.e, problem.n, problem.g, problem.fixed)
    if rupture == "jfo":
        measures.ends(pressure, fill, *network_now[:1], problem.n, at, supply, out)
    measures.flows(pressure, *network_now, problem.cut, supply, rupture == "jfo", out)
    x, y, mx, my, full, filled, entering, leaving, fed, carried = out.tolist()
    inlet = entering if problem.cut >= 0.0 else fed
    amounts = (x, y, mx, my, full, filled, inlet, leaving, fed, carried)
    return Film(pressure, fill, *amounts, residual, iterations, rupture)
