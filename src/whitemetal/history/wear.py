"""Wear: the clearance as found now less as left then, over the life of one pair of shells.

Only what was measured alike is compared: same method, same joint filling, same tightening. A re-metalling or
other shells begin a new line. The first run of a line beds in and is left out of the rate (common practice);
a change far larger than the rate explains is a step (a wipe), shown as a step and not as a rate. White metal
wears at starts and in dirt more than in running, so the rate is taken against hours or against starts,
whichever is asked for.

    rate r = sum(d_i x_i / v_i) / sum(x_i² / v_i)

d_i: change [m] over the run x_i, v_i: its variance (both ends' uncertainty; weighted least squares through
nothing, since no wear happens in no time). Where the changes scatter more than their uncertainty explains,
the rate's uncertainty is widened by the Birge ratio.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Against = Literal["hours", "starts"]

STEP_SIGMAS = 4.0
"""A change so many of its standard uncertainties above what the others' rate explains is a step. Our own."""

FEWEST_RUNS = 2
"""Runs between openings that a rate is made from at least, the bedding-in left out. Our own."""


@dataclass(frozen=True)
class Opening:
    """One opening of the bearing. clearance [m] diametral with its standard uncertainty [m], as found and as
    left; None where it was not taken. hours [s], starts: counted from any fixed beginning. shells: name of
    the pair that was put back; alike: what must be equal for two clearances to be compared (method, joint,
    tightening)."""

    name: str
    hours: float
    starts: float
    found: float | None
    found_u: float
    left: float | None
    left_u: float
    shells: str
    alike: str = ""


@dataclass(frozen=True)
class Run:
    """From one opening to the next. change [m] with u; over: the run in hours [s] or starts. note: why it is
    left out of the rate, "" where it counts."""

    before: str
    after: str
    over: float
    change: float
    u: float
    note: str = ""


@dataclass(frozen=True)
class Wear:
    """rate [m per s, or per start] with standard uncertainty; None when too little is known, with ``why``.

    runs: every run with what became of it. birge: scatter over what the uncertainties explain. since: the
    last clearance as left with u, from which wear goes on.
    """

    against: Against
    rate: float | None
    rate_u: float
    birge: float
    runs: tuple[Run, ...]
    why: str
    since: tuple[float, float] | None


def wear(openings: Sequence[Opening], against: Against = "hours") -> Wear:
    """The wear over the life of the shells that are in now. openings: in order.

    Raises InputError when they are not in the order of their hours or starts.
    """
    _in_order(openings, against)
    runs = _steps_out(list(_runs(openings, against)))
    last = openings[-1] if openings else None
    since = (last.left, last.left_u) if last is not None and last.left is not None else None
    counted = [run for run in runs if not run.note and run.over > 0.0]
    if len(counted) < FEWEST_RUNS:
        why = say("history.one_opening" if len(openings) < 2 else "history.too_few", count=FEWEST_RUNS)
        return Wear(against, None, math.inf, 1.0, tuple(runs), why, since)
    rate, u, birge = _rate(counted)
    return Wear(against, rate, u, birge, tuple(runs), "", since)


def _in_order(openings: Sequence[Opening], against: Against) -> None:
    reached = [getattr(one, against) for one in openings]
    for before, after, one in zip(reached, reached[1:], openings[1:], strict=False):
        if after < before:
            raise InputError(
                Problem(f"{one.name}, {against}", f"{after:g}", say("history.backwards", before=before))
            )


def _runs(openings: Sequence[Opening], against: Against) -> list[Run]:
    """One for each pair of openings after each other whose clearances are known."""
    made: list[Run] = []
    shells, bedded = openings[-1].shells if openings else "", False
    for before, after in itertools.pairwise(openings):
        if before.left is None or after.found is None:
            continue
        over = getattr(after, against) - getattr(before, against)
        change, u = after.found - before.left, math.hypot(after.found_u, before.left_u)
        note = ""
        if before.shells != shells:
            note = say("history.other_shells", shells=before.shells)
        elif before.alike != after.alike:
            note = say("history.unlike", before=before.alike, after=after.alike)
        elif not bedded:
            bedded, note = True, say("history.bedding_in")
        made.append(Run(before.name, after.name, over, change, u, note))
    return made


def _steps_out(runs: list[Run]) -> list[Run]:
    """Every run that the rate of the others does not explain is named a step."""
    found = list(runs)
    for i, run in enumerate(runs):
        others = [one for j, one in enumerate(runs) if j != i and not one.note and one.over > 0.0]
        if run.note or len(others) < FEWEST_RUNS:
            continue
        rate, rate_u, _ = _rate(others)
        excess = run.change - rate * run.over
        if excess > STEP_SIGMAS * math.hypot(run.u, rate_u * run.over):
            found[i] = Run(run.before, run.after, run.over, run.change, run.u, say("history.step"))
    return found


def _rate(runs: Sequence[Run]) -> tuple[float, float, float]:
    """Rate, its standard uncertainty, Birge ratio."""
    weight = math.fsum(run.over**2 / run.u**2 for run in runs)
    rate = math.fsum(run.change * run.over / run.u**2 for run in runs) / weight
    chi_square = math.fsum(((run.change - rate * run.over) / run.u) ** 2 for run in runs)
    dof = len(runs) - 1
    birge = math.sqrt(chi_square / dof) if dof else 1.0
    return rate, max(1.0, birge) / math.sqrt(weight), birge
