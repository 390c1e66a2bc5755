"""Plans by trying everything: all shim stacks and a grid of passes, with nothing of the program's own.

Probabilities are products of normal ones (the places of these cases are independent of each other), the
half-of-what-is-left rule is walked through pass by pass, and the best is picked by sorting.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

UM = 1e-6


@dataclass(frozen=True)
class Case:
    """A small case; lengths in whole micrometres where a person would use them. values: place by place;
    station of each; joint: effects (clearance, crush) of a shim of thickness 1, crush None without one."""

    values: tuple[float, ...]
    station: tuple[int, ...]
    by_shim: tuple[float, ...]
    by_metal: tuple[float, ...]
    u: float
    low: float | None
    high: float | None
    joint: tuple[float, float | None]
    pack: tuple[float, ...]
    stock: tuple[float, ...]
    rounds: int
    lining: float | None
    crush: float | None
    crush_u: float
    crush_low: float
    crush_high: float


ROUGH, FINISHING = (10.0, 15.0, 20.0), (2.0, 3.5, 5.0)
MOST_OF_ONE = 4

Key = tuple[float, ...]


def best(case: Case, least_chance: float) -> Key | None:
    """Openings, metal, shims in the joint less those in now, pieces handled, distance from the middle; of the
    best work, None where nothing works."""
    found: Key | None = None
    for key, shim in _stacks(case):
        if not _crush_ok(case, shim, least_chance):
            continue
        for rounds, metal, mid, most in _passes(case, shim):
            candidate = (float(rounds) + float(key[1] > 0), metal, key[0], key[1])
            if found is not None and candidate > found[:4]:
                continue
            if _chance(mid, case) >= least_chance and _chance(most, case) >= least_chance:
                whole = (*candidate, _off(mid, case))
                found = whole if found is None else min(found, whole)
    return found


def _stacks(case: Case) -> Iterator[tuple[tuple[float, float], float]]:
    """Every stack: (shims more than now, pieces handled), change of thickness."""
    sizes = sorted(set(case.pack))
    for added in product(range(MOST_OF_ONE + 1), repeat=len(case.stock)):
        for taken in product(*(range(case.pack.count(size) + 1) for size in sizes)):
            thick = sum(n * s for n, s in zip(added, case.stock, strict=True))
            thick -= sum(n * s for n, s in zip(taken, sizes, strict=True))
            yield (float(sum(added) - sum(taken)), float(sum(added) + sum(taken))), thick


def _crush_ok(case: Case, shim: float, least_chance: float) -> bool:
    if case.joint[1] is None:
        return True
    if case.crush is None:
        return case.joint[1] * shim == 0.0
    after = case.crush + case.joint[1] * shim
    below, above = (case.crush_low - after) / case.crush_u, (case.crush_high - after) / case.crush_u
    return bool(ndtr(above) - ndtr(below) >= least_chance)


def _passes(case: Case, shim: float) -> Iterator[tuple[int, float, NDArray[np.float64], NDArray[np.float64]]]:
    """Every grid of passes that the lining and the half rule allow."""
    start = np.array(case.values) + case.joint[0] * shim * np.array(case.by_shim)
    at = np.array(case.station)
    one = [(r, f) for r in range(case.rounds + 1) for f in range(case.rounds + 1 - r)]
    each = [
        [work for work in one if _walks(case, start, at == k, work)] for k in range(max(case.station) + 1)
    ]
    for works in product(*each):
        grid = np.array(works, dtype=float)
        mid = grid @ np.array([ROUGH[1], FINISHING[1]])
        most = grid @ np.array([ROUGH[2], FINISHING[2]])
        gain = np.array(case.by_metal)
        rounds = int(grid.sum(axis=1).max())
        yield rounds, float(mid.sum()), start + gain * mid[at], start + gain * most[at]


def _walks(case: Case, start: NDArray[np.float64], here: NDArray[np.bool_], work: tuple[int, int]) -> bool:
    """Whether these passes at a station may be made one after the other, each taking all it may."""
    off = 0.0
    for most in [ROUGH[2]] * work[0] + [FINISHING[2]] * work[1]:
        if case.high is not None:
            gain = np.array(case.by_metal)[here]
            left = case.high - (start[here] + gain * off)
            if np.any(gain * most > 0.5 * left + 1e-9):
                return False
        off += most
    return case.lining is None or off <= case.lining + 1e-9


def _chance(values: NDArray[np.float64], case: Case) -> float:
    above = 1.0 if case.high is None else ndtr((case.high - values) / case.u)
    below = 0.0 if case.low is None else ndtr((case.low - values) / case.u)
    return float(np.prod(above - below))


def _off(values: NDArray[np.float64], case: Case) -> float:
    if case.low is None or case.high is None:
        return 0.0
    return float(np.max(np.abs(values - 0.5 * (case.low + case.high))))


def random_case(seed: int) -> Case:
    """A small case, invented by a seed."""
    rng = np.random.default_rng(seed)
    places = int(rng.integers(1, 5))
    stations = 1 if places == 1 else int(rng.integers(1, 3))
    low = float(rng.integers(120, 200))
    width = float(rng.integers(35, 110))
    middle = low + 0.5 * width + float(rng.normal(0.0, 1.0)) * (30.0 + 40.0 * rng.random())
    if rng.random() < 0.4:
        width = float(rng.integers(30, 60))
        middle = low + float(rng.uniform(-20.0, 5.0))
    joint = [(1.0, 1.0), (0.0, -1.0), (1.0, 0.0), (1.0, None)][int(rng.integers(0, 4))]
    measured = joint[1] is not None and rng.random() < 0.8
    sizes = [20.0, 30.0, 50.0, 100.0]
    return Case(
        values=tuple(round(middle + float(rng.normal(0.0, 5.0)), 1) for _ in range(places)),
        station=tuple(i * stations // places for i in range(places)),
        by_shim=tuple(round(float(rng.uniform(0.97, 1.0)), 3) for _ in range(places)),
        by_metal=tuple(round(float(rng.uniform(1.0, 1.05)), 3) for _ in range(places)),
        u=round(float(rng.uniform(2.0, 6.0)), 2),
        low=low if rng.random() < 0.9 else None,
        high=low + width if rng.random() < 0.9 else None,
        joint=joint,
        pack=tuple(float(x) for x in rng.choice(sizes, size=int(rng.integers(0, 3)))),
        stock=tuple(float(x) for x in rng.choice(sizes, size=int(rng.integers(0, 3)), replace=False)),
        rounds=int(rng.choice([0, 2, 3])),
        lining=None if rng.random() < 0.6 else float(rng.integers(5, 45)),
        crush=round(float(rng.normal(30.0, 25.0)), 1) if measured else None,
        crush_u=round(float(rng.uniform(2.0, 5.0)), 2),
        crush_low=0.0,
        crush_high=float(rng.integers(40, 80)),
    )
