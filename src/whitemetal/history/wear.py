"""Wear: the clearance as found now less as left then, over the life of one pair of shells.

Only what was measured alike is compared: same method, same joint filling, same tightening. A re-metalling or
other shells begin a new line. The first run after it beds in and is left out of the rate (common practice);
a change far larger than the rate explains is a step (a wipe), shown as a step and not as a rate. White metal
wears at starts and in dirt more than in running, so the rate is taken against hours or against starts,
whichever is asked for; against the calendar where neither was counted.

    rate r = x' V⁻¹ d / x' V⁻¹ x,   u²(r) = 1 / x' V⁻¹ x

d: changes [m] over the runs x, V: their covariance from both ends' uncertainty (generalized least squares
through nothing, since no wear happens in no time). Two runs that share a measurement, because a bearing was
put back as it was found, are correlated by -u² of it. Where the changes scatter more than their uncertainty
and chance explain, the rate's uncertainty is widened by the Birge ratio, with as many degrees of freedom as
the scatter has.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

Against = Literal["hours", "starts", "calendar"]

STEP_SIGMAS = 4.0
"""A change so many of its standard uncertainties above what the others' rate explains is a step. Our own."""

BY_CHANCE = 0.05
"""Scatter less probable than this is taken for real, and the few runs that show it for all that is known of
it (Student's t). Our own."""

How = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Taken:
    """A clearance as it was taken: value [m] diametral with its standard uncertainty [m].

    key: of the measurement, so that one that serves as found and as left is known as one. how: what must be
    equal for two to be compared (name and text); a text "" was not said and is compared with anything.
    """

    key: str
    value: float
    u: float
    how: How = ()


@dataclass(frozen=True)
class Opening:
    """One opening of the bearing. at [s], hours [s], starts: counted from any fixed beginning, None where not
    known. found, left: the clearances in every way they were taken, () where not. shells: name of the pair
    that was put back; renewed: other shells or a new lining went in, so that the run after it beds in."""

    name: str
    at: float
    hours: float | None
    starts: float | None
    found: tuple[Taken, ...]
    left: tuple[Taken, ...]
    shells: str
    renewed: bool = False


@dataclass(frozen=True)
class Run:
    """From one opening to the next. over: the run in hours [s], starts or calendar [s], None where not known.
    change [m] with u, from ``left`` to ``found``. note: why it is left out of the rate, "" where it counts.
    step: whether it is a step."""

    before: str
    after: str
    over: float | None
    change: float
    u: float
    left: Taken
    found: Taken
    note: str = ""
    step: bool = False


@dataclass(frozen=True)
class Since:
    """The clearance from which wear goes on [m], its standard uncertainty and covariance with the rate.
    as_left: False where it is as found: nothing was measured as left, for nothing was changed or not yet."""

    value: float
    u: float
    covariance: float
    as_left: bool


@dataclass(frozen=True)
class Wear:
    """rate [m per s, or per start] with standard uncertainty; None when too little is known, with ``why``.

    runs: every run with what became of it. birge: scatter over what the uncertainties explain, 1 while chance
    explains it. dof: infinite while they explain it. said: what must be known beside the rate, in sentences.
    """

    against: Against
    rate: float | None
    rate_u: float
    birge: float
    dof: float
    runs: tuple[Run, ...]
    why: str
    since: Since | None
    said: tuple[str, ...] = ()


def wear(openings: Sequence[Opening], against: Against = "hours") -> Wear:
    """The wear over the life of the shells that are in now. openings: in order.

    Raises InputError when they are not in the order of their hours or starts.
    """
    _in_order(openings, against)
    runs = _steps_out(list(_runs(openings, against)))
    last = openings[-1] if openings else None
    counted = [run for run in runs if not run.note]
    if not counted or last is None:
        return Wear(against, None, math.inf, 1.0, math.inf, tuple(runs), _why(openings), _since(last))
    gain, rate, u, birge, dof = _rate(counted)
    since = _since(last)
    if since is not None:
        covariance = math.fsum(
            g * _shared(since_key(last), run) for g, run in zip(gain, counted, strict=True)
        )
        since = replace(since, covariance=covariance * birge * birge)
    return Wear(against, rate, u, birge, dof, tuple(runs), "", since, tuple(_said(counted)))


def best(taken: Sequence[Taken]) -> Taken | None:
    """The one of several that is known best."""
    return min(taken, key=lambda one: (one.u, one.key), default=None)


def since_key(last: Opening) -> Taken | None:
    """The measurement from which wear goes on: as left, or as found where there is none."""
    return best(last.left) or best(last.found)


def unlike(one: Taken, other: Taken) -> tuple[str, str] | None:
    """The texts in which two measurements differ, None when they may be compared."""
    texts = dict(other.how)
    for name, text in one.how:
        if text and texts.get(name) and texts[name] != text:
            return text, texts[name]
    return None


