"""The pressure field on one grid: its network, its solution by multigrid, and what it amounts to.

Units and equation: `whitemetal.film.reynolds`, which is the door to all of this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from whitemetal.film.kinds import Array, Flags

Rupture = Literal["swift-stieber", "jfo"]
FilmStart = Literal["widest gap", "free"]


class Carrying:
    """What follows from a pressure, a load and a friction, for a film of either length."""

    pressure: Array
    load_x: float
    load_y: float
    friction_full: float

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
class Film(Carrying):
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


@dataclass(frozen=True)
class Network:
    """The finest network of one gap: where the pressure is given, conductances, Couette flow, source; wedge:
    the flow a residual is measured by. squeeze: dH/dtau."""

    gap: Array
    slenderness: float
    fixed: Flags
    feed_pressure: float
    cut: float
    e: Array
    n: Array
    g: Array
    couette: Array
    source: Array
    wedge: float
    squeeze: Array | None

    @property
    def given(self) -> Array:
        """The pressures that are given, 0 elsewhere."""
        return np.where(self.fixed, self.feed_pressure, 0.0)

    @property
    def squeeze_flow(self) -> Array:
        """What the squeeze pushes into each cell."""
        n, m = self.gap.shape
        if self.squeeze is None:
            return np.zeros((n, m))
        cell = (2.0 * math.pi / n) * (2.0 / (m - 1))
        flow: Array = -2.0 * self.squeeze * cell * widths(n, self.cut)[:, None]
        return flow


def network_of(
    gap: Array,
    slenderness: float,
    feed: Flags | None,
    feed_pressure: float,
    squeeze: Array | None,
    film_start: FilmStart | None,
) -> Network:
    """The finest network, in arrays of its own."""
    from whitemetal.film import network

    n, m = gap.shape
    h = np.array(gap, dtype=np.float64)
    fixed = np.zeros((n, m), dtype=np.bool_) if feed is None else np.array(feed, dtype=np.bool_)
    fixed[:, 0] = fixed[:, -1] = False
    starts = film_start or ("widest gap" if feed is None else "free")
    e, along, g, couette, source = (np.empty((n, m)) for _ in range(5))
    moving = np.empty((0, 0)) if squeeze is None else np.ascontiguousarray(squeeze, dtype=np.float64)
    cut, wedge = network.lay(
        h,
        slenderness**-2.0,
        starts == "widest gap",
        feed_pressure,
        moving,
        fixed,
        e,
        along,
        g,
        couette,
        source,
    )
    return Network(h, slenderness, fixed, feed_pressure, cut, e, along, g, couette, source, wedge, squeeze)


def widths(n: int, cut: float) -> Array:
    """Width of each node's cell round the bore, in steps, shape (n,): narrower where the film starts."""
    from whitemetal.film import network

    return np.array([network.width(i, (i - 1) % n, cut) for i in range(n)])


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
