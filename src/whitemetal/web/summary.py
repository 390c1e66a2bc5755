"""A check in one line, and its findings by weight."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from whitemetal.gauging import Method
from whitemetal.job.by_quantity import in_words
from whitemetal.job.judgement import AssessedShown, Judgement
from whitemetal.job.state import CheckState
from whitemetal.web.render import length
from whitemetal.words import say

SEVERITIES = ("fault", "refused", "question", "hold", "warning", "note")
"""Findings in the order in which they are shown."""

LONGEST = 70
"""So many letters of a sentence stand in the line at the foot of the bench."""


def by_weight(findings: Iterable[Any]) -> tuple[Any, ...]:
    """The findings, faults first."""
    return tuple(sorted(findings, key=lambda found: SEVERITIES.index(found.severity)))


def summary_of(judgement: Judgement, method: Method, check: CheckState, lacking: int) -> str:
    """The verdict with what it stands on: a fault or what was refused, else the clearance or the first
    quantity, else how much of it was read."""
    more = say("web.summary_lacking", count=lacking) if lacking else ""
    return _said(judgement, method, check) + more


def _said(judgement: Judgement, method: Method, check: CheckState) -> str:
    for found in by_weight(judgement.warnings)[:1]:
        if found.severity in ("fault", "refused"):
            return say(f"web.summary_{found.severity}", word=judgement.verdict, text=_short(found.text))
    count, whole = _progress(method, check)
    if not count:
        return say("web.summary_none") if check.places else say("web.summary_nothing")
    said = {"word": judgement.verdict, "count": str(count), "places": str(whole)}
    if judgement.clearance is not None:
        unit = judgement.unit
        said["clearance"] = length(judgement.clearance.diametral_m, unit).rpartition(" ")[0]
        said["expanded"] = length(judgement.clearance.expanded_m, unit)
        return say("web.summary_value", **said)
    first = next((one for one in judgement.assessed if one.values), None)
    return say("web.summary", **said) if first is None else _of_quantity(judgement, first)


def _of_quantity(judgement: Judgement, one: AssessedShown) -> str:
    value = one.values[0]
    return say(
        "web.summary_quantity", word=judgement.verdict, label=one.label, value=in_words(one, value.value),
        expanded=in_words(one, value.expanded),
    )  # fmt: skip


def _progress(method: Method, check: CheckState) -> tuple[int, int]:
    """How many places were read, or facts measured, of how many."""
    if check.places:
        return len({reading.place for reading in check.readings}), len(check.places)
    measured = [field.key for field in method.fields if field.measured]
    asked = measured or [field.key for field in method.fields]
    return sum(key in check.facts for key in asked), len(asked)


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1].rsplit(" ", 1)[0] + " …"
