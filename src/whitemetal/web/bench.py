"""What a bench page shows, for any gauging method: made from its declaration, the state and the judgement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.gauging import Method, method_named
from whitemetal.job.entry import book_digest
from whitemetal.job.judgement import Judgement
from whitemetal.job.procedure.permit import permit_of
from whitemetal.job.state import CheckState, JobState
from whitemetal.web.asked import (
    ZERO_AFTER,
    ZERO_BEFORE,
    Asked,
    Lacking,
    View,
    asked_of,
    informed,
    lacking_of,
    unit_on_box,
)
from whitemetal.web.boxes import Box, Row, boxes, rows
from whitemetal.web.holding import HoldAsked, asked_as_hold, folds_of, holds_asked
from whitemetal.web.pictures import Told, advice_of, bench_drawing, spots_of
from whitemetal.web.summary import by_weight, summary_of
from whitemetal.words import say

WHYS = ("misread", "slip", "place", "zero")
"""Usual reasons why a reading is struck out."""


@dataclass(frozen=True)
class Bench:
    """Everything the bench page and its live parts show. measured: facts that are readings of the parts;
    check_facts: the others; zero_before, zero_after: of the gauge in hand, where the method asks for them.
    choices: of readings that are words, () of numbers. as_list: boxes stand on no drawing."""

    job: str
    bearing: str
    number: str
    check: str
    method: str
    title: str
    about: str
    of_clearance: bool
    machine: str
    cells: tuple[tuple[str, str], ...]
    unit: str
    reading_label: str
    choices: tuple[str, ...]
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
    squeeze_word: str
    gauge: str
    gauges: tuple[tuple[str, str], ...]
    measured: tuple[Asked, ...]
    check_facts: tuple[Asked, ...]
    squeeze_facts: tuple[Asked, ...]
    gauge_facts: tuple[Asked, ...]
    zero_before: tuple[Asked, ...]
    zero_after: tuple[Asked, ...]
    gauge_open: bool
    cautions: tuple[str, ...]
    steps: tuple[str, ...]
    look_for: tuple[str, ...]
    stands: tuple[tuple[int, str], ...]
    turned: int
    form: Markup
    as_list: bool
    section: Markup
    advice: Told | None
    whys: tuple[str, ...]
    problems: tuple[Any, ...] = ()

    def nth(self, number: int) -> str:
        """A squeeze, a set of readings or a pass by its number."""
        if self.squeeze_word == "pass":
            return say("closing.nth_pass", number=number)
        if self.squeeze_word == "squeeze":
            return say("web.squeeze_n", squeeze=number)
        return say("web.set_n", number=number)

    @property
    def digest(self) -> str:
        """Of the job's book as it was shown."""
        return book_digest(self.seen)


