"""Drawings for the pages, kept while their card revision and places stay the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from whitemetal.card import Card
from whitemetal.drawing import PlaceBox, Spot, carrier_of, places_boxes, places_svg
from whitemetal.fitting import wire_choice
from whitemetal.gauging import METHODS, Method
from whitemetal.gauging.contract import Place
from whitemetal.job.judgement import Judgement
from whitemetal.job.judgement_json import as_json
from whitemetal.job.state import CheckState
from whitemetal.sheets import section_of
from whitemetal.sheets.pictures import pictures_of

BOX_HEIGHT = 56.0
"""Height of a box on the drawing, 360 wide: 48 px and more for a thumb once the page's margins are off."""

KEPT = 64
"""So many drawings are kept; then all are drawn afresh."""

ADVISERS = {"wire": wire_choice.advise}
"""What a method advises before it is begun, by method key."""


@dataclass(frozen=True)
class Told:
    """Advice before a check is begun. to_do: what to do. why: the other sentences."""

    to_do: tuple[str, ...]
    why: tuple[str, ...]


@dataclass(frozen=True)
class Drawn:
    """A bench page's drawings and where the boxes are. form: carries the boxes, "" without places."""

    form: Markup
    section: Markup
    boxes: tuple[Any, ...]


_drawn: dict[tuple[Any, ...], Drawn] = {}
_advice: dict[tuple[str, str], Told] = {}


def spots_of(places: tuple[Place, ...]) -> tuple[Spot, ...]:
    """The places as a drawing takes them."""
    return tuple(
        Spot(place.label, place.axial, place.angle, piece=place.piece, lies=place.lies) for place in places
    )


def bench_drawing(card: Card, method: Method, spots: tuple[Spot, ...], turned: int) -> Drawn:
    """The drawing that carries the method's boxes, empty; the section beside it; where the boxes are."""
    key = (card.digest, method.key, spots, turned)
    if card.digest and key in _drawn:
        return _drawn[key]
    if len(_drawn) >= KEPT:
        _drawn.clear()
    turn: Any = 180 if turned == 180 else 0
    boxes = places_boxes(card, method.views, spots, turned=turn, box_height=BOX_HEIGHT)
    if not boxes:
        boxes = tuple(PlaceBox(spot.label, n, 0.0, 0.0, 0.0, 0.0) for n, spot in enumerate(spots, start=1))
    if carrier_of(method.views) not in ("round", "cap"):
        boxes = tuple(sorted(boxes, key=lambda box: (round(box.y, 3), box.x)))
    form = places_svg(card, method.views, spots, ring=method.ring, turned=turn, box_height=BOX_HEIGHT)
    _drawn[key] = Drawn(Markup(form), Markup(section_of(card, method, spots, turn)), boxes)
    return _drawn[key]


def advice_of(method: str, card: Card) -> Told | None:
    """What to take and what to expect before the first reading; None where nothing is advised."""
    adviser = ADVISERS.get(method)
    if adviser is None:
        return None
    key = (method, card.digest)
    if not card.digest or key not in _advice:
        if len(_advice) >= KEPT:
            _advice.clear()
        advice = adviser(card)
        why = tuple(sentence for sentence in advice.sentences if sentence not in advice.to_do)
        _advice[key] = Told(advice.to_do, why)
    return _advice[key]


def of_judgement(card: Card, found: CheckState, judgement: Judgement, turned: int) -> tuple[Markup, ...]:
    """The readings on the unrolled half, the gap along the axis against the limits, and the section with the
    gap exaggerated: the same pictures as on paper."""
    turn: Any = 180 if turned == 180 else 0
    unreadable = {place: text for _, place, text in found.unreadable}
    made = pictures_of(
        as_json(judgement), card, found.places, found.readings, method=METHODS[found.method],
        unreadable=unreadable, turned=turn,
    )  # fmt: skip
    return tuple(Markup(svg) for svg in (made.places, made.along_axis, made.section_gap) if svg)
