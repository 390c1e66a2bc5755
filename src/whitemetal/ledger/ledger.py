"""The ledger: entries are appended, read in order of arrival, and never changed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import groupby
from threading import Lock
from typing import Any

from sqlalchemy import Connection, Engine, bindparam, func, insert, select, update
from sqlalchemy.engine import Row

from whitemetal.errors import CannotWrite, ChainBroken
from whitemetal.job.entry import GENESIS, Entry, canonical, from_json, make
from whitemetal.job.sight import Clock, Stamp, clock_of, stamped
from whitemetal.ledger import lists, postgres
from whitemetal.ledger.connect import WAIT, open_engine
from whitemetal.ledger.tables import DERIVED, ENTRY, HEAD, SIGHT
from whitemetal.ledger.taking import take_all
from whitemetal.ledger.trouble import explained
from whitemetal.ledger.watching import Watch, tell
from whitemetal.words import say

_BY_ID = select(ENTRY.c.content, ENTRY.c.digest).where(ENTRY.c.id == bindparam("id"))
_HEAD = select(HEAD.c.seq, HEAD.c.digest).where(
    HEAD.c.book == bindparam("book"), HEAD.c.device == bindparam("device")
)
_HEADS = select(HEAD.c.digest).where(HEAD.c.book == bindparam("book")).order_by(HEAD.c.digest)
_PARENTS = (
    select(ENTRY.c.digest, ENTRY.c.device, ENTRY.c.seq, SIGHT.c.clock)
    .join(SIGHT, SIGHT.c.receipt == ENTRY.c.receipt)
    .where(ENTRY.c.book == bindparam("book"), ENTRY.c.digest.in_(bindparam("digests", expanding=True)))
)
_TAIL = (
    select(ENTRY.c.receipt, ENTRY.c.content, ENTRY.c.digest, SIGHT.c.clock)
    .join(SIGHT, SIGHT.c.receipt == ENTRY.c.receipt)
    .where(ENTRY.c.book == bindparam("book"), ENTRY.c.receipt > bindparam("after"))
    .order_by(ENTRY.c.receipt)
)
STEP = 2000
"""Rows read at a time. Our own."""

_LAST = select(func.coalesce(func.max(ENTRY.c.receipt), 0))
_NEW_ENTRY = insert(ENTRY)
_NEW_SIGHT = insert(SIGHT)
_NEW_HEAD = insert(HEAD)
_MOVE_HEAD = (
    update(HEAD)
    .where(HEAD.c.book == bindparam("of_book"), HEAD.c.device == bindparam("of_device"))
    .values(seq=bindparam("to_seq"), digest=bindparam("to_digest"))
)


@dataclass(frozen=True)
class Author:
    """Who writes, where, when, and what they had seen. at: UTC, RFC 3339 with milliseconds and Z. account:
    id of the writer's account, "" where there are none."""

    name: str
    device: str
    at: str
    offset: int = 0
    seen: tuple[str, ...] = ()
    account: str = ""

    def by(self) -> dict[str, str]:
        """The author as entries name them."""
        return {"name": self.name, "id": self.account} if self.account else {"name": self.name}


@dataclass(frozen=True)
class Arrived:
    """An entry with its receipt number and stamp."""

    receipt: int
    entry: Entry
    stamp: Stamp


