"""Where the temperature will settle, from what has been read so far, with an interval that can be believed.

The rise of a bearing has two lags: oil and lining within minutes, housing and pedestal within an hour. From
the first quarter of an hour no fit can tell the slow one, and a fit that pretends to gives an interval that
is too narrow. So every pair of lags that bearings have is tried: for each the temperature is linear in its
start, its rise and the drift of the surroundings, which are solved by least squares; each answer counts by
how well it explains the readings and by how much its rise is like other bearings'. The forecast is the
weighted whole of them (Bayesian model average over a fixed grid; no random numbers).

Shape of one of them, with a probe lag p and lags a (fast) and b (slow), share w of the slow one:

    g(t) = (1 - w) r(t, a) + w r(t, b),   r(t, c) = 1 - (c exp(-t/c) - p exp(-t/p)) / (c - p)

r is the answer of a first-order probe to a first-order rise (derived).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Vector = NDArray[np.float64]
MINUTE = 60.0

FAST = (2.0, 3.5, 6.0, 9.0, 13.0, 18.0)
SLOW = (25.0, 35.0, 50.0, 70.0, 100.0, 140.0)
SHARES = (0.0, 0.15, 0.3, 0.45, 0.6, 0.75)
PROBE = (0.05, 0.75, 1.7)
"""Grid of lags [min] and of the slow lag's share [-]. Our own, from the common practice that a
self-lubricated bearing rises 11 to 14 K in ten minutes, 22 K in thirty, and settles within two hours."""

USUAL_RISE, RISE_SPREAD = 35.0, 20.0
"""Rise over the surroundings [K] that bearings settle at, and its standard deviation: 40 K is a usual alarm
for a built-in detector (common practice); the spread is our own and wide."""

DRIFT = 1.5
"""How far load and what no curve knows move the end [K, one standard deviation]. Our own, tested on curves
that are not the model's."""

AIR_DRIFT = 1.5 / 3600.0
"""How fast the surroundings may warm or cool while the bearing settles [K/s, one standard deviation]: one and
a half kelvin an hour. Our own."""

LONGEST = 3.0 * 3600.0
"""The surroundings are taken to drift for so long from the start [s]; after that it has settled. Our own."""

LEAST_NOISE = 0.15
"""A thermometer's reading is never surer than this [K, one standard deviation]. Our own."""

START_SPREAD = 3.0
"""The start lies so near the surroundings or the first reading [K, one standard deviation]. Our own."""

FEWEST_POINTS, FIRST_MINUTES = 6, 10.0
"""No forecast before so many readings and so many minutes. Common practice: the first ten minutes show a bad
bearing, not yet a good one."""

SETTLED_RATE = 1.0 / (30.0 * MINUTE)
"""Settled: less than 1 K in 30 minutes [K/s]. Common practice."""


@dataclass(frozen=True)
class Forecast:
    """settles, low, high [K]: median and 95 % interval of the temperature it settles at. when, when_low,
    when_high [s] since the start: when it will rise by less than `SETTLED_RATE`. noise [K]: scatter of the
    readings about the best curve. curves: how many of the grid carry 95 % of the weight. points: used.
    """

    settles: float
    low: float
    high: float
    when: float
    when_low: float
    when_high: float
    noise: float
    curves: int
    points: int
    _ends: Vector
    _spread: Vector
    _weights: Vector

    def chance_above(self, temperature: float) -> float:
        """Probability that it settles above ``temperature`` [K]."""
        return float(np.sum(self._weights * (1.0 - _normal((temperature - self._ends) / self._spread))))


@dataclass(frozen=True)
class _Grid:
    fast: Vector
    slow: Vector
    share: Vector
    probe: Vector


def _grid() -> _Grid:
    mesh = np.meshgrid(np.array(FAST), np.array(SLOW), np.array(SHARES), np.array(PROBE), indexing="ij")
    fast, slow, share, probe = (each.ravel() for each in mesh)
    once = (share > 0.0) | (slow == SLOW[0])
    return _Grid(fast[once] * MINUTE, slow[once] * MINUTE, share[once], probe[once] * MINUTE)


GRID = _grid()


def shapes(time: Vector) -> Vector:
    """Every curve of the grid from 0 to 1 at times [s], shape (curves, n)."""
    fast, slow = _through_probe(time, GRID.fast, GRID.probe), _through_probe(time, GRID.slow, GRID.probe)
    share = GRID.share[:, None]
    return np.asarray((1.0 - share) * fast + share * slow)


def _through_probe(time: Vector, lag: Vector, probe: Vector) -> Vector:
    a, p, t = lag[:, None], probe[:, None], time[None, :]
    return np.asarray(1.0 - (a * np.exp(-t / a) - p * np.exp(-t / p)) / (a - p))


