"""What goes wrong with a database, in words a person can act on. Nothing typed is lost on the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from whitemetal.errors import CannotWrite, LedgerError
from whitemetal.words import say

FULL = ("SQLITE_FULL",)
READ_ONLY = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")
LOCKED = ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_PROTOCOL")
DISK = ("SQLITE_IOERR", "SQLITE_NOLFS")
DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_FORMAT")

POSTGRES: tuple[tuple[tuple[str, ...], str, bool], ...] = (
    (("53100",), "ledger.disk_full", True),
    (("25006", "42501"), "ledger.read_only_server", True),
    (("40001",), "ledger.follower_goes_on", True),
    (("55P03", "40P01"), "ledger.locked", True),
    (("53", "57P03"), "ledger.server_busy", True),
    (("58",), "ledger.server_disk", True),
    (("54000", "22021", "22P05"), "ledger.unstorable", True),
    (("XX001", "XX002"), "ledger.server_damaged", False),
    (("08", "57P01", "57P02", "25P03"), "ledger.connection_lost", True),
)
"""How a condition's code begins (PostgreSQL 15 manual, appendix A), the message, whether it is that nothing
can be written."""

PRIVATE = ("SSL", "certificate")
"""What the driver says where a connection could be had, but none that others cannot read."""

WITHOUT_CODE = {"OperationalError": "08", "InterfaceError": "08", "DataError": "22021"}
"""What the driver itself says without asking the server: the connection was cut, a letter it cannot send."""


@contextmanager
def explained(typed: str = "") -> Iterator[None]:
    """Turn the database's errors into LedgerError, with what was typed handed back in it."""
    try:
        yield
    except DBAPIError as error:
        raise in_words(error.orig, typed) from error
    except sqlite3.Error as error:
        raise in_words(error, typed) from error
    except PoolTimeout as error:
        raise CannotWrite(_with_typed(say("ledger.server_busy"), typed), typed=typed) from error
    except LedgerError as error:
        if typed and not error.typed:
            raise type(error)(_with_typed(str(error), typed), typed=typed) from error
        raise


def in_words(error: BaseException | None, typed: str = "") -> LedgerError:
    """The LedgerError for an error of the database's driver."""
    if type(error).__module__.partition(".")[0] == "psycopg":
        return _of_server(error, typed)
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


def _of_server(error: BaseException | None, typed: str) -> LedgerError:
    """Of PostgreSQL's driver: without a code the connection could not be made (said by its message, which is
    all there is) or was cut."""
    code = getattr(error, "sqlstate", None) or ""
    if not code and str(error).startswith("connection "):
        _, fatal, why = str(error).splitlines()[0].partition("FATAL:")
        private = any(word in str(error) for word in PRIVATE)
        unreached = say("ledger.not_private") if private else say("ledger.no_connection")
        message = say("ledger.server_refuses", why=why.strip()) if fatal else unreached
        return CannotWrite(_with_typed(message, typed), typed=typed)
    code = code or WITHOUT_CODE.get(type(error).__name__, "")
    for starts, name, cannot_write in POSTGRES:
        if code.startswith(starts):
            kind = CannotWrite if cannot_write else LedgerError
            return kind(_with_typed(say(name), typed), typed=typed)
    return LedgerError(_with_typed(say("ledger.other", error=error), typed), typed=typed)


def _with_typed(message: str, typed: str) -> str:
    return f"{message} {say('ledger.not_kept', typed=typed)}" if typed else message
