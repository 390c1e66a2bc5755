"""Balance of load and moment: the tilt adjusts itself until the film's moments are those given."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from whitemetal.errors import NotConverged
from whitemetal.film import gap
from whitemetal.film.kinds import Array
from whitemetal.film.resting import Balanced, settle
from whitemetal.film.seek import Task

MOST_STEPS = 30
"""Tilts tried before the search gives up. Our own."""

PROBE = 0.02
"""Tilt by which the slope of the moments is felt out, as part of the least gap. Our own."""


def balance(
    task: Task, moment: tuple[float, float], start: tuple[float, float] | None, tolerance: float
) -> Balanced:
    """Broyden's method on the two tilts around the balance of the load. Raises NotConverged."""
    aim, tilt = np.array(moment), np.zeros(2)
    here = held(task, tilt, start, tolerance)
    off = missing(here, aim, task.load)
    slope = felt(task, tilt, here, off, aim, tolerance)
    for _ in range(MOST_STEPS):
        size = float(np.hypot(*off))
        if size <= 10.0 * tolerance or here.contact:
            return replace(
                here, tilt_x=float(tilt[0]), tilt_y=float(tilt[1]), residual=max(here.residual, size)
            )
        step = -np.linalg.solve(slope, off)
        step *= min(1.0, 0.5 * here.least_gap / max(float(np.hypot(*step)), 1e-300))
        here = held(task, tilt + step, (here.x, here.y), tolerance)
        fresh = missing(here, aim, task.load)
        slope = slope + np.outer(fresh - off - slope @ step, step) / float(step @ step)
        tilt, off = tilt + step, fresh
    raise NotConverged("the tilt of the journal", float(np.hypot(*off)), MOST_STEPS)


def held(task: Task, tilt: Array, start: tuple[float, float] | None, tolerance: float) -> Balanced:
    """The balance of the load with a tilt held."""
    tilted = gap.displaced(task.clearance, 0.0, 0.0, float(tilt[0]), float(tilt[1]))
    return settle(replace(task, clearance=tilted), start, tolerance)


def missing(here: Balanced, aim: Array, load: float) -> Array:
    """Moments left over, as parts of load times L/2."""
    off: Array = (np.array([here.film.moment_x, here.film.moment_y]) - aim) / load
    return off


def felt(task: Task, tilt: Array, here: Balanced, off: Array, aim: Array, tolerance: float) -> Array:
    """Slope of the moments with the tilt, by differences."""
    slope, probe = np.empty((2, 2)), PROBE * here.least_gap
    for k in range(2):
        moved = tilt + probe * np.eye(2)[k]
        near = held(task, moved, (here.x, here.y), 0.1 * tolerance)
        slope[:, k] = (missing(near, aim, task.load) - off) / probe
    return slope
