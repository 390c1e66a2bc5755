"""The boxes on the drawing and the rows of the table of readings, for any gauging method."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whitemetal.job.judgement import PlaceJudgement
from whitemetal.job.state import CheckState
from whitemetal.web.asked import View
from whitemetal.web.guard import new_id
from whitemetal.web.render import SIGNS, length
from whitemetal.words import say


@dataclass(frozen=True)
class Box:
    """An input box at a place. x, y, width, height: fractions of the drawing, all 0 where there is none.
    entry: of the reading shown."""

    label: str
    title: str
    number: int
    x: float
    y: float
    width: float
    height: float
    text: str
    entry: str
    sign: str
    said: str
    problem: str
    new_id: str


@dataclass(frozen=True)
class Row:
    """One place in the table of readings."""

    label: str
    readings: tuple[Any, ...]
    struck: tuple[Any, ...]
    unreadable: tuple[str, ...]
    diametral: str
    verdict: str
    sign: str


def boxes(
    check: CheckState, placed: Sequence[Any], results: Mapping[str, PlaceJudgement], unit: str, look: View
) -> Iterator[Box]:
    """One box a place of the drawing, in the order in which a person goes through them."""
    titles = {place.label: place.title for place in check.places}
    for at in placed:
        here = [r for r in check.readings if r.place == at.label and r.squeeze == look.squeeze]
        last = here[-1] if here else None
        unread = next((u for u in reversed(check.unreadable) if u[1] == at.label), None) if not last else None
        result = results.get(at.label)
        yield Box(
            at.label, titles.get(at.label, ""), at.number, at.x, at.y, at.width, at.height,
            text=look.typed.get(at.label, last.text if last else unread[2] if unread else ""),
            entry=last.entry if last else "",
            sign="!" if unread else SIGNS.get(result.verdict, "") if result and last else "",
            said=say("web.unreadable") if unread else _said(last, result, unit),
            problem=look.problems.get(at.label, say("web.unreadable") if unread else ""), new_id=new_id(),
        )  # fmt: skip


def _said(last: Any, result: PlaceJudgement | None, unit: str) -> str:
    if last is None:
        return say("web.said_empty")
    said = say("web.said_reading", text=last.text)
    if result is None:
        return said
    value = length(result.diametral_m, unit)
    return f"{said}; {say('web.said_verdict', diametral=value, verdict=result.verdict)}"


def rows(check: CheckState, results: Mapping[str, PlaceJudgement], unit: str) -> Iterator[Row]:
    """One row a place at which something was written."""
    for label in [place.label for place in check.places]:
        result = results.get(label)
        row = Row(
            label,
            tuple(r for r in check.readings if r.place == label),
            tuple(s for s in check.struck if s.reading.place == label),
            tuple(text for _, place, text in check.unreadable if place == label),
            length(result.diametral_m, unit) if result else "",
            result.verdict if result else "",
            SIGNS.get(result.verdict, "") if result else "",
        )
        if row.readings or row.struck or row.unreadable:
            yield row
