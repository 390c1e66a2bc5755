"""Everything of a job, or of the whole record, as files for other programs: CSV, workbook, JSON, calendar."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import IO, TYPE_CHECKING, Any

from sqlalchemy import func, select

from whitemetal.desk import shelf
from whitemetal.desk.desk import Desk
from whitemetal.desk.openings import opening_of
from whitemetal.desk.photographs import photographs
from whitemetal.desk.rows import JobView
from whitemetal.desk.signing import found_different, standing
from whitemetal.errors import InputError, Problem
from whitemetal.job.chain import chain_json
from whitemetal.job.entry import Entry, content
from whitemetal.job.front import concession_words
from whitemetal.job.judgement_json import as_json, plain
from whitemetal.job.signatures import Concession
from whitemetal.job.tables import HEADS, Head, Row, entry_cells, rows_of_job
from whitemetal.ledger.lists import PLANT
from whitemetal.ledger.tables import ENTRY
from whitemetal.version import VERSION
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.sheets.calendar import Day

FORMAT = "whitemetal.export/1"
OF_PLANT = (
    Head("bearings", ("book", "machine", "machine_name", "kind", "position", "card_digest", "next_opening",
                      "decided_by")),
    Head("cards", ("digest", "bearing_book", "by", "at", "as_typed")),
    Head("instruments", ("instrument", "fact", "text")),
    *HEADS,
)  # fmt: skip
"""The tables of a whole record: its lists, then those of all jobs, then the entries of every book."""

KINDS = ("csv", "xlsx", "json")
MEDIA: Mapping[str, tuple[str, str]] = {
    "csv": ("application/zip", "zip"),
    "xlsx": ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "xlsx"),
    "json": ("application/json", "json"),
    "ics": ("text/calendar; charset=utf-8", "ics"),
}
"""Media type and ending of a file."""


def export_job(desk: Desk, job: str, kind: str, out: IO[bytes]) -> None:
    """Write everything of a job. kind: one of `KINDS`. Raises InputError on another, UnknownBook."""
    _known(kind)
    view = desk.job(job)
    if kind == "json":
        out.write(_dumped(job_json(desk, view)))
        return
    about = say("report.about_job", version=VERSION, number=view.state.number, digest=view.state.digest)
    _write(kind, out, HEADS, _rows_of(desk, view), about, _last(desk.entries(job)), _photographs(desk, [job]))


def export_plant(desk: Desk, kind: str, out: IO[bytes]) -> None:
    """Write everything of the record, a job at a time. kind: as for `export_job`. Raises InputError."""
    _known(kind)
    if kind == "json":
        for text in _plant_json(desk):
            out.write(text)
        return
    with desk._ledger.reading() as connection:
        jobs = [row.book for row in shelf.job_rows(connection)]
    about = say("report.about_plant", version=VERSION)
    _write(
        kind, out, OF_PLANT, _rows_of_plant(desk), about, _newest(desk), _photographs(desk, jobs)
    )  # fmt: skip


def job_json(desk: Desk, view: JobView) -> dict[str, Any]:
    """A job as plain JSON values in the format ``whitemetal.export/1``: how it stands, the judgement of every
    check, the card as typed, and every entry with its digest."""
    state, book = view.state, view.state.book
    return {
        "format": FORMAT,
        "program": VERSION,
        "job": {
            "book": book, "number": state.number, "title": state.title, "bearing": state.bearing,
            "machine": view.card.machine.tag, "position": view.card.bearing.position,
            "digest": state.digest, "heads": list(state.heads), "card": state.card,
            "standing": standing(desk, view),
        },
        "chain": chain_json(desk.chain(book, view)),
        "signing": plain(state.signing),
        "different": {entry: list(said) for entry, said in found_different(desk, view).items()},
        "judgements": {check: as_json(desk.judgement(book, check, view)) for check in state.checks},
        "card": desk.card_text(view.card.digest),
        "entries": [_entry(entry) for entry in desk.entries(book)],
    }  # fmt: skip


def jobs_named(desk: Desk, wanted: str) -> tuple[str, ...]:
    """The books of the jobs with this number, or the one with this id."""
    with desk._ledger.reading() as connection:
        rows = shelf.job_rows(connection)
    return tuple(row.book for row in rows if wanted in (row.number, row.book))


def days_of(desk: Desk, bearing: str) -> bytes:
    """The bearing's days as an iCalendar file: its next opening, the ends of concessions it runs under.
    Raises InputError where there is none, and says why; UnknownBook."""
    from whitemetal.sheets.calendar import Day, calendar

    found = desk.bearing(bearing)
    machine, position = found.card.machine, found.card.bearing.position
    named = {"machine": machine.tag, "position": position, "name": machine.name}
    row = opening_of(desk, bearing)
    days = []
    if row.due:
        text = say("report.open_by_text", said=" ".join(row.said), **named)
        title = say("report.open_by", machine=machine.tag, position=position)
        days.append(Day(f"opening-{bearing}", date.fromisoformat(row.due), title, text))
    for job in found.jobs:
        for one in desk.job(job.book).state.signing.concessions:
            if not one.struck:
                days.append(_end_of(one, machine.tag, position))
    if not days:
        expected = say("report.no_days", said=" ".join(row.said))
        raise InputError(Problem(machine.tag, position, expected))
    return calendar(days, _newest(desk), VERSION)


def _end_of(one: Concession, machine: str, position: str) -> Day:
    """The last day of a concession; where it cannot be read, the day that the concession was written, and
    what is wrong with it."""
    from whitemetal.sheets.calendar import Day

    title = say("report.concession_ends", machine=machine, position=position)
    text = say("report.concession_text", concession=concession_words(one))
    if one.ends is not None:
        return Day(f"concession-{one.entry}", one.ends, title, text)
    title = say("report.concession_unreadable", until=one.until, machine=machine, position=position)
    return Day(f"concession-{one.entry}", _moment(one.at).date(), title, text)


def _known(kind: str) -> None:
    if kind not in KINDS:
        raise InputError(Problem("as", kind, say("report.export_as", choices=", ".join(KINDS))))


def _write(
    kind: str, out: IO[bytes], heads: tuple[Head, ...], rows: Iterator[Row], about: str, at: datetime,
    files: Iterator[tuple[str, bytes]],
) -> None:  # fmt: skip
    from whitemetal.sheets.tables import write_csv_zip, write_xlsx

    if kind == "csv":
        write_csv_zip(out, heads, rows, about, files)
    else:
        write_xlsx(out, heads, rows, at)


def _photographs(desk: Desk, jobs: Sequence[str]) -> Iterator[tuple[str, bytes]]:
    """Name and file of every photograph of these jobs whose file is here."""
    for job in jobs:
        for one, file in photographs(desk, job):
            if file is not None:
                yield f"photographs/{one.digest}.jpg", file.content


def _rows_of(desk: Desk, view: JobView) -> Iterator[Row]:
    book = view.state.book
    judged = {check: desk.judgement(book, check, view) for check in view.state.checks}
    chain, stands = desk.chain(book, view), standing(desk, view)
    return rows_of_job(view.state, view.card, chain, judged, stands, desk.entries(book))


def _rows_of_plant(desk: Desk) -> Iterator[Row]:
    with desk._ledger.reading() as connection:
        bearings, jobs = shelf.bearing_rows(connection), shelf.job_rows(connection)
    for row in bearings:
        card, due = desk.card(row.card), opening_of(desk, row.book)
        yield "bearings", (
            row.book, card.machine.tag, card.machine.name, card.machine.kind, row.position, row.card, due.due,
            due.due_by,
        )  # fmt: skip
    for row in bearings:
        for one in desk.bearing(row.book).revisions:
            yield "cards", (one.digest, row.book, one.by, one.at, desk.card_text(one.digest))
    for id, facts in desk.instruments().items():
        for fact, text in facts.items():
            yield "instruments", (id, fact, text)
    for row in jobs:
        yield from _rows_of(desk, desk.job(row.book))
    for book in (PLANT, *(row.book for row in bearings)):
        yield from (("entries", entry_cells(entry)) for entry in desk.entries(book))


def _plant_json(desk: Desk) -> Iterator[bytes]:
    """The record as one JSON object, piece by piece."""
    with desk._ledger.reading() as connection:
        bearings, jobs = shelf.bearing_rows(connection), shelf.job_rows(connection)
    yield _dumped({"format": FORMAT, "program": VERSION})[:-1]
    yield b', "plant": ' + _dumped([_entry(entry) for entry in desk.entries(PLANT)])
    yield b', "bearings": '
    yield from _listed((row.book for row in bearings), lambda book: _bearing_json(desk, book))
    yield b', "jobs": '
    yield from _listed((row.book for row in jobs), lambda book: job_json(desk, desk.job(book)))
    yield b"}"


def _bearing_json(desk: Desk, book: str) -> dict[str, Any]:
    return {"book": book, "entries": [_entry(entry) for entry in desk.entries(book)]}


def _listed(books: Iterator[str], made: Callable[[str], dict[str, Any]]) -> Iterator[bytes]:
    before = b"["
    for book in books:
        yield before + _dumped(made(book))
        before = b",\n"
    yield b"[]" if before == b"[" else b"]"


def _entry(entry: Entry) -> dict[str, Any]:
    return {**content(entry), "digest": entry.digest}


def _dumped(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, allow_nan=False).encode("utf-8", "surrogatepass")


def _last(entries: tuple[Entry, ...]) -> datetime:
    """When the newest of these entries was written, for the time a file carries."""
    return _moment(max((entry.at for entry in entries), default=""))


def _newest(desk: Desk) -> datetime:
    """When the entry that arrived last was written."""
    with desk._ledger.reading() as connection:
        last = select(func.max(ENTRY.c.receipt)).scalar_subquery()
        text = connection.execute(select(ENTRY.c.content).where(ENTRY.c.receipt == last)).scalar()
    return _moment(str(json.loads(text).get("at", "")) if text else "")


def _moment(at: str) -> datetime:
    try:
        return datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone(UTC).replace(microsecond=0)
    except ValueError:
        return datetime(1980, 1, 1, tzinfo=UTC)


def as_bytes(write: Callable[[IO[bytes]], None]) -> bytes:
    """What a writer writes, in memory."""
    out = io.BytesIO()
    write(out)
    return out.getvalue()
