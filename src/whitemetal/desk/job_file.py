"""A job as a file: carried by stick to a plant that has no network, and brought back.

The file is a zip. ``job.json`` says what it is, under a digest of its own; ``job.jsonl`` and
``bearing.jsonl`` hold the entries of the job's book and of its bearing's (cards, values of birth, what is
kept over its life), one a line, as digested; ``photographs/`` the pictures by digest. Nothing of the plant's
own book goes along but the facts of the instruments the job names.

Bringing a file in merges: entries go into the chains they belong to, whatever was written here meanwhile. A
file with an altered entry, a hole in a chain or a stranger among its books is refused whole.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from whitemetal.card import read_card
from whitemetal.desk import shelf
from whitemetal.desk.cards_apart import apart_said
from whitemetal.desk.desk import Desk
from whitemetal.desk.exported import BROKEN, HEAD_DIGEST, head_digest, head_is_whole
from whitemetal.desk.numbers import in_record
from whitemetal.desk.people import BOOK as PEOPLE
from whitemetal.desk.picture_file import developed
from whitemetal.desk.rows import Writer
from whitemetal.errors import ChainBroken, InputError, Problem, WhitemetalError
from whitemetal.job import clocks
from whitemetal.job.entry import Entry, content, read_entry
from whitemetal.ledger import Pen
from whitemetal.ledger.files import KeptFile, file_digest, put
from whitemetal.ledger.lists import PLANT, listed_kinds
from whitemetal.ledger.tables import ENTRY
from whitemetal.ledger.taking import take_all
from whitemetal.version import VERSION
from whitemetal.words import say

FORMAT = "whitemetal.job/1"

MOST_BYTES = 200 * 1024 * 1024
"""Bytes of a file, and of what it unpacks to, that are accepted: a job of a hundred photographs. Our own."""

MOST_MEMBERS = 2000
"""Files inside it that are accepted. Our own."""

MOST_LINE = 4 * 1024 * 1024
"""Bytes of one entry that are accepted. Our own."""

NOT_A_BOOK = (PLANT, PEOPLE)
"""Books that no file may write into."""

_BOOK = re.compile(r"[A-Za-z0-9_-]{1,64}")
_MEMBER = re.compile(r"job\.json|job\.jsonl|bearing\.jsonl|photographs/[0-9a-f]{64}\.jpg")
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""When every file inside says it was made, so that one record gives the same bytes. Our own."""


@dataclass(frozen=True)
class JobFile:
    """What a file holds. instruments: facts by id."""

    job: str
    bearing: str
    of_job: tuple[Entry, ...]
    of_bearing: tuple[Entry, ...]
    instruments: Mapping[str, Mapping[str, str]]
    photographs: tuple[KeptFile, ...]


@dataclass(frozen=True)
class Brought:
    """What became of a file. new: entries that were not here; entries: how many it holds; photographs: that
    were not here; notes: sentences on what a person should look at."""

    job: str
    new: int
    entries: int
    photographs: int
    notes: tuple[str, ...]


def job_file(desk: Desk, job: str) -> bytes:
    """A job with its bearing's book and its photographs. The same record gives the same bytes. Raises
    UnknownBook."""
    view = desk.job(job)
    bearing = view.state.bearing
    of_job, of_bearing = desk.entries(job), desk.entries(bearing)
    used = {str(e.body.get("instrument", "")) for e in of_job if isinstance(e.body.get("instrument"), str)}
    head = {
        "format": FORMAT, "program": VERSION, "job": job, "bearing": bearing, "number": view.state.number,
        "title": view.state.title, "digest": view.state.digest,
        "instruments": {id: dict(facts) for id, facts in desk.instruments().items() if id in used},
    }  # fmt: skip
    head[HEAD_DIGEST] = head_digest(head)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        _add(packed, "job.json", json.dumps(head, ensure_ascii=False, indent=1, sort_keys=True).encode())
        _add(packed, "job.jsonl", _lines(of_job))
        _add(packed, "bearing.jsonl", _lines(of_bearing))
        for digest in sorted({one.digest for one in view.state.photographs}):
            file = desk.files.of(digest)
            if file is not None:
                _add(packed, f"photographs/{digest}.jpg", file.content, zipfile.ZIP_STORED)
    return out.getvalue()


def _add(packed: zipfile.ZipFile, name: str, data: bytes, how: int = zipfile.ZIP_DEFLATED) -> None:
    info = zipfile.ZipInfo(name, _EPOCH)
    info.compress_type, info.external_attr = how, 0o600 << 16
    packed.writestr(info, data)


def _lines(entries: Iterable[Entry]) -> bytes:
    whole = ({**content(entry), "digest": entry.digest} for entry in entries)
    return b"".join(json.dumps(one, ensure_ascii=False, sort_keys=True).encode() + b"\n" for one in whole)


