"""Commands that copy a whole record: move, backup, restore."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from whitemetal.cli.command_line import Mistyped
from whitemetal.cli.screen import progress, progress_done
from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.ledger.copying import Copied

DATABASE = "WHITEMETAL_DATABASE"
"""The variable that says where the record is, so that a password need not stand on a command line."""

FILE = "whitemetal.sqlite3"
"""Where the record is when nothing says so."""

SELDOM = 100_000
"""Rows between two lines in a log. Our own."""


def where_kept(said: str) -> str:
    """Where the record is: as said, else as the variable says, else the usual file."""
    return said or os.environ.get(DATABASE, "") or FILE


def where_there(said: str, field: str = "--database") -> str:
    """The same for a command that makes no record. Raises InputError where nothing says which."""
    where = where_kept(said)
    if where == FILE and not said and not Path(FILE).is_file():
        raise InputError(Problem(field, "", say("copies.which", file=FILE)))
    return where


def add_copies_options(name: str, command: argparse.ArgumentParser) -> None:
    """Options of one of the three commands."""
    if name == "move":
        command.add_argument("source", metavar="FROM", help=say("copies.help_from"))
        command.add_argument("target", metavar="TO", help=say("copies.help_to"))
    elif name == "backup":
        command.add_argument(
            "source", metavar="RECORD", nargs="?", default="", help=say("copies.help_source")
        )
        command.add_argument("target", metavar="FILE", help=say("copies.help_file"))
        command.add_argument("--database", metavar="RECORD", default="", help=say("copies.help_same_source"))
    else:
        command.add_argument("source", metavar="FILE", help=say("copies.help_backup"))
        command.add_argument("target", metavar="TO", nargs="?", default="", help=say("copies.help_to"))
        command.add_argument("--database", metavar="TO", default="", help=say("copies.help_same_target"))


def copy(options: argparse.Namespace) -> int:
    """move FROM TO | backup [RECORD] FILE | restore FILE TO"""
    return {"move": _move, "backup": _backup, "restore": _restore}[options.command](options)


def _move(options: argparse.Namespace) -> int:
    from whitemetal.desk import copies
    from whitemetal.ledger.postgres import shown

    done = copies.move(options.source, options.target, _tell)
    progress_done(say("copies.whole"))
    print(say("copies.moved", name=shown(options.target), **_counted(done)))
    print(say("copies.stop_using", name=shown(options.source)))
    return 0


def _backup(options: argparse.Namespace) -> int:
    from whitemetal.desk import copies
    from whitemetal.ledger.postgres import shown

    source = where_there(said_once("backup", options.source, options.database), "RECORD")
    done = copies.backup(source, options.target, _tell)
    progress_done(say("copies.whole"))
    print(say("copies.backed_up", record=shown(source), name=shown(options.target), **_counted(done)))
    return 0


def _restore(options: argparse.Namespace) -> int:
    from whitemetal.desk import copies
    from whitemetal.ledger.postgres import shown

    target = said_once("restore", options.target, options.database)
    if not target:
        raise Mistyped("restore", Problem("TO", "", say("copies.help_to")))
    done = copies.restore(options.source, target, _tell)
    progress_done(say("copies.whole"))
    print(say("copies.restored", name=shown(target), **_counted(done)))
    return 0


def said_once(command: str, bare: str, named: str) -> str:
    """A record named by itself or behind --database. Raises Mistyped where it is named by both."""
    if bare and named and bare != named:
        raise Mistyped(command, Problem("--database", named, say("copies.once", other=bare)))
    return bare or named


def _tell(table: str, count: int) -> None:
    """On a terminal as it goes; in a log only now and then."""
    if sys.stderr.isatty() or count % SELDOM == 0:
        progress(say("copies.copying", table=table, count=count))


def _counted(done: Copied) -> dict[str, int]:
    walked = done.walked
    return {
        "entries": walked.entries, "chains": walked.chains, "books": walked.books, "files": done.files,
    }  # fmt: skip
