"""Compiled: pressures of a grid of every second point, straight between, on the full one."""

from __future__ import annotations

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags


@compiled
def add_finer(coarse: Array, part: float, p: Array, known: Flags) -> None:
    """p, shape (2 n, 2 m - 1), plus ``part`` of the coarse field, shape (n, m), read between its points;
    pressures that are known stay, and none falls below zero."""
    n, m = coarse.shape
    for i in range(2 * n):
        low = coarse[i // 2]
        high = coarse[(i // 2 + (i & 1)) % n]
        row, stays = p[i], known[i]
        for k in range(m - 1):
            here = 0.5 * part * (low[k] + high[k])
            after = 0.5 * part * (low[k + 1] + high[k + 1])
            if not stays[2 * k]:
                row[2 * k] = max(0.0, row[2 * k] + here)
            if not stays[2 * k + 1]:
                row[2 * k + 1] = max(0.0, row[2 * k + 1] + 0.5 * (here + after))
        row[0] = row[2 * m - 2] = 0.0


@compiled
def add(field: Array, part: float, p: Array, known: Flags) -> None:
    """As `add_finer`, both on one grid."""
    n, m = p.shape
    for i in range(n):
        row, more, stays = p[i], field[i], known[i]
        for j in range(1, m - 1):
            if not stays[j]:
                row[j] = max(0.0, row[j] + part * more[j])


@compiled
def add_finer_field(coarse: Array, field: Array) -> None:
    """As `add_finer`, of a field that may have any sign."""
    n, m = coarse.shape
    for i in range(2 * n):
        low = coarse[i // 2]
        high = coarse[(i // 2 + (i & 1)) % n]
        row = field[i]
        for k in range(m - 1):
            here = 0.5 * (low[k] + high[k])
            row[2 * k] += here
            row[2 * k + 1] += 0.5 * (here + 0.5 * (low[k + 1] + high[k + 1]))
        row[2 * m - 2] += 0.5 * (low[m - 1] + high[m - 1])
