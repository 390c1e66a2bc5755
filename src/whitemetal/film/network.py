"""Compiled: the Reynolds equation as a network of conductances, and the coarser networks under it.

A grid of n points round the bore (periodic) and m along it (both ends included, at pressure zero) is a
network: ``e[i, j]`` conducts from (i, j) to (i+1, j), ``n[i, j]`` from (i, j) to (i, j+1), ``g[i, j]`` from
(i, j) to pressure zero. A coarser network takes every second point in one direction by eliminating the point
between (exact in one dimension), so that steps, grooves and holes keep their meaning on every level.
"""

from __future__ import annotations

import math

import numpy as np

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags, Ints

P, F, E, N, G, INVERSE, W, R, LEFT, RIGHT, GAP, COUETTE = ROWS = range(12)
"""Rows of a store: pressure, right-hand side, conductances round, along, to zero, one over the diagonal, the
same with held nodes at 0, residual, how a point between two coarser ones follows each; on the finest level
the gap and the flow that the journal carries."""

FIXED, HELD = range(2)
"""Rows of the flags: pressure given; held during a coarse correction."""


@compiled
def view(flat: Array, start: int, n: int, m: int) -> Array:
    """Level of a flat store as an array of shape (n, m)."""
    return flat[start : start + n * m].reshape(n, m)


@compiled
def face(before: float, a: float, b: float, after: float) -> tuple[float, float]:
    """Conductance times distance of the face between gaps a and b, and the gap there, which the journal
    drags.

    1/K = mean of h^-3 (resistances in series, exact for flow by pressure alone) by Simpson's rule; the gap at
    the middle from the four points, with the two curvatures joined by their harmonic mean so that a step in
    the gap makes no false wave.
    """
    low = before - 2.0 * a + b
    high = a - 2.0 * b + after
    bend = 2.0 * low * high / (low + high) if low * high > 0.0 else 0.0
    mid = 0.5 * (a + b) - 0.125 * bend
    if mid <= 0.0:
        mid = 0.5 * (a + b)
    ca, cm, cb = a * a * a, mid * mid * mid, b * b * b
    return 6.0 * ca * cm * cb / (cm * cb + 4.0 * ca * cb + ca * cm), mid


@compiled
def widest(gap: Array) -> float:
    """Place of the widest mean gap in steps of the grid: of the circle through the three highest points."""
    n, m = gap.shape
    mean, best = np.empty(n), 0
    for i in range(n):
        mean[i] = gap[i].sum() / m
        best = i if mean[i] > mean[best] else best
    low, mid, high = mean[best - 1], mean[best], mean[(best + 1) % n]
    bend = 2.0 * mid - low - high
    if bend <= 0.0:
        return float(best)
    angle = 2.0 * math.pi / n
    offset = math.atan2((high - low) * (1.0 - math.cos(angle)), bend * math.sin(angle)) / angle
    place = (best + offset) % n
    return place if place < n else 0.0


@compiled
def width(i: int, before: int, cut: float) -> float:
    """Width of the cell of row i round the bore, in steps: narrower beside the place where the film starts.
    before: the row before it."""
    at = int(cut) if cut >= 0.0 else -1
    if at < 0 or (i != at and before != at):
        return 1.0
    return 0.5 + 0.5 * (cut - at) if i == at else 1.0 - 0.5 * (cut - at)


