"""The data sheet of one check: what was read, what follows, by whose authority, and what stays open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from whitemetal.card import Card
from whitemetal.drawing.pen import degrees
from whitemetal.drawing.view import axial_words
from whitemetal.gauging.contract import Fact, Method, Place, Reading
from whitemetal.job.entry import Entry
from whitemetal.sheets import text
from whitemetal.sheets.facts import fact_rows
from whitemetal.sheets.film_block import film_block, film_svgs
from whitemetal.sheets.head import JobHead, alts, cautions, head
from whitemetal.sheets.limits import limit_rows, rule_rows
from whitemetal.sheets.pictures import half_width, pictures_of
from whitemetal.sheets.press import press
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence

MOST_ENTRIES = 400
"""So many entries are listed by digest; the book's digest holds all of them."""


def data_sheet(
    judgement: Mapping[str, Any],
    card: Card,
    method: Method,
    *,
    places: Sequence[Place],
    readings: Sequence[Reading],
    facts: Mapping[str, Fact],
    job: JobHead | None = None,
    entries: Sequence[Entry] = (),
    unreadable: Sequence[tuple[str, str, str]] = (),
    contradictions: Sequence[str] = (),
    version: str = "",
    film: Consequence | None = None,
) -> bytes:
    """The PDF of one check. judgement: its JSON. entries: those to list by digest, with who and when.

    film: what the gap means for the oil, where it is to stand on the sheet.
    unreadable: (entry id, place, text) of readings kept but not read. The same input gives the same bytes.
    """
    job = job if job is not None else JobHead()
    by_id = {entry.id: entry for entry in entries}
    broken = {place: typed for _, place, typed in unreadable}
    drawn = pictures_of(judgement, card, places, readings, unreadable=broken)
    data = {
        **head(card, method, job, judgement["card_digest"] or card.digest, version),
        "by_hand": False,
        "date": text.day([entry.at for entry in entries]),
        "verdict": _verdict(judgement),
        "result": _result(judgement, card.bearing.unit),
        "limits": limit_rows(judgement, card.bearing.unit),
        "rules": rule_rows(judgement, card.bearing.unit),
        "places": _place_rows(judgement, card, places, readings, broken),
        "readings": _reading_rows(readings, unreadable, by_id),
        "struck": [dict(one) for one in judgement["struck"]],
        "facts": fact_rows(method, facts),
        "contradictions": list(contradictions),
        "warnings": [dict(one) for one in judgement["warnings"]],
        "settle": list(judgement["settle"]),
        "next": list(judgement["next"]),
        "unknown": list(judgement["unknown"]),
        "budget": _budget_rows(judgement, card.bearing.unit),
        "assumed": [list(one) for one in judgement["assumed"]],
        "holds": [dict(one) for one in judgement["holds"]],
        "cautions": cautions(method),
        "entries": _entry_rows(entries[-MOST_ENTRIES:]),
        "entries_left_out": max(len(entries) - MOST_ENTRIES, 0),
        "film": film_block(film),
        "drawn": [name for name in ("along_axis", "section_gap") if getattr(drawn, name)],
        "alts": alts(),
    }
    pictures = {
        name: svg
        for name in ("section", "unrolled", "along_axis", "section_gap")
        if (svg := getattr(drawn, name))
    }
    if film is not None:
        pictures.update(film_svgs(card, film))
    return press("data_sheet", text.plain(data), pictures)


def _verdict(judgement: Mapping[str, Any]) -> dict[str, Any]:
    open_holds = [hold["text"] for hold in judgement["holds"] if not hold["closed"]]
    return {
        "word": judgement["verdict"],
        "probability": text.percent(judgement["probability"]),
        "reasons": list(judgement["reasons"]),
        "bearing": judgement["bearing"],
        "open": open_holds,
        "stale": judgement["stale"],
        "rule": judgement["decision_rule"],
        "provisional": bool(judgement["limits"] and judgement["limits"]["provisional"]),
    }


