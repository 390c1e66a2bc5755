"""people: the accounts, at a terminal of the machine that keeps the record."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from whitemetal.cli.copies import where_kept, where_there
from whitemetal.cli.filing import there
from whitemetal.cli.screen import visible
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.desk import Desk
    from whitemetal.desk.people import Acting
    from whitemetal.people.roles import Role

WHAT = (
    "first", "list", "add", "code", "roles", "sign-out", "untie", "password-off", "close", "keys", "history",
)  # fmt: skip


def add_people_options(command: argparse.ArgumentParser) -> None:
    """The options of ``people``."""
    command.add_argument("what", metavar="WHAT", choices=WHAT, help=say("people.help_what"))
    command.add_argument("name", nargs="?", default="", metavar="NAME", help=say("people.help_name"))
    command.add_argument("--role", action="append", default=[], metavar="ROLE", help=say("people.help_role"))
    command.add_argument("--database", metavar="FILE", default="", help=say("terminal.help_keep"))


def do_people(options: argparse.Namespace) -> int:
    """Do one thing with the accounts of a record; only the first account may come before the record does.
    Raises InputError, LedgerError."""
    from whitemetal.desk import Desk

    if options.what not in ("first", "list", "keys", "history") and not options.name:
        raise InputError(Problem("NAME", "", say("people.name_expected")))
    if options.what in ("first", "list", "keys") and options.name:
        raise InputError(Problem("NAME", options.name, say("people.no_name", what=options.what)))
    if options.what not in ("add", "roles") and options.role:
        raise InputError(Problem("--role", " ".join(options.role), say("people.no_role")))
    first = options.what == "first"
    desk = Desk.open(where_kept(options.database)) if first else there(where_there(options.database))
    try:
        for line in DOES[options.what](desk, options):
            print(visible(line))
    finally:
        desk.close()
    return 0


def _first(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    code = people.first_code(desk)
    return [say("people.first_code", code=code)] if code else [say("people.first_done")]


def _list(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people, ties
    from whitemetal.people.roles import in_words

    tied = ties.issuers(desk)
    return [
        f"{one.name}: {in_words(one.roles)}"
        + (f", {say('people.closed_since', at=one.closed[:10])}" if one.closed else "")
        + (f", {say('provider.tied', issuer=tied[one.id])}" if one.id in tied else "")
        + (f", {say('people.not_joined')}" if not (one.password or one.id in tied) else "")
        for one in people.all_accounts(desk)
    ] or [say("people.none_here")]


def _add(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    held, code = people.add(desk, options.name, _roles(options), _terminal())
    return [say("people.code_once", name=held.name), code, say("people.code_how")]


def _code(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    held = people.named(desk, options.name)
    return [
        say("people.code_once", name=held.name),
        people.new_code(desk, held.id, _terminal()),
        say("people.code_how"),
    ]


def _give_roles(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    people.set_roles(desk, people.named(desk, options.name).id, _roles(options), _terminal())
    return _list(desk, options)


def _sign_out(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people, signing_in

    count = signing_in.sign_out_everywhere(desk, people.named(desk, options.name).id, _terminal())
    return [say("people.ended", count=count)]


def _untie(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people, ties

    ties.untie(desk, people.named(desk, options.name).id, _terminal())
    return _list(desk, options)


def _password_off(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people, ties

    ties.password_off(desk, people.named(desk, options.name).id, _terminal())
    return _list(desk, options)


def _close(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    people.close(desk, people.named(desk, options.name).id, _terminal())
    return _list(desk, options)


def _keys(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people

    names = {one.id: one.name for one in people.all_accounts(desk)}
    return [f"{key} {names.get(account, account)}" for key, account in people.keys_of(desk).items()]


def _history(desk: Desk, options: argparse.Namespace) -> list[str]:
    from whitemetal.desk import people, signing_in

    of = people.named(desk, options.name).id if options.name else ""
    names = {one.id: one.name for one in people.all_accounts(desk)}
    return [
        f"{entry.at[:16].replace('T', ' ')}  {say('people.did_' + entry.kind[:-2])}: "
        f"{names.get(entry.body['account'], '-')} ({entry.by.get('name', '')})"
        for entry in reversed(signing_in.history(desk, of))
    ]


def _roles(options: argparse.Namespace) -> frozenset[Role]:
    from whitemetal.people.roles import ROLES, roles_of

    wrong = [role for role in options.role if role not in ROLES]
    if wrong:
        raise InputError(*(Problem("--role", role, say("people.roles_expected")) for role in wrong))
    return roles_of(" ".join(options.role))


def _terminal() -> Acting:
    from whitemetal.desk.people import Acting

    return Acting("", say("people.at_terminal"))


DOES: Mapping[str, Callable[[Desk, argparse.Namespace], list[str]]] = {
    "first": _first, "list": _list, "add": _add, "code": _code, "roles": _give_roles, "sign-out": _sign_out,
    "untie": _untie, "password-off": _password_off, "close": _close, "keys": _keys, "history": _history,
}  # fmt: skip
"""By its word: what is done, and the lines that are said of it."""