@compiled
def build(
    h: Array,
    dtheta: float,
    dzeta: float,
    stretch: float,
    cut: float,
    e: Array,
    n: Array,
    g: Array,
    couette: Array,
) -> None:
    """Fill the finest network from the gap h, shape (n, m).

    stretch: (D/L)^2. cut: place in steps of the grid where the film starts at pressure zero, or -1 for none.
    couette: flow carried by the moving journal through the face (i, i+1), and at the cut through the line.
    """
    nt, nz = h.shape
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        i1 = i + 1 if i < nt - 1 else 0
        i2 = i1 + 1 if i1 < nt - 1 else 0
        wide = width(i, i0, cut)
        for j in range(nz):
            wz = dzeta if 0 < j < nz - 1 else 0.5 * dzeta
            k, c = face(h[i0, j], h[i, j], h[i1, j], h[i2, j])
            e[i, j] = k * wz / dtheta
            couette[i, j] = c * wz
            if j < nz - 1:
                a, b = h[i, j], h[i, j + 1]
                n[i, j] = stretch * 2.0 * a * a * b * b / (a + b) * wide * dtheta / dzeta
            else:
                n[i, j] = 0.0
            g[i, j] = 0.0


@compiled
def open_at_cut(e: Array, g: Array, cut: float) -> None:
    """Part the network at the line where the film starts: both neighbours conduct to pressure zero there."""
    nt, nz = e.shape
    i = int(cut)
    i1 = i + 1 if i < nt - 1 else 0
    before = max(cut - i, 1e-9)
    after = max(1.0 - (cut - i), 1e-9)
    for j in range(nz):
        g[i, j] += e[i, j] / before
        g[i1, j] += e[i, j] / after
        e[i, j] = 0.0


@compiled
def diagonal(e: Array, n: Array, g: Array, fixed: Flags, inverse: Array) -> None:
    """One over the sum of conductances at each node; 0 where the pressure is given (ends, feed)."""
    nt, nz = e.shape
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        inverse[i, 0] = 0.0
        inverse[i, nz - 1] = 0.0
        for j in range(1, nz - 1):
            if fixed[i, j]:
                inverse[i, j] = 0.0
            else:
                inverse[i, j] = 1.0 / (e[i, j] + e[i0, j] + n[i, j] + n[i, j - 1] + g[i, j])


@compiled
def lay(
    h: Array,
    stretch: float,
    starts: bool,
    feed_pressure: float,
    squeeze: Array,
    fixed: Flags,
    e: Array,
    n: Array,
    g: Array,
    couette: Array,
    source: Array,
) -> tuple[float, float]:
    """The finest network of the gap h; returns the cut and the flow a residual is measured by, the sum of
    |source| and of what the feed drives.

    starts: whether the film starts at pressure zero at the widest gap. squeeze: dH/dtau, or no rows.
    """
    nt, nz = h.shape
    dtheta, dzeta = 2.0 * math.pi / nt, 2.0 / (nz - 1)
    cut = widest(h) if starts else -1.0
    build(h, dtheta, dzeta, stretch, cut, e, n, g, couette)
    wedge = 0.0
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        before, here, side, known = couette[i0], couette[i], source[i], fixed[i]
        for j in range(nz):
            side[j] = before[j] - here[j]
        if squeeze.shape[0] == nt:
            area = 2.0 * dtheta * dzeta * width(i, i0, cut)
            for j in range(nz):
                side[j] -= squeeze[i, j] * area
        side[0] = side[nz - 1] = 0.0
        for j in range(nz):
            wedge += feed_pressure * e[i, j] if known[j] else abs(side[j])
            side[j] = 0.0 if known[j] else side[j]
    if cut >= 0.0:
        open_at_cut(e, g, cut)
    return cut, wedge


@compiled
def move(bore: Array, nearest: Array, x: float, y: float, h: Array) -> float:
    """The gap h of a bore with the journal's centre at (x, y); returns the least. nearest: least of each row
    of the bore."""
    nt, nz = bore.shape
    least = np.inf
    for i in range(nt):
        angle = i * (2.0 * math.pi / nt)
        taken = x * math.cos(angle) + y * math.sin(angle)
        least = min(least, nearest[i] - taken)
        here, moved = bore[i], h[i]
        for j in range(nz):
            moved[j] = here[j] - taken
    return least


