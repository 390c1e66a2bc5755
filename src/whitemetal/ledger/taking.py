"""Entries written elsewhere, taken in many at a time: what is asked of the database is asked once for all."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, Select, bindparam, func, insert, select, update

from whitemetal.errors import ChainBroken
from whitemetal.job.entry import GENESIS, Entry, canonical, text_digest
from whitemetal.job.sight import Clock, clock_of, parents_of, stamped
from whitemetal.ledger import lists, postgres
from whitemetal.ledger.tables import ENTRY, HEAD, SIGHT
from whitemetal.ledger.watching import tell
from whitemetal.words import say

AT_ONCE = 500
"""Things asked for in one statement. Our own."""

MANY = 50
"""Rows from which on a stream is quicker than statements. Measured on one machine; our own."""

_HELD = select(ENTRY.c.id, ENTRY.c.digest).where(ENTRY.c.id.in_(bindparam("some", expanding=True)))
_HEADS = select(HEAD).where(HEAD.c.book.in_(bindparam("some", expanding=True)))
_LINKS = (
    select(ENTRY.c.book, ENTRY.c.digest, SIGHT.c.clock)
    .join(SIGHT, SIGHT.c.receipt == ENTRY.c.receipt)
    .where(ENTRY.c.digest.in_(bindparam("some", expanding=True)))
)
_MOVE_HEAD = (
    update(HEAD)
    .where(HEAD.c.book == bindparam("of_book"), HEAD.c.device == bindparam("of_device"))
    .values(seq=bindparam("to_seq"), digest=bindparam("to_digest"))
)
Place = tuple[str, str]
T = TypeVar("T")


@dataclass
class _Here:
    """What is here already, and what comes to it. held: digest by id. heads: number and digest of the last
    entry by book and device. clocks: by book and digest."""

    held: dict[str, str]
    heads: dict[Place, tuple[int, str]]
    clocks: dict[Place, Clock]
    receipt: int
    began: dict[Place, int] = field(default_factory=dict)
    entries: list[tuple[int, Entry, Clock]] = field(default_factory=list)
    rows: list[dict[str, object]] = field(default_factory=list)


def take_all(connection: Connection, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Keep entries written elsewhere, in any order; one that is here already changes nothing. Returns those
    that must wait because one they link to is missing. Raises ChainBroken on one that was altered or
    contradicts what is here: the caller's transaction keeps none."""
    ordered = [entry for entry, _ in stamped(entries)]
    here = _here(connection, ordered)
    waiting = tuple(entry for entry in ordered if not _take(here, entry))
    _write(connection, here)
    return waiting


def _here(connection: Connection, entries: Sequence[Entry]) -> _Here:
    def asked(statement: Select[Any], things: Iterable[str]) -> Iterator[Row[Any]]:
        for some in _in_parts(things):
            yield from connection.execute(statement, {"some": some})

    held = {row.id: row.digest for row in asked(_HELD, (entry.id for entry in entries))}
    heads = {
        (row.book, row.device): (row.seq, row.digest)
        for row in asked(_HEADS, (entry.book for entry in entries))
    }
    coming = {entry.digest for entry in entries if held.get(entry.id) != entry.digest}
    links = (
        digest for entry in entries for digest in (entry.digest, *parents_of(entry)) if digest not in coming
    )
    clocks = {(row.book, row.digest): json.loads(row.clock) for row in asked(_LINKS, links)}
    last = connection.execute(select(func.coalesce(func.max(ENTRY.c.receipt), 0))).scalar_one()
    return _Here(held, heads, clocks, last)


def _take(here: _Here, entry: Entry) -> bool:
    """Take one in, in the order of the links; False when it must wait."""
    held = here.held.get(entry.id)
    if held == entry.digest:
        return True
    text = canonical(entry)
    if held is not None or text_digest(text) != entry.digest:
        raise ChainBroken(say("ledger.altered", device=entry.device, seq=entry.seq, book=entry.book))
    place = entry.book, entry.device
    seq, head = here.heads.get(place, (0, GENESIS))
    if entry.seq <= seq or (entry.seq == seq + 1 and entry.prev != head):
        raise ChainBroken(say("ledger.forked", device=entry.device, seq=entry.seq, book=entry.book))
    links = [(entry.book, digest) for digest in set(parents_of(entry))]
    if entry.seq > seq + 1 or any(link not in here.clocks for link in links):
        return False
    clock = clock_of(entry.device, entry.seq, [here.clocks[link] for link in links])
    here.receipt += 1
    here.began.setdefault(place, seq)
    here.heads[place] = entry.seq, entry.digest
    here.held[entry.id] = entry.digest
    here.clocks[entry.book, entry.digest] = clock
    here.entries.append((here.receipt, entry, clock))
    here.rows.append({
        "receipt": here.receipt, "id": entry.id, "book": entry.book, "kind": entry.kind,
        "device": entry.device, "seq": entry.seq, "digest": entry.digest, "content": text.decode(),
    })  # fmt: skip
    return True


def _write(connection: Connection, here: _Here) -> None:
    sights = [{"receipt": receipt, "clock": json.dumps(clock)} for receipt, _, clock in here.entries]
    for table, rows in ((ENTRY, here.rows), (SIGHT, sights)):
        if len(rows) >= MANY and connection.dialect.name == "postgresql":
            postgres.copy_in(connection, table, rows)
        elif rows:
            connection.execute(insert(table), rows)
    ends = {place: here.heads[place] for place in here.began}
    new, moved = [], []
    for (book, device), (seq, digest) in ends.items():
        if here.began[book, device]:
            moved.append({"of_book": book, "of_device": device, "to_seq": seq, "to_digest": digest})
        else:
            new.append({"book": book, "device": device, "seq": seq, "digest": digest})
    if new:
        connection.execute(insert(HEAD), new)
    if moved:
        connection.execute(_MOVE_HEAD, moved)
    _list(connection, here.entries)
    tell(connection, *dict.fromkeys(entry.book for _, entry, _ in here.entries))


def _list(connection: Connection, entries: Iterable[tuple[int, Entry, Clock]]) -> None:
    """Bring the lists up to date; what is only forgotten is forgotten once."""
    changed: set[str] = set()
    openings: set[tuple[bool, str]] = set()
    for receipt, entry, clock in entries:
        if not lists.note(connection, receipt, entry, sum(clock.values())) and entry.book not in changed:
            changed.add(entry.book)
            lists.job_changed(connection, entry.book)
        of = lists.opening_of(entry)
        if of not in openings:
            openings.add(of)
            lists.opening_changed(connection, entry)


def _in_parts(things: Iterable[T]) -> Iterator[list[T]]:
    """Each thing once, so many at a time."""
    every = list(dict.fromkeys(things))
    for start in range(0, len(every), AT_ONCE):
        yield every[start : start + AT_ONCE]
