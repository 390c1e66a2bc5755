"""Two things timed turn by turn in one run, and the ratio of their medians.

A ratio of two medians measured together says more than a time: what slows the machine slows both. Nothing
here fails on a figure; the aims are printed beside what was found.
"""

from __future__ import annotations

import gc
import statistics
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Work = Callable[[], object]


@dataclass(frozen=True)
class Row:
    """One line of the table. ours, other: medians [s]; ratio: of the medians; spread: quartiles of ours over
    its median; aim: what the ratio should stay under, None when a time is aimed at."""

    name: str
    other_name: str
    ours: float
    other: float
    aim: str
    good: bool

    @property
    def ratio(self) -> float:
        return self.ours / self.other


def compare(name: str, ours: Work, other_name: str, other: Work, *, turns: int, under: float) -> Row:
    """Time ``ours`` and ``other`` alternately, ``turns`` times each after two that do not count."""
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(turns + 2):
        for kept, work in zip(times, (ours, other), strict=True):
            taken = once(work)
            if turn >= 2:
                kept.append(taken)
    a, b = map(statistics.median, times)
    return Row(name, other_name, a, b, f"under {under:g}x", a / b < under)


def alone(name: str, work: Work, *, turns: int, under: float) -> Row:
    """Time one thing against a clock; ``under`` [s]."""
    taken = statistics.median([once(work) for _ in range(turns + 1)][1:])
    return Row(name, f"{under:g} s", taken, under, f"under {under:g} s", taken < under)


def once(work: Work) -> float:
    """Seconds one call takes."""
    gc.collect()
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def process(*command: str) -> Work:
    """A whole process, from its start to its end; an end with its message when it fails."""

    def work() -> None:
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            raise SystemExit(f"{' '.join(command)}\n{done.stdout[-1000:]}{done.stderr[-1000:]}")

    return work


def show(rows: Sequence[Row]) -> None:
    """The table."""
    wide = max(len(row.name) for row in rows)
    other = max(len(row.other_name) for row in rows)
    for row in rows:
        ours = f"{row.name:<{wide}}  {_spoken(row.ours)}"
        theirs = f"{row.other_name:<{other}}  {_spoken(row.other)}"
        ratio = f"{row.ratio:#.2g}"
        print(f"{ours}   {theirs}   {ratio:>6}x   aim {row.aim}{'' if row.good else '   MISSED'}")


def _spoken(seconds: float) -> str:
    """A time in ms, or in µs where that would be all zeros."""
    return f"{seconds * 1e3:8.1f} ms" if seconds >= 1e-4 else f"{seconds * 1e6:8.1f} µs"
