"""Compiled: projected multigrid for the film's network, p >= 0, A p >= f, p (A p - f) = 0.

Full approximation scheme after A. Brandt and C. W. Cryer, SIAM J. Sci. Stat. Comput. 4 (1983) 655-684 (from
memory), with two changes: nodes in the ruptured part are held during the coarse-grid correction, so that the
discrete solution is a fixed point of the cycle, and the first guess comes from the coarsest level up.
"""

from __future__ import annotations

from whitemetal.film.compiled import compiled
from whitemetal.film.kinds import Array, Flags, Ints
from whitemetal.film.network import FIXED, HELD, INVERSE, LEFT, RIGHT, E, F, G, N, P, R, W, view

COARSEST_SWEEPS = 12
"""Sweeps on the coarsest grid, which stand for its solution. Our own."""


@compiled
def relax(p: Array, f: Array, e: Array, n: Array, w: Array, sweeps: int) -> None:
    """Red-black Gauss-Seidel with projection onto p >= 0. w: 1/diagonal, 0 where the node is held.

    Written row by row with counted loops, so that the compiler makes vector code of it.
    """
    nt, nz = p.shape
    for _ in range(sweeps):
        for colour in range(2):
            for i in range(nt):
                i0 = i - 1 if i > 0 else nt - 1
                i1 = i + 1 if i < nt - 1 else 0
                here, up, down, side = p[i], p[i1], p[i0], f[i]
                to_up, to_down, along, weight = e[i], e[i0], n[i], w[i]
                first = 1 + ((i + colour) & 1)
                for k in range((nz - first) // 2):
                    j = first + 2 * k
                    s = side[j] + to_up[j] * up[j] + to_down[j] * down[j]
                    s += along[j] * here[j + 1] + along[j - 1] * here[j - 1]
                    s = max(0.0, s * weight[j])
                    if weight[j] != 0.0:
                        here[j] = s


@compiled
def remainder(p: Array, f: Array, e: Array, n: Array, g: Array, w: Array, r: Array, held: Flags) -> float:
    """Residual f - A p of the free nodes into r, its sum |r|; nodes that stay ruptured are marked held."""
    nt, nz = p.shape
    total = 0.0
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        i1 = i + 1 if i < nt - 1 else 0
        here, up, down, side, left_over = p[i], p[i1], p[i0], f[i], r[i]
        to_up, to_down, along, weight, stays, ground = e[i], e[i0], n[i], w[i], held[i], g[i]
        left_over[0] = left_over[nz - 1] = 0.0
        stays[0] = stays[nz - 1] = True
        for j in range(1, nz - 1):
            x = here[j]
            s = side[j] + to_up[j] * (up[j] - x) + to_down[j] * (down[j] - x) - ground[j] * x
            s += along[j] * (here[j + 1] - x) + along[j - 1] * (here[j - 1] - x)
            stay = weight[j] == 0.0 or (x <= 0.0 and s < 0.0)
            stays[j] = stay
            s = 0.0 if stay else s
            left_over[j] = s
            total += abs(s)
    return total


@compiled
def restrict(
    way: int, p: Array, r: Array, held: Flags, left: Array, right: Array, pc: Array, rc: Array
) -> None:
    """Pressure by injection, residual by the transpose of the interpolation."""
    nt, nz = p.shape
    ct, cz = pc.shape
    if way == 0:
        for k in range(ct):
            i = 2 * k
            mid = i + 1
            before = i - 1 if i > 0 else nt - 1
            for j in range(nz):
                s = r[i, j]
                if mid < nt:
                    s += left[mid, j] * r[mid, j]
                if before & 1:
                    s += right[before, j] * r[before, j]
                pc[k, j] = p[i, j]
                rc[k, j] = s
    else:
        for i in range(nt):
            for k in range(cz):
                j = min(2 * k, nz - 1)
                s = r[i, j]
                if j + 2 <= nz - 1:
                    s += left[i, j + 1] * r[i, j + 1]
                if j >= 2 and not j & 1:
                    s += right[i, j - 1] * r[i, j - 1]
                pc[i, k] = p[i, j]
                rc[i, k] = s


@compiled
def coarse_side(
    way: int, held: Flags, p: Array, e: Array, n: Array, g: Array, inverse: Array, f: Array, w: Array
) -> None:
    """Right-hand side of the coarse problem, restricted residual + A p, in place in f; held nodes in w."""
    nt, nz = p.shape
    fine_z = held.shape[1]
    for i in range(nt):
        i0 = i - 1 if i > 0 else nt - 1
        i1 = i + 1 if i < nt - 1 else 0
        fi = 2 * i if way == 0 else i
        for j in range(1, nz - 1):
            fj = j if way == 0 else min(2 * j, fine_z - 1)
            w[i, j] = 0.0 if held[fi, fj] else inverse[i, j]
            x = p[i, j]
            f[i, j] -= (
                e[i, j] * (p[i1, j] - x) + e[i0, j] * (p[i0, j] - x)
                + n[i, j] * (p[i, j + 1] - x) + n[i, j - 1] * (p[i, j - 1] - x) - g[i, j] * x
            )  # fmt: skip


@compiled
def correct(way: int, p: Array, held: Flags, left: Array, right: Array, pc: Array) -> None:
    """Add the change of the coarse pressure to the fine one, held nodes excepted, and project."""
    nt, nz = p.shape
    ct, cz = pc.shape
    if way == 0:
        for k in range(ct):
            i = 2 * k
            mid = i + 1
            if mid >= nt:
                continue
            kn = k + 1 if k < ct - 1 else 0
            i1 = 2 * kn
            for j in range(1, nz - 1):
                if not held[mid, j]:
                    step = left[mid, j] * (pc[k, j] - p[i, j]) + right[mid, j] * (pc[kn, j] - p[i1, j])
                    p[mid, j] = max(0.0, p[mid, j] + step)
        for k in range(ct):
            for j in range(1, nz - 1):
                if not held[2 * k, j]:
                    p[2 * k, j] = pc[k, j]
    else:
        for i in range(nt):
            for k in range(cz - 1):
                mid = 2 * k + 1
                if mid + 1 > nz - 1 or held[i, mid]:
                    continue
                step = left[i, mid] * (pc[i, k] - p[i, mid - 1]) + right[i, mid] * (
                    pc[i, k + 1] - p[i, mid + 1]
                )
                p[i, mid] = max(0.0, p[i, mid] + step)
            for k in range(1, cz - 1):
                j = min(2 * k, nz - 1)
                if not held[i, j]:
                    p[i, j] = pc[i, k]


@compiled
def interpolate(way: int, p: Array, fixed: Flags, left: Array, right: Array, pc: Array) -> None:
    """First guess of the fine pressure from the coarse one."""
    nt, nz = p.shape
    ct, cz = pc.shape
    if way == 0:
        for k in range(ct):
            mid = 2 * k + 1
            kn = k + 1 if k < ct - 1 else 0
            for j in range(1, nz - 1):
                if not fixed[2 * k, j]:
                    p[2 * k, j] = pc[k, j]
                if mid < nt and not fixed[mid, j]:
                    p[mid, j] = left[mid, j] * pc[k, j] + right[mid, j] * pc[kn, j]
    else:
        for i in range(nt):
            for k in range(cz - 1):
                j, mid = min(2 * k, nz - 1), 2 * k + 1
                if k > 0 and not fixed[i, j]:
                    p[i, j] = pc[i, k]
                if mid + 1 <= nz - 1 and not fixed[i, mid]:
                    p[i, mid] = left[i, mid] * pc[i, k] + right[i, mid] * pc[i, k + 1]


@compiled
def cycle(
    top: int,
    enough: float,
    before: int,
    after: int,
    turns: Ints,
    sizes: Ints,
    way: Ints,
    store: Array,
    flags: Flags,
) -> float:
    """One cycle from level ``top`` down and up; returns sum |residual| as it stood after the first sweeps,
    and goes no further when that is ``enough``.

    before, after: sweeps on the way down and up. turns: shape (levels,), 1 where a level calls the next once,
    2 where twice. sizes, way, store, flags: as in `network.hierarchy`.
    """
    last = sizes.shape[0] - 1
    nt, nz, o = sizes[top]
    store[W, o : o + nt * nz] = store[INVERSE, o : o + nt * nz]
    total = 0.0
    visits = [0] * (last + 1)
    k = top
    while True:
        nt, nz, o = sizes[k]
        p, f, w = view(store[P], o, nt, nz), view(store[F], o, nt, nz), view(store[W], o, nt, nz)
        e, n, g = view(store[E], o, nt, nz), view(store[N], o, nt, nz), view(store[G], o, nt, nz)
        if k < last:
            held, r = flags[HELD, o : o + nt * nz].reshape(nt, nz), view(store[R], o, nt, nz)
            left, right = view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz)
            relax(p, f, e, n, w, before)
            left_over = remainder(p, f, e, n, g, w, r, held)
            if k == top:
                total = left_over
                if total <= enough:
                    return total
            ct, cz, q = sizes[k + 1]
            pc, fc, wc = view(store[P], q, ct, cz), view(store[F], q, ct, cz), view(store[W], q, ct, cz)
            ec, nc, gc = view(store[E], q, ct, cz), view(store[N], q, ct, cz), view(store[G], q, ct, cz)
            restrict(way[k], p, r, held, left, right, pc, fc)
            coarse_side(way[k], held, pc, ec, nc, gc, view(store[INVERSE], q, ct, cz), fc, wc)
            visits[k] += 1
            k += 1
            continue
        relax(p, f, e, n, w, COARSEST_SWEEPS)
        back = False
        while k > top and not back:
            ct, cz, q = sizes[k]
            k -= 1
            nt, nz, o = sizes[k]
            rise(k, after, nt, nz, o, way[k], view(store[P], q, ct, cz), store, flags)
            back = visits[k] < turns[k] and k > top
            if not back:
                visits[k] = 0
        if not back:
            return total


