"""What one job, or one sheet of old paper, says of its bearing's life: clearances as found and as left, and
what else was measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from whitemetal.card import Card
from whitemetal.card.limited import LIMITED
from whitemetal.gauging.contract import Facts
from whitemetal.history.wear import How
from whitemetal.job.fit_matrix import CLEARANCE as CLEARANCE_POINT
from whitemetal.job.judgement import AssessedShown, Judgement
from whitemetal.job.kinds import is_as_found
from whitemetal.job.life_book import CLEARANCE, CROWN, Paper
from whitemetal.job.run_in import RunShown
from whitemetal.job.state import CheckState, JobState
from whitemetal.job.typed import method_or_none
from whitemetal.units import Dimension, show
from whitemetal.words import say

UNTRUSTED = ("refused", "hold", "fault")
"""A clearance with a finding of this severity is shown but no wear is made of it."""


@dataclass(frozen=True)
class OfJob:
    """A job as its life needs it. judgements: of its checks, by check. runs: its run-ins as shown."""

    state: JobState
    card: Card
    judgements: Mapping[str, Judgement]
    runs: tuple[RunShown, ...] = ()


@dataclass(frozen=True)
class Figure:
    """A clearance, diametral [m]. key: its check, or its entry where it is from paper. how: what must be
    equal for two to be compared. doubt: why no wear is made of it, "" where it counts. text: of paper."""

    key: str
    title: str
    value: float
    u: float
    k: float
    how: How
    day: date | None
    doubt: str = ""
    paper: bool = False
    text: str = ""
    source: str = ""


@dataclass(frozen=True)
class Reading:
    """Anything else that was measured [SI]. of: what; where: its place, "" for the whole; u: None where not
    known. dimension, unit: how it is shown."""

    of: str
    where: str
    purpose: str
    value: float
    u: float | None
    dimension: Dimension
    unit: str
    paper: bool = False


def figures_of(job: OfJob) -> tuple[tuple[Figure, ...], tuple[Figure, ...], tuple[Reading, ...]]:
    """Clearances as found, as left, and everything else that a job measured.

    As found is what was taken so, also where the work since has made it stale. As left are the checks that
    count at the end; a bearing whose clearance nothing has changed is left as it was found.
    """
    found, left, others = [], [], []
    for key, check in job.state.checks.items():
        judgement = job.judgements.get(key)
        if judgement is None:
            continue
        as_found = is_as_found(check.purpose)
        others += _others(check, judgement)
        figure = _figure(job.card, check, judgement)
        if figure is None:
            continue
        if as_found:
            found.append(figure)
        if not check.stale and key in job.state.deciding.get(CLEARANCE_POINT, ()):
            left.append(figure)
    return tuple(found), tuple(left), (*others, *_temperatures(job.runs))


def _temperatures(runs: Sequence[RunShown]) -> Iterator[Reading]:
    """The highest temperature of every run-in at each place where it was taken."""
    for run in runs:
        for place in run.places:
            highest = max(taken.temperature for taken in place.taken)
            purpose = say("life.run_in", what=run.run.what, standing=run.standing)
            yield Reading(say("life.highest"), place.name, purpose, highest, None, "temperature", "degC")


def of_paper(held: Sequence[Paper]) -> tuple[tuple[Figure, ...], tuple[Figure, ...], tuple[Reading, ...]]:
    """The same of one old sheet."""
    found = tuple(_paper(one) for one in held if one.of == CLEARANCE and one.purpose == "as found")
    left = tuple(_paper(one) for one in held if one.of == CLEARANCE and one.purpose == "as left")
    others = tuple(
        Reading(
            one.of, one.place, one.purpose, one.value, one.u, "length" if one.of == CROWN else "temperature",
            "mm" if one.of == CROWN else "degC", paper=True,
        )
        for one in held
        if one.of != CLEARANCE
    )  # fmt: skip
    return found, left, others


def _paper(one: Paper) -> Figure:
    known = method_or_none(one.method)
    title = known.title if known is not None else one.method or say("life.method_unknown")
    how = (("method", title), ("joint", one.joint), ("torque", one.torque))
    doubt = say("life.disputed_short") if one.standing.disputed else ""
    text = f"{one.text} {one.basis}"
    said = f"{title} ({say('life.paper')})"
    return Figure(one.entry, said, one.value, one.u, 2.0, how, one.day, doubt, True, text, one.source)


def _figure(card: Card, check: CheckState, judgement: Judgement) -> Figure | None:
    clearance = judgement.clearance
    if clearance is None:
        return None
    doubts = [one.text for one in judgement.warnings if one.severity in UNTRUSTED]
    day = date.fromisoformat(check.taken_at[:10]) if check.taken_at else None
    return Figure(
        check.check, judgement.title, clearance.diametral_m, clearance.u_m, clearance.k,
        how_taken(card, check.method, check.facts), day, doubts[0] if doubts else "",
    )  # fmt: skip


def how_taken(card: Card, method: str, facts: Facts) -> How:
    """What must be equal for two clearances to be compared: the method, the joint's filling and its thickness
    at the final closing, and the torque; "" where it was not said."""
    known = method_or_none(method)
    title = known.title if known is not None else method
    return (("method", title), ("joint", _joint(card, facts)), ("torque", _torque(facts)))


def _joint(card: Card, facts: Facts) -> str:
    """As it is closed for running; the one at the reading where the final one was not said."""
    key = next((one for one in ("final_joint", "joint") if one in facts and facts[one].text.strip()), "")
    if not key or facts[key].text == "joint wires":
        return ""
    filling = facts[key].text.strip()
    if filling == "metal to metal":
        return filling
    sides = [facts.get(f"{key}_{side}") for side in ("left", "right")]
    sizes = [side.value if side is not None else None for side in sides]
    known = [size for size in sizes if size is not None] or [card.joint.left, card.joint.right]
    return f"{filling} {', '.join(show(size, 'mm', 'length', step=1e-5) for size in known)}"


def _torque(facts: Facts) -> str:
    fact = facts.get("torque")
    return show(fact.value, "N m", "torque") if fact is not None and fact.value is not None else ""


def _others(check: CheckState, judgement: Judgement) -> list[Reading]:
    return [
        Reading(one.of, value.where, check.purpose, value.value, value.u, _dimension(one), one.unit)
        for one in judgement.assessed
        for value in one.values
    ]


def _dimension(one: AssessedShown) -> Dimension:
    return LIMITED[one.of].dimension
