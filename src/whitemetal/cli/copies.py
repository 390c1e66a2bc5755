"""Commands that copy a whole record: move, backup, restore."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING

from whitemetal.cli.screen import progress, progress_done
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


def add_copies_options(name: str, command: argparse.ArgumentParser) -> None:
    """Options of one of the three commands."""
    if name == "move":
        command.add_argument("source", metavar="FROM", help=say("copies.help_from"))
        command.add_argument("target", metavar="TO", help=say("copies.help_to"))
    elif name == "backup":
        command.add_argument("--database", metavar="DATABASE", default="", help=say("copies.help_source"))
        command.add_argument("target", metavar="FILE", help=say("copies.help_file"))
    else:
        command.add_argument("source", metavar="FILE", help=say("copies.help_backup"))
        command.add_argument("target", metavar="TO", help=say("copies.help_to"))


def copy(options: argparse.Namespace) -> int:
    """move FROM TO | backup FILE | restore FILE TO"""
    from whitemetal.desk import copies
    from whitemetal.ledger.postgres import shown

    target = shown(options.target)
    if options.command == "backup":
        done = copies.backup(where_kept(options.database), options.target, _tell)
        progress_done(say("copies.whole"))
        print(say("copies.backed_up", name=target, **_counted(done)))
    elif options.command == "restore":
        done = copies.restore(options.source, options.target, _tell)
        progress_done(say("copies.whole"))
        print(say("copies.restored", name=target, **_counted(done)))
    else:
        done = copies.move(options.source, options.target, _tell)
        progress_done(say("copies.whole"))
        print(say("copies.moved", **_counted(done)))
        print(say("copies.stop_using", name=shown(options.source)))
    return 0


def _tell(table: str, count: int) -> None:
    """On a terminal as it goes; in a log only now and then."""
    if sys.stderr.isatty() or count % SELDOM == 0:
        progress(say("copies.copying", table=table, count=count))


def _counted(done: Copied) -> dict[str, int]:
    walked = done.walked
    return {
        "entries": walked.entries, "chains": walked.chains, "books": walked.books, "files": done.files,
    }  # fmt: skip
