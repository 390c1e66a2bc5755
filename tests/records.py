"""A record for every test on each of the databases, by the path the test would have given a file.

A test in one of the ``ROOMS`` runs twice: on SQLite, and on a PostgreSQL server that the run starts for
itself. There ``Desk.open(path)`` opens a database of its own for each path, so that the test is the same to
the letter. A test that looks into the file itself carries ``@pytest.mark.sqlite_only``; one that needs the
server carries ``@pytest.mark.postgres``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tools.start_postgres import Server

ROOMS = ("ledger", "desk", "web", "mistakes")
"""Folders of tests whose subject is what is kept."""

PAGES_KEEPING = (
    "test_again",
    "test_api",
    "test_births",
    "test_job_page",
    "test_keeping",
    "test_live_api",
    "test_photographs",
)
"""Modules of ``tests/web`` that always run twice: what they keep is their subject. The others do when the
long versions run, and with ``pytest -m postgres``, which is everything that PostgreSQL has to do with."""

FILE = ".file"
"""A path with this in it stays the file it is."""

EMPTY = "migrated"
"""The database that new ones are copied from: migrated, with nothing in it."""


def only_when_long(module: Path) -> bool:
    """Whether a module's tests run on PostgreSQL only where the long versions run."""
    return module.parent.name == "web" and module.stem not in PAGES_KEEPING


@dataclass
class Shelf:
    """Databases of one test by the path they stand for."""

    server: Server
    there: dict[str, str] = field(default_factory=dict)

    def address(self, path: str, *, like: str = EMPTY) -> str:
        """The address of the database that stands for a path; made when it is asked for first."""
        name = str(Path(path).expanduser().absolute())
        if name not in self.there:
            self.there[name] = self.server.fresh(like)
        return self.server.address(self.there[name])

    def clear(self) -> None:
        """Drop them all."""
        for name in self.there.values():
            self.server.drop(name)
        self.there.clear()


_SHELF: list[Shelf] = []
"""The shelf of the test that runs on PostgreSQL just now."""


def prepare(server: Server) -> None:
    """Make the empty record that others are copied from, through the program's own migrations."""
    from whitemetal.ledger import connect

    server.run(f'CREATE DATABASE "{EMPTY}"')
    engine, _ = connect.open_engine(server.address(EMPTY))
    engine.dispose()


@contextmanager
def on_postgres(server: Server, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Open databases of the server in place of files, until the end."""
    from whitemetal.ledger import connect, ledger

    shelf = Shelf(server)
    _SHELF.append(shelf)
    there: Callable[..., Any] = connect.open_engine

    def open_engine(where: str, wait: float = connect.WAIT, read_only: bool = False) -> Any:
        return there(where if "://" in where or FILE in where else shelf.address(where), wait, read_only)

    monkeypatch.setattr(ledger, "open_engine", open_engine)
    try:
        yield
    finally:
        _SHELF.pop()
        shelf.clear()


def place_of(path: Path, like: str = EMPTY) -> str:
    """Where the record of a path is: the file itself, or the address of the database that stands for it."""
    return _SHELF[-1].address(str(path), like=like) if _SHELF else str(path)


class Raw:
    """A record opened by somebody who does not keep to the rules: SQL with ``?``, at once, on any database."""

    def __init__(self, path: Path, like: str = EMPTY) -> None:
        self.server = bool(_SHELF)
        self._opened: Any
        if self.server:
            import psycopg

            self._opened = psycopg.connect(place_of(path, like), autocommit=True)
        else:
            self._opened = sqlite3.connect(path, isolation_level=None, timeout=0.05)

    def execute(self, statement: str, values: tuple[object, ...] = ()) -> Any:
        """Run a statement; the driver's cursor."""
        if self.server:
            return self._opened.execute(statement.replace("?", "%s"), values)
        return self._opened.execute(statement, values)

    def rows(self, statement: str, values: tuple[object, ...] = ()) -> list[tuple[Any, ...]]:
        """The rows a statement gives."""
        return [tuple(row) for row in self.execute(statement, values).fetchall()]

    def tables(self) -> list[str]:
        """Names of its tables."""
        server = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
        file = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY 1"
        return [row[0] for row in self.rows(server if self.server else file)]

    def unlock(self) -> None:
        """Take away what keeps entries from being changed, and what keeps rows together."""
        if self.server:
            self.execute("DROP FUNCTION entry_never_changed CASCADE")
            self.execute("SET session_replication_role = replica")
        else:
            for what in ("update", "delete"):
                self.execute(f"DROP TRIGGER entry_never_{what}")
                self.execute(f"DROP TRIGGER kept_file_never_{what}")

    def hold(self) -> None:
        """Begin to write and stop in the middle."""
        if self.server:
            self.execute("BEGIN")
            self.execute("SELECT pg_advisory_xact_lock(7711)")
        else:
            self.execute("BEGIN IMMEDIATE")

    def close(self) -> None:
        """Let go."""
        self._opened.close()
