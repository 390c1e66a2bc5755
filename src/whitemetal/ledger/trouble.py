"""What goes wrong with a database, in words a person can act on. Nothing typed is lost on the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from whitemetal.errors import CannotWrite, LedgerError
from whitemetal.words import say

FULL = ("SQLITE_FULL",)
READ_ONLY = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")
LOCKED = ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_PROTOCOL")
DISK = ("SQLITE_IOERR", "SQLITE_NOLFS")
DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_FORMAT")


@contextmanager
def explained(typed: str = "") -> Iterator[None]:
    """Turn the database's errors into LedgerError, with what was typed handed back in it."""
    try:
        yield
    except DBAPIError as error:
        raise in_words(error.orig, typed) from error
    except sqlite3.Error as error:
        raise in_words(error, typed) from error
    except LedgerError as error:
        if typed and not error.typed:
            raise type(error)(_with_typed(str(error), typed), typed=typed) from error
        raise


def in_words(error: BaseException | None, typed: str = "") -> LedgerError:
    """The LedgerError for an error of the database's driver."""
    name = getattr(error, "sqlite_errorname", None) or ""
    if name.startswith(FULL):
        return CannotWrite(_with_typed(say("ledger.disk_full"), typed), typed=typed)
    if name.startswith(READ_ONLY):
        return CannotWrite(_with_typed(say("ledger.read_only"), typed), typed=typed)
    if name.startswith(LOCKED):
        return CannotWrite(_with_typed(say("ledger.locked"), typed), typed=typed)
    if name.startswith(DISK):
        return CannotWrite(_with_typed(say("ledger.disk_fails", name=name), typed), typed=typed)
    if name.startswith(DAMAGED):
        return LedgerError(_with_typed(say("ledger.damaged"), typed), typed=typed)
    return LedgerError(_with_typed(say("ledger.other", error=error), typed), typed=typed)


def _with_typed(message: str, typed: str) -> str:
    return f"{message} {say('ledger.not_kept', typed=typed)}" if typed else message
