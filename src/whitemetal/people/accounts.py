"""Accounts as they are kept: found by id or by name, changed, closed, never deleted."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update

from whitemetal.errors import InputError, Problem
from whitemetal.people.keys import KeyPair
from whitemetal.people.roles import Role, in_words, may, roles_of
from whitemetal.people.tables import ACCOUNT
from whitemetal.words import say

LONGEST_NAME = 120
"""Letters of a name that are taken. Our own."""


@dataclass(frozen=True)
class Account:
    """A person. password: the hash of theirs, "" until they chose one. key: what they sign with, "" twice
    before they have one. closed: since when, "" while it is open."""

    id: str
    name: str
    roles: frozenset[Role]
    password: str
    key: KeyPair
    closed: str = ""


def any_open(connection: Connection) -> bool:
    """Whether anybody has an account."""
    return connection.execute(select(ACCOUNT.c.id).limit(1)).first() is not None


def all_accounts(connection: Connection) -> tuple[Account, ...]:
    """All accounts by name, closed ones too."""
    return tuple(map(_account, connection.execute(select(ACCOUNT).order_by(ACCOUNT.c.known))))


def by_id(connection: Connection, id: str) -> Account | None:
    """The account called ``id``."""
    row = connection.execute(select(ACCOUNT).where(ACCOUNT.c.id == id)).first()
    return _account(row) if row is not None else None


def by_name(connection: Connection, name: str) -> Account | None:
    """The account with this name, capitals or not."""
    row = connection.execute(select(ACCOUNT).where(ACCOUNT.c.known == known_as(name))).first()
    return _account(row) if row is not None else None


def add(connection: Connection, id: str, name: str, roles: frozenset[Role]) -> Account:
    """Open an account without a password. Raises InputError on a name that is taken or none, or no role."""
    name = " ".join(unicodedata.normalize("NFC", name).split())
    if not name or len(name) > LONGEST_NAME:
        raise InputError(Problem("name", name[:LONGEST_NAME], say("people.name_expected")))
    if by_name(connection, name) is not None:
        raise InputError(Problem("name", name, say("people.name_taken")))
    must_be_roles(roles)
    connection.execute(
        insert(ACCOUNT).values(
            id=id, known=known_as(name), name=name, roles=in_words(roles), password="", key="", sealed="",
            closed="",
        )
    )  # fmt: skip
    return Account(id, name, roles, "", KeyPair("", ""))


def change(connection: Connection, id: str, **values: str) -> None:
    """Change columns of an account."""
    connection.execute(update(ACCOUNT).where(ACCOUNT.c.id == id).values(**values))


def must_be_roles(roles: frozenset[Role]) -> None:
    """Raises InputError where there is none."""
    if not roles:
        raise InputError(Problem("roles", "", say("people.roles_expected")))


def must_leave_a_keeper(connection: Connection, without: str) -> None:
    """Raises InputError when nobody but this account keeps the accounts."""
    others = (one for one in all_accounts(connection) if one.id != without and not one.closed)
    if not any(may(one.roles, "keep people") and one.password for one in others):
        raise InputError(Problem("roles", "", say("people.last_keeper")))


def known_as(name: str) -> str:
    """A name as it is compared: NFKC, one blank, no capitals."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _account(row: Any) -> Account:
    pair = KeyPair(row.key, row.sealed)
    return Account(row.id, row.name, roles_of(row.roles), row.password, pair, row.closed)
