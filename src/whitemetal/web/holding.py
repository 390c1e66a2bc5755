"""Hold points as a bench page asks them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from whitemetal.gauging import Method
from whitemetal.gauging.contract import Facts, Field, HoldPoint
from whitemetal.job.judgement import Judgement
from whitemetal.job.procedure.permit import HOLD, Permit
from whitemetal.job.state import HoldState
from whitemetal.words import say


@dataclass(frozen=True)
class HoldAsked:
    """A hold point as asked. note: what was noted when it was closed, by whom, or why it is open again.
    permit: the permit that stands in its box already, None where there is none."""

    key: str
    when: str
    text: str
    why: str
    people: bool
    closed: bool
    note: str
    asks_note: bool
    permit: Permit | None = None


def same_question(method: Method, key: str) -> Field | None:
    """The fact that asks what the hold point of this key asks: its tick answers both. None without one."""
    return next(
        (one for one in method.fields if one.key == key and one.kind == "yes or no" and one.scope == "check"),
        None,
    )


def asked_as_hold(method: Method) -> frozenset[str]:
    """Keys of the facts that a hold point asks already."""
    return frozenset(point.key for point in method.hold_points if same_question(method, point.key))


def holds_asked(
    method: Method, states: Mapping[str, HoldState], judgement: Judgement, check: str, facts: Facts,
    permit: Permit | None = None,
) -> Iterator[HoldAsked]:  # fmt: skip
    """The method's hold points in order; one that is a fact too is closed when both say so."""
    closed = {hold.key: hold.closed for hold in judgement.holds}
    for point in method.hold_points:
        state = states.get(f"{point.key}@{check}") or states.get(point.key)
        fact = facts.get(point.key)
        both = same_question(method, point.key) is None or (fact is not None and fact.text == "yes")
        yield HoldAsked(
            point.key, point.when, point.text, point.why, point.people,
            closed.get(point.key, False) and both, _note(state), _asks_note(point),
            permit if point.key == HOLD else None,
        )  # fmt: skip


def _note(state: HoldState | None) -> str:
    return ", ".join(part for part in (state.text, state.by, state.why) if part) if state else ""


def folds_of(holds: Sequence[HoldAsked], states: Mapping[str, HoldState], check: str) -> dict[str, str]:
    """By when they are due: what stands on the fold of hold points that are all closed, namely how many,
    what was noted and who closed them."""
    folds = {"before": "", "after": ""}
    for when in folds:
        due = [hold for hold in holds if hold.when == when]
        if due and all(hold.closed for hold in due):
            found = [states.get(f"{hold.key}@{check}") or states.get(hold.key) for hold in due]
            told = [state.text for state in found if state] + [state.by for state in found if state]
            said = say("web.all_closed", count=len(due))
            folds[when] = " · ".join([said, *(part for part in dict.fromkeys(told) if part)])
    return folds


def _asks_note(point: HoldPoint) -> bool:
    return "noted" in point.text