def forecast(time: Vector, temperature: Vector, ambient: float | None = None) -> Forecast:
    """Where it will settle, from readings [K] at times [s] since the start of the run, shape (n,), ascending.

    ambient [K]: of the surroundings, where it is known; else the first reading stands for it.
    Raises InputError with fewer than six readings or less than ten minutes.
    """
    if len(time) < FEWEST_POINTS or time[-1] < FIRST_MINUTES * MINUTE:
        said = say("run_in.too_early", points=FEWEST_POINTS, minutes=FIRST_MINUTES)
        raise InputError(Problem("readings", str(len(time)), said))
    about = float(temperature[0] if ambient is None else ambient)
    shape = shapes(time)
    noise, count = _noise(shape, time, temperature)
    solved = _solve(shape, time, temperature, about, noise, count)
    weights = np.exp(solved.evidence - solved.evidence.max())
    weights /= weights.sum()
    ends, spread = solved.ends, solved.spread
    low, settles, high = (_quantile(ends, spread, weights, q) for q in (0.025, 0.5, 0.975))
    when_low, when, when_high = _when(solved.rises, weights)
    ordered = np.sort(weights)[::-1]
    curves = int(np.searchsorted(np.cumsum(ordered), 0.95) + 1)
    return Forecast(
        settles, low, high, when, when_low, when_high, noise, curves, len(time), ends, spread, weights
    )


def _noise(shape: Vector, time: Vector, temperature: Vector) -> tuple[float, float]:
    """Scatter [K] about the best curve, and how many independent readings they are worth.

    Readings that wander together (a slow logger, a drifting room) count as fewer: n (1 - r)/(1 + r), r their
    lag-1 correlation (the usual effective size of a first-order autoregressive series).
    """
    mean_shape = shape - shape.mean(axis=1, keepdims=True)
    centred = temperature - temperature.mean()
    slope = (mean_shape @ centred) / np.sum(mean_shape**2, axis=1)
    residual = centred[None, :] - slope[:, None] * mean_shape
    best = residual[int(np.argmin(np.sum(residual**2, axis=1)))]
    noise = max(float(np.sqrt(np.sum(best**2) / max(1, len(best) - 4))), LEAST_NOISE)
    total = float(np.sum(best**2))
    r = float(np.sum(best[1:] * best[:-1]) / total) if total > 0.0 else 0.0
    r = min(max(r, 0.0), 0.9)
    return noise, max(4.0, len(time) * (1.0 - r) / (1.0 + r))


@dataclass(frozen=True)
class _Solved:
    """Of each curve: the end [K] and its standard uncertainty, the rise [K], the log of its evidence."""

    ends: Vector
    spread: Vector
    rises: Vector
    evidence: Vector


def _solve(
    shape: Vector, time: Vector, temperature: Vector, about: float, noise: float, count: float
) -> _Solved:
    """Start, rise and drift of the surroundings of each curve by linear Gaussian least squares.

    Before any reading the start lies within 3 K of what was first read, the rise within `RISE_SPREAD` of
    `USUAL_RISE`, the drift within `AIR_DRIFT` of none; all three are solved out exactly.
    """
    n = len(time)
    columns = np.stack([np.ones_like(shape), shape, np.broadcast_to(time, shape.shape)], axis=1)
    weight = count / n / noise**2
    prior = np.array([START_SPREAD, RISE_SPREAD, AIR_DRIFT]) ** -2.0
    middle = np.array([about, USUAL_RISE, 0.0])
    normal = weight * columns @ columns.transpose(0, 2, 1) + np.diag(prior)
    right = weight * columns @ temperature + prior * middle
    inverse = np.linalg.inv(normal)
    found = (inverse @ right[:, :, None])[:, :, 0]
    constant = weight * float(np.sum(temperature**2)) + float(np.sum(prior * middle**2))
    misfit = constant - np.sum(right * found, axis=1)
    evidence = -0.5 * (misfit + np.linalg.slogdet(normal)[1])
    at_end = np.array([1.0, 1.0, LONGEST])
    variance = np.einsum("i,cij,j->c", at_end, inverse, at_end)
    return _Solved(
        found @ at_end,
        np.sqrt(variance + DRIFT**2),
        found[:, 1],
        np.where(found[:, 1] > 0.0, evidence, -np.inf),
    )


def _normal(x: Vector) -> Vector:
    from scipy.special import ndtr

    return np.asarray(ndtr(x))


def _quantile(ends: Vector, spread: Vector, weights: Vector, share: float) -> float:
    """Of the mixture of normal distributions, by bisection to a hundredth of a kelvin."""
    low, high = float(np.min(ends - 9.0 * spread)), float(np.max(ends + 9.0 * spread))
    while high - low > 1e-2:
        middle = 0.5 * (low + high)
        if float(np.sum(weights * _normal((middle - ends) / spread))) < share:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _when(rises: Vector, weights: Vector) -> tuple[float, float, float]:
    """Quantiles of the time [s] at which each curve rises by less than `SETTLED_RATE`."""
    time = np.arange(0.0, 16.0 * 3600.0, MINUTE)
    rate = np.gradient(shapes(time), MINUTE, axis=1) * rises[:, None]
    late = rate.shape[1] - np.argmax((rate >= SETTLED_RATE)[:, ::-1], axis=1)
    ends = np.where((rate >= SETTLED_RATE).any(axis=1), late, 0) * MINUTE
    order = np.argsort(ends)
    reached = np.cumsum(weights[order])
    found = [ends[order[min(int(np.searchsorted(reached, q)), len(order) - 1)]] for q in (0.025, 0.5, 0.975)]
    return float(found[0]), float(found[1]), float(found[2])
