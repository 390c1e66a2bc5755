"""Where the journal runs: the position in which the film carries a given load.

Sought on a coarser grid first and then on the full one, by Broyden's method in coordinates that are nearly
linear from light loads to contact (`whitemetal.film.seek`).
"""

from __future__ import annotations

import math

from whitemetal.errors import InputError, Problem
from whitemetal.film import aligning, resting, reynolds
from whitemetal.film.kinds import Array, Flags
from whitemetal.film.resting import Balanced
from whitemetal.film.seek import Task

TOLERANCE = 1e-5
"""Load left over, as part of the load, at which a balance counts as found. Our own."""


def position(
    load: float,
    direction: float,
    clearance: Array,
    slenderness: float,
    *,
    feed: Flags | None = None,
    feed_pressure: float = 0.0,
    film_start: reynolds.FilmStart | None = None,
    rupture: reynolds.Rupture = "swift-stieber",
    supply: float = 1.0,
    start: tuple[float, float] | None = None,
    tolerance: float = TOLERANCE,
    moment: tuple[float, float] | None = None,
) -> Balanced:
    """Position of the journal under a load of size ``load`` (So, above zero) in ``direction`` [rad].

    clearance: the gap with the journal in the reference centre, any bore, taper and tilt, in reference
    clearances, shape (n_theta, n_z); the journal's place takes ``x cos(theta) + y sin(theta)`` from it.
    moment: None keeps the tilt as it is in ``clearance``; else the moments (as in `reynolds.Film`) to which
    the tilt is to be adjusted. start: a position to start from. Contact is an answer, not an error.
    Raises InputError (``load``, ``direction``, ``clearance``...), NotConverged.
    """
    task = Task(
        load, direction, clearance, slenderness, feed, feed_pressure, film_start, rupture, supply
    )  # fmt: skip
    check(task, tolerance)
    if moment is not None:
        return aligning.balance(task, moment, start, tolerance)
    return resting.settle(task, start, tolerance)


def check(task: Task, tolerance: float) -> None:
    """Refuse what has no answer, every fault at once."""
    load, direction = task.load, task.angle
    problems = [
        Problem("clearance", each.typed, each.expected) if each.field == "gap" else each
        for each in reynolds.faults(
            task.clearance, task.slenderness, task.feed, task.feed_pressure, None, None, reynolds.TOLERANCE,
            task.supply, task.rupture, task.film_start,
        )
    ]  # fmt: skip
    if not (math.isfinite(load) and load > 0.0):
        problems.append(Problem("load", repr(load), "a load above zero (its direction is given apart)"))
    if not math.isfinite(direction):
        problems.append(Problem("direction", repr(direction), "an angle"))
    if not 0.0 < tolerance < 0.1:
        problems.append(Problem("tolerance", repr(tolerance), "a number between 0 and 0.1"))
    if problems:
        raise InputError(*problems)


__all__ = ["Balanced", "check", "position"]
