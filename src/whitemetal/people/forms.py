"""The word that every form carries, so that a page of another site cannot send one in somebody's name."""

from __future__ import annotations

import hashlib
import hmac
import secrets

from sqlalchemy import Connection, insert, select

from whitemetal.people.tables import SECRET

NAME = "form"
ERRAND = "errand"
"""Names of the record's secrets: for forms, and for errands to a provider."""


def secret(connection: Connection, name: str = NAME) -> str:
    """The record's secret for forms, or another, "" before there is one."""
    return connection.execute(select(SECRET.c.value).where(SECRET.c.name == name)).scalar() or ""


def make_secret(connection: Connection, name: str = NAME) -> str:
    """The record's secret for forms, or another, made when it is missing."""
    there = secret(connection, name)
    if not there:
        there = secrets.token_hex(32)
        connection.execute(insert(SECRET).values(name=name, value=there))
    return there


def word(key: str, device: str, account: str) -> str:
    """The word of one account's forms on one device: HMAC-SHA-256, hexadecimal."""
    return hmac.new(key.encode(), f"{device}\n{account}".encode(), hashlib.sha256).hexdigest()


def same(said: str, wanted: str) -> bool:
    """Whether two words are one, in a time that tells nothing of them."""
    return hmac.compare_digest(wanted.encode(), said.encode())
