"""What the keeper does about accounts that somebody of the plant's provider has."""

from __future__ import annotations

from whitemetal.desk.desk import Desk
from whitemetal.desk.people import Acting, account, note
from whitemetal.errors import InputError, Problem
from whitemetal.people import accounts, sessions, ties, tokens
from whitemetal.words import say


def issuer_of(desk: Desk, id: str) -> str:
    """The provider an account is tied to, "" where it is to none."""
    with desk._ledger.reading() as connection:
        return ties.issuer_of(connection, id)


def issuers(desk: Desk) -> dict[str, str]:
    """The provider of every account that is tied, by account."""
    with desk._ledger.reading() as connection:
        return ties.issuers(connection)


def untie(desk: Desk, id: str, by: Acting) -> None:
    """Let nobody in to this account by the provider any more; its sessions end. Raises InputError."""
    account(desk, id)
    with desk._ledger.writing() as pen:
        if not ties.untie(pen.connection, id):
            raise InputError(Problem("account", "", say("provider.is_not_tied")))
        sessions.end(pen.connection, id)
        note(desk, pen, "account_untied", {"account": id}, by)


def password_off(desk: Desk, id: str, by: Acting) -> None:
    """Let somebody in by the provider alone: their password, codes, sessions and the key kept here end; the
    next signature makes a new key. A new code from the keeper lets them choose a password again. Raises
    InputError for an account that is not tied, and when no other keeper has a password."""
    with desk._ledger.writing() as pen:
        held = accounts.by_id(pen.connection, id)
        if held is None or held.closed or not ties.issuer_of(pen.connection, id):
            raise InputError(Problem("account", "", say("provider.is_not_tied")))
        if "keeper" in held.roles:
            accounts.must_leave_a_keeper(pen.connection, id)
        gone = {"key": "", "sealed": ""} if held.key.sealed else {}
        accounts.change(pen.connection, id, password="", **gone)
        tokens.strike_codes(pen.connection, id)
        sessions.end(pen.connection, id)
        note(desk, pen, "account_password_off", {"account": id}, by)
