"""The plant's lists as the desk reads them: bearings, cards, jobs, instruments. No list reads all entries."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, bindparam, func, select, update
from sqlalchemy.engine import Row

from whitemetal.card import Card, read_card
from whitemetal.desk.rows import Revision
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job import births
from whitemetal.job.entry import Entry
from whitemetal.ledger import entry_from
from whitemetal.ledger.lists import PLANT
from whitemetal.ledger.tables import ENTRY, LISTED_BEARING, LISTED_CARD, LISTED_INSTRUMENT, LISTED_JOB
from whitemetal.words import say

_INSTRUMENTS = select(LISTED_INSTRUMENT.c.id, LISTED_INSTRUMENT.c.facts).order_by(LISTED_INSTRUMENT.c.id)
_BEARING = select(LISTED_BEARING).where(LISTED_BEARING.c.book == bindparam("book"))
_JOB = select(LISTED_JOB).where(LISTED_JOB.c.book == bindparam("book"))
_BIRTHS = (
    select(ENTRY.c.content, ENTRY.c.digest)
    .where(ENTRY.c.book == bindparam("book"), ENTRY.c.kind.in_((births.KIND, births.STRIKE)))
    .order_by(ENTRY.c.receipt)
)
_CARD = (
    select(ENTRY.c.content, ENTRY.c.digest)
    .join(LISTED_CARD, LISTED_CARD.c.receipt == ENTRY.c.receipt)
    .where(LISTED_CARD.c.digest == bindparam("card"))
    .order_by(ENTRY.c.receipt)
)


class Shelf:
    """Cards and instruments once read stay in memory: a revision never changes, instruments seldom do."""

    def __init__(self) -> None:
        self._cards: dict[str, tuple[Card, str]] = {}
        self._births: dict[str, tuple[tuple[str, ...], tuple[births.Birth, ...]]] = {}
        self._instruments: tuple[list[tuple[str, str]], Mapping[str, Mapping[str, str]]] = ([], {})

    def card(self, connection: Connection, digest: str) -> tuple[Card, str]:
        """A revision of a card and its text as typed. Raises UnknownBook."""
        if digest not in self._cards:
            row = connection.execute(_CARD, {"card": digest}).first()
            if row is None:
                raise UnknownBook(say("ledger.unknown_card", card=digest[:12]))
            typed = str(entry_from(row).body["typed"])
            self._cards[digest] = read_card(typed), typed
        return self._cards[digest]

    def births(self, connection: Connection, book: str) -> tuple[births.Birth, ...]:
        """Values of birth of a bearing; the same object as long as nothing changed."""
        rows = connection.execute(_BIRTHS, {"book": book}).all()
        digests = tuple(row.digest for row in rows)
        if self._births.get(book, ((), ()))[0] != digests:
            self._births[book] = digests, births.births_of(entry_from(row) for row in rows)
        return self._births.get(book, ((), ()))[1]

    def instruments(self, connection: Connection) -> Mapping[str, Mapping[str, str]]:
        """Facts of the instruments by id; the same object as long as nothing changed."""
        rows = [(row.id, row.facts) for row in connection.execute(_INSTRUMENTS)]
        if rows != self._instruments[0]:
            self._instruments = rows, {id: json.loads(facts) for id, facts in rows}
        return self._instruments[1]


def bearing_row(connection: Connection, book: str) -> Row[Any]:
    """A bearing's row. Raises UnknownBook."""
    row = connection.execute(_BEARING, {"book": book}).first()
    if row is None or not row.card:
        raise UnknownBook(say("ledger.unknown_bearing", book=book))
    return row


def job_row(connection: Connection, book: str) -> Row[Any]:
    """A job's row. Raises UnknownBook."""
    row = connection.execute(_JOB, {"book": book}).first()
    if row is None:
        raise UnknownBook(say("ledger.unknown_job", book=book))
    return row


def bearing_at(connection: Connection, machine: str, position: str) -> Row[Any] | None:
    """The bearing at a position of a machine; None when there is none yet."""
    return connection.execute(
        select(LISTED_BEARING)
        .where(LISTED_BEARING.c.machine == machine, LISTED_BEARING.c.position == position)
        .order_by(LISTED_BEARING.c.book)
    ).first()


def bearing_rows(connection: Connection) -> list[Row[Any]]:
    """All bearings, by machine and position."""
    order = LISTED_BEARING.c.machine, LISTED_BEARING.c.position, LISTED_BEARING.c.book
    return list(
        connection.execute(select(LISTED_BEARING).where(LISTED_BEARING.c.card != "").order_by(*order))
    )


def job_rows(connection: Connection, bearing: str | None = None) -> list[Row[Any]]:
    """All jobs, or those of one bearing, by number."""
    wanted = select(LISTED_JOB).order_by(LISTED_JOB.c.number, LISTED_JOB.c.book)
    if bearing is not None:
        wanted = wanted.where(LISTED_JOB.c.bearing == bearing)
    return list(connection.execute(wanted))


def card_again(connection: Connection, held: Entry, digest: str) -> str:
    """The bearing for which this card was kept, when it comes again under the same key. Raises InputError on
    another card."""
    book = str(held.body.get("bearing", held.book))
    wanted = select(LISTED_CARD.c.digest).where(LISTED_CARD.c.book == book, LISTED_CARD.c.digest == digest)
    if connection.execute(wanted).first() is None:
        raise InputError(Problem("idempotency-key", digest, say("ledger.same_key_card")))
    return book


def revisions(connection: Connection, book: str) -> tuple[Revision, ...]:
    """Revisions of a bearing's card in order of arrival."""
    rows = connection.execute(
        select(ENTRY.c.content, ENTRY.c.digest, LISTED_CARD.c.digest.label("card"))
        .join(LISTED_CARD, LISTED_CARD.c.receipt == ENTRY.c.receipt)
        .where(LISTED_CARD.c.book == book)
        .order_by(ENTRY.c.receipt)
    )
    entries = ((row.card, entry_from(row)) for row in rows)
    return tuple(Revision(card, entry.by.get("name", ""), entry.at) for card, entry in entries)


def newest(connection: Connection) -> int:
    """The receipt number of the entry that came last, 0 before the first."""
    return int(connection.execute(select(func.coalesce(func.max(ENTRY.c.receipt), 0))).scalar_one())


def keep_words(
    connection: Connection, words: Iterable[tuple[str, str]], version: str, reckoned_at: int
) -> None:
    """Write down verdicts just reckoned, by job, so that the next list need not reckon them. reckoned_at:
    `newest` before they were; those of a job that anything came to since are left to be reckoned again."""
    of_job = ENTRY.c.book.in_((LISTED_JOB.c.book, LISTED_JOB.c.bearing, PLANT))
    came = select(ENTRY.c.receipt).where(of_job, ENTRY.c.receipt > reckoned_at).exists()
    for book, said in words:
        connection.execute(
            update(LISTED_JOB).where(LISTED_JOB.c.book == book, ~came).values(words=said, version=version)
        )