@compiled
def reach(nearest: Array, angle: float) -> float:
    """How far the centre may go in a direction before the journal touches; nearest: least gap of each row
    with the journal in the middle."""
    n, far = len(nearest), np.inf
    for i in range(n):
        towards = math.cos(2.0 * math.pi / n * i - angle)
        if towards > 1e-6:
            far = min(far, nearest[i] / towards)
    return far


@compiled
def coarsen_round(
    e: Array, n: Array, g: Array, fixed: Flags, ec: Array, nc: Array, gc: Array, left: Array, right: Array
) -> None:
    """Every second point round the bore. left, right: how a point between follows its two neighbours."""
    nt, nz = e.shape
    ct = ec.shape[0]
    for k in range(ct):
        i = 2 * k
        for j in range(nz):
            nc[k, j] = n[i, j]
            gc[k, j] = g[i, j]
            ec[k, j] = e[i, j]
    for k in range(ct):
        i = 2 * k
        mid = i + 1
        if mid >= nt:
            continue
        kn = k + 1 if k < ct - 1 else 0
        for j in range(nz):
            a, b, c = e[i, j], e[mid, j], g[mid, j]
            known = fixed[mid, j]
            s = 0.0 if known else 1.0 / (a + b + c)
            left[mid, j] = a * s
            right[mid, j] = b * s
            ec[k, j] = a * b * s
            gc[k, j] += a * c * s + (a if known else 0.0)
            gc[kn, j] += b * c * s + (b if known else 0.0)
            nc[k, j] += 0.5 * n[mid, j]
            nc[kn, j] += 0.5 * n[mid, j]


@compiled
def coarsen_along(
    e: Array, n: Array, g: Array, fixed: Flags, ec: Array, nc: Array, gc: Array, left: Array, right: Array
) -> None:
    """Every second point along the axis, both ends kept. A loop of its own, in the order of memory: one for
    both directions would run across it here."""
    nt, nz = e.shape
    cz = ec.shape[1]
    for i in range(nt):
        for k in range(cz):
            j = min(2 * k, nz - 1)
            ec[i, k] = e[i, j]
            gc[i, k] = g[i, j]
            nc[i, k] = n[i, j]
        for k in range((nz - 1) // 2):
            j = 2 * k
            mid = j + 1
            a, b, c = n[i, j], n[i, mid], g[i, mid]
            known = fixed[i, mid]
            s = 0.0 if known else 1.0 / (a + b + c)
            left[i, mid] = a * s
            right[i, mid] = b * s
            nc[i, k] = a * b * s
            gc[i, k] += a * c * s + (a if known else 0.0)
            gc[i, k + 1] += b * c * s + (b if known else 0.0)
            ec[i, k] += 0.5 * e[i, mid]
            ec[i, k + 1] += 0.5 * e[i, mid]


@compiled
def hierarchy(sizes: Ints, way: Ints, store: Array, flags: Flags) -> None:
    """All coarser networks from the finest.

    sizes: shape (levels, 3), points round, along, start in the store. way: shape (levels,), 0 where the next
    level is coarser round the bore, 1 along. store: shape (12, points), rows P to COUETTE. flags: FIXED,
    HELD; those of given pressure are known on every level (`know`).
    """
    last = len(sizes) - 1
    for k in range(last + 1):
        nt, nz, o = sizes[k]
        e, n, g = view(store[E], o, nt, nz), view(store[N], o, nt, nz), view(store[G], o, nt, nz)
        fixed = flags[FIXED, o : o + nt * nz].reshape(nt, nz)
        diagonal(e, n, g, fixed, view(store[INVERSE], o, nt, nz))
        if k == last:
            break
        left, right = view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz)
        ct, cz, q = sizes[k + 1]
        ec, nc, gc = view(store[E], q, ct, cz), view(store[N], q, ct, cz), view(store[G], q, ct, cz)
        if way[k] == 0:
            coarsen_round(e, n, g, fixed, ec, nc, gc, left, right)
        else:
            coarsen_along(e, n, g, fixed, ec, nc, gc, left, right)


