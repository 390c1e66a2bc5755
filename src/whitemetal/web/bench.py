"""What a bench page shows, for any gauging method: made from its declaration, the state and the judgement."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from whitemetal.card import Card
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import HoldPoint
from whitemetal.job.judgement import Judgement, PlaceJudgement
from whitemetal.job.state import CheckState, HoldState, JobState
from whitemetal.web.asked import Asked, Lacking, View, asked_of, informed, lacking_of, unit_on_box
from whitemetal.web.guard import new_id
from whitemetal.web.pictures import Told, advice_of, bench_drawing, spots_of
from whitemetal.web.render import length
from whitemetal.words import say

SIGNS = {"within limits": "✓", "outside limits": "✕", "not proven": "?"}
WHYS = ("misread", "slip", "place", "wire", "zero")


@dataclass(frozen=True)
class Box:
    """An input box at a place. x, y, width, height: fractions of the drawing. entry: of the reading shown."""

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


@dataclass(frozen=True)
class HoldAsked:
    """A hold point as asked. note: what was noted when it was closed, by whom, or why it is open again."""

    key: str
    when: str
    text: str
    why: str
    people: bool
    closed: bool
    note: str
    asks_note: bool


@dataclass(frozen=True)
class Bench:
    """Everything the bench page and its live parts show."""

    job: str
    number: str
    check: str
    title: str
    machine: str
    cells: tuple[tuple[str, str], ...]
    unit: str
    reading_label: str
    judgement: Judgement
    boxes: tuple[Box, ...]
    rows: tuple[Row, ...]
    holds: tuple[HoldAsked, ...]
    folds: Mapping[str, str]
    open_holds: int
    warnings: tuple[Any, ...]
    contradictions: tuple[str, ...]
    lacking: tuple[Lacking, ...]
    settle: tuple[str, ...]
    summary: str
    seen: tuple[str, ...]
    squeeze: int
    squeezes: tuple[int, ...]
    gauge: str
    gauges: tuple[tuple[str, str], ...]
    check_facts: tuple[Asked, ...]
    squeeze_facts: tuple[Asked, ...]
    gauge_facts: tuple[Asked, ...]
    gauge_open: bool
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    stands: tuple[tuple[int, str], ...]
    turned: int
    unrolled: Markup
    section: Markup
    advice: Told | None
    whys: tuple[str, ...]
    problems: tuple[Any, ...] = ()


def bench_of(
    view: Any, check: str, judgement: Judgement, gauges: Mapping[str, Mapping[str, str]], look: View
) -> Bench:
    """The page of one check. ``view`` is the desk's view of the job."""
    state, card = view.state, view.card
    found: CheckState = state.checks[check]
    method = method_named(found.method)
    look = informed(found, look, gauges)
    results = {place.label: place for place in judgement.clearance.places} if judgement.clearance else {}
    drawing = bench_drawing(card, spots_of(found.places), look.turned)
    holds = tuple(_holds(method, state.holds, judgement, check))
    lacking, others = lacking_of(method, judgement.warnings, look)
    shown = {warned.text for warned in judgement.warnings}
    return Bench(
        job=state.book, number=state.number, check=check, title=method.title, machine=card.machine.tag,
        cells=_cells(state, card, found), unit=reading_unit(method, card),
        reading_label=method.reading_field.label, judgement=judgement,
        boxes=tuple(_boxes(found, drawing.boxes, results, judgement.unit, look)),
        rows=tuple(_rows(found, results, judgement.unit)),
        holds=holds, folds=_folds(holds, state.holds, check),
        open_holds=sum(not hold.closed for hold in judgement.holds),
        warnings=tuple(sorted(others, key=_weight)), contradictions=tuple(found.contradictions),
        lacking=lacking, settle=tuple(text for text in judgement.settle if text not in shown),
        summary=_summary(judgement, found, len(lacking)), seen=tuple(state.heads),
        squeeze=look.squeeze, squeezes=_squeezes(found, look.squeeze),
        gauge=look.gauge, gauges=_gauges(gauges, look.gauge, found),
        check_facts=asked_of(method, card, "check", found.facts, look),
        squeeze_facts=asked_of(method, card, "squeeze", found.facts, look),
        gauge_facts=asked_of(method, card, "instrument", found.facts, look), gauge_open=look.gauge_open,
        cautions=tuple(caution(key) for key in method.cautions), steps=method.steps,
        stands=_stands(card), turned=look.turned,
        unrolled=drawing.unrolled, section=drawing.section if "section" in method.views else Markup(),
        advice=advice_of(method.key, card) if not found.readings else None,
        whys=tuple(say(f"web.why_{why}") for why in WHYS),
    )  # fmt: skip