@compiled
def rise(
    k: int, after: int, nt: int, nz: int, o: int, way: int, pc: Array, store: Array, flags: Flags
) -> None:
    """Correct one level from the coarser one and relax."""
    p, held = view(store[P], o, nt, nz), flags[HELD, o : o + nt * nz].reshape(nt, nz)
    correct(way, p, held, view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz), pc)
    e, n = view(store[E], o, nt, nz), view(store[N], o, nt, nz)
    relax(p, view(store[F], o, nt, nz), e, n, view(store[W], o, nt, nz), after)


@compiled
def settle(
    cold: bool,
    limit: int,
    tolerance: float,
    before: int,
    after: int,
    turns: Ints,
    sizes: Ints,
    way: Ints,
    store: Array,
    flags: Flags,
) -> tuple[float, int]:
    """Cycles on the finest level until sum |residual| <= tolerance, at most ``limit``; returns both.

    cold: begin on the coarsest level and climb, with one cycle on each second level, to a first guess. Where
    a cycle gains less than a factor of two the edge of the ruptured part wanders: more sweeps, which alone
    move that edge, are put in, and more each time. (One call of `cycle` serves for all: each more is compiled
    anew.)
    """
    k = sizes.shape[0] - 1 if cold else 0
    sweeps = 2 * COARSEST_SWEEPS if cold else 0
    total, count = 0.0, 0
    while True:
        nt, nz, o = sizes[k]
        if sweeps:
            p, f, w = view(store[P], o, nt, nz), view(store[F], o, nt, nz), view(store[INVERSE], o, nt, nz)
            relax(p, f, view(store[E], o, nt, nz), view(store[N], o, nt, nz), w, sweeps)
        if k > 0:
            pc = view(store[P], o, nt, nz)
            k -= 1
            nt, nz, o = sizes[k]
            left, right = view(store[LEFT], o, nt, nz), view(store[RIGHT], o, nt, nz)
            fixed = flags[FIXED, o : o + nt * nz].reshape(nt, nz)
            interpolate(way[k], view(store[P], o, nt, nz), fixed, left, right, pc)
            sweeps = 0
            if k & 1:
                continue
        was = total
        total = cycle(k, tolerance if k == 0 else -1.0, before, after, turns, sizes, way, store, flags)
        if k > 0:
            continue
        count += 1
        if total <= tolerance or count == limit:
            return total, count
        sweeps = sweeps + 4 if count > 2 and total > 0.5 * was else sweeps
