"""The journal's position by Newton's method from the coarsest grid to the finest, the film never more exact
than the position is.

On the coarsest grid the position is sought and it is felt out how the load, and the pressure, follow it. Each
finer grid starts from that pressure and needs one cycle of the multigrid and one step, the pressure moved
along with the journal; only on the finest is the film settled. Where that does not lead to the load the
slow way (`whitemetal.film.seek`) is taken.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from whitemetal.film.kinds import Array
from whitemetal.film.rig import MOST_CYCLES, Rig
from whitemetal.film.seek import (
    LIMIT,
    LONGEST_STEP,
    PROBE,
    QUICK_ROUND,
    Found,
    Place,
    Polar,
    Task,
    logistic,
    logit,
)

NEAR = 0.03
"""Load left over (its logarithm, and its angle) on a coarse grid at which the next is gone to. Our own."""

MOST_STUCK = 3
"""Steps in turn that brought the load hardly nearer, with a film more exact each time, before the slow way is
taken. Our own."""

NEIGHBOURHOOD = 0.4
"""Load left over, likewise, at which the slope is felt out. Our own."""

FURTHEST = 0.5
"""Longest step by which it is felt out. Our own."""

MOST_TRIES = 12
"""Positions tried on one grid before the slow way is taken. Our own."""

EXACT_ENOUGH = 0.15
"""Residual of the film over the load that may be left over. Our own, tested."""

Slope = tuple[float, float, float, float]
"""d(missing)/d(where) by rows: missing (ln of the load ratio, angle), where (u, angle)."""

Fields = tuple[Array, Array]
"""How the pressure follows u and the angle, on the coarsest grid, or on every second point of this one."""

ROUGH_CYCLES = 2
"""Cycles for a film whose only use is a difference. Our own."""


@dataclass
class Ground:
    """One grid: its task and rig, and where the journal is on it. where: (u, angle); missing: what the film
    carries against what is wanted there. count: positions tried."""

    task: Task
    rig: Rig
    u: float
    angle: float
    missing: tuple[float, float] = (math.inf, math.inf)
    residual: float = math.inf
    cycles: int = 0
    count: int = 0

    @property
    def off(self) -> float:
        return math.hypot(*self.missing)

    def put(self, u: float, angle: float) -> None:
        """The journal at (u, angle)."""
        far = logistic(u) * self.rig.reach(angle)
        self.u, self.angle = u, angle
        self.rig.at(far * math.cos(angle), far * math.sin(angle))
        self.count += 1

    def relax(self, tolerance: float, limit: int, *, cold: bool = False) -> None:
        """Cycles on the film, and a look at what is missing. A residual seen before the last cycle says
        nothing of what the cycle left: it is unknown then."""
        residual, cycles = self.rig.relax(cold=cold, tolerance=tolerance, limit=limit)
        self.residual = residual if residual <= tolerance else math.inf
        self.cycles += cycles
        self.look()

    def look(self) -> tuple[float, float]:
        """What is missing, by the pressure as it stands."""
        x, y = self.rig.load()
        turn = math.remainder(math.atan2(y, x) - self.task.angle, 2.0 * math.pi)
        self.missing = (math.log(max(math.hypot(x, y), 1e-300) / self.task.load), turn)
        return self.missing

    def twice(self, field: Array) -> Array:
        """A field of every second point on this grid."""
        from whitemetal.film import refine

        out = np.empty(self.rig.bore.shape)
        refine.finer(field, out, self.rig.nowhere)
        return out

    def left_over(self) -> float:
        """Load left over, as part of the load wanted."""
        ratio, turn = math.exp(self.missing[0]), self.missing[1]
        return math.hypot(ratio * math.cos(turn) - 1.0, ratio * math.sin(turn))


def close_in(task: Task, first: Array, tolerance: float) -> Found | None:
    """The position, None where this way does not lead to it. first: (u, angle) to start from."""
    chain = [task]
    while (rougher := chain[-1].coarser(QUICK_ROUND)) is not None:
        chain.append(rougher)
    grounds: list[Ground] = []
    try:
        for each in reversed(chain):
            grounds.append(ground(each, float(first[0]), float(first[1])))
        return descend(grounds, tolerance)
    finally:
        for each_ground in grounds:
            each_ground.rig.leave()


def ground(task: Task, u: float, angle: float) -> Ground:
    """The bench for one grid."""
    rig = Rig(task.clearance, task.slenderness, task.feed, task.feed_pressure, task.film_start, once=True)
    return Ground(task, rig, u, angle)


def descend(grounds: list[Ground], tolerance: float) -> Found | None:
    """From the coarsest of the grounds to the finest."""
    from whitemetal.film import refine

    def aims(ground: Ground) -> tuple[float, float]:
        """Residual and load to be left over."""
        return (EXACT_ENOUGH * tolerance, tolerance) if ground is grounds[-1] else (0.0, NEAR)

    here = grounds[0]
    rough = sought(here)
    if rough is None:
        return None
    fields, slope = felt(here, rough)
    for finer in grounds[1:]:
        if here is not grounds[0]:
            fields = (here.twice(fields[0]), here.twice(fields[1]))
        du, dangle = step(slope, here.missing)
        refine.follow(here.rig.pressure, fields[0], du, fields[1], dangle, here.rig.known)
        refine.finer(here.rig.pressure, finer.rig.pressure, finer.rig.known)
        at = (here.u + du, here.angle + dangle)
        if logistic(at[0]) >= LIMIT or not closer(finer, at, slope, fields, *aims(finer)):
            return None
        here = finer
    return settled(here, slope, tolerance)


def sought(here: Ground) -> Slope | None:
    """A position in the neighbourhood on the coarsest grid, and the slope known there, None when there is
    none: Broyden's method from the slope of a plain bearing, each film from nothing."""
    b = Polar().slope(here.task, np.array([here.u, here.angle])).ravel().tolist()
    slope: Slope = (b[0], b[1], b[2], b[3])
    u, angle, was, before = here.u, here.angle, (math.inf, math.inf), (math.inf, math.inf)
    for count in range(MOST_TRIES):
        here.put(u, angle)
        here.relax(0.0, 1, cold=True)
        if count:
            slope = updated(slope, less((u, angle), before), less(here.missing, was))
        if here.off < NEIGHBOURHOOD:
            return slope
        before, was = (u, angle), here.missing
        du, dangle = step(slope, here.missing)
        scale = min(1.0, LONGEST_STEP / max(abs(du), 1.5 * abs(dangle), 1e-300))
        u, angle = u + scale * du, angle + scale * dangle
        if not math.isfinite(u + angle) or u > logit(LIMIT):
            return None
        here.rig.empty()
    return None


