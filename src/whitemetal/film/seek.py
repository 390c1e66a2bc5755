"""The search for the journal's position on one grid: charts, trial positions, Broyden's method.

`Polar` is the chart for nearly everything: u = ln(s/(1-s)) with s the way gone towards contact (0 in the
middle, 1 touching) and the angle; in it the logarithm of the load and its direction are nearly linear, from
light loads to contact. `Plane` is for bores whose film pushes with the journal in the middle, where angles
mean little.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from whitemetal.film import gap, reynolds
from whitemetal.film.kinds import Array, Flags

LIMIT = 0.99
"""Way to contact beyond which a load counts as not carried. Our own."""

MOST_STEPS = 40
"""Films tried in search of a position before it gives up. Our own."""

LEAST_ROUND, LEAST_ALONG = 80, 11
"""Smallest grid on which a first position is sought. Our own."""

QUICK_ROUND = 40
"""As LEAST_ROUND, on the quick way: too coarse near contact, where the slow one is taken. Our own."""

LONGEST_STEP = 1.5
"""Longest step of ln(s/(1-s)) in one go. Our own."""

PROBE = 0.02
"""Step by which a slope is felt out. Our own."""


@dataclass(frozen=True)
class Task:
    """A load to carry on one grid. load, angle: So and its direction; clearance: the gap with the journal in
    the middle."""

    load: float
    angle: float
    clearance: Array
    slenderness: float
    feed: Flags | None
    feed_pressure: float
    film_start: reynolds.FilmStart | None
    rupture: reynolds.Rupture
    supply: float

    @property
    def round_and_straight(self) -> bool:
        """Whether it is the plain round bearing, whose slope is known well enough."""
        return self.feed is None and float(np.ptp(self.clearance)) == 0.0

    def film(self, x: float, y: float, start: Array | None, tolerance: float) -> reynolds.Film:
        """The film with the journal's centre at (x, y)."""
        moved = gap.displaced(self.clearance, x, y)
        return reynolds.solve_checked(
            moved, self.slenderness, self.feed, self.feed_pressure, self.rupture, None, self.film_start,
            self.supply, start, tolerance,
        )  # fmt: skip

    def coarser(self, least_round: int = LEAST_ROUND) -> Task | None:
        """The same on every second point, or None when it would be too coarse to mean anything."""
        n, m = self.clearance.shape
        if n % 2 or m % 2 == 0 or n // 2 < least_round or (m + 1) // 2 < LEAST_ALONG:
            return None
        feed = None if self.feed is None else self.feed[::2, ::2]
        if feed is not None and self.feed is not None and self.feed.any() and not feed[:, 1:-1].any():
            return None
        thinned = np.ascontiguousarray(self.clearance[::2, ::2])
        return Task(
            self.load, self.angle, thinned, self.slenderness, feed, self.feed_pressure, self.film_start,
            "swift-stieber" if self.supply == 1.0 else self.rupture, self.supply,
        )  # fmt: skip


@dataclass(frozen=True)
class Place:
    """A tried position. where: its coordinates, (u, angle) or in a plane (x, y); off: what is missing there,
    (ln of the load ratio, angle) or the load left over as part of the load wanted, along x and y."""

    where: Array
    x: float
    y: float
    way: float
    off: Array
    film: reynolds.Film
    residual: float
    least: float = 0.0

    @property
    def miss(self) -> float:
        return float(np.hypot(self.off[0], self.off[1]))


def reach(clearance: Array, angle: float) -> float:
    """How far the centre may go in a direction before the journal touches."""
    n = clearance.shape[0]
    towards = np.cos(2.0 * math.pi / n * np.arange(n) - angle)
    near = towards > 1e-6
    return float((clearance.min(axis=1)[near] / towards[near]).min())


def logit(s: float) -> float:
    """ln(s/(1-s)), for s between 0 and 1."""
    return math.log(s / (1.0 - s))


def logistic(u: float) -> float:
    """The way back from `logit`."""
    return 1.0 / (1.0 + math.exp(-u))


class Chart(Protocol):
    """Coordinates of a position and of what is missing there."""

    def place(self, task: Task, where: Array) -> tuple[float, float, float]:
        """(x, y, way gone to contact)."""

    def off(self, task: Task, film: reynolds.Film) -> Array:
        """What is missing, shape (2,)."""

    def slope(self, task: Task, where: Array) -> Array | None:
        """d(off)/d(where) roughly, shape (2, 2), or None when it must be felt out."""

    def shorten(self, task: Task, where: Array, step: Array) -> Array:
        """The step, no longer than is wise and not beyond the limit."""


@dataclass(frozen=True)
class Polar:
    """(u, angle), missing (ln of the load ratio, angle of the load)."""

    def place(self, task: Task, where: Array) -> tuple[float, float, float]:
        """(x, y, way gone to contact) at (u, angle)."""
        s, angle = logistic(float(where[0])), float(where[1])
        far = s * reach(task.clearance, angle)
        return far * math.cos(angle), far * math.sin(angle), s

    def off(self, task: Task, film: reynolds.Film) -> Array:
        """(ln of the load ratio, angle) that is missing."""
        turn = math.remainder(film.load_angle - task.angle, 2.0 * math.pi)
        return np.array([math.log(max(film.load, 1e-300) / task.load), turn])

    def slope(self, task: Task, where: Array) -> Array:
        """Roughly that of a plain round bearing."""
        s = logistic(float(where[0]))
        return np.array([[1.0 + 0.5 * s, 0.0], [s * math.sqrt((1.0 - s) / (1.0 + s)), 1.0]])

    def shorten(self, task: Task, where: Array, step: Array) -> Array:
        """The step, at most LONGEST_STEP and not beyond LIMIT."""
        step = step * min(1.0, LONGEST_STEP / max(abs(step[0]), 1.5 * abs(step[1]), 1e-300))
        return np.array([min(step[0], logit(LIMIT) - where[0]), step[1]])