def _since(last: Opening | None) -> Since | None:
    from_ = since_key(last) if last is not None else None
    if last is None or from_ is None:
        return None
    as_left = bool(last.left) and from_.key not in {one.key for one in last.found}
    return Since(from_.value, from_.u, 0.0, as_left)


def _shared(taken: Taken | None, run: Run) -> float:
    """Covariance of a clearance with the change of a run [m²]."""
    if taken is None:
        return 0.0
    squared = taken.u * taken.u
    return squared * ((taken.key == run.found.key) - (taken.key == run.left.key))


def _why(openings: Sequence[Opening]) -> str:
    return say("history.one_opening" if len(openings) < 2 else "history.too_few")


def _said(counted: Sequence[Run]) -> Iterator[str]:
    if len(counted) == 1:
        yield say("history.one_run")


def _in_order(openings: Sequence[Opening], against: Against) -> None:
    reached = [(one, _count(one, against)) for one in openings]
    known = [(one, count) for one, count in reached if count is not None]
    for (_, before), (one, after) in itertools.pairwise(known):
        if after < before:
            label = f"{one.name}, {say(f'history.against_{against}')}"
            raise InputError(Problem(label, f"{after:g}", say("history.backwards", before=before)))


def _count(opening: Opening, against: Against) -> float | None:
    return {"hours": opening.hours, "starts": opening.starts, "calendar": opening.at}[against]


def _runs(openings: Sequence[Opening], against: Against) -> Iterator[Run]:
    """One for each pair of openings after each other whose clearances are known."""
    shells = openings[-1].shells if openings else ""
    for before, after in itertools.pairwise(openings):
        pairs = [(left, found) for left in before.left for found in after.found]
        if not pairs:
            continue
        alike = [pair for pair in pairs if unlike(*pair) is None]
        left, found = min(alike or pairs, key=lambda pair: math.hypot(pair[0].u, pair[1].u))
        ends = _count(before, against), _count(after, against)
        over = ends[1] - ends[0] if ends[0] is not None and ends[1] is not None else None
        note, differ = "", unlike(left, found)
        if before.shells != shells:
            note = say("history.other_shells", shells=before.shells)
        elif differ is not None:
            note = say("history.unlike", before=differ[0], after=differ[1])
        elif before.renewed:
            note = say("history.bedding_in")
        elif over is None:
            note = say(f"history.no_{against}")
        elif over <= 0.0:
            note = say("history.no_run")
        u = math.hypot(found.u, left.u)
        yield Run(before.name, after.name, over, found.value - left.value, u, left, found, note)


def _steps_out(runs: list[Run]) -> list[Run]:
    """Every run that the rate of the others does not explain is named a step, the largest first."""
    found = list(runs)
    while True:
        excess = {i: _excess(found, i) for i, run in enumerate(found) if not run.note}
        worst = max(excess, key=lambda i: excess[i], default=None)
        if worst is None or excess[worst] <= STEP_SIGMAS:
            return found
        found[worst] = replace(found[worst], note=say("history.step"), step=True)


def _excess(runs: Sequence[Run], i: int) -> float:
    """By how many standard uncertainties a run's change is above what the rate of the others explains."""
    others = [one for j, one in enumerate(runs) if j != i and not one.note]
    if not others:
        return -math.inf
    _, rate, rate_u, _, _ = _rate(others)
    over = runs[i].over or 0.0
    return (runs[i].change - rate * over) / math.hypot(runs[i].u, rate_u * over)


def _rate(runs: Sequence[Run]) -> tuple[list[float], float, float, float, float]:
    """Gain of each change, rate, its standard uncertainty, the factor it was widened by, dof."""
    x = np.array([run.over or 0.0 for run in runs])
    d = np.array([run.change for run in runs])
    v = np.array([[_covariance(a, b) for b in runs] for a in runs])
    scale = float(np.mean(np.diag(v)))
    weighted = np.linalg.solve(v / scale, x / x.max()) / x.max()
    gain = weighted / float(weighted @ x)
    rate = float(gain @ d)
    left = d - rate * x
    chi_square, dof = float(left @ np.linalg.solve(v / scale, left)) / scale, len(runs) - 1
    real = dof > 0 and _beyond(chi_square, dof) < BY_CHANCE
    birge = math.sqrt(chi_square / dof) if real else 1.0
    u = birge * math.sqrt(float(gain @ v @ gain))
    return [float(one) for one in gain], rate, u, birge, float(dof) if real else math.inf


def _beyond(chi_square: float, dof: int) -> float:
    """Probability of a larger chi-square by chance."""
    from scipy.special import chdtrc

    return float(chdtrc(dof, chi_square))


def _covariance(one: Run, other: Run) -> float:
    """Of the changes of two runs [m²]."""
    if one is other:
        return one.u * one.u
    return _shared(one.found, other) - _shared(one.left, other)
