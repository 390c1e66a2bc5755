"""Compiled: a pressure moved along with the journal, and read on a grid twice as fine, straight between.

``known`` pressures stay, and none falls below zero. Two fields say how the pressure follows the journal's two
coordinates, which moved by ``u`` and ``v``.
"""

from __future__ import annotations

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags


@compiled
def scale(p: Array, factor: float, known: Flags) -> None:
    """p times a factor."""
    n, m = p.shape
    for i in range(n):
        row, stays = p[i], known[i]
        for j in range(1, m - 1):
            row[j] = row[j] if stays[j] else row[j] * factor


@compiled
def follow(p: Array, by_u: Array, u: float, by_v: Array, v: float, known: Flags) -> None:
    """p on the grid of the fields, after the journal has moved."""
    n, m = p.shape
    for i in range(n):
        row, first, second, stays = p[i], by_u[i], by_v[i], known[i]
        for j in range(1, m - 1):
            moved = max(0.0, row[j] + u * first[j] + v * second[j])
            row[j] = row[j] if stays[j] else moved


@compiled
def follow_finer(p: Array, by_u: Array, u: float, by_v: Array, v: float, known: Flags) -> None:
    """The same, p of shape (2 n, 2 m - 1) and the fields of every second point, shape (n, m)."""
    n, m = by_u.shape
    for i in range(2 * n):
        low, high = i // 2, (i // 2 + (i & 1)) % n
        row, stays = p[i], known[i]
        u0, u1, v0, v1 = by_u[low], by_u[high], by_v[low], by_v[high]
        for k in range(m - 1):
            here = 0.5 * (u * (u0[k] + u1[k]) + v * (v0[k] + v1[k]))
            after = 0.5 * (u * (u0[k + 1] + u1[k + 1]) + v * (v0[k + 1] + v1[k + 1]))
            if not stays[2 * k]:
                row[2 * k] = max(0.0, row[2 * k] + here)
            if not stays[2 * k + 1]:
                row[2 * k + 1] = max(0.0, row[2 * k + 1] + 0.5 * (here + after))
        row[0] = row[2 * m - 2] = 0.0


@compiled
def finer(coarse: Array, fine: Array, known: Flags) -> None:
    """A field of every second point, shape (n, m), on the full grid, shape (2 n, 2 m - 1)."""
    n, m = coarse.shape
    for i in range(2 * n):
        low, high = coarse[i // 2], coarse[(i // 2 + (i & 1)) % n]
        row, stays = fine[i], known[i]
        for k in range(m - 1):
            here = 0.5 * (low[k] + high[k])
            after = 0.5 * (low[k + 1] + high[k + 1])
            if not stays[2 * k]:
                row[2 * k] = here
            if not stays[2 * k + 1]:
                row[2 * k + 1] = 0.5 * (here + after)
        row[0] = row[2 * m - 2] = 0.0
