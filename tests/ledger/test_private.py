"""Over a network nobody else reads what goes to the database: a PostgreSQL with a certificate, really asked."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import text

from tests.cli.test_serve import free_port
from tools.start_postgres import _user, a_server
from whitemetal.desk import Desk
from whitemetal.errors import CannotWrite
from whitemetal.ledger import postgres as dialect
from whitemetal.web.authority import prepared

Where = Callable[[str, str], str]


@contextmanager
def on_the_network(monkeypatch: pytest.MonkeyPatch, **settings: str) -> Iterator[Where]:
    """A server that is reached by an address, which counts as another machine's; addresses by host and query."""
    port = str(free_port())
    monkeypatch.setenv("PGPORT", port)
    monkeypatch.setattr(dialect, "THIS_MACHINE", ())
    monkeypatch.setattr(dialect, "OWN_AUTHORITIES", Path("/nowhere"))
    with a_server({"listen_addresses": "127.0.0.1", "port": port, **settings}) as server:
        database = server.fresh()
        yield lambda host, query: f"postgresql://whitemetal@{host}:{port}/{database}{query}"


@pytest.fixture
def certified() -> Iterator[Path]:
    """A folder with a certificate for "localhost", whose key is the server's alone, and its authority."""
    folder = Path(tempfile.mkdtemp())
    prepared(folder, ["localhost"], datetime.now(UTC))
    user = _user()
    if user is not None:
        for each in (folder, *folder.iterdir()):
            os.chown(each, user.pw_uid, user.pw_gid)
    yield folder
    shutil.rmtree(folder)


@pytest.mark.postgres
def test_a_certificate_is_looked_at_and_the_connection_encrypted(
    certified: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = {"ssl_cert_file": str(certified / "server.crt"), "ssl_key_file": str(certified / "server.key")}
    trust = f"?sslrootcert={certified / 'authority.crt'}"
    with on_the_network(monkeypatch, ssl="on", **files) as where:
        desk = Desk.open(where("localhost", trust))
        with desk._ledger.reading() as connection:
            asked = text("SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()")
            assert connection.execute(asked).scalar() is True
        desk.close()
        for host, query in (("localhost", ""), ("127.0.0.1", trust)):
            with pytest.raises(CannotWrite, match="not one that this machine trusts for that name"):
                Desk.open(where(host, query))
        Desk.open(where("127.0.0.1", "?sslmode=prefer")).close()


@pytest.mark.postgres
def test_a_server_without_a_certificate_is_not_spoken_to(monkeypatch: pytest.MonkeyPatch) -> None:
    with on_the_network(monkeypatch) as where:
        with pytest.raises(CannotWrite, match="offers no connection that others cannot read"):
            Desk.open(where("localhost", ""))
        Desk.open(where("localhost", "?sslmode=disable")).close()


@pytest.mark.sqlite_only
def test_what_does_not_leave_this_machine_needs_no_certificate(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PGHOST", "PGHOSTADDR", "PGSSLMODE", "PGSSLROOTCERT"):
        monkeypatch.delenv(name, raising=False)
    here = ("postgresql:///plant", "postgresql://localhost/plant", "postgresql://a@[::1]/plant",
            "postgresql://a@/plant?host=/run/postgresql")  # fmt: skip
    away = ("postgresql://db.example/plant", "postgresql://a@/plant?host=db.example",
            "postgresql://a@/plant?host=/run/postgresql,db.example",
            "postgresql:///plant?hostaddr=203.0.113.5",
            "postgresql://localhost/plant?hostaddr=203.0.113.5")  # fmt: skip
    assert [dialect.address(one).query.get("sslmode") for one in here] == [None] * 4
    assert [dialect.address(one).query.get("sslmode") for one in away] == ["verify-full"] * 5
    assert dialect.address(away[0] + "?sslmode=require").query["sslmode"] == "require"
    for name, value in (("PGHOST", "db.example"), ("PGHOSTADDR", "203.0.113.5")):
        with monkeypatch.context() as one:
            one.setenv(name, value)
            assert dialect.address(here[0]).query["sslmode"] == "verify-full", name
