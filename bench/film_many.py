"""Many films: the running window of a card, and 10,000 load balances of aligned bearings on two cores."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context

from bench import clock, mill
from whitemetal.card import read_card
from whitemetal.film import gap
from whitemetal.film.nominal import nominal
from whitemetal.film.reynolds import solve
from whitemetal.film.solved import round_bearing
from whitemetal.film.window import clearances, sweep

BALANCES = 10_000
CORES = 2
SLENDERNESSES = tuple(0.3 + 0.06 * k for k in range(20))
AIMS = (0.02, 0.008)
"""Time a balance over one spsolve, on each of the two grids."""

Grid = tuple[int, int]


def loads() -> list[float]:
    """Load numbers from 0.1 to 10, the same in every run."""
    dice = random.Random(7)
    return [10.0 ** dice.uniform(-1.0, 1.0) for _ in range(BALANCES // len(SLENDERNESSES))]


def carry(slendernesses: Sequence[float], grid: Grid) -> float:
    """Balance every load on every bearing; the sum of eccentricities, so that nothing is left out unseen."""
    total = 0.0
    for slenderness in slendernesses:
        curve = round_bearing(slenderness, grid=grid, moving=False)
        for load in loads():
            point = curve.at(load)
            total += 1.0 if point is None else point.eccentricity
    return total


def balances(grid: Grid, other: Callable[[], object], under: float) -> list[clock.Row]:
    """A balance of 10,000, from nothing (the 20 curves are solved too) and with the curves kept."""
    shares = [SLENDERNESSES[k::CORES] for k in range(CORES)]
    spawn = get_context("spawn")
    pools = [ProcessPoolExecutor(1, mp_context=spawn) for _ in shares]

    def all_at_once() -> None:
        asked = [pool.submit(carry, share, grid) for pool, share in zip(pools, shares, strict=True)]
        for each in asked:
            each.result()

    try:
        for each in [pool.submit(ready, grid) for pool in pools]:
            each.result()
        taken = [clock.once(all_at_once) for _ in range(4)]
    finally:
        for pool in pools:
            pool.shutdown()
    base = sorted(clock.once(other) for _ in range(7))[3]
    timed = {"curves solved too": taken[0] / BALANCES, "curves kept": sorted(taken[1:])[1] / BALANCES}
    name = f"one of 10,000 balances on two cores, {grid[0]}x{grid[1]}"
    return [
        clock.Row(f"{name}, {how}", "spsolve", each, base, f"under {under:g}x", each / base < under)
        for how, each in timed.items()
    ]


def ready(grid: Grid) -> None:
    """Load the compiled code in a worker, so that a start is not counted."""
    solve(gap.circular(0.5, n_theta=grid[0], n_z=grid[1]), 1.0)


def off(grid: Grid, slenderness: float = 0.7) -> float:
    """How far a balance read from a curve is from the discrete answer at its own position, in So."""
    curve = round_bearing(slenderness, grid=grid, moving=False)
    worst = 0.0
    for load in loads()[:40]:
        point = curve.at(load)
        if point is not None:
            film = solve(gap.circular(point.eccentricity, n_theta=grid[0], n_z=grid[1]), slenderness,
                         film_start="widest gap", tolerance=1e-8)  # fmt: skip
            worst = max(worst, abs(film.load / load - 1.0))
    return worst


def window(turns: int = 5) -> list[clock.Row]:
    """The window of 40 clearances of the demo's fan, whirl included: its curve solved, and kept."""
    found = nominal(read_card(mill.CARD))
    at = clearances(found.conditions.diameter, 40)
    kept = partial(sweep, found.conditions, found.curve, found.criteria, cold=at)

    def anew() -> None:
        round_bearing.cache_clear()
        start = nominal(read_card(mill.CARD))
        sweep(start.conditions, start.curve, start.criteria, cold=at)

    return [
        clock.alone("window of 40 with heat balance, curve solved too", anew, turns=turns, under=0.5),
        clock.alone("window of 40 with heat balance, curve kept", kept, turns=turns, under=0.5),
    ]


def first_window() -> str:
    """Time of the first window in this interpreter, as words."""
    start = time.perf_counter()
    found = nominal(read_card(mill.CARD))
    sweep(found.conditions, found.curve, found.criteria, cold=clearances(found.conditions.diameter, 40))
    return f"first window {(time.perf_counter() - start) * 1e3:.0f} ms"