def felt(here: Ground, slope: Slope) -> tuple[Fields, Slope]:
    """How pressure and load follow the journal, by differences: it goes towards the load, u first, then the
    angle, a step of PROBE at least each."""
    from whitemetal.film import refine

    du, dangle = (
        math.copysign(min(max(abs(each), PROBE), FURTHEST), each) for each in step(slope, here.missing)
    )
    fields, columns = [], []
    for by, along in ((du, 0), (dangle, 1)):
        was, start = here.missing, here.rig.pressure.copy()
        refine.scale(here.rig.pressure, math.exp(slope[along] * by), here.rig.known)
        here.put(here.u + by * (1 - along), here.angle + by * along)
        here.relax(0.0, ROUGH_CYCLES)
        fields.append((here.rig.pressure - start) / by)
        columns.append([each / by for each in less(here.missing, was)])
    (a, c), (b, d) = columns
    return (fields[0], fields[1]), (a, b, c, d)


def less(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    """a - b."""
    return a[0] - b[0], a[1] - b[1]


def closer(
    here: Ground, at: tuple[float, float], slope: Slope, fields: Fields, inner: float, enough: float
) -> bool:
    """Steps on one grid until the load is near ``enough``. The film gets one cycle first; after a step it is
    settled to the residual ``inner``, if that is not 0."""
    from whitemetal.film import refine

    was: tuple[tuple[float, float], tuple[float, float]] | None = None
    limit, stuck = 1, 0
    for _ in range(MOST_TRIES):
        here.put(*at)
        here.relax(inner, limit)
        if here.off <= enough:
            return True
        if was is not None:
            slope = updated(slope, less(at, was[0]), less(here.missing, was[1]))
            slow = here.off > 0.7 * math.hypot(*was[1])
            stuck, inner = (stuck + 1, 0.1 * inner) if slow else (0, inner)
        if stuck == MOST_STUCK:
            return False
        was = (at, here.missing) if limit > 1 else None
        limit = MOST_CYCLES if inner > 0.0 else ROUGH_CYCLES
        du, dangle = step(slope, here.missing)
        at = (here.u + du, here.angle + dangle)
        if abs(du) > LONGEST_STEP or logistic(at[0]) >= LIMIT:
            return False
        refine.follow_finer(here.rig.pressure, fields[0], du, fields[1], dangle, here.rig.known)
    return False


def settled(here: Ground, slope: Slope, tolerance: float) -> Found | None:
    """The film there settled, and its load looked at once more if it was not."""
    inner = EXACT_ENOUGH * tolerance
    if here.residual > inner:
        here.relax(inner, MOST_CYCLES)
    left = here.left_over()
    if here.residual > inner or left > tolerance:
        return None
    film = here.rig.film(here.residual, here.cycles)
    s = logistic(here.u)
    far = s * here.rig.reach(here.angle)
    place = Place(
        np.array([here.u, here.angle]), far * math.cos(here.angle), far * math.sin(here.angle), s,
        np.array(here.missing), film, left, here.rig.least_gap,
    )  # fmt: skip
    return Found(Polar(), place, np.array(slope).reshape(2, 2), here.count)


def step(slope: Slope, missing: tuple[float, float]) -> tuple[float, float]:
    """Newton's step; infinite where the slope tells nothing."""
    a, b, c, d = slope
    determinant = a * d - b * c
    if determinant == 0.0:
        return math.inf, math.inf
    return (b * missing[1] - d * missing[0]) / determinant, (c * missing[0] - a * missing[1]) / determinant


def updated(slope: Slope, moved: tuple[float, float], changed: tuple[float, float]) -> Slope:
    """Broyden's update."""
    a, b, c, d = slope
    du, dv = moved
    size = du * du + dv * dv
    e, f = (changed[0] - a * du - b * dv) / size, (changed[1] - c * du - d * dv) / size
    return a + e * du, b + e * dv, c + f * du, d + f * dv