def read_job_file(data: bytes) -> JobFile:
    """A file as it came, checked for everything but whether its chains are whole. Raises InputError."""
    parts = _unpacked(data)
    head = _json(parts.get("job.json", b""), "job.json")
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise _bad("job.json", str(head)[:60], say("job_file.format", format=FORMAT))
    job, bearing = (_book(head, key) for key in ("job", "bearing"))
    if job == bearing:
        raise _bad("job.json", job, say("job_file.a_book"))
    if not head_is_whole(head):
        raise _bad("job.json", str(head.get(HEAD_DIGEST, ""))[:64], say("exported.head"))
    of_job = _entries(parts, "job.jsonl", job, forbidden=listed_kinds())
    of_bearing = _entries(parts, "bearing.jsonl", bearing, forbidden=listed_kinds() - {"card/1"})
    if [entry.body.get("bearing") for entry in of_job if entry.kind == "opened/1"][:1] != [bearing]:
        raise _bad("job.jsonl", job, say("job_file.of_bearing"))
    pictures = tuple(_picture(name, parts[name]) for name in sorted(parts) if name.startswith("photographs/"))
    return JobFile(job, bearing, of_job, of_bearing, _facts(head.get("instruments", {})), pictures)


def bring(desk: Desk, data: bytes, writer: Writer) -> Brought:
    """Take in a job's file: all of it or nothing. Who brought it is kept in the plant's book.

    Raises InputError on a file that is none, ChainBroken on an altered one, CannotWrite.
    """
    file = read_job_file(data)
    every = (*file.of_bearing, *file.of_job)
    with desk._ledger.writing(say("job_file.the_file", job=file.job)) as pen:
        _own_books(pen, file)
        before = pen.connection.execute(select(ENTRY.c.id).where(ENTRY.c.book.in_([file.job, file.bearing])))
        held = set(before.scalars())
        if take_all(pen.connection, every):
            raise ChainBroken(say("job_file.hole"))
        new = sum(entry.id not in held for entry in every)
        pictures = sum(put(pen.connection, picture) for picture in file.photographs)
        notes = [*_announce(desk, pen, file, writer), *_instruments(desk, pen, file, writer)]
        notes += filter(None, [apart_said(pen.connection, file.bearing)])
        notes += _wrong_clocks(every, desk.moment())
        if new or pictures:
            body = {"job": file.job, "entries": new, "file": file_digest(data)}
            desk._add_to_plant(pen, PLANT, "brought/1", body, writer)
    return Brought(file.job, new, len(every), pictures, tuple(notes))


def _wrong_clocks(entries: Iterable[Entry], now: str) -> Iterable[str]:
    """What the dates in a file say of the clocks they were read from. The order of entries is not theirs."""
    every = tuple(entries)
    later, back = clocks.ahead(every, now), clocks.put_back(every)
    if later:
        last = max(later, key=lambda entry: entry.at)
        yield say("job_file.clock_ahead", count=len(later), by=last.by.get("name", ""), at=_shown(last.at))
    if back:
        first = next(entry for entry in every if entry.id in back)
        yield say(
            "job_file.clock_back", count=len(back), by=first.by.get("name", ""), at=_shown(first.at),
            before=_shown(back[first.id]),
        )  # fmt: skip


def _shown(at: str) -> str:
    return at[:16].replace("T", " ")


def _own_books(pen: Pen, file: JobFile) -> None:
    """Raises InputError where a book of the file is something else here."""
    for book, kind in ((file.job, "opened/1"), (file.bearing, "card/1")):
        here = set(
            pen.connection.execute(select(ENTRY.c.kind).where(ENTRY.c.book == book).distinct()).scalars()
        )
        if here and kind not in here:
            raise _bad("job.json", book, say("job_file.a_book"))


def _announce(desk: Desk, pen: Pen, file: JobFile, writer: Writer) -> Iterable[str]:
    """Say in the plant's book that there is such a bearing and such a job, where nobody said so yet."""
    cards = [entry for entry in file.of_bearing if entry.kind == "card/1"]
    if not cards:
        raise _bad("bearing.jsonl", file.bearing, say("job_file.no_card"))
    card = read_card(str(cards[-1].body.get("typed", "")))
    machine, position = card.machine.tag, card.bearing.position
    try:
        known = bool(shelf.bearing_row(pen.connection, file.bearing).machine)
    except WhitemetalError:
        known = False
    if not known:
        other = shelf.bearing_at(pen.connection, machine, position)
        body = {"bearing": file.bearing, "machine": machine, "position": position}
        desk._add_to_plant(pen, PLANT, "bearing/1", body, writer)
        if other is not None:
            yield say("job_file.two_bearings", machine=machine, position=position)
    try:
        shelf.job_row(pen.connection, file.job)
    except WhitemetalError:
        opened = next(entry for entry in file.of_job if entry.kind == "opened/1")
        said = {key: str(opened.body.get(key, "")) for key in ("bearing", "number", "title")}
        others = in_record(pen.connection, file.bearing, said["number"], file.job)
        desk._add_to_plant(pen, PLANT, "job/1", {"job": file.job, **said}, writer)
        if others:
            titles = "; ".join(one.title or one.book for one in others)
            yield say("job_file.same_number", number=said["number"], titles=titles)


