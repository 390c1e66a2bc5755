"""Accounts of jobs, written down so that opening a job does not read all its entries again.

A stored account may be thrown away at any time. It is used only when it was made by this version of the
fold, counts exactly the entries that had arrived by then, and its heads give the digest it was stored under.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from threading import RLock

from sqlalchemy import Connection, func, select

from whitemetal.errors import LedgerError
from whitemetal.job.account import FOLD_VERSION, Account, from_json, to_json
from whitemetal.job.picture import Picture
from whitemetal.ledger.ledger import Ledger, arrived
from whitemetal.ledger.tables import ENTRY, STORED_FOLD

LEAST = 64
"""An account is written down anew once this many entries came in since, and a quarter of all. Our own."""

OPEN_JOBS = 256
"""Jobs whose picture stays in memory: more than a plant has people at work. Our own."""

OPEN_ENTRIES = 100_000
"""Entries of all these together, 1.5 kB each in memory; above it the job not used longest goes. Our own."""


class Pictures:
    """The pictures of the jobs in use, each brought up to date with the entries that arrived since."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger
        self._held: OrderedDict[str, tuple[int, int, Picture]] = OrderedDict()
        self.lock = RLock()
        """Whoever reads a picture's account holds this lock while reading."""

    def of(self, connection: Connection, book: str) -> Picture:
        """The picture of a job as of this connection's transaction."""
        with self.lock:
            held = self._held.get(book)
            receipt, stored, picture = held or _taken_up(connection, book)
            for one in arrived(connection, book, receipt):
                picture.add(one.entry, one.stamp)
                receipt = one.receipt
            self._held[book] = receipt, stored, picture
            self._held.move_to_end(book)
            if held is None:
                self._let_go()
            return picture

    def _let_go(self) -> None:
        """Forget what was not used longest, never what is asked for."""
        entries = sum(len(picture.account.ids) for _, _, picture in self._held.values())
        while len(self._held) > 1 and (len(self._held) > OPEN_JOBS or entries > OPEN_ENTRIES):
            _, (_, _, picture) = self._held.popitem(last=False)
            entries -= len(picture.account.ids)

    def keep(self, book: str) -> bool:
        """Write a job's account down when enough was added since; True when it was. Never fails."""
        with self.lock:
            receipt, stored, picture = self._held.get(book, (0, 0, None))
            entries = len(picture.account.ids) if picture is not None else 0
            if picture is None or not self._ledger.writable or entries - stored < max(LEAST, entries // 4):
                return False
            row = _row(book, receipt, picture.account)
            self._held[book] = receipt, entries, picture
        try:
            with self._ledger.writing() as pen:
                pen.connection.execute(STORED_FOLD.delete().where(STORED_FOLD.c.book == book))
                pen.connection.execute(STORED_FOLD.insert().values(**row))
        except LedgerError:
            return False
        return True

    def forget(self) -> None:
        """Let go of every picture in memory."""
        with self.lock:
            self._held.clear()


def _row(book: str, receipt: int, account: Account) -> dict[str, object]:
    return {
        "book": book, "receipt": receipt, "entries": len(account.ids), "heads": account.book_digest(),
        "version": FOLD_VERSION, "account": json.dumps(to_json(account), ensure_ascii=False),
    }  # fmt: skip


def _taken_up(connection: Connection, book: str) -> tuple[int, int, Picture]:
    """Receipt, number of entries and picture of the stored account; an empty one when it cannot be used."""
    row = connection.execute(
        select(STORED_FOLD).where(STORED_FOLD.c.book == book, STORED_FOLD.c.version == FOLD_VERSION)
    ).first()
    if row is not None:
        here = select(func.count()).where(ENTRY.c.book == book, ENTRY.c.receipt <= row.receipt)
        account = _read(row.account)
        if (
            account is not None
            and len(account.ids) == row.entries == connection.execute(here).scalar_one()
            and account.book_digest() == row.heads
        ):
            return row.receipt, row.entries, Picture(book, account)
    return 0, 0, Picture(book, Account())


def _read(text: str) -> Account | None:
    try:
        return from_json(json.loads(text))
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
