"""Wrong tries slow the next one down: by account and by address. Nobody is locked out for good."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select, update

from whitemetal.people.sessions import AHEAD
from whitemetal.people.tables import TRY

FREE = 5
"""Wrong tries in a row that cost nothing but themselves. Our own."""

FREE_ADDRESS = 20
"""The same for one address, from which a whole shift may sign in. Our own."""

FIRST_WAIT = 15
"""Seconds to wait after those; twice as long after each further one. Our own."""

LONGEST_WAIT = 900
"""Seconds to wait at most. Our own: at this rate 100 guesses a day."""

FORGOTTEN = 24 * 3600
"""Seconds after which a wrong try does not count any more. Our own."""


def wait(connection: Connection, who: str, now: int, free: int = FREE) -> int:
    """Seconds until the next try is looked at, 0 when it is at once: so it is once where the clock was put
    back since the last try, for that one would hold everybody up until then."""
    row = connection.execute(select(TRY.c.tries, TRY.c.last).where(TRY.c.who == who)).first()
    if row is None or row.tries < free or now - row.last > FORGOTTEN or row.last > now + AHEAD:
        return 0
    pause = min(FIRST_WAIT * 2 ** min(row.tries - free, 10), LONGEST_WAIT)
    return int(max(0, min(pause, row.last + pause - now)))


def count(connection: Connection, who: str, now: int) -> None:
    """Count a try before it is looked at, so that many at once do not slip through."""
    row = connection.execute(select(TRY.c.tries, TRY.c.last).where(TRY.c.who == who)).first()
    if row is None:
        connection.execute(insert(TRY).values(who=who, tries=1, last=now))
        return
    before = 0 if now - row.last > FORGOTTEN else row.tries
    connection.execute(update(TRY).where(TRY.c.who == who).values(tries=before + 1, last=now))


def forget(connection: Connection, who: str) -> None:
    """A right try wipes out the wrong ones before it."""
    connection.execute(delete(TRY).where(TRY.c.who == who))


def sweep(connection: Connection, now: int) -> None:
    """Throw away what does not count any more."""
    connection.execute(delete(TRY).where(TRY.c.last < now - FORGOTTEN))
