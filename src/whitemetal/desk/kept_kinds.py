"""Entries of a few kinds out of a book that grows for ever, without reading the whole of it again each time.

The plant's book holds an entry for every job there ever was; the handful of a kind in it (the plant's
procedure, its rules) is remembered with the receipt number up to which the book was read. Writers take one
lock, so that receipts arrive in order.
"""

from __future__ import annotations

from threading import Lock

from sqlalchemy import Connection, func, select

from whitemetal.job.entry import Entry
from whitemetal.ledger import entry_from
from whitemetal.ledger.tables import ENTRY


class KeptKinds:
    """What was found so far, by book and kinds. Threads may share one."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._found: dict[tuple[str, tuple[str, ...]], tuple[int, tuple[Entry, ...]]] = {}

    def of(self, connection: Connection, book: str, kinds: tuple[str, ...]) -> tuple[Entry, ...]:
        """The entries of these kinds in a book, in order of arrival; only what is new in it is read."""
        last = connection.execute(select(func.max(ENTRY.c.receipt)).where(ENTRY.c.book == book)).scalar() or 0
        with self._lock:
            read, found = self._found.get((book, kinds), (0, ()))
        if read > last:
            read, found = 0, ()
        if read < last:
            wanted = (
                select(ENTRY.c.content, ENTRY.c.digest)
                .where(ENTRY.c.book == book, ENTRY.c.kind.in_(kinds), ENTRY.c.receipt > read)
                .where(ENTRY.c.receipt <= last)
                .order_by(ENTRY.c.receipt)
            )
            found = (*found, *(entry_from(row) for row in connection.execute(wanted)))
            with self._lock:
                self._found[book, kinds] = (last, found)
        return found

    def forget(self) -> None:
        """Forget everything: the record may be another one."""
        with self._lock:
            self._found.clear()
