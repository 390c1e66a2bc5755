"""Copies of a whole record: moved to another database, kept as a backup, restored from one.

All three are the same: everything that is kept goes into an empty record in one piece, and every chain is
walked at both ends. A backup is a record in one file and can be opened and verified like any other. Who is
signed in does not go along: after a move or a restore everybody signs in again.
"""

from __future__ import annotations

import errno
import os
from pathlib import Path

from whitemetal.errors import InputError, Problem
from whitemetal.ledger import Ledger
from whitemetal.ledger.copying import Copied, Tell, copy_record
from whitemetal.people import tables as people
from whitemetal.words import say

STAY_BEHIND = (people.SESSION, people.CODE, people.TRY, people.ERRAND)
"""Who is signed in, and what was good for an hour: worth nothing to an honest person elsewhere."""

ONE_NAME = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)
"""What is said where a file can have no second name, as on most sticks (Linux manual, link(2))."""

GO_ALONG = tuple(table for table in people.METADATA.sorted_tables if table not in STAY_BEHIND)


def move(source: str, target: str, tell: Tell | None = None) -> Copied:
    """Copy a record to where it is to be kept from now on; nobody can write to the source meanwhile, and it
    stays as it was. Raises LedgerError, InputError where a file is there already."""
    _must_be_there(source, "FROM")
    _must_be_new(target, "TO")
    if "://" not in target:
        _made(Path(target).expanduser(), "TO")
    whole = False
    try:
        there = Ledger.open(target)
        try:
            copied = _into(source, there, hold=True, tell=tell)
        finally:
            there.close()
        whole = True
        return copied
    finally:
        if not whole and "://" not in target:
            _away(Path(target).expanduser())


def backup(source: str, file: str, tell: Tell | None = None) -> Copied:
    """Copy a record, as it is at this moment, into a new file; others go on working. The file gets its name
    only when it is whole and every chain in it was walked. Raises LedgerError, InputError."""
    if "://" in file:
        raise InputError(Problem("FILE", file, say("copies.a_file")))
    _must_be_there(source, "RECORD")
    _must_be_new(file, "FILE")
    final = Path(file).expanduser().absolute()
    partial = final.with_name(f".{final.name}.{os.getpid()}.partial")
    try:
        _owners_alone(partial)
        there = Ledger.open(str(partial))
        try:
            copied = _into(source, there, hold=False, tell=tell)
        finally:
            there.close()
        _onto_disk(partial)
        _give_name(partial, final)
        _onto_disk(final.parent)
    except OSError as bad:
        raise InputError(
            Problem("FILE", file, say("copies.cannot", why=(bad.strerror or "").lower()))
        ) from bad
    finally:
        _away(partial)
    return copied


def restore(file: str, target: str, tell: Tell | None = None) -> Copied:
    """Copy a backup into a new file or an empty database. Raises LedgerError, InputError."""
    _must_be_there(file, "FILE")
    return move(file, target, tell)


def _into(source: str, there: Ledger, *, hold: bool, tell: Tell | None) -> Copied:
    here = Ledger.open(source)
    try:
        return copy_record(here, there, GO_ALONG, hold=hold, tell=tell)
    finally:
        here.close()


def _must_be_there(where: str, field: str) -> None:
    path = Path(where).expanduser()
    if "://" not in where and not (path.is_file() and path.stat().st_size):
        raise InputError(Problem(field, where, say("copies.a_record")))


def _must_be_new(where: str, field: str) -> None:
    path = Path(where).expanduser()
    if "://" not in where and path.exists():
        raise InputError(Problem(field, where, say("copies.new_file")))
    if "://" not in where and not path.parent.is_dir():
        raise InputError(Problem(field, where, say("copies.no_folder", folder=path.parent)))


def _away(path: Path) -> None:
    """Take away a file that did not become whole, with what SQLite keeps beside it."""
    for left in (path, Path(f"{path}-wal"), Path(f"{path}-shm")):
        left.unlink(missing_ok=True)


def _made(path: Path, field: str) -> None:
    try:
        _owners_alone(path)
    except OSError as bad:
        raise InputError(
            Problem(field, str(path), say("copies.cannot", why=(bad.strerror or "").lower()))
        ) from bad


def _owners_alone(path: Path) -> None:
    """A new empty file that only its owner can read: hashes of passwords go into it. Raises OSError."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def _give_name(partial: Path, final: Path) -> None:
    """Give a file its name where there is none of that name. Raises OSError."""
    try:
        os.link(partial, final)
    except OSError as bad:
        if bad.errno not in ONE_NAME:
            raise
        _owners_alone(final)
        os.replace(partial, final)


def _onto_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    opened = os.open(path, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
