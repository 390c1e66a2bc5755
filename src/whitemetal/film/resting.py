"""The balance of the load with the tilt held: from a first guess, on a coarse grid, to the full one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from whitemetal.errors import InputError, NotConverged, Problem
from whitemetal.film import gap, reynolds
from whitemetal.film.kinds import Array
from whitemetal.film.nested import close_in
from whitemetal.film.seek import LIMIT, Found, Polar, Task, felt, finer, logistic, logit, reach, seek

ROUGHLY = 3e-3
"""Load left over at which the search goes on to the full grid. Our own."""

FELT_WITH = 3e-5
"""Residual of the films on the coarse grid from whose differences the slope comes. Our own."""

ASKEW_MOST = 0.2
"""Eccentricity up to which a balance that is found with a free start only is put down to the start. Our
own."""

BISECTIONS = 14
"""Halvings for a first guess, of about 9 in ln(s/(1-s)). Our own."""

SLACK = 0.02
"""Close before contact a film on a grid may carry this part more than wanted and still not point right. Our
own."""


@dataclass(frozen=True)
class Balanced:
    """x, y: journal centre from the reference centre of the gap, in reference clearances, along theta = 0
    and 90 degrees. eccentricity: its distance. attitude [rad]: from the load to the line of centres, with
    rotation positive. tilt_x, tilt_y: what a balanced moment added to the tilt. least_gap: of the film, in
    reference clearances. contact: the film cannot carry this load (film, position: the last one before
    contact). residual: load left over, as part of the load. iterations: films solved on the finest grid.
    """

    x: float
    y: float
    eccentricity: float
    attitude: float
    tilt_x: float
    tilt_y: float
    least_gap: float
    film: reynolds.Film
    contact: bool
    residual: float
    iterations: int


def settle(task: Task, start: tuple[float, float] | None, tolerance: float) -> Balanced:
    """Balance with the tilt held. Raises NotConverged, and InputError (``film_start``) where the load is so
    light that the widest gap of a bore askew has no one place."""
    try:
        return sought(task, start, tolerance)
    except NotConverged:
        if task.film_start != "widest gap" and (task.film_start is not None or task.feed is not None):
            raise
        free = sought(replace(task, film_start="free"), start, tolerance)
        if free.contact or free.eccentricity > ASKEW_MOST:
            raise
    text = "free: under so light a load the widest gap of a bore askew turns with the journal"
    raise InputError(Problem("film_start", "widest gap", text))


def sought(task: Task, start: tuple[float, float] | None, tolerance: float) -> Balanced:
    """Balance from the coarsest grid down; where that does not lead to it, on a coarse grid, whose slope then
    serves on the full one."""
    if task.rupture == "swift-stieber":
        quick = close_in(task, guess(task, start), tolerance)
        if quick is not None:
            return answer(task, quick, tolerance)
    rough = task
    while (rougher := rough.coarser()) is not None:
        rough = rougher
    first = guess(rough, start)
    if rough is task:
        return answer(task, seek(task, Polar(), first, None, tolerance), tolerance)
    near = seek(rough, Polar(), first, None, ROUGHLY)
    slope = near.slope
    if near.place.way < LIMIT - 1e-9 and not task.round_and_straight:
        slope = felt(rough, near.chart, near.place, FELT_WITH)
    pressure = near.place.film.pressure
    while pressure.shape != task.clearance.shape:
        pressure = finer(pressure)
    return answer(task, seek(task, near.chart, near.place.where, slope, tolerance, pressure), tolerance)


def answer(task: Task, found: Found, tolerance: float) -> Balanced:
    """The balance as it stands at a place; contact when the load is not reached before the limit."""
    place = found.place
    contact = place.residual > tolerance
    if contact and not (place.way >= LIMIT - 1e-9 and place.film.load < task.load * (1.0 + SLACK)):
        raise NotConverged("the position of the journal", place.residual, found.count)
    attitude = math.remainder(math.atan2(place.y, place.x) - task.angle, 2.0 * math.pi)
    least = place.least or float(gap.displaced(task.clearance, place.x, place.y).min())
    return Balanced(
        place.x, place.y, math.hypot(place.x, place.y), attitude, 0.0, 0.0, least, place.film, contact,
        place.residual, found.count,
    )  # fmt: skip


def guess(task: Task, start: tuple[float, float] | None) -> Array:
    """(u, angle) to start from: the given position, or that of a plain bearing between short and long."""
    if start is not None and math.hypot(*start) > 0.0:
        angle = math.atan2(start[1], start[0])
        s = min(max(math.hypot(*start) / reach(task.clearance, angle), 0.02), LIMIT)
        return np.array([logit(s), angle])
    mean = float(task.clearance.mean())
    wanted, low, high = task.load * mean * mean, -5.0, logit(LIMIT)
    for _ in range(BISECTIONS):
        u = 0.5 * (low + high)
        low, high = (u, high) if rough_load(logistic(u), task.slenderness) < wanted else (low, u)
    s = logistic(u)
    return np.array([u, task.angle + math.atan2(math.pi * math.sqrt(1.0 - s * s), 4.0 * s)])


def rough_load(s: float, slenderness: float) -> float:
    """So of a plain bearing at eccentricity s, to start from: Ocvirk's short bearing and Sommerfeld's long
    one joined as resistances in series."""
    short = slenderness**2 * s * math.sqrt(math.pi**2 * (1 - s * s) + 16 * s * s) / (2 * (1 - s * s) ** 2)
    long = 12.0 * s / ((2.0 + s * s) * math.sqrt(1.0 - s * s))
    return 1.0 / (1.0 / short + 1.0 / long)
