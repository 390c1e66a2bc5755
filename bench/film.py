"""The film against one direct solve of the linear problem on the same grid, one thread, in one run.

Run alone: ``python -m bench.film``. What is timed against is ``scipy.sparse.linalg.spsolve`` of the same
network with no rupture. Beside it the limit: bytes a solve must move at least and flops it must do.
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("NUMBA_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from bench import clock, film_many
from whitemetal.film import field, gap, policy, reynolds
from whitemetal.film.balance import position
from whitemetal.film.kinds import Array, Flags

ROOT = Path(__file__).resolve().parent.parent
GRIDS = ((180, 41), (360, 81))
ENOUGH = 5e-5
"""Residual at which So is within 1e-4 of the converged discrete answer; `close` proves it in the same run."""

AIMS = {
    "one solve": (0.10, 0.04),
    "one solve that keeps its oil": (12.0, 12.0),
    "balance, plain round bore": (0.14, 0.05),
    "balance, taper and tilt": (0.10, 0.04),
    "balance, taper and tilt, no groove": (0.30, 0.12),
}


def bearing(n: int, m: int) -> tuple[Array, Flags]:
    """A tilted, tapered, eccentric gap and two part-length grooves."""
    feed = gap.groove(math.pi / 2, math.radians(20), 0.75, n, m)
    feed |= gap.groove(1.5 * math.pi, math.radians(20), 0.75, n, m)
    return gap.circular(0.6, 0.3, n, m, tilt=(0.02, 0.05), taper=0.1), feed


def linear(h: Array, feed: Flags) -> Callable[[], object]:
    """One spsolve of the network with no rupture."""
    from scipy.sparse.linalg import spsolve

    network = field.network_of(h, 1.0, feed, 0.02, None, None)
    fixed = network.fixed.copy()
    fixed[:, [0, -1]] = True
    free = np.flatnonzero(~fixed.ravel())
    links = policy.sheet(network.e, network.n, network.g)
    side = (network.source.ravel() - links @ network.given.ravel())[free]
    matrix: Any = links[free][:, free].tocsc()
    return lambda: spsolve(matrix, side)


def close(h: Array, feed: Flags) -> float:
    """How far So of the timed solve is from that of a converged one."""
    timed = reynolds.solve(h, 1.0, feed=feed, feed_pressure=0.02, tolerance=ENOUGH)
    full = reynolds.solve(h, 1.0, feed=feed, feed_pressure=0.02, tolerance=1e-10)
    return abs(timed.load / full.load - 1.0)


def rows() -> list[clock.Row]:
    """The table."""
    found = []
    for k, (n, m) in enumerate(GRIDS):
        h, feed = bearing(n, m)
        plain, other, name = gap.plain(n, m), linear(h, feed), f"{n}x{m}"
        held = gap.displaced(gap.plain(n, m, taper=0.1), 0.0, 0.0, 0.02, 0.05)
        works: dict[str, Callable[[], object]] = {
            "one solve": lambda h=h, feed=feed: reynolds.solve(  # type: ignore[misc]
                h, 1.0, feed=feed, feed_pressure=0.02, tolerance=ENOUGH
            ),
            "one solve that keeps its oil": lambda h=h, feed=feed: reynolds.solve(  # type: ignore[misc]
                h, 1.0, feed=feed, feed_pressure=0.02, rupture="jfo"
            ),
            "balance, plain round bore": lambda plain=plain: position(1.3, 0.4, plain, 1.0, tolerance=1e-4),  # type: ignore[misc]
            "balance, taper and tilt": lambda held=held, feed=feed: position(  # type: ignore[misc]
                1.3, 0.4, held, 1.0, feed=feed, feed_pressure=0.02, tolerance=1e-4
            ),
            "balance, taper and tilt, no groove": lambda held=held: position(  # type: ignore[misc]
                1.3, 0.4, held, 1.0, film_start="free", tolerance=1e-4
            ),
        }
        for what, work in works.items():
            turns = 5 if "oil" in what else 15
            found.append(
                clock.compare(f"{what}, {name}", work, "spsolve", other, turns=turns, under=AIMS[what][k])
            )
        found += film_many.balances((n, m), other, film_many.AIMS[k])
    return found + film_many.window()


def iterations() -> None:
    """Cycles to a residual of 1e-6, and places tried and cycles on the finest grid of a balance, from 90x21
    to 1440x321, with the time a node."""
    print(
        "cycles of one solve to a residual of 1e-6; films and cycles on the finest grid of a balance to 1e-4"
    )
    for k in (1, 2, 4, 8, 16):
        n, m = 90 * k, 20 * k + 1
        h, feed = bearing(n, m)
        film, taken = timed(lambda h=h, feed=feed: reynolds.solve(h, 1.0, feed=feed, feed_pressure=0.02))  # type: ignore[misc]
        held = gap.displaced(gap.plain(n, m, taper=0.1), 0.0, 0.0, 0.02, 0.05)
        found, sought = timed(
            lambda held=held, feed=feed: position(  # type: ignore[misc]
                1.3, 0.4, held, 1.0, feed=feed, feed_pressure=0.02, tolerance=1e-4
            )
        )
        solved = f"{film.iterations:3d} cycles  {taken * 1e3:8.2f} ms  {taken / h.size * 1e9:6.0f} ns a node"
        told = f"{found.iterations:2d} films {found.film.iterations:2d} cycles  {sought * 1e3:8.2f} ms"
        print(f"  {n:5d} x {m:3d}  {solved}  So {film.load:.6f}   {told}")


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """What a call gives and the seconds it takes, the second time."""
    work()
    start = time.perf_counter()
    found = work()
    return found, time.perf_counter() - start


def limit(n: int, m: int) -> str:
    """Least work of a solve: climb (4/3 of a cycle, about) and two cycles, by counting arrays and operations.

    A cycle on the finest grid sweeps three times (each: p, f, e, n, w read, p written; 8 bytes each; 10 flops
    a node), takes one residual (7 arrays, 15 flops) and corrects; all coarser levels together cost as much
    again.
    """
    nodes = n * m
    cycles = 2 + 4 / 3
    bytes_ = cycles * 2 * nodes * 8 * (3 * 6 + 7 + 4)
    flops = cycles * 2 * nodes * (3 * 10 + 15 + 3)
    return f"{n}x{m}: at least {bytes_ / 1e6:.1f} MB moved (within the caches), {flops / 1e6:.1f} Mflop"


def first_call() -> None:
    """A fresh interpreter's first solve: compiled anew, and from the folder it is kept in."""
    program = (
        "import time; a = time.perf_counter()\n"
        "from whitemetal.film import gap, reynolds; b = time.perf_counter()\n"
        "reynolds.solve(gap.circular(0.5), 1.0); c = time.perf_counter()\n"
        "from bench.film_many import first_window\n"
        "print(f'import {(b - a) * 1e3:.0f} ms, first solve {(c - b) * 1e3:.0f} ms, then', first_window())"
    )
    import tempfile

    paths = f"{ROOT / 'src'}{os.pathsep}{ROOT}"

    with tempfile.TemporaryDirectory() as folder:
        for word in ("nothing kept", "kept on disk"):
            out = subprocess.run(
                [sys.executable, "-c", program], capture_output=True, text=True, check=True,
                env={**os.environ, "NUMBA_CACHE_DIR": folder, "PYTHONPATH": paths},
            ).stdout.strip()  # fmt: skip
            print(f"first call, {word}: {out}")


def beside() -> None:
    """What is written beside the table: how exact what was timed is, the limits, cycles, a first call."""
    for n, m in GRIDS:
        print(f"So of the timed solve off by {close(*bearing(n, m)):.1e} at {n}x{m} (aim 1e-4)")
        print(f"So of a balance read from its curve off by {film_many.off((n, m)):.1e} at {n}x{m}")
        print(f"limit at {limit(n, m)}")
    iterations()
    first_call()


def main() -> None:
    """Everything, printed."""
    clock.show(rows())
    beside()


if __name__ == "__main__":
    main()
