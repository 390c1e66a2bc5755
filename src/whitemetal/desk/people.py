"""Accounts: opened, changed, closed. Each of it is an entry of a book of its own, the people's.

The book is one chain, written by the record itself, so that nobody's sign-in or change of role can be taken
out of it unnoticed. Secrets stand beside it, in tables: they must be changed and thrown away.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from whitemetal.desk.desk import Desk
from whitemetal.desk.record import new_id
from whitemetal.errors import InputError, Problem
from whitemetal.ledger import Author, Pen
from whitemetal.people import accounts, forms, keys, passwords, sessions, tokens
from whitemetal.people.accounts import Account
from whitemetal.people.roles import Role, in_words
from whitemetal.words import say

BOOK = "people"
CHAIN = "peoplesbookofthisrecord222"
"""The one device of the people's book: the record itself."""


@dataclass(frozen=True)
class Acting:
    """Who does something to an account, and on which device. id: "" for whoever sits at the terminal."""

    id: str
    name: str
    device: str = ""


def seconds(desk: Desk) -> int:
    """The present moment in whole seconds since 1970."""
    return int(datetime.fromisoformat(desk.moment()).timestamp())


def note(desk: Desk, pen: Pen, kind: str, body: Mapping[str, Any], by: Acting) -> None:
    """Write one entry of this kind, in its first version, into the people's book. Its id is nobody's to
    choose: a key that was sent before must not keep a try out of the book."""
    said = {**body, "device": by.device} if by.device else body
    pen.add(new_id(), BOOK, f"{kind}/1", said, Author(by.name, CHAIN, desk.moment(), account=by.id))


def any_account(desk: Desk) -> bool:
    """Whether anybody has an account, so that everybody must sign in."""
    with desk._ledger.reading() as connection:
        return accounts.any_open(connection)


def all_accounts(desk: Desk) -> tuple[Account, ...]:
    """All accounts by name, closed ones too."""
    with desk._ledger.reading() as connection:
        return accounts.all_accounts(connection)


def account(desk: Desk, id: str) -> Account:
    """An account. Raises InputError when there is none."""
    with desk._ledger.reading() as connection:
        return _there(accounts.by_id(connection, id), id)


def named(desk: Desk, name: str) -> Account:
    """The account with this name. Raises InputError when there is none."""
    with desk._ledger.reading() as connection:
        return _there(accounts.by_name(connection, name), name)


def form_secret(desk: Desk) -> str:
    """The record's secret for the words of forms, made when it is missing; where nothing can be written,
    neither can what a form sends, and any will do."""
    with desk._ledger.reading() as connection:
        there = forms.secret(connection)
    if there or not desk.writable:
        return there or new_id()
    with desk._ledger.writing() as pen:
        return forms.make_secret(pen.connection)


def first_code(desk: Desk) -> str:
    """A code with which the first account of all is opened; "" when there is an account already."""
    with desk._ledger.writing() as pen:
        if accounts.any_open(pen.connection):
            return ""
        return tokens.new_code(pen.connection, "", seconds(desk))


def open_first(desk: Desk, name: str, password: str, code: str, device: str) -> Account:
    """Open the first account, a keeper's who is an engineer too. Raises InputError."""
    passwords.must_be_good(password, name)
    with desk._ledger.writing() as pen:
        if accounts.any_open(pen.connection):
            raise InputError(Problem("name", name, say("people.not_first")))
        if not tokens.use_code(pen.connection, "", code, seconds(desk)):
            raise InputError(Problem("code", "", say("people.code_expected")))
        roles: frozenset[Role] = frozenset({"engineer", "keeper"})
        made = added(desk, pen, name, roles, Acting("", say("people.at_terminal"), device))
        _password(desk, pen, made, password, Acting(made.id, made.name, device))
        return _there(accounts.by_id(pen.connection, made.id), made.id)


def add(desk: Desk, name: str, roles: frozenset[Role], by: Acting) -> tuple[Account, str]:
    """Open an account; a code with which its owner chooses a password. Raises InputError."""
    with desk._ledger.writing() as pen:
        made = added(desk, pen, name, roles, by)
        return made, _code(desk, pen, made, by)


def new_code(desk: Desk, id: str, by: Acting) -> str:
    """A code to choose a new password with, for somebody who forgot theirs. Until it is used the old one
    holds. Raises InputError."""
    with desk._ledger.writing() as pen:
        return _code(desk, pen, _open(accounts.by_id(pen.connection, id), id), by)


