"""Walk the chains and name the first altered or missing entry of each device in each book."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Literal

from sqlalchemy import Connection, Row, select, text
from sqlalchemy.exc import DatabaseError

from whitemetal.job.entry import GENESIS, Entry, digest_of, from_json
from whitemetal.ledger.tables import ENTRY, HEAD
from whitemetal.words import say

STEP = 2000
"""Rows read at a time. Our own."""


@dataclass(frozen=True)
class Fault:
    """The first fault of one device's chain in one book. seq: the entry's place in the chain; entry: its id,
    "" when it is missing. text: a sentence."""

    book: str
    device: str
    seq: int
    entry: str
    what: Literal["altered", "missing"]
    text: str


@dataclass(frozen=True)
class Walked:
    """What `walk` found: how many books, chains and entries it read, and the faults."""

    books: int
    chains: int
    entries: int
    faults: tuple[Fault, ...]


def page_faults(connection: Connection) -> tuple[Fault, ...]:
    """Whether the pages of a file hang together, as SQLite's own check sees it: also where no entry is, but
    an account, a list or an index. A database's server looks after its own."""
    if connection.dialect.name != "sqlite":
        return ()
    try:
        said = connection.execute(text("PRAGMA quick_check(1)")).scalars().all()
    except DatabaseError as bad:
        said = [str(bad.orig)]
    if said == ["ok"]:
        return ()
    why = " ".join(str(said[0]).split()) if said else ""
    return (Fault("", "", 0, "", "altered", say("ledger.fault_pages", why=why)),)


def walk(connection: Connection, book: str | None = None) -> Walked:
    """Walk every chain, or those of one book. One book at a time is in memory."""
    wanted = select(ENTRY).order_by(ENTRY.c.book, ENTRY.c.device, ENTRY.c.seq, ENTRY.c.receipt)
    heads = select(HEAD).order_by(HEAD.c.book)
    if book is not None:
        wanted, heads = wanted.where(ENTRY.c.book == book), heads.where(HEAD.c.book == book)
    last = {
        name: {(row.book, row.device): (row.seq, row.digest) for row in rows}
        for name, rows in groupby(connection.execute(heads), key=lambda row: str(row.book))
    }
    faults: list[Fault] = []
    books = chains = entries = 0
    with connection.execute(wanted.execution_options(yield_per=STEP)) as rows:
        for name, of_book in _books(rows, last):
            count, found = _walk_book(of_book, last.get(name, {}))
            books, chains, entries = books + 1, chains + count, entries + len(of_book)
            faults += found
    return Walked(books, chains, entries, tuple(faults))


def _books(rows: Iterable[Row[Any]], last: Mapping[str, object]) -> Iterator[tuple[str, list[Row[Any]]]]:
    """Every book with its rows, in the order of their names; also one that has heads and no entries."""
    waiting = iter(sorted(last))
    due = next(waiting, None)
    for name, of_book in groupby(rows, key=lambda row: str(row.book)):
        while due is not None and due <= name:
            if due < name:
                yield due, []
            due = next(waiting, None)
        yield name, list(of_book)
    while due is not None:
        yield due, []
        due = next(waiting, None)


def _walk_book(rows: list[Row[Any]], last: dict[tuple[str, str], tuple[int, str]]) -> tuple[int, list[Fault]]:
    """How many chains a book has, and the first fault of each."""
    chains = {key: list(chain) for key, chain in groupby(rows, key=lambda row: (row.book, row.device))}
    known = {(row.book, row.digest) for row in rows}
    keys = sorted(chains.keys() | last.keys())
    return len(keys), [
        fault for key in keys for fault in _first(_faults(key, chains.get(key, []), last, known))
    ]


def _first(faults: Iterator[Fault]) -> Iterable[Fault]:
    fault = next(faults, None)
    return () if fault is None else (fault,)


def _faults(
    key: tuple[str, str],
    chain: list[Row[Any]],
    last: dict[tuple[str, str], tuple[int, str]],
    known: set[tuple[str, str]],
) -> Iterator[Fault]:
    """Faults of one chain in its order."""
    prev = GENESIS
    for number, row in enumerate(chain, 1):
        if row.seq != number:
            yield _fault(key, number, "", "missing", say("ledger.fault_missing", seq=number, device=key[1]))
            return
        entry = _entry(row)
        if entry is None or not _same(row, entry) or digest_of(entry) != row.digest or entry.prev != prev:
            text = say("ledger.fault_altered", seq=number, device=key[1], entry=row.id)
            yield _fault(key, number, row.id, "altered", text)
            return
        for digest in entry.after:
            if (entry.book, digest) not in known:
                text = say("ledger.fault_after", seq=number, device=key[1], digest=digest[:12])
                yield _fault(key, number, row.id, "missing", text)
        prev = row.digest
    seq, digest = last.get(key, (0, GENESIS))
    if seq > len(chain):
        number = len(chain) + 1
        yield _fault(key, number, "", "missing", say("ledger.fault_missing", seq=number, device=key[1]))
    elif (seq, digest) != (len(chain), prev):
        yield _fault(key, len(chain), chain[-1].id, "altered", say("ledger.fault_head", device=key[1]))


def _fault(
    key: tuple[str, str], seq: int, entry: str, what: Literal["altered", "missing"], text: str
) -> Fault:
    return Fault(key[0], key[1], seq, entry, what, text)


def _entry(row: Row[Any]) -> Entry | None:
    try:
        return from_json({**json.loads(row.content), "digest": row.digest})
    except (ValueError, KeyError, TypeError):
        return None


def _same(row: Row[Any], entry: Entry) -> bool:
    """Whether the columns an entry is found by say what the entry says."""
    found = (row.id, row.book, row.kind, row.device, row.seq)
    return found == (entry.id, entry.book, entry.kind, entry.device, entry.seq)
