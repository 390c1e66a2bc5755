"""The bench a film is solved on: one bore on one grid, with room for its networks, the journal moved at will.

Nothing is allocated between one place of the journal and the next, the pressure of the last is where the next
starts, and the coarser networks serve as long as the journal moves little: they only correct.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.film.field import Film, FilmStart, Network, directly, measured
from whitemetal.film.kinds import Array, Flags, Ints

ROWS = 12
"""Rows of a store, as `network` has them: by definition."""

MOST_CYCLES = 60
"""Multigrid cycles before the direct method takes over. Our own."""

MOST_SPARE = 2
"""Sets of work arrays kept for the next film on the same grid. Our own."""

COARSEST_ROUND, COARSEST_ALONG = 12, 6
"""Points round and along of the coarsest grid of the multigrid. Our own."""

BEFORE, AFTER = 2, 1
"""Sweeps on the way to the coarser grids and back. Our own."""

NOWHERE = (math.nan, math.nan)
"""Where coarser networks were made that were not: by definition."""

STILL = 0.05
"""Way of the journal, over the least gap, within which the coarser networks of the place before serve. Our
own."""


@dataclass(frozen=True)
class Room:
    """Work arrays: store shape (12, points), flags shape (2, points); rows as in `network`. nowhere: all
    False."""

    store: Array
    flags: Flags
    nowhere: Flags


@dataclass(frozen=True)
class Plan:
    """Levels of the multigrid: sizes shape (levels, 3), way and turns shape (levels,), points in all.

    turns: twice to the coarser levels on some, for certainty; once: never, for a cycle or two.
    spare: rooms that no solve is using; taken and given back whole, so that threads never share one.
    """

    sizes: Ints
    way: Ints
    turns: Ints
    once: Ints
    points: int
    spare: list[Room]

    def take(self) -> Room:
        """A room, its content of no meaning."""
        try:
            return self.spare.pop()
        except IndexError:
            flags = np.zeros((3, self.points), dtype=np.bool_)
            return Room(np.empty((ROWS, self.points)), flags[:2], flags[2])

    def give_back(self, room: Room) -> None:
        """Keep a room for the next solve."""
        if len(self.spare) < MOST_SPARE:
            self.spare.append(room)


@lru_cache(maxsize=32)
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
    ways = np.array([*way, 0], dtype=np.int64)
    return Plan(np.array(rows, dtype=np.int64), ways, turns, np.ones_like(turns), points, [])


class Rig:
    """One bore, its journal anywhere, Swift-Stieber rupture. Not for two threads at once.

    bore: the gap with the journal in the middle, shape (n_theta, n_z). once: cycles that visit each level
    once: cheaper, and less certain. The rest as in `reynolds.solve`.
    """

    def __init__(
        self, bore: Array, slenderness: float, feed: Flags | None, feed_pressure: float,
        film_start: FilmStart | None, squeeze: Array | None = None, *, once: bool = False,
    ) -> None:  # fmt: skip
        from whitemetal.film import measures, multigrid, network

        self._put, self._sources, self._settle = network.put, network.sources, multigrid.settle
        self._load, self._reach = measures.load, network.reach
        n, m = bore.shape
        self.bore = np.ascontiguousarray(bore, dtype=np.float64)
        self.nearest = np.empty(n)
        self.slenderness, self.feed_pressure = slenderness, feed_pressure
        self.starts = (film_start or ("widest gap" if feed is None else "free")) == "widest gap"
        self.squeeze = (
            np.empty((0, 0)) if squeeze is None else np.ascontiguousarray(squeeze, dtype=np.float64)
        )
        self.plan = plan(n, m, slenderness)
        self.turns = self.plan.once if once else self.plan.turns
        self.room = self.plan.take()
        self.finest = self.room.store[:, : n * m].reshape(ROWS, n, m)
        self.known = self.room.flags[0, : n * m].reshape(n, m)
        self.known[...] = False if feed is None else feed
        self.known[:, 0] = self.known[:, -1] = False
        self.pressure = self.finest[0]
        self.fed, self.nowhere = feed is not None, self.room.nowhere[: n * m].reshape(n, m)
        self.empty()
        self.cut, self.wedge, self.least_gap = -1.0, 0.0, 0.0
        network.know(self.plan.sizes, self.plan.way, self.room.flags, self.bore, self.nearest)

    def begin(self, pressure: Array) -> None:
        """Start from a pressure on this grid."""
        np.copyto(self.pressure, np.maximum(pressure, 0.0), where=~self.known)
        self.pressure[:, 0] = self.pressure[:, -1] = 0.0

    def empty(self) -> None:
        """Start from no pressure."""
        self.pressure[...] = 0.0
        self.laid = NOWHERE
        self.fix()

    def fix(self) -> None:
        """Put the pressure of the feed where it is given."""
        if self.fed:
            self.pressure[self.known] = self.feed_pressure

    def reach(self, angle: float) -> float:
        """How far the journal's centre may go in a direction before it touches."""
        return float(self._reach(self.nearest, angle))

    def at(self, x: float, y: float) -> None:
        """Put the journal's centre at (x, y)."""
        plan, room = self.plan, self.room
        self.cut, self.wedge, self.least_gap, anew = self._put(
            self.bore, self.nearest, x, y, *self.laid, STILL, self.slenderness**-2.0, self.starts,
            self.feed_pressure, self.squeeze, plan.sizes, plan.way, room.store, room.flags,
        )  # fmt: skip
        if anew:
            self.laid = (x, y)

    def relax(self, *, cold: bool, tolerance: float, limit: int = MOST_CYCLES) -> tuple[float, int]:
        """Cycles until the residual is within the tolerance, at most ``limit``; the residual as last seen
        and the cycles. cold: from nothing, else from the pressure as it stands."""
        plan = self.plan
        if cold:
            self._sources(plan.sizes, plan.way, self.room.store, self.room.flags)
        left_over, cycles = self._settle(
            cold, limit, tolerance * self.wedge, BEFORE, AFTER, self.turns, plan.sizes, plan.way,
            self.room.store, self.room.flags,
        )  # fmt: skip
        return (left_over / self.wedge if self.wedge > 0.0 else 0.0), cycles

    def load(self) -> tuple[float, float]:
        """The load that the pressure carries, along theta = 0 and 90 degrees, So."""
        out = np.empty(4)
        self._load(self.pressure, out)
        return float(out[0]), float(out[1])

    def solve(self, *, cold: bool, tolerance: float) -> Film:
        """The film where the journal is; by direct solves where the multigrid does not settle."""
        residual, cycles = self.relax(cold=cold, tolerance=tolerance)
        if residual <= tolerance:
            return self.film(residual, cycles)
        network = self.network()
        pressure, residual, changes = directly(network)
        if not residual <= tolerance:
            raise NotConverged("the pressure in the film", residual, cycles + changes)
        return measured(network, pressure, None, residual, cycles + changes, "swift-stieber")

    def settled_load(self, tolerance: float) -> tuple[Array, tuple[float, float]]:
        """The pressure, which stays the rig's, and its load once it is settled, from what stands there."""
        residual, _ = self.relax(cold=False, tolerance=tolerance)
        if residual <= tolerance:
            return self.pressure, self.load()
        film = self.solve(cold=False, tolerance=tolerance)
        return film.pressure, (film.load_x, film.load_y)

    def film(self, residual: float, cycles: int) -> Film:
        """What the pressure as it stands amounts to; nothing in it is the rig's."""
        return measured(self.network(), self.pressure.copy(), None, residual, cycles, "swift-stieber")

    def network(self) -> Network:
        """The finest network as it stands: views, good until the journal moves."""
        from whitemetal.film import network

        work = self.finest
        e, n, g, couette, source = (
            work[k] for k in (network.E, network.N, network.G, network.COUETTE, network.F)
        )
        squeeze = self.squeeze if len(self.squeeze) else None
        return Network(
            work[network.GAP], self.slenderness, self.known, self.feed_pressure, self.cut, e, n, g, couette,
            source, self.wedge, squeeze,
        )  # fmt: skip

    def leave(self) -> None:
        """Give the room back; the rig is of no use afterwards."""
        self.plan.give_back(self.room)
