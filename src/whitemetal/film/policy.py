"""The complementarity problem p >= 0, A p >= f, p (A p - f) = 0 by changing the ruptured part, a direct solve
each time.

For a network of conductances (an M-matrix) the pressures fall from one change to the next and the last one is
reached after finitely many: R. A. Howard, Dynamic Programming and Markov Processes (1960), policy iteration
(from memory). Slow and certain: it stands behind the multigrid, and serves the one-dimensional film.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.film.kinds import Array, Flags, Ints

MOST_CHANGES = 200
"""Changes of the ruptured part before it gives up. Our own."""

NEGLIGIBLE = 1e-13
"""A node is out of balance when its flow is off by more than this part of the largest source. Our own."""


def settle(links: Any, source: Array, fixed: Flags, given: Array) -> tuple[Array, float, int]:
    """Pressure, residual (unbalanced flow over sum of |source|) and number of changes.

    links: the matrix A, sparse, shape (n, n). source, fixed, given: shape (n,). Raises NotConverged.
    """
    from scipy.sparse.linalg import spsolve

    free = np.flatnonzero(~fixed)
    inner, side = links[free][:, free], (source - links @ np.where(fixed, given, 0.0))[free]
    scale = max(float(np.abs(side).max()), 1e-300)
    pressed = np.ones(len(free), dtype=np.bool_)
    for change in range(1, MOST_CHANGES + 1):
        p = np.zeros(len(free))
        part = np.flatnonzero(pressed)
        if len(part):
            p[part] = spsolve(inner[part][:, part].tocsc(), side[part])
        short = side - inner @ p
        fresh = np.where(pressed, p > 0.0, short > NEGLIGIBLE * scale)
        if (fresh == pressed).all():
            left = np.where(p > 0.0, np.abs(short), np.maximum(short, 0.0)).sum() / np.abs(side).sum().clip(
                1e-300
            )
            full = given.copy()
            full[free] = p
            return full, float(left), change
        pressed = fresh
    raise NotConverged("the pressure in the film", float((fresh != pressed).mean()), MOST_CHANGES)


def ring(around: Array, ground: Array) -> Any:
    """Matrix of a ring: around[i] conducts from i to i+1, ground[i] to zero."""
    index = np.arange(len(around))
    return matrix(len(around), [(index, np.roll(index, -1), around)], ground)


def matrix(size: int, links: list[tuple[Ints, Ints, Array]], ground: Array) -> Any:
    """Matrix of a network: (from, to, conductance) and conductance to zero at each node; CSR."""
    from scipy.sparse import coo_array

    rows, columns, values = [np.arange(size)], [np.arange(size)], [ground.ravel()]
    for a, b, k in links:
        a, b, k = a.ravel(), b.ravel(), k.ravel()
        rows += [a, b, a, b]
        columns += [a, b, b, a]
        values += [k, k, -k, -k]
    parts = (np.concatenate(rows), np.concatenate(columns))
    return coo_array((np.concatenate(values), parts), shape=(size, size)).tocsr()


def sheet(around: Array, along: Array, ground: Array) -> Any:
    """Matrix of a sheet, shape (n, m) flattened row by row, periodic in the first direction."""
    n, m = around.shape
    index = np.arange(n * m).reshape(n, m)
    links = [(index, np.roll(index, -1, axis=0), around), (index[:, :-1], index[:, 1:], along[:, :-1])]
    return matrix(n * m, links, ground)