def caution(key: str) -> str:
    """The caution's sentence; a method from outside may give the sentence itself."""
    try:
        return say(f"caution.{key}")
    except KeyError:
        return key


def reading_unit(method: Method, card: Card) -> str:
    """The unit on the boxes: the bearing's own for a length, else the field's."""
    return unit_on_box(method.reading_field, card)


def _gauges(
    gauges: Mapping[str, Mapping[str, str]], chosen: str, check: CheckState
) -> tuple[tuple[str, str], ...]:
    names = {key: f"{key} · {facts['name']}" if facts.get("name") else key for key, facts in gauges.items()}
    for reading in check.readings:
        if reading.instrument:
            names.setdefault(reading.instrument, reading.instrument)
    if chosen:
        names.setdefault(chosen, chosen)
    return tuple(names.items())


def _squeezes(check: CheckState, shown: int) -> tuple[int, ...]:
    """Every squeeze that has readings, the one shown, and the next."""
    most = max([shown, *(reading.squeeze for reading in check.readings)])
    return tuple(range(1, most + 2))


def _stands(card: Card) -> tuple[tuple[int, str], ...]:
    stand = card.machine.view_from
    others = [end for end in card.bearing.ends if end != stand]
    opposite = others[0] if len(others) == 1 else say("web.opposite", end=stand)
    return ((0, stand), (180, opposite))


def _cells(state: JobState, card: Card, check: CheckState) -> tuple[tuple[str, str], ...]:
    return (
        (say("web.machine"), f"{card.machine.tag} · {card.machine.name}"),
        (say("web.job"), f"{state.number} · {state.title}" if state.title else state.number),
        (say("web.bearing"), card.bearing.position),
        (say("web.purpose"), check.purpose),
        (say("web.revision"), (state.card or "")[:8]),
    )


def _boxes(
    check: CheckState, placed: Sequence[Any], results: Mapping[str, PlaceJudgement], unit: str, look: View
) -> Iterator[Box]:
    titles = {place.label: place.title for place in check.places}
    for at in sorted(placed, key=lambda box: (round(box.y, 3), box.x)):
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


def _rows(check: CheckState, results: Mapping[str, PlaceJudgement], unit: str) -> Iterator[Row]:
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


def _holds(
    method: Method, states: Mapping[str, HoldState], judgement: Judgement, check: str
) -> Iterator[HoldAsked]:
    closed = {hold.key: hold.closed for hold in judgement.holds}
    for point in method.hold_points:
        state = states.get(f"{point.key}@{check}") or states.get(point.key)
        yield HoldAsked(
            point.key, point.when, point.text, point.why, point.people,
            closed.get(point.key, False), _note(state), _asks_note(point),
        )  # fmt: skip


def _note(state: HoldState | None) -> str:
    return ", ".join(part for part in (state.text, state.by, state.why) if part) if state else ""


def _folds(holds: Sequence[HoldAsked], states: Mapping[str, HoldState], check: str) -> dict[str, str]:
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


def _weight(found: Any) -> int:
    return ("refused", "question", "hold", "warning", "note").index(found.severity)


def _summary(judgement: Judgement, check: CheckState, lacking: int) -> str:
    read = len({r.place for r in check.readings})
    more = say("web.summary_lacking", count=lacking) if lacking else ""
    if not read:
        return say("web.summary_none") + more
    said = {"word": judgement.verdict, "count": str(read), "places": str(len(check.places))}
    if judgement.clearance is None:
        return say("web.summary", **said) + more
    unit = judgement.unit
    said["clearance"] = length(judgement.clearance.diametral_m, unit).rpartition(" ")[0]
    said["expanded"] = length(judgement.clearance.expanded_m, unit)
    return say("web.summary_value", **said) + more