def join(desk: Desk, name: str, code: str, password: str, device: str) -> Account:
    """Choose a password with a code. A key sealed with a forgotten password is lost: a new one is made, and
    what the old one signed stays good. Sessions and tokens end. Raises InputError."""
    passwords.must_be_good(password, name)
    with desk._ledger.writing() as pen:
        held = accounts.by_name(pen.connection, name)
        if held is None or held.closed or not tokens.use_code(pen.connection, held.id, code, seconds(desk)):
            raise InputError(Problem("code", "", say("people.code_expected")))
        _password(desk, pen, held, password, Acting(held.id, held.name, device))
        tokens.strike(pen.connection, held.id)
        return _there(accounts.by_id(pen.connection, held.id), held.id)


def set_roles(desk: Desk, id: str, roles: frozenset[Role], by: Acting) -> None:
    """Give an account other roles; its sessions end. Raises InputError when nobody would keep accounts."""
    accounts.must_be_roles(roles)
    with desk._ledger.writing() as pen:
        held = _open(accounts.by_id(pen.connection, id), id)
        if "keeper" in held.roles and "keeper" not in roles:
            accounts.must_leave_a_keeper(pen.connection, id)
        give_roles(desk, pen, held, roles, by)


def give_roles(desk: Desk, pen: Pen, held: Account, roles: frozenset[Role], by: Acting) -> None:
    """Give an account these roles in a transaction that is open; where they are others, its sessions end."""
    if roles == held.roles:
        return
    accounts.change(pen.connection, held.id, roles=in_words(roles))
    sessions.end(pen.connection, held.id)
    body = {"account": held.id, "roles": in_words(roles), "before": in_words(held.roles)}
    note(desk, pen, "account_roles", body, by)


def close(desk: Desk, id: str, by: Acting) -> None:
    """Close an account: its sessions and tokens end, what it wrote and signed stays. Raises InputError."""
    with desk._ledger.writing() as pen:
        _open(accounts.by_id(pen.connection, id), id)
        accounts.must_leave_a_keeper(pen.connection, id)
        accounts.change(pen.connection, id, closed=desk.moment())
        sessions.end(pen.connection, id)
        tokens.strike(pen.connection, id)
        note(desk, pen, "account_closed", {"account": id}, by)


def bring_key(desk: Desk, id: str, text: str, by: Acting) -> str:
    """Sign with a key of one's own from now on, whose private half never comes here. Raises InputError, also
    on a key that is another's: what that one signed would no longer be known for theirs."""
    public = keys.brought(text)
    if keys_of(desk).get(public, id) != id:
        raise InputError(Problem("key", public, say("people.key_of_another")))
    with desk._ledger.writing() as pen:
        _open(accounts.by_id(pen.connection, id), id)
        accounts.change(pen.connection, id, key=public, sealed="")
        note(desk, pen, "account_key", {"account": id, "key": public, "kept": "by its owner"}, by)
    return public


def keys_of(desk: Desk) -> dict[str, str]:
    """Every public key anybody ever had here, with the id of the account that had it first."""
    had = reversed(desk.kept_of(BOOK, "account_key/1"))
    return {entry.body["key"]: entry.body["account"] for entry in had}


def set_password(desk: Desk, pen: Pen, held: Account, password: str, by: Acting, key: keys.KeyPair) -> None:
    """Put a password and the key sealed with it in the place of the old ones; all sessions end."""
    accounts.change(
        pen.connection, held.id, password=passwords.hashed(password), key=key.public, sealed=key.sealed
    )
    sessions.end(pen.connection, held.id)
    note(desk, pen, "account_password", {"account": held.id}, by)


def _password(desk: Desk, pen: Pen, held: Account, password: str, by: Acting) -> None:
    """A password for an account that has none or whose owner forgot it: with a new key, unless they hold
    their own."""
    if held.key.public and not held.key.sealed:
        set_password(desk, pen, held, password, by, held.key)
        return
    pair = keys.new_pair(password)
    set_password(desk, pen, held, password, by, pair)
    note(desk, pen, "account_key", {"account": held.id, "key": pair.public, "kept": "here"}, by)


def added(desk: Desk, pen: Pen, name: str, roles: frozenset[Role], by: Acting) -> Account:
    """Open an account in a transaction that is open. Raises InputError."""
    made = accounts.add(pen.connection, new_id(), name, roles)
    body = {"account": made.id, "name": made.name, "roles": in_words(roles)}
    note(desk, pen, "account", body, by)
    return made


def _code(desk: Desk, pen: Pen, held: Account, by: Acting) -> str:
    note(desk, pen, "account_code", {"account": held.id}, by)
    return tokens.new_code(pen.connection, held.id, seconds(desk))


def _there(held: Account | None, named: str) -> Account:
    if held is None:
        raise InputError(Problem("account", named, say("people.no_account")))
    return held


def _open(held: Account | None, named: str) -> Account:
    if _there(held, named).closed:
        raise InputError(Problem("account", named, say("people.is_closed")))
    return _there(held, named)
