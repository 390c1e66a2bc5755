"""The mass-conserving film: Jakobsson, Floberg and Olsson (JFO), for feeding and starvation.

Every node is either under pressure (P unknown, gap full) or ruptured (P = 0, fill unknown): one unknown a
node, and one balance of flow a node. The journal carries ``fill`` times the Couette flow out of each cell
(upwind where the gap is not full). Solved as a sequence of linear problems in which nodes with P < 0 rupture
and nodes with fill > 1 come under pressure, until none changes: the complementarity of Giacopini, Fowell,
Dini and Strozzi, J. Tribology 132 (2010) 041702 (from memory), by an active set.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.film import field, policy
from whitemetal.film.kinds import Array, Flags, Ints

MOST_CHANGES = 200
"""Changes of the ruptured part before it gives up. Our own."""

LOSS = 1e-13
"""Part of the carried oil lost in a step: settles the fill of a ring that no oil reaches at 0. Our own."""


def solve_conserving(
    network: field.Network, start: Array, *, supply: float = 1.0, tolerance: float
) -> field.Film:
    """The film in which oil is kept everywhere. start: a pressure whose rupture is near. supply: part of the
    gap filled where the film starts."""
    pressure, fill, residual, changes = settle(network, start, supply, tolerance)
    return field.measured(network, pressure, fill, residual, changes, "jfo", supply)


def settle(
    network: field.Network, start: Array, supply: float, tolerance: float
) -> tuple[Array, Array, float, int]:
    """Pressure, fill, residual and number of changes of the ruptured part."""
    from scipy.sparse import diags_array
    from scipy.sparse.linalg import spsolve

    inner = ~network.fixed
    inner[:, 0] = inner[:, -1] = False
    flow, carry, entering = operators(network, supply)
    nodes = np.flatnonzero(inner.ravel())
    pressed = (start > 0.0).ravel()[nodes]
    flow_in, carry_in = flow[nodes][:, nodes], carry[nodes][:, nodes]
    given = network.given.ravel()
    full = np.zeros(given.size)
    full[network.fixed.ravel()] = 1.0
    side = (entering - flow @ given - carry @ full)[nodes]
    seen: set[bytes] = set()
    for change in range(1, MOST_CHANGES + 1):
        columns = flow_in @ diags_array(pressed * 1.0) + carry_in @ diags_array(~pressed * 1.0)
        right = side - carry_in @ (pressed * 1.0)
        x = spsolve(columns.tocsc(), right)
        turned = np.where(pressed, x < 0.0, x > 1.0)
        if not turned.any():
            p, theta = np.where(pressed, x, 0.0), np.where(pressed, 1.0, x)
            off = np.abs(side - flow_in @ p - carry_in @ theta).sum() / max(network.wedge, 1e-300)
            if off > tolerance:
                raise NotConverged("the film that keeps its oil", float(off), change)
            return *spread(network, nodes, p, theta), float(off), change
        key = np.packbits(pressed).tobytes()
        if key in seen:
            turned &= worst(pressed, x, turned)
        seen.add(key)
        pressed = pressed ^ turned
    raise NotConverged("the film that keeps its oil", float(turned.mean()), MOST_CHANGES)


def worst(pressed: Flags, x: Array, turned: Flags) -> Flags:
    """Of the nodes that want to change, the one that is furthest off: breaks a round of repeated changes."""
    off = np.where(
        turned, np.where(pressed, -x / max(float(np.abs(x[pressed]).max()), 1e-300), x - 1.0), -1.0
    )
    one: Flags = np.arange(len(x)) == int(off.argmax())
    return one


def spread(network: field.Network, nodes: Ints, p: Array, theta: Array) -> tuple[Array, Array]:
    """Pressure and fill on the whole grid, from the inner nodes."""
    pressure, fill = network.given.copy(), np.ones_like(network.given)
    pressure.ravel()[nodes] = p
    fill.ravel()[nodes] = theta
    return pressure, fill


def operators(network: field.Network, supply: float) -> tuple[Any, Any, Array]:
    """Flow out of each node by pressure, (A P); carried out less carried in, (T fill); and what enters."""
    n, m = network.gap.shape
    index = np.arange(n * m).reshape(n, m)
    after = np.roll(index, -1, axis=0)
    flow = policy.sheet(network.e, network.n, network.g)
    couette = network.couette.copy()
    entering = network.squeeze_flow.ravel().copy()
    if network.cut >= 0.0:
        at = int(network.cut)
        entering[index[(at + 1) % n]] += supply * couette[at]
        arriving = couette.copy()
        arriving[at] = 0.0
    else:
        arriving = couette
    from scipy.sparse import coo_array

    rows = np.concatenate([index.ravel(), after.ravel()])
    columns = np.concatenate([index.ravel(), index.ravel()])
    values = np.concatenate([(1.0 + LOSS) * couette.ravel(), -arriving.ravel()])
    return flow, coo_array((values, (rows, columns)), shape=(n * m, n * m)).tocsr(), entering
