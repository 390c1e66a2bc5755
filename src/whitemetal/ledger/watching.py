"""Noticing that somebody wrote, without asking the database all the time.

On PostgreSQL every write tells the server which book it was, and one connection of each process listens: what
another process wrote is noticed at once. Where nobody can listen (a file, or a server just restarted) whoever
waits asks the record itself now and then. A server that follows another one hears of nothing: PostgreSQL does
not hand on what is told.
"""

from __future__ import annotations

from collections import Counter
from threading import Event, Lock, Thread
from typing import Any

from sqlalchemy import Connection, Engine, bindparam, select, text

from whitemetal.job.entry import book_digest
from whitemetal.ledger import postgres
from whitemetal.ledger.tables import HEAD

CHANNEL = "whitemetal"
"""The name under which writes are told. Our own."""

AGAIN = 1.0
"""Seconds until a lost connection is tried again, or a file is asked again. Our own."""

SELDOM = 10.0
"""Seconds until the record is asked although nothing was heard. Our own."""

_TELL = text("SELECT pg_notify(:channel, :book)")
_HEADS = select(HEAD.c.digest).where(HEAD.c.book == bindparam("book"))


def tell(connection: Connection, *books: str) -> None:
    """Tell who listens, once this transaction is kept, that these books were written."""
    if connection.dialect.name == "postgresql":
        for book in books:
            connection.execute(_TELL, {"channel": CHANNEL, "book": book[:200]})


def digest_now(connection: Connection, book: str) -> str:
    """The digest of a book as it is: another one as soon as anybody wrote in it."""
    return book_digest(connection.execute(_HEADS, {"book": book}).scalars())


class Watch:
    """How often each book was heard of. Threads may share one."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._heard: Counter[str] = Counter()
        self._lock = Lock()
        self._thread: Thread | None = None
        self._over = Event()
        self.listening = Event()

    def start(self) -> None:
        """Begin to listen, once, where there is something to listen to."""
        with self._lock:
            if self._thread is None and postgres.speaks(self._engine):
                self._thread = Thread(target=self._listen, name="whitemetal-watch", daemon=True)
                self._thread.start()

    def heard(self, book: str) -> int:
        """A number that rises when a book was written in, or when it may have been while nobody listened."""
        return self._heard[book] + self._heard[""]

    def stop(self) -> None:
        """Stop listening."""
        self._over.set()
        if self._thread is not None:
            self._thread.join(timeout=5)

    def _listen(self) -> None:
        while not self._over.is_set():
            try:
                with postgres.alone(self._engine) as driver:
                    if driver.execute("SELECT pg_is_in_recovery()").fetchone()[0]:
                        self._over.wait(SELDOM)
                        continue
                    driver.execute(f"LISTEN {CHANNEL}")
                    self.listening.set()
                    self._heard[""] += 1
                    self._hear(driver)
            except Exception:
                self.listening.clear()
                self._over.wait(AGAIN)
        self.listening.clear()

    def _hear(self, driver: Any) -> None:
        while not self._over.is_set():
            for note in driver.notifies(timeout=0.5):
                self._heard[note.payload] += 1
                if self._over.is_set():
                    return