@dataclass(frozen=True)
class Plane:
    """(x, y), missing (w - W) / |W|."""

    def place(self, task: Task, where: Array) -> tuple[float, float, float]:
        """(x, y, way gone to contact) at (x, y)."""
        x, y = float(where[0]), float(where[1])
        return x, y, math.hypot(x, y) / reach(task.clearance, math.atan2(y, x))

    def off(self, task: Task, film: reynolds.Film) -> Array:
        """The load too much, along x and y, as part of the load wanted."""
        wanted = task.load * np.array([math.cos(task.angle), math.sin(task.angle)])
        return (np.array([film.load_x, film.load_y]) - wanted) / task.load

    def slope(self, task: Task, where: Array) -> None:
        """Nothing is known of it: it must be felt out."""

    def shorten(self, task: Task, where: Array, step: Array) -> Array:
        """The step, halved until it ends short of LIMIT."""
        for _ in range(40):
            far = where + step
            if math.hypot(*far) < LIMIT * reach(task.clearance, math.atan2(far[1], far[0])):
                break
            step = 0.5 * step
        return step


@dataclass(frozen=True)
class Found:
    """Where a search ended, the slope it knew there, and how many films it took."""

    chart: Chart
    place: Place
    slope: Array
    count: int


def try_at(task: Task, chart: Chart, where: Array, start: Array | None, tolerance: float) -> Place:
    """The film at a position."""
    x, y, way = chart.place(task, where)
    film = task.film(x, y, start, tolerance)
    left = math.hypot(
        film.load_x - task.load * math.cos(task.angle), film.load_y - task.load * math.sin(task.angle)
    )
    return Place(where, x, y, way, chart.off(task, film), film, left / task.load)


def seek(
    task: Task, chart: Chart, where: Array, slope: Array | None, tolerance: float, start: Array | None = None
) -> Found:
    """The position from a first guess; in the other chart when the first gets stuck short of contact."""
    found = broyden(task, chart, where, slope, tolerance, start)
    if found.place.residual <= tolerance or found.place.way >= LIMIT - 1e-9:
        return found
    again = broyden(task, Plane(), 0.9 * np.array([found.place.x, found.place.y]), None, tolerance, None)
    better = again if again.place.residual < found.place.residual else found
    return Found(better.chart, better.place, better.slope, found.count + again.count)


def broyden(
    task: Task, chart: Chart, where: Array, slope: Array | None, tolerance: float, start: Array | None
) -> Found:
    """Broyden's method. Steps that do not bring the load nearer are halved, with the slope felt out anew."""
    inner = min(1e-4, max(0.05 * tolerance, 1e-8))
    place, count, fraction, stuck = try_at(task, chart, where, start, inner), 1, 1.0, 0
    rough = chart.slope(task, place.where) if slope is None else slope
    b = felt(task, chart, place, 0.1 * inner) if rough is None else rough
    while count < MOST_STEPS and place.residual > tolerance and stuck < 6:
        full = np.asarray(-np.linalg.lstsq(b, place.off, rcond=1e-8)[0], dtype=np.float64)
        step = chart.shorten(task, place.where, fraction * full)
        if float(np.hypot(*step)) < 1e-12:
            break
        fresh = try_at(task, chart, place.where + step, place.film.pressure, inner)
        count += 1
        b = b + np.outer(fresh.off - place.off - b @ step, step) / float(step @ step)
        if fresh.miss < place.miss:
            place, fraction, stuck = fresh, min(1.0, 2.0 * fraction), 0
            continue
        stuck, inner = stuck + 1, max(0.1 * inner, 1e-9)
        if stuck == 2:
            place = try_at(task, chart, place.where, place.film.pressure, inner)
            b, count = felt(task, chart, place, 0.1 * inner), count + 3
        fraction *= 0.5 if stuck > 2 else 1.0
    return Found(chart, place, b, count)


def finer(pressure: Array) -> Array:
    """A pressure on the grid of every second point, on the full one: straight between."""
    n, m = pressure.shape
    out = np.empty((2 * n, 2 * m - 1))
    out[::2, ::2] = pressure
    out[1::2, ::2] = 0.5 * (pressure + np.roll(pressure, -1, axis=0))
    out[:, 1::2] = 0.5 * (out[:, :-1:2] + out[:, 2::2])
    return out


def felt(task: Task, chart: Chart, place: Place, tolerance: float) -> Array:
    """Slope by differences, away from contact."""
    slope = np.empty((2, 2))
    for k in range(2):
        step = np.zeros(2)
        step[k] = -PROBE if k == 0 else PROBE
        step = chart.shorten(task, place.where, step)
        near = try_at(task, chart, place.where + step, place.film.pressure, tolerance)
        slope[:, k] = (near.off - place.off) / step[k]
    return slope
