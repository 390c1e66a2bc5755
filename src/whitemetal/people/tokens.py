"""Tokens for programs, with scope and an end; codes that are good once, to choose a password with."""

from __future__ import annotations

import base64
import secrets
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from whitemetal.errors import InputError, Problem
from whitemetal.people.roles import Leave
from whitemetal.people.sessions import digest_of
from whitemetal.people.tables import CODE, TOKEN
from whitemetal.words import say

BEGINS = "wm_"
"""How every token begins, so that one left lying about is known for what it is."""

SCOPES: tuple[Leave, ...] = ("look", "write")
"""What a token may be given leave for. Nobody signs or keeps accounts by token."""

LONGEST_DAYS = 366
"""Days a token may live. Our own."""

CODE_LIVES = 72 * 3600
"""Seconds a code to choose a password with is good for: over a weekend. Our own."""


@dataclass(frozen=True)
class Token:
    """ends, used: seconds since 1970; used 0 before the first time."""

    id: str
    account: str
    title: str
    scope: frozenset[Leave]
    ends: int
    used: int


def new_token(
    connection: Connection, id: str, account: str, title: str, scope: frozenset[Leave], days: int, now: int
) -> str:
    """A new token; its text is shown once and never again. Raises InputError."""
    if not title.strip() or len(title) > 120:
        raise InputError(Problem("title", title[:120], say("people.title_expected")))
    if not scope or not scope <= set(SCOPES):
        raise InputError(Problem("scope", " ".join(sorted(scope)), say("people.scope_expected")))
    if not 1 <= days <= LONGEST_DAYS:
        raise InputError(Problem("days", str(days), say("people.days_expected", most=LONGEST_DAYS)))
    text = BEGINS + secrets.token_urlsafe(32)
    connection.execute(
        insert(TOKEN).values(
            digest=digest_of(text), id=id, account=account, title=title.strip(),
            scope=" ".join(sorted(scope)), ends=now + days * 86400, used=0,
        )
    )  # fmt: skip
    return text


def found(connection: Connection, text: str, now: int) -> Token | None:
    """The token with this text, None when there is none or it is over."""
    row = connection.execute(select(TOKEN).where(TOKEN.c.digest == digest_of(text))).first()
    return None if row is None or row.ends <= now else _token(row)


def mark(connection: Connection, token: Token, now: int) -> None:
    """Note that a token was used."""
    connection.execute(update(TOKEN).where(TOKEN.c.id == token.id).values(used=now))


def of_account(connection: Connection, account: str) -> tuple[Token, ...]:
    """The tokens of an account, also those that are over."""
    wanted = select(TOKEN).where(TOKEN.c.account == account).order_by(TOKEN.c.ends)
    return tuple(map(_token, connection.execute(wanted)))


def strike(connection: Connection, account: str, id: str = "") -> int:
    """Take a token, or all of an account, out of use; how many there were."""
    which = delete(TOKEN).where(TOKEN.c.account == account)
    return connection.execute(which.where(TOKEN.c.id == id) if id else which).rowcount


def new_code(connection: Connection, account: str, now: int) -> str:
    """A code that is good once; any older one of the account is not any more."""
    text = base64.b32encode(secrets.token_bytes(20)).decode().lower()
    connection.execute(delete(CODE).where((CODE.c.account == account) | (CODE.c.ends <= now)))
    connection.execute(insert(CODE).values(digest=digest_of(text), account=account, ends=now + CODE_LIVES))
    return "-".join(text[at : at + 8] for at in range(0, len(text), 8))


def use_code(connection: Connection, account: str, code: str, now: int) -> bool:
    """Whether the code is the account's; it is used up by that."""
    which = delete(CODE).where(
        CODE.c.digest == _code_digest(code), CODE.c.account == account, CODE.c.ends > now
    )
    return connection.execute(which).rowcount == 1


def owner_of(connection: Connection, code: str, now: int) -> str:
    """The account a code was given for, "" where it is none or over."""
    wanted = select(CODE.c.account).where(CODE.c.digest == _code_digest(code), CODE.c.ends > now)
    return connection.execute(wanted).scalar() or ""


def strike_codes(connection: Connection, account: str) -> None:
    """Take the codes of an account out of use."""
    connection.execute(delete(CODE).where(CODE.c.account == account))


def _code_digest(code: str) -> str:
    return digest_of("".join(letter for letter in code.lower() if letter.isalnum()))


def _token(row: Any) -> Token:
    scope = frozenset(leave for leave in SCOPES if leave in row.scope.split())
    return Token(row.id, row.account, row.title, scope, row.ends, row.used)