@compiled
def know(sizes: Ints, way: Ints, flags: Flags, bore: Array, nearest: Array) -> None:
    """On every coarser level, where the pressure is given; and the least gap of each row of the bore."""
    for i in range(len(nearest)):
        row, least = bore[i], bore[i, 0]
        for j in range(len(row)):
            least = min(least, row[j])
        nearest[i] = least
    for k in range(len(sizes) - 1):
        nt, nz, o = sizes[k]
        ct, cz, q = sizes[k + 1]
        fixed, fixedc = flags[FIXED, o : o + nt * nz], flags[FIXED, q : q + ct * cz]
        for i in range(ct):
            fi = 2 * i if way[k] == 0 else i
            for j in range(cz):
                fj = j if way[k] == 0 else min(2 * j, nz - 1)
                fixedc[i * cz + j] = fixed[fi * nz + fj]


@compiled
def sources(sizes: Ints, way: Ints, store: Array, flags: Flags) -> None:
    """On every coarser level what flows in, and the pressures that are given: for a start from nothing."""
    for k in range(len(sizes) - 1):
        nt, nz, o = sizes[k]
        ct, cz, q = sizes[k + 1]
        p, f, fixed = view(store[P], o, nt, nz), view(store[F], o, nt, nz), flags[FIXED, o : o + nt * nz]
        left, right = view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz)
        pc, fc = view(store[P], q, ct, cz), view(store[F], q, ct, cz)
        link = view(store[E] if way[k] == 0 else store[N], o, nt, nz)
        for i in range(ct):
            for j in range(cz):
                fi, fj = (2 * i, j) if way[k] == 0 else (i, min(2 * j, nz - 1))
                pc[i, j], fc[i, j] = p[fi, fj], f[fi, fj]
        for i in range(nt):
            for j in range(nz):
                if (i if way[k] == 0 else j) % 2 == 0 or (way[k] == 1 and j == nz - 1):
                    continue
                i0, j0 = (i - 1, j) if way[k] == 0 else (i, j - 1)
                low, high = (
                    ((i // 2, j), ((i // 2 + 1) % ct, j)) if way[k] == 0 else ((i, j // 2), (i, j // 2 + 1))
                )
                known = fixed[i * nz + j]
                fc[low] += link[i0, j0] * p[i, j] if known else left[i, j] * f[i, j]
                fc[high] += link[i, j] * p[i, j] if known else right[i, j] * f[i, j]


@compiled
def put(
    bore: Array,
    nearest: Array,
    x: float,
    y: float,
    laid_x: float,
    laid_y: float,
    still: float,
    stretch: float,
    starts: bool,
    feed_pressure: float,
    squeeze: Array,
    sizes: Ints,
    way: Ints,
    store: Array,
    flags: Flags,
) -> tuple[float, float, float, bool]:
    """The network with the journal's centre at (x, y): cut, wedge flow, least gap, and whether the coarser
    networks were made anew.

    laid_x, laid_y: where they were made (nan for nowhere); they serve within ``still`` times the least gap.
    """
    nt, nz, _ = sizes[0]
    h, fixed = view(store[GAP], 0, nt, nz), flags[FIXED, : nt * nz].reshape(nt, nz)
    e, n, g = view(store[E], 0, nt, nz), view(store[N], 0, nt, nz), view(store[G], 0, nt, nz)
    least = move(bore, nearest, x, y, h)
    cut, wedge = lay(
        h, stretch, starts, feed_pressure, squeeze, fixed, e, n, g, view(store[COUETTE], 0, nt, nz),
        view(store[F], 0, nt, nz),
    )  # fmt: skip
    anew = not math.hypot(x - laid_x, y - laid_y) <= still * least
    if anew:
        hierarchy(sizes, way, store, flags)
    else:
        diagonal(e, n, g, fixed, view(store[INVERSE], 0, nt, nz))
    return cut, wedge, least, anew
