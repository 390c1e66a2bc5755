"""Compiled: what a pressure field amounts to: load, moments, friction, flow, fill."""

from __future__ import annotations

import math

import numpy as np

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags


@compiled
def weight(j: int, nz: int) -> float:
    """Weight of station j of nz along the axis, in steps: Gregory's rule, 5/12 and 13/12 at the ends."""
    k = min(j, nz - 1 - j)
    if nz < 5:
        return 0.5 if k == 0 else 1.0
    return 5.0 / 12.0 if k == 0 else (13.0 / 12.0 if k == 1 else 1.0)


@compiled
def load(p: Array, out: Array) -> None:
    """out[0:4] = 3/2 of the integral of p (cos, sin, zeta cos, zeta sin) over the unrolled film."""
    nt, nz = p.shape
    step = 2.0 * math.pi / nt
    dz = 2.0 / (nz - 1)
    q = np.array([weight(j, nz) for j in range(nz)])
    lever = np.array([weight(j, nz) * (j * dz - 1.0) for j in range(nz)])
    x = y = mx = my = 0.0
    for i in range(nt):
        row = tilt = 0.0
        here = p[i]
        for j in range(nz):
            row += here[j] * q[j]
            tilt += here[j] * lever[j]
        c, s = math.cos(i * step), math.sin(i * step)
        x += row * c
        y += row * s
        mx += tilt * c
        my += tilt * s
    scale = 1.5 * step * dz
    out[0], out[1], out[2], out[3] = x * scale, y * scale, mx * scale, my * scale


@compiled
def carry(p: Array, h: Array, fixed: Flags, at: int, fill: Array) -> None:
    """Part of the gap that oil fills: 1 under pressure, at feeds and where the film starts; behind the
    rupture the oil that left the film is carried on, fill = (gap at the rupture) / h. Once round, and
    again as far as there is a column whose film has not begun."""
    nt, nz = h.shape
    oil, met = np.full(nz, 1e300), np.zeros(nz, dtype=np.bool_)
    rows, waiting = nt, nz - 2
    for turn in range(2):
        for i in range(rows):
            start = at >= 0 and (i - 1 if i > 0 else nt - 1) == at
            here, pressure, known, part = h[i], p[i], fixed[i], fill[i]
            for j in range(1, nz - 1):
                full = pressure[j] > 0.0 or known[j] or start
                oil[j] = here[j] if full else min(oil[j], here[j])
                part[j] = oil[j] / here[j]
            if turn == 0 and waiting:
                waiting, rows = 0, i + 1
                for j in range(1, nz - 1):
                    met[j] = met[j] or pressure[j] > 0.0 or known[j] or start
                    waiting += 0 if met[j] else 1
    for i in range(nt):
        fill[i, 0] = fill[i, 1]
        fill[i, nz - 1] = fill[i, nz - 2]


@compiled
def friction(p: Array, h: Array, fill: Array, out: Array) -> None:
    """out[4], out[5]: shear of the journal, half the integral of 1/h + 3 h dp/dtheta; the film full all
    round, and with 1/h only where the gap is filled. The pressure part by parts, -3 p dh/dtheta."""
    nt, nz = p.shape
    step = 2.0 * math.pi / nt
    dz = 2.0 / (nz - 1)
    q = np.array([weight(j, nz) for j in range(nz)])
    full = filled = slope = 0.0
    for i in range(nt):
        before, after = h[i - 1 if i > 0 else nt - 1], h[i + 1 if i < nt - 1 else 0]
        here, pressure, part = h[i], p[i], fill[i]
        for j in range(nz):
            shear = q[j] / here[j]
            full += shear
            filled += shear * part[j]
            slope -= 1.5 * q[j] * pressure[j] * (after[j] - before[j])
    out[4] = 0.5 * dz * (full * step + slope)
    out[5] = 0.5 * dz * (filled * step + slope)


@compiled
def ends(p: Array, fill: Array, couette: Array, n: Array, at: int, supply: float, out: Array) -> None:
    """Fill of the half cells at both ends, and out[7], what they spill: all that arrives above a full gap.

    A half cell takes in what the journal carries and what pressure drives along the axis; it spills what a
    full gap cannot carry on, and carries on less when less arrives. Where a film starts at ``at`` once round
    settles it; a closed ring is settled by a first round that starts brim-full, as what comes round then is
    the most that can, and any inflow raises it to that.
    """
    nt, nz = p.shape
    first = at + 1 if at >= 0 else 0
    out[7] = 0.0
    for j, face, inner in ((0, 0, 1), (nz - 1, nz - 2, nz - 2)):
        arriving = 0.0
        for i in range(nt):
            arriving += n[i, face] * p[i, inner]
        oil = supply * couette[at, j] if at >= 0 else (1e300 if arriving > 0.0 else 0.0)
        spilt = 0.0
        for _ in range(1 if at >= 0 else 2):
            spilt = 0.0
            for k in range(nt):
                i = (first + k) % nt
                oil += n[i, face] * p[i, inner]
                kept = min(oil, couette[i, j])
                spilt += oil - kept
                fill[i, j] = kept / couette[i, j]
                oil = kept
        out[7] += spilt


@compiled
def flows(
    p: Array,
    couette: Array,
    fill: Array,
    e: Array,
    n: Array,
    g: Array,
    fixed: Flags,
    cut: float,
    supply: float,
    kept: bool,
    out: Array,
) -> None:
    """out[6]: flow in where the film starts; out[7]: out at both ends (with ``kept``: as `ends` left it);
    out[8]: net flow out of the feed; out[9]: flow that comes round to where the film starts."""
    nt, nz = p.shape
    entering = fed = carried = 0.0
    leaving = out[7] if kept else 0.0
    at = int(cut) if cut >= 0.0 else -1
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        i1 = i + 1 if i < nt - 1 else 0
        for j, inner, face in ((0, 1, 0), (nz - 1, nz - 2, nz - 2)):
            if not kept and p[i, inner] > 0.0:
                leaving += n[i, face] * p[i, inner] - (couette[i, j] - couette[i0, j])
        feeds = 0
        for j in range(1, nz - 1):
            feeds += fixed[i, j]
        for j in range(1, nz - 1 if feeds else 1):
            if fixed[i, j]:
                x = p[i, j]
                before = supply if i0 == at else fill[i0, j]
                fed += (
                    couette[i, j] * fill[i, j] - couette[i0, j] * before + g[i, j] * x
                    + e[i, j] * (x - p[i1, j]) + e[i0, j] * (x - p[i0, j])
                    + n[i, j] * (x - p[i, j + 1]) + n[i, j - 1] * (x - p[i, j - 1])
                )  # fmt: skip
    if at >= 0:
        i1 = at + 1 if at < nt - 1 else 0
        for j in range(nz):
            entering += supply * couette[at, j] - g[i1, j] * p[i1, j]
            carried += couette[at, j] * fill[at, j] + g[at, j] * p[at, j]
    half_pi = 0.5 * math.pi
    out[6], out[7], out[8], out[9] = entering * half_pi, leaving * half_pi, fed * half_pi, carried * half_pi