class Ledger:
    """An open record. ``writable``: False when the file, its folder or its server takes no writes, or when it
    was opened for reading only (``asked``)."""

    def __init__(
        self, engine: Engine, writable: bool = True, wait: float = WAIT, *, asked: bool = False
    ) -> None:
        self.engine = engine
        self.writable = writable
        self._refusal = "ledger.asked_read_only" if asked else "ledger.read_only"
        if postgres.speaks(engine) and not asked:
            self._refusal = "ledger.read_only_server"
        self.watch = Watch(engine)
        self._wait = wait
        self._turn = Lock()

    @classmethod
    def open(cls, where: str, wait: float = WAIT, *, read_only: bool = False) -> Ledger:
        """Open the record at a path or database address, made if missing. read_only: nothing is written,
        made or migrated. Raises LedgerError."""
        engine, writable = open_engine(where, wait, read_only)
        ledger = cls(engine, writable, wait, asked=read_only)
        if writable and not ledger._derived_is_whole():
            ledger.rebuild()
        return ledger

    def close(self) -> None:
        """Let go of the database."""
        self.watch.stop()
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that reads one state of the record."""
        with explained(), self.engine.connect() as connection:
            if connection.dialect.name == "postgresql":
                postgres.only_reading(connection)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self, typed: str = "") -> Iterator[Pen]:
        """One transaction that writes. typed: handed back in the error when nothing could be written."""
        with explained(typed):
            if not self.writable:
                raise CannotWrite(say(self._refusal))
            with (
                self._my_turn(),
                self.engine.connect().execution_options(immediate=True) as connection,
                connection.begin(),
            ):
                if connection.dialect.name == "postgresql":
                    postgres.take_turn(connection)
                yield Pen(connection)

    @contextmanager
    def _my_turn(self) -> Iterator[None]:
        """Wait for the other threads of this process without a connection in hand: those that read need it.
        The database then sees one writer of each process."""
        if not self._turn.acquire(timeout=self._wait):
            raise CannotWrite(say("ledger.locked"))
        try:
            yield
        finally:
            self._turn.release()

    def entries(self, book: str) -> tuple[Entry, ...]:
        """All entries of a book in order of arrival."""
        with self.reading() as connection:
            return tuple(one.entry for one in arrived(connection, book))

    def receive(self, entries: Iterable[Entry], typed: str = "") -> tuple[Entry, ...]:
        """Take in entries written elsewhere, in any order; an entry that is here already changes nothing.

        Returns those that must wait because an entry they link to is missing: they are not kept.
        Raises ChainBroken, and keeps none, when one was altered or contradicts what is here.
        """
        with self.writing(typed) as pen:
            return take_all(pen.connection, entries)

    def rebuild(self) -> None:
        """Throw away everything derived and make it again from the entries."""
        with self.writing() as pen:
            pen.rebuild()

    def _derived_is_whole(self) -> bool:
        with self.reading() as connection:
            newest = connection.execute(_LAST).scalar_one()
            seen = connection.execute(select(func.coalesce(func.max(SIGHT.c.receipt), 0))).scalar_one()
        return bool(newest == seen)


def arrived(connection: Connection, book: str, after: int = 0) -> Iterator[Arrived]:
    """Entries of a book that arrived after a receipt number, each with its stamp."""
    for row in connection.execute(_TAIL, {"book": book, "after": after}):
        entry = entry_from(row)
        yield Arrived(row.receipt, entry, Stamp(entry.id, entry.device, entry.seq, json.loads(row.clock)))


def entry_from(row: Any) -> Entry:
    """An entry from a row with its stored canonical form (``content``) and ``digest``. Raises ChainBroken."""
    try:
        return from_json({**json.loads(row.content), "digest": row.digest})
    except (ValueError, KeyError, TypeError):
        raise ChainBroken(say("ledger.unreadable_entry", digest=row.digest[:12])) from None


def _behind(digest: str, links: Mapping[str, tuple[str, int, Clock]]) -> bool:
    """Whether an entry linked to is behind another one of the links, and so need not be linked to."""
    device, seq, _ = links[digest]
    return any(clock.get(device, 0) >= seq for other, (_, _, clock) in links.items() if other != digest)


class Pen:
    """Writes inside one transaction. ``before``: asked with the kind of every new entry before it is added;
    it raises where that must not be kept."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.before: Callable[[str], None] | None = None

    def entry(self, id: str) -> Entry | None:
        """The entry called ``id``, None when there is none."""
        row = self.connection.execute(_BY_ID, {"id": id}).first()
        return entry_from(row) if row is not None else None

    def add(self, id: str, book: str, kind: str, body: Mapping[str, Any], author: Author) -> Entry:
        """Write one entry at the end of its device's chain. An id that is here already changes nothing."""
        held = self.entry(id)
        if held is not None:
            return held
        if self.before is not None:
            self.before(kind)
        seq, prev, after, clock = self._standing(book, author)
        entry = make(
            id=id, book=book, kind=kind, device=author.device, seq=seq + 1, prev=prev, after=after,
            at=author.at, offset=author.offset, by=author.by(), body=body,
        )  # fmt: skip
        self._insert(entry, clock_of(entry.device, entry.seq, [clock]))
        return entry

    def sight(self, book: str, author: Author) -> Clock:
        """What the author has seen of a book: their own chain, and all behind the heads they were shown."""
        return self._standing(book, author)[3]

    def heads(self, book: str) -> tuple[str, ...]:
        """Digests of the last entries of every device in a book."""
        return tuple(self.connection.execute(_HEADS, {"book": book}).scalars())

    def rebuild(self) -> None:
        """Make everything derived again from the entries."""
        for table in DERIVED:
            self.connection.execute(table.delete())
        wanted = select(ENTRY).order_by(ENTRY.c.book, ENTRY.c.receipt)
        with self.connection.execute(wanted.execution_options(yield_per=STEP)) as rows:
            for _, of_book in groupby(rows, key=lambda row: str(row.book)):
                self._derive(list(of_book))

    def _derive(self, rows: Sequence[Row[Any]]) -> None:
        """Make everything derived from one book's entries."""
        receipts = {row.digest: row.receipt for row in rows}
        entries = []
        for row in rows:
            with suppress(ChainBroken):
                entries.append(entry_from(row))
        pairs = [(receipts[entry.digest], entry, stamp) for entry, stamp in stamped(entries)]
        if pairs:
            sights = [{"receipt": one, "clock": json.dumps(stamp.clock)} for one, _, stamp in pairs]
            self.connection.execute(_NEW_SIGHT, sights)
        for receipt, entry, stamp in pairs:
            lists.note(self.connection, receipt, entry, stamp.rank[0])

    def _standing(self, book: str, author: Author) -> tuple[int, str, tuple[str, ...], Clock]:
        """Where the author's next entry goes: the number and digest of their last one, what they had seen of
        other devices that is not behind another link, and the clock of all these."""
        seq, prev = self._head(book, author.device)
        links = {
            parent.digest: (parent.device, parent.seq, json.loads(parent.clock))
            for parent in self._parents(book, (prev, *author.seen))
        }
        after = tuple(digest for digest in links if digest != prev and not _behind(digest, links))
        return seq, prev, after, clock_of(author.device, seq, [clock for _, _, clock in links.values()])

    def _head(self, book: str, device: str) -> tuple[int, str]:
        row = self.connection.execute(_HEAD, {"book": book, "device": device}).first()
        return (row.seq, row.digest) if row is not None else (0, GENESIS)

    def _parents(self, book: str, digests: tuple[str, ...]) -> list[Row[Any]]:
        wanted = sorted({digest for digest in digests if digest})
        if not wanted:
            return []
        return list(self.connection.execute(_PARENTS, {"book": book, "digests": wanted}))

    def _insert(self, entry: Entry, clock: Clock) -> None:
        receipt = self.connection.execute(_LAST).scalar_one() + 1
        self.connection.execute(
            _NEW_ENTRY,
            {
                "receipt": receipt, "id": entry.id, "book": entry.book, "kind": entry.kind,
                "device": entry.device, "seq": entry.seq, "digest": entry.digest,
                "content": canonical(entry).decode(),
            },
        )  # fmt: skip
        place = {"book": entry.book, "device": entry.device}
        if entry.seq == 1:
            self.connection.execute(_NEW_HEAD, {**place, "seq": 1, "digest": entry.digest})
        else:
            to = {"of_book": entry.book, "of_device": entry.device}
            self.connection.execute(_MOVE_HEAD, {**to, "to_seq": entry.seq, "to_digest": entry.digest})
        self.connection.execute(_NEW_SIGHT, {"receipt": receipt, "clock": json.dumps(clock)})
        if not lists.note(self.connection, receipt, entry, sum(clock.values())):
            lists.job_changed(self.connection, entry.book)
        lists.opening_changed(self.connection, entry)
        tell(self.connection, entry.book)
