"""What a bench page shows, for any gauging method: made from its declaration, the state and the judgement."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from markupsafe import Markup

from whitemetal.card import Card
from whitemetal.errors import Problem
from whitemetal.gauging import Method, method_named
from whitemetal.gauging.contract import Facts, Field, HoldPoint
from whitemetal.job.judgement import Judgement, PlaceJudgement
from whitemetal.job.state import CheckState, HoldState, JobState
from whitemetal.job.typed import read_fact
from whitemetal.web.guard import new_id
from whitemetal.web.pictures import advice_of, bench_drawing, spots_of
from whitemetal.web.render import length
from whitemetal.words import say

SIGNS = {"within limits": "✓", "outside limits": "✕", "not proven": "?"}
WHYS = ("misread", "slip", "place", "wire", "zero")


@dataclass(frozen=True)
class Asked:
    """A field as asked on this page. key: of the fact it is kept under. unit: on its box."""

    key: str
    field: Field
    text: str
    by: str
    unit: str
    problem: str = ""

    @property
    def more(self) -> bool:
        """Asked only where it applies, so folded away."""
        return not self.field.needed


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
class View:
    """How the person looks: which squeeze, which gauge, standing where; what was typed and cannot be used,
    with its problems. known: what the plant knows of the gauge, by key. unread: texts of facts that were
    kept but cannot be read, by the field's label."""

    squeeze: int = 1
    gauge: str = ""
    turned: int = 0
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)
    known: Mapping[str, str] = field(default_factory=dict)
    unread: Mapping[str, str] = field(default_factory=dict)


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
    open_holds: int
    warnings: tuple[Any, ...]
    contradictions: tuple[str, ...]
    summary: str
    seen: tuple[str, ...]
    squeeze: int
    squeezes: tuple[int, ...]
    gauge: str
    gauges: tuple[tuple[str, str], ...]
    check_facts: tuple[Asked, ...]
    squeeze_facts: tuple[Asked, ...]
    gauge_facts: tuple[Asked, ...] | None
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    stands: tuple[tuple[int, str], ...]
    turned: int
    unrolled: Markup
    section: Markup
    advice: tuple[str, ...]
    whys: tuple[str, ...]
    problems: tuple[Any, ...] = ()


def bench_of(
    view: Any, check: str, judgement: Judgement, gauges: Mapping[str, Mapping[str, str]], look: View
) -> Bench:
    """The page of one check. ``view`` is the desk's view of the job."""
    state, card = view.state, view.card
    found: CheckState = state.checks[check]
    method = method_named(found.method)
    look = _informed(found, look, gauges)
    results = {place.label: place for place in judgement.clearance.places} if judgement.clearance else {}
    drawing = bench_drawing(card, spots_of(found.places), look.turned)
    holds = tuple(_holds(method, state.holds, judgement, check))
    return Bench(
        job=state.book, number=state.number, check=check, title=method.title, machine=card.machine.tag,
        cells=_cells(state, card, found), unit=reading_unit(method, card),
        reading_label=method.reading_field.label, judgement=judgement,
        boxes=tuple(_boxes(found, drawing.boxes, results, judgement.unit, look)),
        rows=tuple(_rows(found, results, judgement.unit)),
        holds=holds, open_holds=sum(not hold.closed for hold in judgement.holds),
        warnings=tuple(sorted(judgement.warnings, key=_weight)), contradictions=tuple(found.contradictions),
        summary=_summary(judgement, found), seen=tuple(state.heads),
        squeeze=look.squeeze, squeezes=_squeezes(found, look.squeeze),
        gauge=look.gauge, gauges=_gauges(gauges, look.gauge, found),
        check_facts=_asked(method, card, "check", found.facts, look),
        squeeze_facts=_asked(method, card, "squeeze", found.facts, look),
        gauge_facts=_gauge_facts(method, card, found.facts, look),
        cautions=tuple(caution(key) for key in method.cautions), steps=method.steps,
        stands=_stands(card), turned=look.turned,
        unrolled=drawing.unrolled, section=drawing.section if "section" in method.views else Markup(),
        advice=() if found.readings else advice_of(method.key, card),
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
    return _unit(method.reading_field, card)


def _unit(asked: Field, card: Card) -> str:
    if asked.kind != "quantity":
        return ""
    return card.bearing.unit if asked.dimension == "length" and asked.unit in ("", "mm") else asked.unit


def instrument_key(gauge: str, key: str) -> str:
    """Key of a fact of an instrument."""
    return f"instrument.{gauge}.{key}"


def squeeze_key(key: str, squeeze: int) -> str:
    """Key of a fact of one squeeze: no suffix means the first."""
    return key if squeeze == 1 else f"{key}@{squeeze}"


def _informed(check: CheckState, look: View, gauges: Mapping[str, Mapping[str, str]]) -> View:
    """The look with what the plant knows of the gauge and with the facts that cannot be read."""
    known = {instrument_key(look.gauge, key): text for key, text in gauges.get(look.gauge, {}).items()}
    places = {place.label for place in check.places}
    unread = {key: text for _, key, text in check.unreadable if key not in places}
    return replace(look, known=known, unread=unread)


def _asked(method: Method, card: Card, scope: str, facts: Facts, look: View) -> tuple[Asked, ...]:
    return tuple(_one_asked(method, each, card, facts, look) for each in method.fields if each.scope == scope)


def _one_asked(method: Method, asked: Field, card: Card, facts: Facts, look: View) -> Asked:
    key = asked.key
    if asked.scope == "squeeze":
        key = squeeze_key(key, look.squeeze)
    elif asked.scope == "instrument":
        key = instrument_key(look.gauge, key)
    fact, unread = facts.get(key), None if key in facts else look.unread.get(key)
    kept = fact.text if fact else unread or look.known.get(key, "")
    problem = look.problems.get(key, "")
    if unread and not problem:
        read = read_fact(method, key, unread, _unit(asked, card))
        problem = f"{say('web.expected')} {read.expected}" if isinstance(read, Problem) else ""
    by = fact.by if fact and fact.text else ""
    return Asked(key, asked, look.typed.get(key, kept), by, _unit(asked, card), problem)


def _gauge_facts(method: Method, card: Card, facts: Facts, look: View) -> tuple[Asked, ...] | None:
    """None when the method asks nothing of an instrument."""
    asked = _asked(method, card, "instrument", facts, look)
    return asked or None


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
        (say("web.bearing"), card.bearing.position),
        (say("web.job"), f"{state.number} · {state.title}" if state.title else state.number),
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


def _asks_note(point: HoldPoint) -> bool:
    return "noted" in point.text


def _weight(found: Any) -> int:
    return ("refused", "question", "hold", "warning", "note").index(found.severity)


def _summary(judgement: Judgement, check: CheckState) -> str:
    read = len({r.place for r in check.readings})
    if not read:
        return say("web.summary_none")
    values = {"word": judgement.verdict, "count": read, "places": len(check.places)}
    if judgement.clearance is None:
        return say("web.summary", **values)
    unit = judgement.unit
    return say(
        "web.summary_value",
        clearance=length(judgement.clearance.diametral_m, unit).rpartition(" ")[0],
        expanded=length(judgement.clearance.expanded_m, unit),
        **values,
    )
