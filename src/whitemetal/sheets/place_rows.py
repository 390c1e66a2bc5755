"""Places and their readings as rows of paper, for any gauging method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from whitemetal.card import Card
from whitemetal.drawing import carrier_of
from whitemetal.drawing.pen import degrees
from whitemetal.drawing.view import axial_words
from whitemetal.gauging.contract import Method, Place, Reading
from whitemetal.job.entry import Entry
from whitemetal.sheets import text
from whitemetal.sheets.facts import as_typed
from whitemetal.sheets.pictures import half_width
from whitemetal.words import say


def where(card: Card, place: Place, method: Method) -> str:
    """A place in words and figures: "16 mm from the drive end edge, 11.5° left"; on a ring its full title."""
    if place.title and carrier_of(method.views) != "unrolled half":
        return place.title
    side = say("sheet.top_centre")
    if abs(place.angle) > 1e-9:
        side = f"{degrees(place.angle)} {say('sheet.left') if place.angle < 0 else say('sheet.right')}"
    return say("sheet.where", axial=axial_words(card, place.axial), end=card.bearing.ends[0], side=side)


def place_rows(
    judgement: Mapping[str, Any],
    card: Card,
    method: Method,
    places: Sequence[Place],
    readings: Sequence[Reading],
    broken: Mapping[str, str],
) -> list[dict[str, Any]]:
    """One row a place with its readings, struck ones too, and its clearance where it is judged.

    None for readings that are choices: their drawing is the record, and `reading_rows` lists them.
    """
    if method.reading_field.kind == "choice":
        return []
    judged = _judged(judgement)
    struck: dict[str, list[str]] = {}
    for one in judgement["struck"]:
        struck.setdefault(one["place"], []).append(one["text"])
    return [
        {
            "number": str(number),
            "label": place.label,
            "where": where(card, place, method),
            "typed": [
                as_typed(method.reading_field, one.text, card) for one in readings if one.place == place.label
            ],
            "struck": struck.get(place.label, []),
            "unreadable": broken.get(place.label, ""),
            **_judged_cells(judged.get(place.label), card.bearing.unit),
        }
        for number, place in enumerate(places, start=1)
    ]


def derived_rows(judgement: Mapping[str, Any], card: Card, places: Sequence[Place]) -> list[dict[str, Any]]:
    """Judged clearances that stand at no place of the layout, because they follow from several readings."""
    labels = {place.label for place in places}
    return [
        {"label": label, "title": one["title"], **_judged_cells(one, card.bearing.unit)}
        for label, one in _judged(judgement).items()
        if label not in labels
    ]


def _judged(judgement: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    found = judgement["clearance"] or {"places": ()}
    return {one["label"]: one for one in found["places"]}


def _judged_cells(one: Mapping[str, Any] | None, unit: str) -> dict[str, str]:
    if one is None:
        return dict.fromkeys(("diametral", "radial", "expanded", "residual", "verdict", "probability"), "")
    return {
        "diametral": text.bare(one["diametral_m"], unit),
        "radial": text.bare(one["radial_m"], unit, finer=True),
        "expanded": text.uncertainty(half_width(one), unit).rpartition(" ")[0],
        "residual": text.bare(one["residual_m"], unit),
        "verdict": one["verdict"],
        "probability": text.percent(one["probability"]),
    }


def reading_rows(
    method: Method,
    card: Card,
    readings: Sequence[Reading],
    unreadable: Sequence[tuple[str, str, str]],
    by_id: Mapping[str, Entry],
) -> list[list[str]]:
    """Place, squeeze, text as typed, instrument, who, when of every reading that stands.

    Readings that are choices are gathered: all places with the same word from the same person in one row.
    """
    rows = []
    for reading in readings:
        typed = as_typed(method.reading_field, reading.text, card)
        who = _who(by_id.get(reading.entry))
        rows.append([reading.place, str(reading.squeeze), typed, reading.instrument, *who])
    if method.reading_field.kind == "choice":
        rows = _gathered(rows)
    for entry, place, typed in unreadable:
        rows.append([place, "–", f"{typed} ({say('sheet.not_read')})", "", *_who(by_id.get(entry))])
    return rows


def _gathered(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Rows that differ by place and time only, in one: places in the order read, first and last moment."""
    groups: dict[tuple[str, ...], list[Sequence[str]]] = {}
    for row in rows:
        groups.setdefault(tuple(row[1:5]), []).append(row)
    return [
        [
            " ".join(row[0] for row in group), *key,
            " – ".join(dict.fromkeys((min(row[5] for row in group), max(row[5] for row in group)))),
        ]
        for key, group in groups.items()
    ]  # fmt: skip


def _who(entry: Entry | None) -> tuple[str, str]:
    if entry is None:
        return "", ""
    return entry.by.get("name", ""), text.moment(entry.at, entry.offset)
