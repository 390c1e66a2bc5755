"""Run-ins that are not the forecast's own curves: two lags marched in steps, a drifting room, a lagging probe,
noise and a logger's tenth of a kelvin. Invented, seeded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEP = 10.0
HOURS = 8.0


@dataclass(frozen=True)
class RunIn:
    """time [s], temperature as logged [K], shape (n,); the temperature it really ends at [K]."""

    time: NDArray[np.float64]
    temperature: NDArray[np.float64]
    end: float


def run_in(
    rng: np.random.Generator, minutes: float, *, rise: float | None = None, room: float | None = None,
    every: float = 60.0,
) -> RunIn:  # fmt: skip
    """One run-in read every so many seconds for so many minutes."""
    time = np.arange(0.0, HOURS * 3600.0, STEP)
    total = rng.uniform(15.0, 55.0) if rise is None else rise
    fast, slow = rng.uniform(4.0, 15.0) * 60.0, rng.uniform(30.0, 90.0) * 60.0
    share, probe = rng.uniform(0.2, 0.7), rng.uniform(0.1, 2.0) * 60.0
    about = 273.15 + (rng.uniform(12.0, 35.0) if room is None else room)
    air = about + rng.normal(0.0, 1.2) / 3600.0 * np.minimum(time, 3.0 * 3600.0)
    oil = _lagged(np.full_like(time, (1.0 - share) * total), fast, 0.0)
    body = _lagged(np.full_like(time, share * total), slow, 0.0)
    metal = air + oil + body
    shown = _lagged(metal, probe, metal[0])
    at = np.arange(0.0, minutes * 60.0 + 1.0, every)
    logged = np.round(np.interp(at, time, shown) + rng.normal(0.0, 0.2, len(at)), 1)
    return RunIn(at, logged, float(shown[-1]))


def _lagged(drive: NDArray[np.float64], lag: float, first: float) -> NDArray[np.float64]:
    """A first-order lag, marched exactly for a drive that is constant over each step."""
    followed = np.empty_like(drive)
    followed[0] = first
    keep = np.exp(-STEP / lag)
    for i in range(1, len(drive)):
        followed[i] = drive[i] + keep * (followed[i - 1] - drive[i])
    return followed
