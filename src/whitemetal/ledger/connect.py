"""Opening the database: what every connection promises, and the migrations it needs first.

SQLite: write-ahead log, ``synchronous=FULL`` (a commit is on the disk before it is acknowledged), foreign
keys on; set and then read back on every connection. A write begins with BEGIN IMMEDIATE, so that what it
read first cannot change under it. PostgreSQL (`postgres`) goes through the same tables.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.pool import NullPool

from whitemetal.errors import CannotWrite, LedgerError, NewerDatabase
from whitemetal.ledger import postgres
from whitemetal.ledger.trouble import explained
from whitemetal.words import say

LATEST = "0008"
"""The newest migration this program knows."""

WAIT = 5.0
"""Seconds to wait for another writer before saying that the database is in use. Our own."""

MAGIC = b"SQLite format 3\x00"
"""How every SQLite file begins."""

PROMISES = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
"""What every connection must answer. synchronous 2 is FULL. Our own choice."""


def open_engine(where: str, wait: float = WAIT, read_only: bool = False) -> tuple[Engine, bool]:
    """The engine for a SQLite file (made if missing) or a database's address, migrated; and whether it may
    be written. read_only: nothing is written, made or migrated, also where it could be. Raises CannotWrite,
    NewerDatabase or LedgerError."""
    if "://" in where:
        return _at_address(where, wait, read_only)
    path = Path(where).expanduser().absolute()
    _is_database(path)
    if read_only:
        if not path.is_file():
            raise CannotWrite(say("ledger.nothing_here"))
        return _readable(path, wait), False
    try:
        return _writable(path, wait), True
    except CannotWrite:
        if not path.is_file() or _can_write(path):
            raise
        return _readable(path, wait), False


def _at_address(where: str, wait: float, read_only: bool) -> tuple[Engine, bool]:
    engine = _engine(where, wait)
    try:
        with explained():
            if read_only or (engine.dialect.name == "postgresql" and postgres.follows(engine)):
                _must_be_latest(version_of(engine))
                return engine, False
            migrate(engine)
    except LedgerError:
        engine.dispose()
        raise
    return engine, True


def _must_be_latest(found: str) -> None:
    """Raises NewerDatabase, or CannotWrite where tables that may not be written are older than those here."""
    if not found:
        raise CannotWrite(say("ledger.nothing_here"))
    if found != LATEST:
        newer = _newer(found)
        raise NewerDatabase(say("ledger.newer", found=found)) if newer else CannotWrite(say("ledger.older"))


def _is_database(path: Path) -> None:
    """Raises LedgerError on a file with other content; SQLite would take a very short one for empty."""
    if not path.is_file() or not os.access(path, os.R_OK) or not path.stat().st_size:
        return
    with path.open("rb") as file:
        if file.read(len(MAGIC)) != MAGIC:
            raise LedgerError(say("ledger.damaged"))


def _writable(path: Path, wait: float) -> Engine:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(say("ledger.no_folder", folder=path.parent, why=error.strerror)) from error
    if not path.exists():
        _owners_alone(path)
    if path.is_file() and not _can_write(path):
        raise CannotWrite(say("ledger.read_only"))
    engine = _engine(f"sqlite+pysqlite:///{path}", wait)
    try:
        with explained():
            migrate(engine)
    except LedgerError:
        engine.dispose()
        raise
    return engine


def _owners_alone(path: Path) -> None:
    """A new file that only its owner can read: hashes of passwords go into it. What cannot be made here is
    said where it is opened."""
    with suppress(OSError):
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))


def _can_write(path: Path) -> bool:
    """Whether the file and its folder (SQLite writes beside the file) may be written."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _readable(path: Path, wait: float) -> Engine:
    """An engine that only reads. A write-ahead log that still holds entries must not be passed over, nor one
    that others may be writing."""
    log = path.with_name(path.name + "-wal")
    left = log.is_file() and log.stat().st_size > 0
    how = "mode=ro&uri=true" if left or _can_write(path) else "mode=ro&immutable=1&uri=true"
    engine = _engine(f"sqlite+pysqlite:///file:{quote(str(path))}?{how}", wait, writes=False)
    try:
        with explained():
            found = version_of(engine)
    except LedgerError as error:
        engine.dispose()
        if left and isinstance(error, CannotWrite):
            raise CannotWrite(say("ledger.log_left", log=log.name)) from error
        raise
    if found != LATEST:
        engine.dispose()
    _must_be_latest(found)
    return engine


def _engine(url: str, wait: float, writes: bool = True) -> Engine:
    if postgres.is_address(url):
        return postgres.engine(url, wait)
    if not url.startswith("sqlite"):
        raise LedgerError(say("ledger.no_driver", kind=url.partition(":")[0]))
    if ":memory:" in url or url.endswith("://"):
        raise LedgerError(say("ledger.needs_file"))
    pool: dict[str, Any] = {} if writes else {"poolclass": NullPool}
    engine = create_engine(url, connect_args={"timeout": wait}, **pool)
    promises = PROMISES if writes else {"foreign_keys": 1}

    @event.listens_for(engine, "connect")
    def _connected(driver: Any, _record: object) -> None:
        driver.isolation_level = None
        promise(driver, promises)

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        immediate = connection.get_execution_options().get("immediate", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")

    return engine


def promise(driver: Any, promises: dict[str, Any] = PROMISES) -> None:
    """Make a SQLite connection promise, and ask it whether it does. Raises LedgerError when it does not."""
    cursor = driver.cursor()
    try:
        for name, wanted in promises.items():
            if cursor.execute(f"PRAGMA {name}").fetchone()[0] != wanted:
                cursor.execute(f"PRAGMA {name}={wanted}")
            answer = cursor.execute(f"PRAGMA {name}").fetchone()[0]
            if answer != wanted:
                raise LedgerError(say("ledger.no_promise", name=name, answer=answer))
    finally:
        cursor.close()


def version_of(engine: Engine) -> str:
    """The newest migration the database has had, "" for an empty one. Raises LedgerError on a foreign one."""
    with engine.connect() as connection:
        tables = set(inspect(connection).get_table_names())
        if "alembic_version" in tables:
            found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
            return str(found or "")
        if tables:
            raise LedgerError(say("ledger.foreign"))
        return ""


def _newer(found: str) -> bool:
    return not (found.isdecimal() and int(found) <= int(LATEST))


def migrate(engine: Engine, to: str = LATEST) -> None:
    """Bring the tables up to date, all steps in one transaction. Raises NewerDatabase."""
    found = version_of(engine)
    if found and _newer(found):
        raise NewerDatabase(say("ledger.newer", found=found))
    if found == to:
        return
    with engine.connect().execution_options(immediate=True) as connection:
        sqlite = engine.dialect.name == "sqlite"
        if sqlite:
            _foreign_keys(connection, on=False)
        try:
            with connection.begin():
                if not sqlite:
                    postgres.take_turn(connection)
                _upgrade(connection, to)
                if sqlite:
                    _no_orphans(connection)
        finally:
            if sqlite:
                _foreign_keys(connection, on=True)


def _foreign_keys(connection: Connection, *, on: bool) -> None:
    """Foreign keys cannot be switched inside a transaction; a table made anew must not take rows along."""
    driver = connection.connection.driver_connection
    assert driver is not None
    driver.execute(f"PRAGMA foreign_keys={int(on)}")


def _upgrade(connection: Connection, to: str) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "whitemetal.ledger:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def _no_orphans(connection: Connection) -> None:
    orphans = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if orphans:
        raise LedgerError(say("ledger.orphans", table=orphans[0][0], count=len(orphans)))