def _instruments(desk: Desk, pen: Pen, file: JobFile, writer: Writer) -> Iterable[str]:
    """Keep the facts of instruments that are unknown here; of one that is known differently, say so."""
    here = desk._shelf.instruments(pen.connection)
    for id, facts in file.instruments.items():
        if id not in here:
            desk._add_to_plant(pen, PLANT, "instrument/1", {"instrument": id, "facts": dict(facts)}, writer)
        elif dict(here[id]) != dict(facts):
            yield say("job_file.other_facts", instrument=id)


def _unpacked(data: bytes) -> dict[str, bytes]:
    """The members of a zip by name. What a member says of its size is not believed."""
    if len(data) > MOST_BYTES:
        raise _bad("file", f"{len(data) / 1e6:.0f} MB", say("job_file.too_large", most=MOST_BYTES // 1024**2))
    parts: dict[str, bytes] = {}
    left = MOST_BYTES
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            members = packed.infolist()
            if len(members) > MOST_MEMBERS:
                raise _bad("file", str(len(members)), say("job_file.too_many", most=MOST_MEMBERS))
            for member in members:
                if not _MEMBER.fullmatch(member.filename) or member.filename in parts:
                    raise _bad("file", member.filename[:80], say("job_file.a_member"))
                with packed.open(member) as opened:
                    parts[member.filename] = opened.read(left + 1)
                left -= len(parts[member.filename])
                if left < 0:
                    raise _bad("file", "", say("job_file.too_large", most=MOST_BYTES // 1024**2))
    except BROKEN:
        raise _bad("file", "", say("job_file.a_zip")) from None
    return parts


def _json(text: bytes, name: str, line: int | None = None) -> Any:
    try:
        return json.loads(text.decode())
    except (ValueError, RecursionError):
        raise _bad(name, text[:60].decode(errors="replace"), say("job_file.json"), line) from None


def _book(head: Mapping[str, Any], key: str) -> str:
    book = head.get(key)
    if not isinstance(book, str) or not _BOOK.fullmatch(book) or book in NOT_A_BOOK:
        raise _bad("job.json", str(book)[:80], say("job_file.a_book"))
    return book


def _entries(
    parts: Mapping[str, bytes], name: str, book: str, *, forbidden: frozenset[str]
) -> tuple[Entry, ...]:
    entries = []
    for number, line in enumerate(parts.get(name, b"").split(b"\n"), 1):
        if not line.strip():
            continue
        if len(line) > MOST_LINE:
            raise _bad(name, f"{len(line)} bytes", say("job_file.entry"), number)
        try:
            entry = read_entry(_json(line, name, number))
        except InputError as bad:
            raise _bad(name, bad.problems[0].typed[:80], bad.problems[0].expected, number) from None
        if entry.book != book or entry.kind in forbidden:
            raise _bad(name, f"{entry.book} {entry.kind}"[:80], say("job_file.stranger"), number)
        entries.append(entry)
    if not entries:
        raise _bad(name, "", say("job_file.entry"))
    return tuple(entries)


def _facts(value: object) -> dict[str, dict[str, str]]:
    """Facts of instruments. Raises InputError on anything but texts."""
    facts: dict[str, dict[str, str]] = value if isinstance(value, dict) else {"": {}}
    for id, of in facts.items():
        texts = isinstance(of, dict) and all(isinstance(part, str) for pair in of.items() for part in pair)
        if not id.strip() or len(id) > 200 or not texts:
            raise _bad("job.json", id[:80], say("job_file.facts"))
    return facts


def _picture(name: str, data: bytes) -> KeptFile:
    """A picture that is what its name says and can be shown; its small one is made here."""
    digest = name.removeprefix("photographs/").removesuffix(".jpg")
    if file_digest(data) != digest or not data.startswith(b"\xff\xd8"):
        raise _bad(name, "", say("job_file.picture"))
    return KeptFile(digest, data, developed(data, name).file.thumbnail)


def _bad(field: str, typed: str, expected: str, line: int | None = None) -> InputError:
    return InputError(Problem(field, typed, expected, line))
