"""A card and the advice before the squeeze, as text for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from whitemetal.card import Card, CardField, card_warnings, texts_of
from whitemetal.card.fields import TABLES, fields_of
from whitemetal.cli.screen import Screen
from whitemetal.units import clearance_step, show
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.wire_choice import Advice


def card_lines(card: Card, screen: Screen) -> Iterator[str]:
    """Every field with its text as typed, the defaults in use, limits on both bases, doubts."""
    texts = texts_of(card)
    for table in TABLES:
        if table == "limit":
            for number in range(1, len(card.limits) + 1):
                yield screen.heading(say("terminal.lim_heading", number=number))
                yield from _fields(table, f"limit.{number}", texts, screen)
                yield from _both_bases(card, number, screen)
                yield ""
        elif any(path.startswith(f"{table}.") for path in texts):
            yield screen.heading(table)
            yield from _fields(table, table, texts, screen)
            yield ""
    yield from doubts(card, screen)
    yield say("terminal.card_good")
    yield say("terminal.digest", digest=card.digest)


def doubts(card: Card, screen: Screen) -> Iterator[str]:
    """What looks odd on the card."""
    found = card_warnings(card)
    if found:
        yield screen.paint(say("terminal.card_odd"), "bold", "open")
        for doubt in found:
            yield from screen.wrapped(f"{doubt.field}: {doubt.text}", "  - ", "    ")
        yield ""


def _fields(table: str, path: str, texts: dict[str, str], screen: Screen) -> Iterator[str]:
    for field in fields_of(table):
        text = _text(field, texts.get(f"{path}.{field.key}"))
        if text:
            yield from screen.wrapped(f"{field.label + ':':<34} {text}", "  ", " " * 37)


def _text(field: CardField, typed: str | None) -> str:
    if typed is not None:
        return typed
    if field.default is None or field.kind == "quantity":
        return ""
    return say("terminal.not_typed", text=field.default)


def _both_bases(card: Card, number: int, screen: Screen) -> Iterator[str]:
    limit, unit = card.limits[number - 1], card.bearing.unit
    step = clearance_step(unit)
    low, high = limit.diametral("minimum"), limit.diametral("maximum")

    def shown(value: float | None, share: float) -> str:
        return "–" if value is None else show(share * value, unit, "length", step=step * share)

    text = say(
        "terminal.from_to", low=shown(low, 1.0), high=shown(high, 1.0), low_radial=shown(low, 0.5),
        high_radial=shown(high, 0.5),
    )  # fmt: skip
    yield from screen.wrapped(text, "  ", "  ")


def advice_lines(card: Card, advice: Advice, screen: Screen) -> Iterator[str]:
    """The advice in words, the drawing of the layout, and each place."""
    from whitemetal.cli.judgement_text import head, listed
    from whitemetal.drawing import Spot, bearing_text

    yield from head(card, screen)
    yield from listed(say("terminal.wire"), advice.sentences, screen)
    yield screen.heading(say("terminal.layout"))
    spots = [Spot(p.label, p.axial, p.angle, "", "", p.piece, p.lies) for p in advice.places]
    yield from bearing_text(card, spots, width=screen.width, plain=screen.plain).splitlines()
    unit = card.bearing.unit
    for place in advice.places:
        axial = show(place.axial, unit, "length", digits=3)
        where = _where(card, place.angle)
        row = say(
            "terminal.place_row", label=place.label, axial=axial, end=card.bearing.ends[0], where=where,
            lies=place.lies,
        )  # fmt: skip
        yield from screen.wrapped(row, "  - ", "    ")
    yield ""
    yield from doubts(card, screen)


def _where(card: Card, angle: float) -> str:
    """An angle from top centre in words, with its arc on the journal D * angle / 2."""
    if angle == 0.0:
        return say("terminal.at_top")
    arc = 0.5 * abs(angle) * card.bearing.journal_diameter
    return say(
        "terminal.off_top",
        angle=show(abs(angle), "deg", "angle", digits=3),
        side="right" if angle > 0 else "left",
        arc=show(arc, card.bearing.unit, "length", digits=3),
    )
