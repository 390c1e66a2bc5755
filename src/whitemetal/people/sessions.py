"""Sessions: the server knows a digest, the browser the secret; each ends after a shift, or when it rests."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from whitemetal.people.tables import SESSION

SECRET = 32
"""Random bytes of a session's secret: twice the 128 bits that OWASP ASVS 5.0, 7.2.3 asks for. Our own."""

LONGEST = 12 * 3600
"""Seconds after which one must sign in again whatever happens: a long shift. Our own."""

RESTS = 4 * 3600
"""Seconds without a request after which a session ends. Our own: a job pauses longer than an office."""

AHEAD = 600
"""Seconds by which the clocks of several servers may differ. Our own."""

MARKED = 60
"""Seconds between two notes of when a session was last used. Our own: a page a second writes nothing."""


@dataclass(frozen=True)
class Session:
    """digest: its name. begun, used: seconds since 1970."""

    digest: str
    account: str
    device: str
    browser: str
    begun: int
    used: int

    def over(self, now: int) -> bool:
        """Whether it ended by itself: also where it began in what is the future since the clock was put
        right, for it would last until then."""
        return now >= self.begun + LONGEST or now >= self.used + RESTS or self.begun > now + AHEAD


def digest_of(secret: str) -> str:
    """What the server knows of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def begin(connection: Connection, account: str, device: str, browser: str, now: int) -> str:
    """Begin a session; the secret for the cookie. Sessions that ended by themselves are swept away."""
    secret = secrets.token_urlsafe(SECRET)
    connection.execute(
        delete(SESSION).where((SESSION.c.begun <= now - LONGEST) | (SESSION.c.used <= now - RESTS))
    )
    connection.execute(
        insert(SESSION).values(
            digest=digest_of(secret), account=account, device=device, browser=browser[:200], begun=now,
            used=now,
        )
    )  # fmt: skip
    return secret


def found(connection: Connection, secret: str, now: int) -> Session | None:
    """The session of a secret, None when there is none or it is over."""
    row = connection.execute(select(SESSION).where(SESSION.c.digest == digest_of(secret))).first()
    session = _session(row) if row is not None else None
    return None if session is None or session.over(now) else session


def mark(connection: Connection, session: Session, now: int) -> None:
    """Note that a session was used."""
    connection.execute(update(SESSION).where(SESSION.c.digest == session.digest).values(used=now))


def of_account(connection: Connection, account: str, now: int) -> tuple[Session, ...]:
    """The sessions of an account that are not over, the newest first."""
    wanted = select(SESSION).where(SESSION.c.account == account).order_by(SESSION.c.begun.desc())
    return tuple(one for one in map(_session, connection.execute(wanted)) if not one.over(now))


def end(connection: Connection, account: str, digest: str = "", but: str = "") -> int:
    """End an account's session, or all but one; how many ended."""
    which = delete(SESSION).where(SESSION.c.account == account, SESSION.c.digest != but)
    if digest:
        which = which.where(SESSION.c.digest == digest)
    return connection.execute(which).rowcount


def _session(row: Any) -> Session:
    return Session(row.digest, row.account, row.device, row.browser, row.begun, row.used)
