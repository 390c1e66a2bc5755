"""What is known for some minutes: that an errand came back, who came with it, that somebody confirmed."""

from __future__ import annotations

from typing import Literal

from sqlalchemy import Connection, delete, insert, select

from whitemetal.people.sessions import digest_of
from whitemetal.people.tables import ERRAND

What = Literal["came", "stands", "confirmed"]
"""came: an errand, by its state, so that it comes once. stands: somebody of the provider who has no account
yet, by the secret their browser holds. confirmed: a session whose owner just signed in at the provider."""


def keep(connection: Connection, what: What, key: str, said: str, ends: int, now: int) -> bool:
    """Keep something until a moment; False where it is kept already. What is over is swept away."""
    connection.execute(delete(ERRAND).where(ERRAND.c.ends <= now))
    if found(connection, what, key, now) is not None:
        return False
    connection.execute(insert(ERRAND).values(what=what, digest=digest_of(key), said=said, ends=ends))
    return True


def found(connection: Connection, what: What, key: str, now: int) -> str | None:
    """What was kept, None where there is nothing or it is over."""
    wanted = select(ERRAND.c.said).where(
        ERRAND.c.what == what, ERRAND.c.digest == digest_of(key), ERRAND.c.ends > now
    )
    return connection.execute(wanted).scalar()


def drop(connection: Connection, what: What, key: str) -> bool:
    """Throw something away; False where there was nothing."""
    which = delete(ERRAND).where(ERRAND.c.what == what, ERRAND.c.digest == digest_of(key))
    return connection.execute(which).rowcount == 1
