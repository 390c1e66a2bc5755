"""The open record: the one way in for everything that is kept, and the way to everything that was.

Every write is one transaction. Rooms with verbs of their own (a module a trade noun beside this one) are
functions that take a desk and write through `Record.write`, `write_of_bearing` and `write_of_plant`.
"""

from __future__ import annotations

import base64
import secrets
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, Self

from sqlalchemy import select

from whitemetal.desk import shelf
from whitemetal.desk.film import Films
from whitemetal.desk.judged import Judged
from whitemetal.desk.kept_kinds import KeptKinds
from whitemetal.desk.rows import Kept, Writer
from whitemetal.desk.sending import AlreadyKept, in_hand, once, writing
from whitemetal.errors import Problem
from whitemetal.job import signing
from whitemetal.job.account import Account
from whitemetal.job.entry import Entry
from whitemetal.ledger import Author, Fault, Ledger, Pen, Pictures, Walked, entry_from, walk
from whitemetal.ledger.connect import WAIT
from whitemetal.ledger.files import Files, file_faults
from whitemetal.ledger.lists import PLANT
from whitemetal.ledger.signed_states import state_faults
from whitemetal.ledger.tables import ENTRY
from whitemetal.ledger.verify import page_faults
from whitemetal.words import say

Ask = Callable[[Account], None]


def new_id() -> str:
    """128 random bits in base32, lower case."""
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()


def now() -> datetime:
    """The present moment in UTC."""
    return datetime.now(UTC)


