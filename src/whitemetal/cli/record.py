"""Commands that open a record: verify and demo."""

from __future__ import annotations

import argparse
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from whitemetal.cli.files import FileInputError, read_bytes, write_bytes
from whitemetal.cli.screen import progress, progress_done, visible
from whitemetal.errors import InputError, Problem
from whitemetal.ledger.postgres import shown
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.cli.options import Serve


DEMO_RECORD = "tarn_mill.sqlite3"
"""Where the demo goes that is served without being told where."""


def verify(database: str, keys: str = "") -> int:
    """Walk every chain of a record, or check an exported file: 0 when all is whole, 1 when something is
    damaged. Raises InputError when there is none."""
    from whitemetal.cli.verify_file import is_exported, verify_file
    from whitemetal.desk import Desk
    from whitemetal.desk.faults import told

    if "://" not in database and is_exported(database):
        return verify_file(database, keys)
    if keys:
        raise InputError(Problem("--keys", keys, say("exported.keys_of_file", record=shown(database))))
    if "://" not in database and not Path(database).is_file():
        raise FileInputError(database, Problem("RECORD", database, say("terminal.no_database")))
    if "://" not in database and not Path(database).stat().st_size:
        raise FileInputError(database, Problem("RECORD", database, say("terminal.empty_database")))
    desk = Desk.open(database)
    try:
        walked = desk.walk()
        faults = [f"{fault.text} {told(desk, fault)}".strip() for fault in walked.faults]
    finally:
        desk.close()
    if faults:
        print(say("terminal.verify_bad"))
        for text in faults:
            print(f"  - {visible(text)}")
        return 1
    print(say("terminal.verify_good", entries=walked.entries, books=walked.books, chains=walked.chains))
    return 0


def demo(options: argparse.Namespace, serve: Serve) -> int:
    """The demo as files, as a new record, or as a new record that is then served."""
    if not (options.into or options.files or options.serve):
        raise InputError(Problem("demo", "", say("terminal.demo_nowhere")))
    database = options.into or DEMO_RECORD
    if options.into or options.serve:
        _must_be_new(database)
    if options.files:
        _write_files(Path(options.files))
    if options.into or options.serve:
        options.database = database
        make_demo(database)
        if options.serve:
            options.demo = False
            return serve(options)
        print(say("terminal.demo_done", name=shown(database)))
    return 0


def make_demo(database: str) -> None:
    """A new record with the demo in it. Raises FileInputError when the file exists already."""
    from whitemetal.demo_mill.load import load, mill_clock, mill_ids
    from whitemetal.desk import Desk

    _must_be_new(database)
    progress(say("terminal.demo_making"))
    desk = Desk.open(database, clock=mill_clock(), ids=mill_ids())
    try:
        if desk.plant():
            raise FileInputError(database, Problem("--into", database, say("terminal.demo_exists")))
        load(desk, lambda what: progress(say("terminal.demo_loading", what=what)))
    finally:
        desk.close()
    progress_done(say("terminal.demo_made", name=shown(database)))


def _must_be_new(database: str) -> None:
    if "://" not in database and Path(database).exists():
        raise FileInputError(database, Problem("--into", database, say("terminal.demo_exists")))


def _write_files(folder: Path) -> None:
    """Write the demo's files, or none where a file of that name holds something else."""
    sources = sorted(resources.files("whitemetal.demo_mill").iterdir(), key=lambda each: each.name)
    files = {
        folder / source.name: source.read_bytes()
        for source in sources
        if source.name.endswith((".toml", ".csv"))
    }
    others = [path for path, data in files.items() if path.exists() and read_bytes(str(path)) != data]
    if others:
        raise InputError(*(Problem("--files", str(path), say("terminal.demo_exists")) for path in others))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as bad:
        reason = (bad.strerror or "").lower()
        raise FileInputError(
            str(folder), Problem("--files", str(folder), say("terminal.cannot_write", reason=reason))
        ) from None
    print(say("terminal.demo_files", name=folder))
    for path, data in files.items():
        write_bytes(str(path), data)
        print(f"  {path}")