def bench_of(
    view: Any, check: str, judgement: Judgement, gauges: Mapping[str, Mapping[str, str]], look: View
) -> Bench:
    """The page of one check. ``view`` is the desk's view of the job."""
    state, card = view.state, view.card
    found: CheckState = state.checks[check]
    method = method_named(found.method)
    look = informed(found, look, gauges)
    results = {place.label: place for place in judgement.clearance.places} if judgement.clearance else {}
    drawing = bench_drawing(card, method, spots_of(found.places), look.turned)
    holds = tuple(holds_asked(method, state.holds, judgement, check, found.facts, permit_of(state)))
    lacking, others = lacking_of(method, judgement.warnings, look)
    shown = {warned.text for warned in judgement.warnings}
    facts = _facts(method, card, found, look)
    return Bench(
        job=state.book, bearing=state.bearing, number=state.number, check=check, method=method.key,
        title=method.title,
        about=method.about, of_clearance=method.measures == OIL_CLEARANCE,
        machine=card.machine.tag, cells=_cells(state, card, found, method),
        unit=reading_unit(method, card), reading_label=method.reading_field.label,
        choices=method.reading_field.choices if method.reading_field.kind == "choice" else (),
        judgement=judgement,
        boxes=tuple(boxes(found, drawing.boxes, results, judgement.unit, look)),
        rows=tuple(rows(found, results, judgement.unit)),
        holds=holds, folds=folds_of(holds, state.holds, check),
        open_holds=sum(not hold.closed for hold in judgement.holds),
        warnings=by_weight(others), contradictions=tuple(found.contradictions),
        lacking=lacking, settle=tuple(text for text in judgement.settle if text not in shown),
        summary=summary_of(judgement, method, found, len(lacking)), seen=tuple(state.heads),
        squeeze=look.squeeze, squeezes=_squeezes(method, found, look.squeeze),
        squeeze_word="pass" if method.passes else "squeeze" if facts["squeeze"] else "set",
        gauge=look.gauge, gauges=_gauges(gauges, look.gauge, found),
        measured=facts["measured"], check_facts=facts["check"], squeeze_facts=facts["squeeze"],
        gauge_facts=facts["gauge"], zero_before=facts[ZERO_BEFORE], zero_after=facts[ZERO_AFTER],
        gauge_open=look.gauge_open, cautions=tuple(caution(key) for key in method.cautions),
        steps=method.steps,
        look_for=tuple(rule.text for rule in method.rejection_rules if rule.found_by == "person"),
        stands=_stands(card), turned=look.turned, form=drawing.form,
        as_list=bool(found.places) and not drawing.form, section=drawing.section,
        advice=advice_of(method.key, card) if not found.readings else None,
        whys=_whys(method),
    )  # fmt: skip


def _facts(method: Method, card: Card, found: CheckState, look: View) -> dict[str, tuple[Asked, ...]]:
    """What is asked besides readings, each fact in the part of the page where it belongs. What a hold point
    asks already is not asked again."""
    as_hold = asked_as_hold(method)
    check = [
        one for one in asked_of(method, card, "check", found.facts, look) if one.field.key not in as_hold
    ]
    gauge = asked_of(method, card, "instrument", found.facts, look)
    zeros = (ZERO_BEFORE, ZERO_AFTER)
    return {
        "measured": tuple(one for one in check if one.field.measured),
        "check": tuple(one for one in check if not one.field.measured),
        "squeeze": asked_of(method, card, "squeeze", found.facts, look),
        "gauge": tuple(one for one in gauge if one.field.key not in zeros),
        **{zero: tuple(one for one in gauge if one.field.key == zero) for zero in zeros},
    }


def _whys(method: Method) -> tuple[str, ...]:
    """Usual reasons to strike a reading out: of every method, and what a person may see at this one."""
    seen = [rule.text for rule in method.rejection_rules if rule.found_by == "person"]
    return (*(say(f"web.why_{why}") for why in WHYS), *seen)


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


def _squeezes(method: Method, check: CheckState, shown: int) -> tuple[int, ...]:
    """Every squeeze that has readings, the one shown, and the next; () where none is repeated."""
    if not method.repeats or not check.places:
        return ()
    most = max([shown, *(reading.squeeze for reading in check.readings)])
    return tuple(range(1, most + 2))


def _stands(card: Card) -> tuple[tuple[int, str], ...]:
    stand = card.machine.view_from
    others = [end for end in card.bearing.ends if end != stand]
    opposite = others[0] if len(others) == 1 else say("web.opposite", end=stand)
    return ((0, stand), (180, opposite))


def _cells(state: JobState, card: Card, check: CheckState, method: Method) -> tuple[tuple[str, str], ...]:
    bearing = () if method.subject == "machine" else ((say("web.bearing"), card.bearing.position),)
    return (
        (say("web.machine"), f"{card.machine.tag} · {card.machine.name}"),
        (say("web.job"), f"{state.number} · {state.title}" if state.title else state.number),
        *bearing,
        (say("web.purpose"), check.purpose),
        (say("web.revision"), (state.card or "")[:8]),
    )
