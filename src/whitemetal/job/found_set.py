"""What is taken of a bearing before it is stripped down, and what of it is still lacking.

None of it can be taken afterwards: without the clearance as found nobody knows the wear, without marks and
shims nobody can put it back as it was. Common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from whitemetal.card import Card
from whitemetal.gauging import METHODS, Method
from whitemetal.job.chain import no_crush
from whitemetal.job.fit_matrix import EVERYTHING, things_of
from whitemetal.job.kinds import is_as_found
from whitemetal.job.state import CheckState, JobState
from whitemetal.words import say

Standing = Literal["taken", "lacking", "too late", "does not apply"]

CONDITION = "condition"


@dataclass(frozen=True)
class FoundPart:
    """A part of the set. method: with which it is begun, "" where nothing can be begun. check: that was
    begun for it, "" where none was. said: in a sentence."""

    key: str
    text: str
    why: str
    standing: Standing
    said: str
    method: str = ""
    check: str = ""


def found_set(state: JobState, card: Card) -> tuple[FoundPart, ...]:
    """The set in the order in which it is taken: what one sees before a nut is turned comes first."""
    return (
        _seen(state, "marks", ("marks",), photographed=True),
        _seen(state, "oil", ("oil_level", "oil_looks")),
        _measured(state, "alignment", _with("alignment")),
        _measured(state, "end_float", _with("end_float")),
        _measured(state, "clearance", _proving("clearance")),
        _seen(state, "shims", ("shims_left", "shims_right")),
        _crush(state, card),
    )


def lacking(parts: Sequence[FoundPart]) -> tuple[FoundPart, ...]:
    """What can still be taken and was not."""
    return tuple(part for part in parts if part.standing == "lacking")


def _with(key: str) -> tuple[Method, ...]:
    return (METHODS[key],)


def _proving(point: str) -> tuple[Method, ...]:
    return tuple(method for method in METHODS.values() if method.proves == point)


def _part(key: str, standing: Standing, said: str, method: str, check: str = "") -> FoundPart:
    text, why = say(f"found.{key}"), say(f"found.why_{key}")
    return FoundPart(key, text, why, standing, said, method if standing == "lacking" else "", check)


def _crush(state: JobState, card: Card) -> FoundPart:
    if no_crush(card):
        return _part("crush", "does not apply", say("found.no_crush"), "")
    return _measured(state, "crush", _proving("crush"))


def _measured(state: JobState, key: str, methods: tuple[Method, ...]) -> FoundPart:
    begun = _as_found(state, [method.key for method in methods])
    taken = next((one for one in reversed(begun) if one.measured_by), None)
    if taken is not None:
        by = ", ".join(taken.measured_by)
        return _part(key, "taken", say("found.taken_by", by=by), "", taken.check)
    return _open(state, key, methods[0], begun, say("found.nothing_read"))


def _seen(state: JobState, key: str, needed: tuple[str, ...], *, photographed: bool = False) -> FoundPart:
    method = METHODS[CONDITION]
    begun = _as_found(state, [CONDITION])
    for one in reversed(begun):
        if all(fact in one.facts and one.facts[fact].text.strip() for fact in needed):
            by = one.facts[needed[0]].by or ", ".join(one.measured_by)
            said = say("found.taken_by", by=by)
            if photographed and not _photographs(state, one.check):
                said = say("found.no_photograph", said=said)
            return _part(key, "taken", said, "", one.check)
    return _open(state, key, method, begun, say("found.not_noted"))


def _photographs(state: JobState, check: str) -> bool:
    return any(one.of == check and not one.struck for one in state.photographs)


def _as_found(state: JobState, methods: Sequence[str]) -> list[CheckState]:
    return [one for one in state.checks.values() if one.method in methods and is_as_found(one.purpose)]


def _open(state: JobState, key: str, method: Method, begun: Sequence[CheckState], nothing: str) -> FoundPart:
    """A part that was not taken: lacking, or too late."""
    check = begun[-1].check if begun else ""
    done = _since(state, method)
    if done:
        return _part(key, "too late", say("found.too_late", what=done), "", check)
    return _part(key, "lacking", nothing if begun else say("found.not_begun"), method.key, check)


def _since(state: JobState, method: Method) -> str:
    """What was done since that leaves nothing for this method to find; "" for nothing."""
    stripped = next((one for one in state.stripped if not one.struck), None)
    if stripped is not None:
        return say("found.stripped", by=stripped.by)
    things = things_of(method)
    for change in state.fit_changes:
        touched = set(change.touches)
        if not change.struck and (touched & things or things == EVERYTHING):
            return say("found.changed", what=change.what, by=change.by)
    return ""
