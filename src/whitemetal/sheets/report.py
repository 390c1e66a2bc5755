"""The report of a job: one page that a supervisor reads, then everything behind it."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from whitemetal.card import Card
from whitemetal.gauging import method_named
from whitemetal.job.entry import Entry
from whitemetal.job.front import CheckLine, Front
from whitemetal.job.judgement_json import plain
from whitemetal.sheets import text
from whitemetal.sheets.data_sheet import entry_rows
from whitemetal.sheets.head import JobHead, cautions, head
from whitemetal.sheets.press import Part, press
from whitemetal.words import say

FOUND, LEFT, DONE, OPEN = 5, 6, 6, 5
"""Checks, changes and open points on the first page; what there is more stands behind it. Our own."""

LONGEST = 180
"""Letters of one thing said on the first page; it stands whole behind it. Our own."""

AHEAD = 6
"""Sentences on the next opening on the first page. Our own."""

MOST_ENTRIES = 20000
"""So many entries are listed by digest, the newest; the book's digest holds all of them. Our own."""


@dataclass(frozen=True)
class Shot:
    """A photograph on the report. content: a JPEG, upright; None where its file is not here. width, height:
    its own [pixels]."""

    digest: str
    caption: str
    content: bytes | None
    width: int
    height: int


def report(
    front: Front,
    card: Card,
    job: JobHead,
    *,
    film: str,
    ahead: Sequence[str],
    sheets: Sequence[tuple[dict[str, Any], dict[str, str]]],
    entries: Sequence[Entry],
    run_ins: Sequence[tuple[Mapping[str, Any], dict[str, str]]] = (),
    photographs: Sequence[Shot] = (),
    notes: Sequence[str] = (),
    different: Sequence[str] = (),
    signed: bool = False,
    version: str = "",
) -> bytes:
    """The PDF of a job. film: what the clearance means for the oil, a sentence. ahead: when to open next, in
    sentences. sheets: the data sheet of every check (`data_sheet.data_sheet_part`). run_ins:
    the sheet of every run-in (`run_in_sheet.run_in_part`). entries: all of the job.
    signed: both parts are; else there is room to sign by hand.

    The same input gives the same bytes.
    """
    method = method_named("wire")
    parts = [
        Part(f"sheet{number}", "data_sheet", {**data, "part": True, "entries": []}, pictures)
        for number, (data, pictures) in enumerate(sheets, 1)
    ]
    parts += [Part(f"run{n}", "run_in", data, pictures) for n, (data, pictures) in enumerate(run_ins, 1)]
    shown = [one for one in photographs if one.content is not None]
    checks = [_check(one) for one in (*front.found, *front.left)]
    data = {
        **head(card, method, job, card.digest, version),
        "title": say("report.title"),
        "by_hand": False,
        "date": text.day([entry.at for entry in entries]),
        "front": _front(front),
        "film": clipped(film, 4 * LONGEST),
        "signed": signed,
        "next": [clipped(one, 2 * LONGEST) for one in ahead[:AHEAD]],
        "ahead": list(ahead),
        "standing": front.standing,
        "signatures": list(front.signatures),
        "said": list(front.said),
        "points": plain(front.points),
        "damage": plain(front.damage),
        "concessions": list(front.concessions),
        "different": list(different),
        "checks": checks,
        "done": list(front.done),
        "notes": list(notes),
        "cautions": cautions(method)[-1:],
        "parts": [part.folder for part in parts],
        "photographs": [_shot(number, one) for number, one in enumerate(shown, 1)],
        "missing": [say("report.file_missing", digest=o.digest) for o in photographs if o.content is None],
        "entries": entry_rows(entries[-MOST_ENTRIES:]),
        "entries_left_out": max(len(entries) - MOST_ENTRIES, 0),
    }
    drawn = {
        f"photograph{number}": framed(one.content, one.width, one.height)
        for number, one in enumerate(shown, 1)
        if one.content is not None
    }
    return press("report", text.plain(data), drawn, parts=parts)


def framed(content: bytes, width: int, height: int) -> str:
    """A JPEG inside an SVG of its size: the press takes pictures as text."""
    held = base64.b64encode(content).decode()
    size = f'width="{max(width, 1)}" height="{max(height, 1)}"'
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'{size}><image {size} xlink:href="data:image/jpeg;base64,{held}"/></svg>'
    )


def _front(front: Front) -> dict[str, Any]:
    open_points = [point.text for point in front.points if not point.closed]
    return {
        "bearing": front.bearing,
        "standing": clipped(front.standing, 3 * LONGEST),
        "open": _some(open_points, OPEN),
        "signatures": [clipped(one) for one in front.signatures[-4:]],
        "said": [clipped(one) for one in front.said[:3]],
        "found": [_brief(one) for one in front.found[:FOUND]],
        "found_more": max(len(front.found) - FOUND, 0),
        "damage": [clipped(one.text) for one in front.damage[:FOUND]],
        "run_in": [clipped(one, 2 * LONGEST) for one in front.run_in],
        "found_note": clipped(front.found_note),
        "left": [_brief(one) for one in front.left[:LEFT]],
        "left_more": max(len(front.left) - LEFT, 0),
        "done": [clipped(one) for one in front.done[-DONE:]],
        "done_more": max(len(front.done) - DONE, 0),
    }


def _some(texts: Sequence[str], most: int) -> list[str]:
    rest = len(texts) - most
    return [*texts[:most], *([f"+ {rest}"] if rest > 0 else [])]


def _check(one: CheckLine) -> dict[str, Any]:
    told: Mapping[str, Any] = plain(one)
    return {key: told[key] for key in ("title", "purpose", "word", "figures", "stale", "by")}


def _brief(one: CheckLine) -> dict[str, Any]:
    """A check on the first page: its first result and limit."""
    told = _check(one)
    return {**told, "figures": [clipped(it) for it in told["figures"][:2]], "stale": clipped(told["stale"])}


def clipped(told: str, most: int = LONGEST) -> str:
    """A text for the first page; what is cut off it stands whole behind it."""
    return told if len(told) <= most else told[: most - 2].rstrip() + " …"


def _shot(number: int, one: Shot) -> dict[str, str]:
    alt = say("report.alt_photograph", caption=one.caption)
    return {
        "file": f"photograph{number}.svg", "alt": alt, "caption": one.caption, "digest": one.digest
    }  # fmt: skip
