"""A record on PostgreSQL 15 or newer: the address, what every connection promises, who may write when.

Every write takes one lock for the length of its transaction, before it reads anything: what it read cannot
change under it, and receipt numbers are given in the order in which entries become visible, so that who reads
on from a number misses nothing. Reading never waits: it sees one state of the record.
"""

from __future__ import annotations

import os
import ssl
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import SQLAlchemyError

from whitemetal.errors import LedgerError
from whitemetal.ledger.trouble import in_words
from whitemetal.words import say

NAMES = ("postgresql", "postgres", "postgresql+psycopg")
"""How an address of a PostgreSQL database may begin."""

THIS_MACHINE = ("", "localhost", "127.0.0.1", "::1")
"""Hosts to which nothing leaves this machine; "" is the server's usual socket."""

OWN_AUTHORITIES = Path("~/.postgresql/root.crt")
"""Where the driver looks for whom to trust when nothing says so (PostgreSQL 15 manual, 34.19.1)."""

OLDEST = 15
"""The oldest PostgreSQL this program is tested with. Our own choice."""

WRITING = 7711
"""The lock that writers take. Our own number."""

CONNECT_WAIT = 10
"""Seconds to wait for a connection. Our own."""

HUNG = 60
"""Seconds after which a writer that stopped in the middle is let go of, so that others can write. Our own."""

CONNECTIONS = 12
"""Connections one process keeps at most; the server's usual limit is 100 for all. Our own."""

PROMISES = {"fsync": "on", "full_page_writes": "on", "server_encoding": "UTF8"}
"""What the server must answer: a commit is on the disk before it is acknowledged, and letters are kept."""

REACHES_DISK = ("on", "remote_apply", "local", "remote_write")
"""Settings of synchronous_commit with which a commit waits for this server's disk (PostgreSQL 15 manual,
20.5.1)."""


def is_address(where: str) -> bool:
    """Whether a record's place is the address of a PostgreSQL database."""
    return where.partition("://")[0] in NAMES and "://" in where


def shown(where: str) -> str:
    """The place of a record as it may be shown: without a password."""
    if "://" not in where:
        return where
    try:
        return make_url(where).render_as_string(hide_password=True)
    except SQLAlchemyError:
        return where.partition("://")[0] + "://..."


def address(where: str) -> URL:
    """The address with the driver this program has; over a network encrypted, and the server's certificate
    looked at, unless the address says otherwise. Raises LedgerError."""
    try:
        url = make_url(where).set(drivername="postgresql+psycopg")
    except SQLAlchemyError as error:
        raise LedgerError(say("ledger.bad_address")) from error
    if "sslmode" in url.query or "PGSSLMODE" in os.environ or not _over_a_network(url):
        return url
    url = url.update_query_dict({"sslmode": "verify-full"})
    if "sslrootcert" in url.query or "PGSSLROOTCERT" in os.environ or OWN_AUTHORITIES.expanduser().is_file():
        return url
    known = ssl.get_default_verify_paths().cafile or "system"
    return url.update_query_dict({"sslrootcert": known})


def _over_a_network(url: URL) -> bool:
    """Whether any of the servers an address names is reached by more than this machine."""
    asked = url.normalized_query
    named = url.host or ",".join(asked.get("host", ())) or os.environ.get("PGHOST", "")
    at = ",".join(asked.get("hostaddr", ())) or os.environ.get("PGHOSTADDR", "")
    return not all(one in THIS_MACHINE or one.startswith("/") for one in f"{named},{at}".split(","))


def engine(where: str, wait: float) -> Engine:
    """An engine; its connections keep their promises or are not used. wait: seconds for another writer."""
    made = create_engine(
        address(where), pool_size=CONNECTIONS, max_overflow=0, pool_pre_ping=True, pool_timeout=max(wait, 1),
        isolation_level="READ COMMITTED", connect_args={"connect_timeout": CONNECT_WAIT},
    )  # fmt: skip

    @event.listens_for(made, "connect")
    def _connected(driver: Any, _record: object) -> None:
        promise(driver, wait)

    return made


def promise(driver: Any, wait: float) -> None:
    """Make a connection promise, and ask it whether it does. Raises LedgerError when it does not."""
    with driver.cursor() as cursor:
        if driver.info.server_version < OLDEST * 10000:
            raise LedgerError(say("ledger.too_old", oldest=OLDEST, found=driver.info.server_version // 10000))
        for name, wanted in PROMISES.items():
            _must(name, _answer(cursor, name), (wanted,))
        if _answer(cursor, "synchronous_commit") not in REACHES_DISK:
            cursor.execute("SET synchronous_commit = on")
        _must("synchronous_commit", _answer(cursor, "synchronous_commit"), REACHES_DISK)
        cursor.execute(f"SET lock_timeout = {round(1000 * wait) or 1}")
        cursor.execute(f"SET idle_in_transaction_session_timeout = '{HUNG}s'")
        cursor.execute("SET client_min_messages = warning")
    driver.commit()


def _answer(cursor: Any, name: str) -> str:
    return str(cursor.execute(f"SHOW {name}").fetchone()[0])


def _must(name: str, answer: str, wanted: tuple[str, ...]) -> None:
    if answer not in wanted:
        raise LedgerError(say("ledger.no_promise", name=name, answer=answer))


def follows(engine: Engine) -> bool:
    """Whether the server only follows another one, or takes no writes: it can be read."""
    with engine.connect() as connection:
        return connection.execute(text("SHOW transaction_read_only")).scalar() == "on"


def speaks(engine: Engine) -> bool:
    """Whether an engine's database is PostgreSQL."""
    return engine.dialect.name == "postgresql"


@contextmanager
def alone(engine: Engine) -> Iterator[Any]:
    """A driver's connection of its own, outside the pool, each statement of it kept at once."""
    import psycopg

    _, options = engine.dialect.create_connect_args(engine.url)
    with psycopg.connect(**{**options, "connect_timeout": CONNECT_WAIT}, autocommit=True) as driver:
        yield driver


def only_reading(connection: Connection) -> Connection:
    """The connection, showing one state of the record for as long as its transaction lasts."""
    return connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def may_pause(connection: Connection) -> None:
    """Keep the transaction though nothing is asked in it for longer than `HUNG`: another one is at work."""
    connection.execute(text("SET LOCAL idle_in_transaction_session_timeout = 0"))


def copy_in(connection: Connection, table: Table, rows: Sequence[Mapping[str, object]]) -> None:
    """Put many rows into a table, a stream in place of a statement each. Raises LedgerError."""
    names = list(rows[0])
    driver: Any = connection.connection.driver_connection
    columns = ", ".join(f'"{name}"' for name in names)
    try:
        with driver.cursor() as cursor, cursor.copy(f'COPY "{table.name}" ({columns}) FROM STDIN') as copy:
            for row in rows:
                copy.write_row([row[name] for name in names])
    except Exception as error:
        if type(error).__module__.partition(".")[0] != "psycopg":
            raise
        raise in_words(error) from error


def take_turn(connection: Connection) -> None:
    """Wait until no other writer writes. Each statement after it sees all that was acknowledged before."""
    connection.execute(text(f"SELECT pg_advisory_xact_lock({WRITING})"))