class Record:
    """An open record: entries in, entries out. Threads may share one."""

    def __init__(
        self, ledger: Ledger, clock: Callable[[], datetime] = now, ids: Callable[[], str] = new_id
    ) -> None:
        self._ledger = ledger
        self.files = Files(ledger)
        self._clock = clock
        self._ids = ids
        self._shelf = shelf.Shelf()
        self._pictures = Pictures(ledger)
        self._judged = Judged()
        self._films = Films()
        self._kinds = KeptKinds()

    @classmethod
    def open(
        cls, where: str, *, clock: Callable[[], datetime] = now, ids: Callable[[], str] = new_id,
        wait: float = WAIT, read_only: bool = False,
    ) -> Self:  # fmt: skip
        """Open the record: path of a SQLite file (made if missing) or a database address.

        wait: seconds to wait for another writer. read_only: nothing is written, made or migrated, also where
        it could be. Raises LedgerError.
        """
        return cls(Ledger.open(where, wait, read_only=read_only), clock, ids)

    def close(self) -> None:
        """Let go of the record."""
        self._pictures.forget()
        self._judged.forget()
        self._kinds.forget()
        self._ledger.close()

    @property
    def writable(self) -> bool:
        """False when the record can only be read here: every verb that keeps refuses."""
        return self._ledger.writable

    def moment(self) -> str:
        """The present moment as entries keep it: UTC, RFC 3339 with milliseconds and Z."""
        return _stamp(self._clock())

    def fresh_id(self) -> str:
        """An id for a new entry or thing: 128 random bits in base32; of a request that may come again, the
        same every time."""
        request = in_hand()
        return request.next() if request is not None and request.key else self._ids()

    # everything that is kept comes in here

    @once
    def write(
        self, job: str, kind: str, body: Mapping[str, Any], writer: Writer, *, typed: str = "",
        id: str | None = None, ask: Ask | None = None,
    ) -> Kept:  # fmt: skip
        """Write one entry into a job. ask: raises InputError on what must not be kept; it sees the account of
        the job as of this transaction. id: made by the writing device; the same id again changes nothing, and
        the same id with another body is said and not kept. Raises UnknownBook.
        """
        with self._writing(job, typed, id, kind) as (pen, account):
            held = pen.entry(id) if id else None
            if held is not None:
                return _again(held, kind, body)
            if ask is not None:
                ask(account)
            return Kept(pen.add(id or self.fresh_id(), job, kind, body, self._author(writer)))

    @once
    def write_of_bearing(
        self, bearing: str, kind: str, body: Mapping[str, Any], writer: Writer, *, typed: str = "",
        id: str | None = None,
    ) -> Kept:  # fmt: skip
        """Write one entry into a bearing's own book, after all that is there. Raises UnknownBook."""
        with self._writing_beside(typed, id, kind) as pen:
            shelf.bearing_row(pen.connection, bearing)
            held = pen.entry(id) if id else None
            if held is not None:
                return _again(held, kind, body)
            return self._add_to_plant(pen, bearing, kind, body, writer, id)

    @once
    def write_of_plant(
        self, kind: str, body: Mapping[str, Any], writer: Writer, *, typed: str = "", id: str | None = None
    ) -> Kept:
        """Write one entry into the plant's book, after all that is there."""
        with self._writing_beside(typed, id, kind) as pen:
            held = pen.entry(id) if id else None
            if held is not None:
                return _again(held, kind, body)
            return self._add_to_plant(pen, PLANT, kind, body, writer, id)

    def kept_of(self, book: str, *kinds: str) -> tuple[Entry, ...]:
        """The entries of these kinds in a book (a bearing's, a job's, the plant's), in order of arrival."""
        wanted = (
            select(ENTRY.c.content, ENTRY.c.digest)
            .where(ENTRY.c.book == book, ENTRY.c.kind.in_(kinds))
            .order_by(ENTRY.c.receipt)
        )
        with self._ledger.reading() as connection:
            if book == PLANT:
                return self._kinds.of(connection, book, kinds)
            return tuple(entry_from(row) for row in connection.execute(wanted))

    def entries(self, book: str) -> tuple[Entry, ...]:
        """All entries of a book in order of arrival."""
        return self._ledger.entries(book)

    def receive(self, entries: Sequence[Entry]) -> tuple[Entry, ...]:
        """Take in entries written elsewhere. Returns those that must wait for one they link to."""
        return self._ledger.receive(entries)

    def walk(self, book: str | None = None) -> Walked:
        """Walk the chains of every book, or of one, the files they name and, where every chain is whole, the
        states that were signed; with no book said, the pages of a file too: how many entries were read, and
        the faults found."""
        with self._ledger.reading() as connection:
            walked = walk(connection, book)
            if not walked.faults:
                walked = replace(walked, faults=tuple(state_faults(connection, book)))
            pages = page_faults(connection) if book is None else ()
            return replace(walked, faults=(*walked.faults, *file_faults(connection, book), *pages))

    def verify(self, book: str | None = None) -> tuple[Fault, ...]:
        """The first altered or missing entry of each device in each book; () when every chain is whole."""
        return self.walk(book).faults

    def rebuild(self) -> None:
        """Throw away everything derived and make it again from the entries."""
        self._pictures.forget()
        self._judged.forget()
        self._ledger.rebuild()

    # inside

    @contextmanager
    def _writing(
        self, job: str, typed: str, id: str | None = None, what: str = ""
    ) -> Iterator[tuple[Pen, Account]]:
        """A transaction on a job and its account as of now. Raises UnknownBook, and InputError on any write
        to a signed job but the one that opens it again."""
        with self._writing_beside(typed, id, what) as pen, self._pictures.lock:
            shelf.job_row(pen.connection, job)
            account = self._pictures.of(pen.connection, job).account
            pen.before = lambda kind: signing.may_write(account, kind, typed)
            yield pen, account

    @contextmanager
    def _writing_beside(self, typed: str, id: str | None = None, what: str = "") -> Iterator[Pen]:
        """A transaction on any book. Raises AlreadyKept when this request was kept before. id: of an entry
        that the device named itself: then that name says whether it is there, not the request's key. what:
        tells what is written from what else one request may write."""
        with self._ledger.writing(typed) as pen, writing(what) as request:
            there = pen.entry(request.ahead()) if request is not None and not id else None
            if request is not None and there is not None:
                request.next()
                raise AlreadyKept(there)
            yield pen

    def _add(
        self, pen: Pen, book: str, kind: str, body: Mapping[str, Any], writer: Writer, id: str | None = None
    ) -> Kept:
        return Kept(pen.add(id or self.fresh_id(), book, kind, body, self._author(writer)))

    def _add_to_plant(
        self, pen: Pen, book: str, kind: str, body: Mapping[str, Any], writer: Writer, id: str | None = None
    ) -> Kept:
        """Write to the plant's book or a bearing's, after all that is there: its lists show the whole."""
        return self._add(pen, book, kind, body, replace(writer, seen=writer.seen + pen.heads(book)), id)

    def _written(self) -> str:
        """When what is being kept was written: now, or as long ago as the device says."""
        request = in_hand()
        return self.moment() if request is None else _stamp(self._clock() - request.ago)

    def _author(self, writer: Writer) -> Author:
        at = self._written()
        return Author(writer.name, writer.device, at, writer.offset, writer.seen, writer.account)


def _stamp(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def _again(held: Entry, kind: str, body: Mapping[str, Any]) -> Kept:
    """The same id again changes nothing; another body under it is said, not kept."""
    if held.kind == kind and dict(held.body) == dict(body):
        return Kept(held)
    return Kept(held, Problem("id", held.id, say("ledger.same_id", text=held.kind)))


def same_text(held: Entry, where: str, text: str) -> Kept:
    """The same id again changes nothing; another text under it is said, not kept."""
    if held.body.get("text") == text:
        return Kept(held)
    return Kept(held, Problem(where, text, say("ledger.same_id", text=held.body.get("text"))))
