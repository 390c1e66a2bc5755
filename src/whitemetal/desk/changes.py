"""Whether anybody wrote in a book, and a book's entries a page at a time."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from whitemetal.desk.record import Record
from whitemetal.job.entry import Entry
from whitemetal.ledger import entry_from
from whitemetal.ledger.tables import ENTRY
from whitemetal.ledger.watching import Watch, digest_now

MOST = 1000
"""Entries on one page at most. Our own."""


@dataclass(frozen=True)
class Entries:
    """A page of a book's entries in order of arrival. after: where the next page begins. more: whether there
    were more when it was read."""

    entries: tuple[Entry, ...]
    after: int
    more: bool


def entries_after(desk: Record, book: str, after: int, most: int = MOST) -> Entries:
    """The entries of a book that arrived after a receipt number. Whoever goes on from ``after`` misses none
    and sees none twice, whatever others write meanwhile: numbers are given in the order in which entries
    become visible."""
    most = max(1, min(most, MOST))
    wanted = (
        select(ENTRY.c.receipt, ENTRY.c.content, ENTRY.c.digest)
        .where(ENTRY.c.book == book, ENTRY.c.receipt > after)
        .order_by(ENTRY.c.receipt)
        .limit(most + 1)
    )
    with desk._ledger.reading() as connection:
        rows = connection.execute(wanted).all()
    page = rows[:most]
    return Entries(
        tuple(entry_from(row) for row in page), page[-1].receipt if page else after, len(rows) > most
    )


def digest_of_book(desk: Record, book: str) -> str:
    """The digest of a book as it is now: `JobState.digest` of a job."""
    with desk._ledger.reading() as connection:
        return digest_now(connection, book)


def watch(desk: Record) -> Watch:
    """What hears of writes, listening."""
    desk._ledger.watch.start()
    return desk._ledger.watch
