"""The sheet of a run-in inside the report: the curves, what was warned of, what was seen, and what the
logger's files gave."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from whitemetal.card import Card
from whitemetal.closing.run_in.watch import MINUTE
from whitemetal.drawing.run_curve import run_curve_svg
from whitemetal.gauging import method_named
from whitemetal.job.run_drawn import curve_of
from whitemetal.job.run_in import LogShown, PlaceShown, RunShown, degrees, said_of_run
from whitemetal.job.shown import stands_on
from whitemetal.sheets import text
from whitemetal.sheets.head import JobHead, head
from whitemetal.units import show
from whitemetal.words import say

MOST_VALUES = 60
"""So many readings of a place are printed, evenly over the run; the record has all. Our own."""

MOST_LINES = 40
"""So many lines that are no readings are printed for a file. Our own."""


def run_in_part(
    card: Card, job: JobHead, shown: RunShown, version: str
) -> tuple[Mapping[str, Any], dict[str, str]]:
    """Data and pictures of one run-in, for a `Part` with the sheet "run_in"."""
    pictures = {
        f"curve{number}": run_curve_svg(curve_of(place)) for number, place in enumerate(shown.places, start=1)
    }
    begun = shown.run.start[:16].replace("T", " ")
    data = {
        **head(card, method_named("vibration"), job, card.digest, version),
        "title": say("run_in.title"),
        "part": True,
        "by_hand": False,
        "date": shown.run.start[:10],
        "standing": shown.standing,
        "said": said_of_run(shown),
        "begun": f"{shown.run.what} · {say('run_in.begun_at', at=begun)} UTC, {shown.run.by}",
        "ambient": ""
        if shown.ambient is None
        else say("run_in.ambient_is", temperature=degrees(shown.ambient)),
        "warned": [_warned(where, one) for where, one in shown.warned],
        "doubts": [*shown.run.contradictions, *(f"{u.reading.text}: {u.problem}" for u in shown.unread)],
        "places": [_place(number, place) for number, place in enumerate(shown.places, start=1)],
        "points_title": say("run_in.h_points"),
        "points": [
            {"closed": one.closed, "text": one.text, "said": one.said, "hold": one.hold}
            for one in shown.points
        ],
        "vibration_title": say("run_in.h_vibration"),
        "vibration": [
            f"{one.point}: {show(one.value, 'mm/s', 'velocity', digits=2)} "
            f"({say('run_in.at_minutes', minutes=_minutes(one.time))})"
            for one in shown.vibration
        ],
        "logs_title": say("run_in.h_logs"),
        "logs": [_log(log) for log in shown.logs],
        "defer": say("run_in.defer"),
    }
    return text.plain(data), pictures


def _warned(where: str, one: Any) -> dict[str, str]:
    raised = say("run_in.raised", where=where, minutes=_minutes(one.time), source=one.source)
    return {"weight": one.weight, "text": one.text, "raised": raised}


def _minutes(seconds: float) -> str:
    return f"{seconds / MINUTE:.0f}"


def _place(number: int, place: PlaceShown) -> dict[str, Any]:
    return {
        "picture": f"curve{number}.svg",
        "alt": say("run_in.curve_title", where=place.name),
        "where": place.name,
        "said": list(_said(place)),
        "values": [
            f"{_minutes(one.time)} min {show(one.temperature, 'degC', 'temperature', step=0.1)}"
            for one in thinned(place.taken, MOST_VALUES)
        ],
    }


def _said(place: PlaceShown) -> Iterator[str]:
    found = place.watched.forecast
    yield say(
        "run_in.now", temperature=degrees(place.last.temperature), at="", minutes=_minutes(place.last.time)
    )
    if found is not None:
        yield say(
            "run_in.ahead_to", settles=degrees(found.settles), low=degrees(found.low),
            high=degrees(found.high), minutes=_minutes(found.when),
        )  # fmt: skip
    if place.watched.settled:
        yield say("run_in.place_settled")
    for limit, name in ((place.alarm, "run_in.the_alarm"), (place.trip, "run_in.the_trip")):
        if limit is None:
            yield say(f"{name}_none", where=place.where)
        else:
            yield say(name, limit=degrees(limit.maximum or 0.0), source=stands_on(limit))
    if place.earlier:
        yield say("run_in.with_earlier")


def thinned(values: Sequence[Any], most: int) -> list[Any]:
    """At most so many of them, evenly spread, the first and the last among them."""
    if len(values) <= most:
        return list(values)
    step = (len(values) - 1) / (most - 1)
    return [values[round(i * step)] for i in range(most)]


def _log(log: LogShown) -> dict[str, Any]:
    read_so = log.read
    if read_so is None:
        said = log.log.struck or "; ".join(map(str, log.problems)) or say("run_in.log_waits")
        return {"file": log.log.file, "counts": said, "odd": [], "struck": []}
    fates = dict.fromkeys(one.fate for one in read_so.lines)
    counts = ", ".join(f"{read_so.count(fate)} {fate}" for fate in fates)
    odd = [one for one in read_so.lines if one.fate in ("refused", "repeated", "no value")]
    told = [f"{say('run_in.line')} {one.number}: {one.text} – {one.why}" for one in odd[:MOST_LINES]]
    told += [
        say("run_in.cell", line=c.line, column=c.column, text=c.text) + f" {c.why}" for c in read_so.cells
    ][:MOST_LINES]
    every = say("run_in.every_line", lines=len(read_so.lines))
    struck = [one for one in read_so.lines if one.fate == "struck"][:MOST_LINES]
    return {
        "file": log.log.file,
        "counts": f"{every} {counts}.",
        "odd": [*read_so.notes[:MOST_LINES], *told],
        "struck": [[f"{say('run_in.line')} {one.number}", one.text, one.why] for one in struck],
    }
