"""Compiled: the Reynolds equation as a network of conductances, and the coarser networks under it.

A grid of n points round the bore (periodic) and m along it (both ends included, at pressure zero) is a
network: ``e[i, j]`` conducts from (i, j) to (i+1, j), ``n[i, j]`` from (i, j) to (i, j+1), ``g[i, j]`` from
(i, j) to pressure zero. A coarser network takes every second point in one direction by eliminating the point
between (exact in one dimension), so that steps, grooves and holes keep their meaning on every level.
"""

from __future__ import annotations

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags, Ints

P, F, E, N, G, INVERSE, W, R, LEFT, RIGHT = range(10)
"""Rows of a store: pressure, right-hand side, conductances round, along, to zero, one over the diagonal, the
same with held nodes at 0, residual, and how a point between two coarser ones follows each."""

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
    ia, im, ib = 1.0 / a, 1.0 / mid, 1.0 / b
    cubes = (ia * ia * ia + 4.0 * im * im * im + ib * ib * ib) / 6.0
    return 1.0 / cubes, mid


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
    at = int(cut) if cut >= 0.0 else -1
    part = cut - at
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        i1 = i + 1 if i < nt - 1 else 0
        i2 = i1 + 1 if i1 < nt - 1 else 0
        wide = 1.0
        if at >= 0 and i == at:
            wide = 0.5 + 0.5 * part
        elif at >= 0 and i0 == at:
            wide = 1.0 - 0.5 * part
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
def coarsen_round(
    e: Array,
    n: Array,
    g: Array,
    f: Array,
    fixed: Flags,
    p: Array,
    ec: Array,
    nc: Array,
    gc: Array,
    fc: Array,
    fixedc: Flags,
    pc: Array,
    left: Array,
    right: Array,
) -> None:
    """Every second point round the bore. left, right: how a point between follows its two neighbours."""
    nt, nz = e.shape
    ct = ec.shape[0]
    for k in range(ct):
        i = 2 * k
        for j in range(nz):
            nc[k, j] = n[i, j]
            gc[k, j] = g[i, j]
            fc[k, j] = f[i, j]
            fixedc[k, j] = fixed[i, j]
            pc[k, j] = p[i, j]
            ec[k, j] = e[i, j]
    for k in range(ct):
        i = 2 * k
        mid = i + 1
        if mid >= nt:
            continue
        kn = k + 1 if k < ct - 1 else 0
        for j in range(nz):
            a, b, c = e[i, j], e[mid, j], g[mid, j]
            if fixed[mid, j]:
                left[mid, j] = 0.0
                right[mid, j] = 0.0
                ec[k, j] = 0.0
                gc[k, j] += a
                gc[kn, j] += b
                fc[k, j] += a * p[mid, j]
                fc[kn, j] += b * p[mid, j]
            else:
                s = 1.0 / (a + b + c)
                left[mid, j] = a * s
                right[mid, j] = b * s
                ec[k, j] = a * b * s
                gc[k, j] += a * c * s
                gc[kn, j] += b * c * s
                fc[k, j] += a * s * f[mid, j]
                fc[kn, j] += b * s * f[mid, j]
            nc[k, j] += 0.5 * n[mid, j]
            nc[kn, j] += 0.5 * n[mid, j]


@compiled
def coarsen_along(
    e: Array,
    n: Array,
    g: Array,
    f: Array,
    fixed: Flags,
    p: Array,
    ec: Array,
    nc: Array,
    gc: Array,
    fc: Array,
    fixedc: Flags,
    pc: Array,
    left: Array,
    right: Array,
) -> None:
    """Every second point along the axis, both ends kept."""
    nt, nz = e.shape
    cz = ec.shape[1]
    for i in range(nt):
        for k in range(cz):
            j = min(2 * k, nz - 1)
            ec[i, k] = e[i, j]
            gc[i, k] = g[i, j]
            fc[i, k] = f[i, j]
            fixedc[i, k] = fixed[i, j]
            pc[i, k] = p[i, j]
            nc[i, k] = n[i, j]
        for k in range(cz - 1):
            j = 2 * k
            mid = j + 1
            if mid + 1 > nz - 1:
                continue
            a, b, c = n[i, j], n[i, mid], g[i, mid]
            if fixed[i, mid]:
                left[i, mid] = 0.0
                right[i, mid] = 0.0
                nc[i, k] = 0.0
                gc[i, k] += a
                gc[i, k + 1] += b
                fc[i, k] += a * p[i, mid]
                fc[i, k + 1] += b * p[i, mid]
            else:
                s = 1.0 / (a + b + c)
                left[i, mid] = a * s
                right[i, mid] = b * s
                nc[i, k] = a * b * s
                gc[i, k] += a * c * s
                gc[i, k + 1] += b * c * s
                fc[i, k] += a * s * f[i, mid]
                fc[i, k + 1] += b * s * f[i, mid]
            ec[i, k] += 0.5 * e[i, mid]
            ec[i, k + 1] += 0.5 * e[i, mid]


@compiled
def hierarchy(sizes: Ints, way: Ints, store: Array, flags: Flags) -> None:
    """All coarser networks from the finest.

    sizes: shape (levels, 3), points round, along, start in the store. way: shape (levels,), 0 where the next
    level is coarser round the bore, 1 along. store: shape (10, points), rows P to RIGHT. flags: FIXED, HELD.
    """
    last = len(sizes) - 1
    for k in range(last + 1):
        nt, nz, o = sizes[k]
        e, n, g = view(store[E], o, nt, nz), view(store[N], o, nt, nz), view(store[G], o, nt, nz)
        fixed = flags[FIXED, o : o + nt * nz].reshape(nt, nz)
        diagonal(e, n, g, fixed, view(store[INVERSE], o, nt, nz))
        if k == last:
            break
        p, f = view(store[P], o, nt, nz), view(store[F], o, nt, nz)
        left, right = view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz)
        ct, cz, q = sizes[k + 1]
        ec, nc, gc = view(store[E], q, ct, cz), view(store[N], q, ct, cz), view(store[G], q, ct, cz)
        pc, fc = view(store[P], q, ct, cz), view(store[F], q, ct, cz)
        fixedc = flags[FIXED, q : q + ct * cz].reshape(ct, cz)
        if way[k] == 0:
            coarsen_round(e, n, g, f, fixed, p, ec, nc, gc, fc, fixedc, pc, left, right)
        else:
            coarsen_along(e, n, g, f, fixed, p, ec, nc, gc, fc, fixedc, pc, left, right)
