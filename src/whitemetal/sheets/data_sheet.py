"""The data sheet of one check: what was read, what follows, by whose authority, and what stays open."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from whitemetal.card import Card
from whitemetal.card.limited import OIL_CLEARANCE
from whitemetal.gauging.contract import Fact, Method, Place, Reading, unit_of
from whitemetal.job.entry import Entry
from whitemetal.sheets import text
from whitemetal.sheets.assessed import assessed_blocks
from whitemetal.sheets.facts import fact_rows, sheet_rows
from whitemetal.sheets.film_block import film_block, film_svgs
from whitemetal.sheets.head import JobHead, alts, cautions, head
from whitemetal.sheets.limits import limit_rows, rule_rows
from whitemetal.sheets.pictures import pictures_of, ring_columns
from whitemetal.sheets.place_rows import derived_rows, place_rows, reading_rows
from whitemetal.sheets.press import press
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence

MOST_ENTRIES = 400
"""So many entries are listed by digest; the book's digest holds all of them."""
PICTURES = ("section", "places", "along_axis", "section_gap")
SEVERITIES = ("fault", "refused", "hold", "question", "warning", "note")
"""Findings in the order in which they are printed."""


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
    data, pictures = data_sheet_part(
        judgement, card, method, places=places, readings=readings, facts=facts, job=job, entries=entries,
        unreadable=unreadable, contradictions=contradictions, version=version, film=film,
    )  # fmt: skip
    return press("data_sheet", data, pictures)


def data_sheet_part(
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
) -> tuple[dict[str, Any], dict[str, str]]:
    """Data and pictures of the sheet of one check, ready for `press`. Arguments as of `data_sheet`."""
    job = job if job is not None else JobHead()
    by_id = {entry.id: entry for entry in entries}
    broken = {place: typed for _, place, typed in unreadable}
    columns = ring_columns(method, places)
    drawn = pictures_of(
        judgement, card, places, readings, method=method, unreadable=broken, columns=columns
    )  # fmt: skip
    clears = method.measures == OIL_CLEARANCE
    result = _result(judgement, card.bearing.unit)
    data = {
        **head(card, method, job, judgement["card_digest"] or card.digest, version),
        "by_hand": False,
        "part": False,
        "date": text.day([entry.at for entry in entries]),
        "verdict": _verdict(judgement),
        "clears": clears,
        "result": result,
        "assessed": assessed_blocks(judgement["assessed"]),
        "lines": sheet_rows(method, facts, card, readings, _named_texts(result)),
        "limits": limit_rows(judgement, card.bearing.unit) if clears else [],
        "rules": rule_rows(judgement, card.bearing.unit) if clears else [],
        "reading_unit": unit_of(method.reading_field, card),
        "wide": columns > 1,
        "chosen": method.reading_field.kind == "choice",
        "places": place_rows(judgement, card, method, places, readings, broken),
        "derived": derived_rows(judgement, card, places),
        "readings": reading_rows(method, card, readings, unreadable, by_id),
        "struck": [dict(one) for one in judgement["struck"]],
        "facts": fact_rows(method, facts, card),
        "contradictions": list(contradictions),
        "warnings": sorted((dict(one) for one in judgement["warnings"]), key=_weight),
        "settle": list(judgement["settle"]),
        "next": list(judgement["next"]),
        "unknown": list(judgement["unknown"]),
        "budget": _budget_rows(judgement, card.bearing.unit),
        "assumed": [list(one) for one in judgement["assumed"]],
        "holds": [dict(one) for one in judgement["holds"]],
        "cautions": cautions(method),
        "entries": entry_rows(entries[-MOST_ENTRIES:]),
        "entries_left_out": max(len(entries) - MOST_ENTRIES, 0),
        "film": film_block(film),
        "marked": bool(
            clears or any(value["word"] for one in judgement["assessed"] for value in one["values"])
        )
        and bool(drawn.places)
        and method.reading_field.kind != "choice",
        "drawn": [name for name in PICTURES if getattr(drawn, name)],
        "alts": alts(method),
    }
    pictures = {name: svg for name in PICTURES if (svg := getattr(drawn, name))}
    if film is not None:
        pictures.update(film_svgs(card, film))
    return text.plain(data), pictures


def _weight(warned: Mapping[str, Any]) -> int:
    """Faults first, notes last."""
    severity = warned["severity"]
    return SEVERITIES.index(severity) if severity in SEVERITIES else len(SEVERITIES)


def _named_texts(result: Mapping[str, Any] | None) -> dict[str, str]:
    """Named results as text, by key."""
    return {} if result is None else {key: row[1] for key, row in result["by_key"].items()}


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
    named = {one["key"]: _named_row(one, unit) for one in found["named"]}
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
        "named": list(named.values()),
        "by_key": named,
        "fit": fit,
    }


def _named_row(one: Mapping[str, Any], unit: str) -> list[str]:
    """Label, value, standard uncertainty, note of a further result."""
    if one["unit"] == "m":
        return [one["label"], text.length(one["value"], unit), text.uncertainty(one["u"], unit), one["note"]]
    if one["unit"] == "m/m":
        shown = _level(1e3 * one["value"], 1e3 * one["u"], "‰")
    else:
        shown = _level(one["value"], one["u"], one["unit"])
    return [one["label"], *shown, one["note"]]


def _level(value: float, u: float, unit: str) -> list[str]:
    """A value and its standard uncertainty to two digits of the uncertainty, both to the same decimals."""
    decimals = max(0, 1 - math.floor(math.log10(u))) if u > 0.0 else 3
    return [f"{round(number, decimals) + 0.0:.{decimals}f} {unit}" for number in (value, u)]


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


def entry_rows(entries: Sequence[Entry]) -> list[dict[str, str]]:
    """Entries as lines of paper: kind, by whom, when, where in its chain, digest."""
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