def _result(judgement: Mapping[str, Any], unit: str) -> dict[str, Any] | None:
    found = judgement["clearance"]
    if found is None:
        return None
    expanded = found["expanded_m"]
    named = [_named_row(one, unit) for one in found["named"]]
    fit = ""
    if judgement["chi_square"] is not None and judgement["chi_dof"]:
        fit = say(
            "sheet.chi_square",
            chi=f"{judgement['chi_square']:.2f}",
            dof=judgement["chi_dof"],
            chance=text.percent(judgement["chi_probability"]) or "–",
            worst=judgement["disagrees_most"] or "–",
        )
    return {
        "diametral": text.length(found["diametral_m"], unit),
        "radial": text.length(found["radial_m"], unit, finer=True),
        "expanded": text.uncertainty(expanded, unit),
        "radial_expanded": text.uncertainty(None if expanded is None else expanded / 2, unit),
        "u": text.uncertainty(found["u_m"], unit),
        "k": f"{found['k']:.2f}",
        "dof": text.dof(found["dof"]),
        "named": named,
        "fit": fit,
    }


def _named_row(one: Mapping[str, Any], unit: str) -> list[str]:
    """Label, value, standard uncertainty, note of a further result."""
    if one["unit"] == "m":
        return [one["label"], text.length(one["value"], unit), text.uncertainty(one["u"], unit), one["note"]]
    if one["unit"] == "m/m":
        shown = [f"{1e3 * one[key]:.2g} ‰" for key in ("value", "u")]
    else:
        shown = [f"{one[key]:.2g} {one['unit']}" for key in ("value", "u")]
    return [one["label"], *shown, one["note"]]


def where(card: Card, place: Place) -> str:
    """A place in words and figures: "16 mm from the drive end, 11.5° left"."""
    side = say("sheet.top_centre")
    if abs(place.angle) > 1e-9:
        side = f"{degrees(place.angle)} {say('sheet.left') if place.angle < 0 else say('sheet.right')}"
    return say("sheet.where", axial=axial_words(card, place.axial), end=card.bearing.ends[0], side=side)


def _place_rows(
    judgement: Mapping[str, Any],
    card: Card,
    places: Sequence[Place],
    readings: Sequence[Reading],
    broken: Mapping[str, str],
) -> list[dict[str, Any]]:
    found = judgement["clearance"] or {"places": ()}
    judged = {one["label"]: one for one in found["places"]}
    struck: dict[str, list[str]] = {}
    for one in judgement["struck"]:
        struck.setdefault(one["place"], []).append(one["text"])
    rows = []
    for number, place in enumerate(places, start=1):
        one = judged.get(place.label)
        rows.append(
            {
                "number": str(number),
                "label": place.label,
                "where": where(card, place),
                "typed": [reading.text for reading in readings if reading.place == place.label],
                "struck": struck.get(place.label, []),
                "unreadable": broken.get(place.label, ""),
                **_judged_cells(one, card.bearing.unit),
            }
        )
    return rows


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


def _reading_rows(
    readings: Sequence[Reading], unreadable: Sequence[tuple[str, str, str]], by_id: Mapping[str, Entry]
) -> list[list[str]]:
    """Place, squeeze, text as typed, instrument, who, when of every reading that stands."""
    rows = []
    for reading in readings:
        who = _who(by_id.get(reading.entry))
        rows.append([reading.place, str(reading.squeeze), reading.text, reading.instrument, *who])
    for entry, place, typed in unreadable:
        rows.append([place, "–", f"{typed} ({say('sheet.not_read')})", "", *_who(by_id.get(entry))])
    return rows


def _who(entry: Entry | None) -> tuple[str, str]:
    if entry is None:
        return "", ""
    return entry.by.get("name", ""), text.moment(entry.at, entry.offset)


def _budget_rows(judgement: Mapping[str, Any], unit: str) -> list[dict[str, Any]]:
    return [
        {
            "label": one["label"] if one["count"] == 1 else f"{one['label']} (× {one['count']})",
            "shape": one["shape"],
            "input": text.uncertainty(one["u_input_m"], unit),
            "u": text.uncertainty(one["u_m"], unit),
            "share": f"{100 * one['share']:.0f} %",
            "bar": round(100 * min(max(one["share"], 0.0), 1.0)),
            "dof": text.dof(one["dof"]),
            "source": one["source"],
        }
        for one in judgement["budget"]
    ]


def _entry_rows(entries: Sequence[Entry]) -> list[dict[str, str]]:
    return [
        {
            "kind": entry.kind,
            "by": entry.by.get("name", ""),
            "at": text.moment(entry.at, entry.offset),
            "device": f"{entry.device[:10]} {entry.seq}",
            "digest": entry.digest,
        }
        for entry in entries
    ]
