"""The running window: the clearances at which the film meets its criteria.

Computed from the shape the card names, never from a measured one: a measured shape must not move its own
limit. It may warn and support an engineer's limit; it makes no check within limits by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.film.permissible import Criteria
from whitemetal.film.running import Conditions, FilmAt, PressureFlow, State, no_pressure_flow, settle

Criterion = Literal["load", "film", "temperature", "whirl", "laminar", "power", "flow"]

LEAST_POINTS = 40
POINTS = 48
"""Clearances in a sweep, at least and by default. Our own."""

NARROWEST, WIDEST = 0.3e-3, 4e-3
"""Relative clearances (diametral over diameter) between which a sweep runs by default. Our own."""

EDGE_TOLERANCE = 1e-4
"""Edges of the window are refined to this part of themselves: 20 nm at 0.2 mm. Our own."""


@dataclass(frozen=True)
class Edge:
    """An end of an interval: clearance (cold, diametral) [m] and the criterion that closes it there, "" when
    the sweep ended first."""

    clearance: float
    closed_by: Criterion | Literal[""]


@dataclass(frozen=True)
class Interval:
    """Clearances from ``low`` to ``high``, all met between."""

    low: Edge
    high: Edge

    def holds(self, clearance: float) -> bool:
        """Whether a cold diametral clearance [m] lies inside."""
        return self.low.clearance <= clearance <= self.high.clearance


@dataclass(frozen=True)
class Window:
    """states: one a clearance, rising. margins: by criterion, one a state, not negative where it is met
    (relative to the criterion). intervals: where all criteria hold, rising, () when nowhere. by_criterion:
    the same for each criterion alone."""

    states: tuple[State, ...]
    criteria: Criteria
    margins: dict[Criterion, tuple[float, ...]]
    intervals: tuple[Interval, ...]
    by_criterion: dict[Criterion, tuple[Interval, ...]]

    @property
    def widest(self) -> Interval | None:
        """The widest interval in which all criteria hold, None when there is none."""
        return max(self.intervals, key=lambda each: each.high.clearance - each.low.clearance, default=None)


@dataclass(frozen=True)
class Placed:
    """Where a measured clearance lies. where: of its whole interval against the window; "across" when an edge
    of the window lies inside the interval. edges: those that do."""

    where: Literal["inside", "below", "above", "across", "no window"]
    edges: tuple[Edge, ...]


def margins_of(state: State, criteria: Criteria, speed: float) -> dict[Criterion, float]:
    """How far each criterion in use is met: 0 at its edge, negative when it is not, relative to itself.

    Temperature is related to 100 K. speed: running [rad/s].
    """
    found: dict[Criterion, float] = {"load": -1.0 if state.answer == "contact" else 1.0 - state.eccentricity}
    wanted: tuple[tuple[Criterion, float | None, Callable[[float], float]], ...] = (
        ("film", criteria.least_film, lambda least: state.film / least - 1.0),
        ("temperature", criteria.hottest, lambda most: (most - state.hottest) / 100.0),
        ("whirl", criteria.whirl_margin, lambda least: _threshold(state) / speed / least - 1.0),
        ("power", criteria.most_power, lambda most: 1.0 - state.power / most),
        ("flow", criteria.most_flow, lambda most: 1.0 - (state.side_flow + state.pressure_flow) / most),
    )
    for name, limit, margin in wanted:
        if limit is not None:
            found[name] = margin(limit)
    if criteria.laminar:
        found["laminar"] = 1.0 - state.reynolds / state.reynolds_limit
    return found


def _threshold(state: State) -> float:
    """None where it touches, and none that is known where it runs all but centred."""
    return 0.0 if state.answer == "contact" or state.threshold_is == "centred" else state.threshold


def clearances(diameter: float, count: int = POINTS) -> tuple[float, ...]:
    """Cold diametral clearances [m] of a sweep, evenly spaced on a logarithmic scale, shape (count,)."""
    step = (WIDEST / NARROWEST) ** (1.0 / (count - 1))
    return tuple(diameter * NARROWEST * step**i for i in range(count))


def sweep(
    conditions: Conditions,
    film_at: FilmAt,
    criteria: Criteria,
    *,
    cold: Sequence[float] = (),
    pressure_flow: PressureFlow = no_pressure_flow,
) -> Window:
    """The running window. cold: rising diametral clearances [m], `clearances` of the diameter when empty.

    Raises InputError for fewer than 40 clearances or when they do not rise, or for a whirl criterion with a
    film that has no stiffness.
    """
    at = tuple(cold) or clearances(conditions.diameter)
    if len(at) < LEAST_POINTS or any(a >= b for a, b in pairwise(at)):
        raise InputError(Problem("clearances", f"{len(at)} values", f"{LEAST_POINTS} or more, rising"))

    def state_at(clearance: float) -> State:
        return settle(conditions, clearance, film_at, pressure_flow=pressure_flow)

    states = tuple(state_at(clearance) for clearance in at)
    if criteria.whirl_margin is not None and any(
        s.answer == "runs" and s.threshold_is == "not asked" for s in states
    ):
        raise InputError(Problem("criteria.whirl_margin", "", "a film with stiffness and damping"))

    def margins_at(clearance: float) -> dict[Criterion, float]:
        return margins_of(state_at(clearance), criteria, conditions.speed)

    rows = [margins_of(state, criteria, conditions.speed) for state in states]
    alone = {name: _intervals(at, rows, (name,), margins_at) for name in rows[0]}
    together = _intervals(at, rows, tuple(rows[0]), margins_at)
    return Window(states, criteria, {n: tuple(r[n] for r in rows) for n in rows[0]}, together, alone)


Margins = dict[Criterion, float]


def _worst(margins: Margins, names: Sequence[Criterion]) -> Criterion:
    return min(names, key=lambda name: margins[name])


def _intervals(
    at: Sequence[float], rows: Sequence[Margins], names: Sequence[Criterion],
    margins_at: Callable[[float], Margins],
) -> tuple[Interval, ...]:  # fmt: skip
    """Intervals in which every one of ``names`` is met."""
    met = [all(row[name] >= 0.0 for name in names) for row in rows]
    found, low = [], Edge(at[0], "") if met[0] else None
    for i in range(1, len(at)):
        if met[i] == met[i - 1]:
            continue
        edge = _edge(at[i - 1], at[i], met[i], names, margins_at)
        if met[i]:
            low = edge
        elif low is not None:
            found.append(Interval(low, edge))
            low = None
    if low is not None:
        found.append(Interval(low, Edge(at[-1], "")))
    return tuple(found)


def _edge(
    left: float, right: float, opens: bool, names: Sequence[Criterion],
    margins_at: Callable[[float], Margins],
) -> Edge:  # fmt: skip
    """The edge between two clearances, by bisection to EDGE_TOLERANCE; it names what fails just outside."""
    outside = margins_at(left if opens else right)
    while right - left > EDGE_TOLERANCE * right:
        middle = math.sqrt(left * right)
        margins = margins_at(middle)
        if (min(margins[name] for name in names) >= 0.0) == opens:
            right = middle
        else:
            left = middle
        if min(margins[name] for name in names) < 0.0:
            outside = margins
    return Edge(right if opens else left, _worst(outside, names))


def place(window: Window, low: float, high: float) -> Placed:
    """Where a measured clearance with the interval ``low`` to ``high`` (cold, diametral) [m] lies.

    Compared with the widest interval of the window. Raises InputError when low > high.
    """
    if not low <= high:
        raise InputError(Problem("clearance", f"{low:g} to {high:g} m", "an interval with its ends in order"))
    widest = window.widest
    if widest is None:
        return Placed("no window", ())
    edges = tuple(e for e in (widest.low, widest.high) if e.closed_by and low < e.clearance < high)
    if edges:
        return Placed("across", edges)
    if high <= widest.low.clearance:
        return Placed("below", ())
    return Placed("above" if low >= widest.high.clearance else "inside", ())
