"""PostgreSQL itself: what its connections promise, who waits for whom, and what becomes of a write when the
server stops, fills up or is restarted in the middle. Nothing that was acknowledged is ever missing."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from tests.ledger.writing import ANN, BO, CARD, a_desk, a_job
from tests.records import Raw, place_of
from tools.start_postgres import Server, a_server
from whitemetal.desk import Desk, Writer
from whitemetal.errors import CannotWrite, LedgerError
from whitemetal.ledger import postgres as dialect
from whitemetal.ledger.connect import open_engine
from whitemetal.ledger.trouble import explained, in_words

pytestmark = pytest.mark.postgres


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record"


@pytest.fixture
def desk(path: Path) -> Iterator[Desk]:
    opened = a_desk(path, wait=0.1)
    yield opened
    opened.close()


# ---- what every connection promises


def test_every_connection_keeps_its_promises(desk: Desk) -> None:
    opened = [desk._ledger.engine.connect() for _ in range(4)]
    for connection in opened:
        for name, wanted in dialect.PROMISES.items():
            assert connection.execute(text(f"SHOW {name}")).scalar() == wanted
        assert connection.execute(text("SHOW synchronous_commit")).scalar() == "on"
        assert connection.execute(text("SHOW lock_timeout")).scalar() == "100ms"
    for connection in opened:
        connection.close()


def test_a_server_that_does_not_wait_for_its_disk_is_not_used() -> None:
    wanted = pytest.raises(LedgerError, match="does not keep its promise: fsync is off")
    with a_server({"fsync": "off"}) as server, wanted:
        Desk.open(server.address("postgres"))


def test_a_database_that_acknowledges_too_early_is_asked_to_wait(postgres: Server, path: Path) -> None:
    where = place_of(path)
    name = where.split("/")[3].partition("?")[0]
    postgres.run(f'ALTER DATABASE "{name}" SET synchronous_commit = off')
    desk = a_desk(path)
    with desk._ledger.writing() as pen:
        assert pen.connection.execute(text("SHOW synchronous_commit")).scalar() == "on"
    desk.close()


def test_an_older_server_is_named() -> None:
    class Old:
        class info:  # noqa: N801
            server_version = 140008

        def cursor(self) -> Any:
            return self

        def __enter__(self) -> Any:
            return self

        def __exit__(self, *what: object) -> None: ...

    with pytest.raises(LedgerError, match="PostgreSQL 14; 15 or newer"):
        dialect.promise(Old(), 1.0)


def test_a_server_that_takes_no_writes_is_read_and_says_so(postgres: Server, path: Path) -> None:
    """As a follower of another server answers: every transaction is read-only there."""
    desk = a_desk(path)
    job, _ = a_job(desk)
    desk.close()
    name = place_of(path).split("/")[3].partition("?")[0]
    postgres.run(f'ALTER DATABASE "{name}" SET default_transaction_read_only = on')
    follower = Desk.open(place_of(path))
    assert not follower.writable
    assert follower.job(job).state.number == "J-1" and len(follower.plant()) == 1
    assert follower.verify() == ()
    with pytest.raises(CannotWrite, match="or takes no writes from this account") as failed:
        follower.keep_note(job, "oil dark", ANN)
    assert failed.value.typed == "oil dark"
    follower.close()


# ---- addresses and what goes wrong before the first word


def test_a_password_is_never_shown() -> None:
    shown = dialect.shown("postgresql://ann:sec:ret@db.example/plant")
    assert "sec" not in shown
    assert shown.startswith("postgresql://ann:") and shown.endswith("@db.example/plant")
    assert dialect.shown("plant.sqlite3") == "plant.sqlite3"
    assert "secret" not in dialect.shown("postgresql://ann:secret@[broken/plant")


@pytest.mark.parametrize("name", ["postgresql", "postgres", "postgresql+psycopg"])
def test_every_usual_beginning_of_an_address_opens(name: str, path: Path) -> None:
    desk = Desk.open(place_of(path).replace("postgresql", name, 1))
    assert desk.plant() == ()
    desk.close()


def test_no_server_no_database_and_no_name_are_three_sentences(postgres: Server, tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="server cannot be reached"):
        Desk.open(f"postgresql://ann@/x?host={tmp_path}")
    with pytest.raises(LedgerError, match='not let this program in: database "nowhere" does not exist'):
        Desk.open(postgres.address("nowhere"))
    with pytest.raises(LedgerError, match='role "stranger" does not exist'):
        Desk.open(postgres.address("postgres").replace("whitemetal@", "stranger@"))


def test_a_name_or_letter_the_database_cannot_keep_is_refused_in_words(desk: Desk) -> None:
    """A key of an index ends at a third of a page of 8 kB (PostgreSQL 15 manual, 11.2 and storage)."""
    letters = "".join(f"{number:x}" for number in range(4000))
    with pytest.raises(CannotWrite, match="a name is too long"):
        desk.keep_instrument(letters, {"mpe": "2 um"}, ANN)
    job, _ = a_job(desk)
    assert desk.keep_note(job, "before", replace(ANN, name="A\x00")).entry is not None
    with pytest.raises(CannotWrite, match="cannot be kept"):
        desk.keep_note(job, "after", replace(ANN, device="d\x00"))
    assert [note.text for note in desk.job(job).state.notes] == ["before"]
    assert desk.verify() == ()


def test_the_codes_of_the_server_are_put_in_words() -> None:
    import psycopg.errors as codes

    said = {
        codes.DiskFull: "disk is full", codes.TooManyConnections: "no room for another connection",
        codes.LockNotAvailable: "Another program", codes.DeadlockDetected: "Another program",
        codes.InsufficientPrivilege: "takes no writes", codes.AdminShutdown: "may or may not have been kept",
        codes.DataCorrupted: "files are damaged", codes.IoError: "server's disk refuses",
    }  # fmt: skip
    for error, words in said.items():
        told = in_words(error("x"), "0.2 mm")
        assert words in str(told) and told.typed == "0.2 mm"
    with pytest.raises(CannotWrite, match="no room"), explained("0.2 mm"):
        raise PoolTimeout("full")


# ---- who waits for whom


def test_a_writer_waits_and_a_reader_does_not(path: Path, desk: Desk) -> None:
    job, _ = a_job(desk)
    other = Raw(path)
    with desk._ledger.writing() as pen:
        assert pen.entry("x") is None
        assert other.rows("SELECT pg_try_advisory_lock(7711)") == [(False,)]
        assert desk.job(job).state.number == "J-1"
    assert other.rows("SELECT pg_try_advisory_lock(7711)") == [(True,)]
    other.close()


def test_reading_shows_one_state_while_others_write(path: Path, desk: Desk) -> None:
    job, _ = a_job(desk)
    with desk._ledger.reading() as connection:
        before = connection.execute(text("SELECT count(*) FROM entry")).scalar()
        desk.keep_note(job, "meanwhile", BO)
        assert connection.execute(text("SELECT count(*) FROM entry")).scalar() == before
        with pytest.raises(Exception, match="read-only"):
            connection.execute(text("INSERT INTO sight VALUES (9999, '{}')"))
    assert len(desk.job(job).state.notes) == 1


def test_receipts_become_visible_in_their_order(path: Path, desk: Desk) -> None:
    """Who reads on from a number misses nothing: whatever is seen, every smaller number is there too."""
    job, _ = a_job(desk)
    stop, holes = threading.Event(), []

    def look() -> None:
        raw = Raw(path)
        while not stop.is_set():
            ((found, last),) = raw.rows("SELECT count(*), max(receipt) FROM entry")
            if found != last:
                holes.append((found, last))
        raw.close()

    watcher = threading.Thread(target=look)
    watcher.start()
    writers = [Desk.open(place_of(path)) for _ in range(3)]
    hands = [
        threading.Thread(target=write, args=(one, job, f"d{number}", 25))
        for number, one in enumerate(writers)
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    stop.set()
    watcher.join()
    for one in writers:
        one.close()
    assert holes == []
    assert len(desk.job(job).state.notes) == 75
    assert desk.verify() == ()


def write(desk: Desk, job: str, device: str, times: int) -> None:
    for number in range(times):
        desk.keep_note(job, f"{device} {number}", Writer("Ann", device))


def test_two_servers_may_open_an_empty_database_at_once(postgres: Server) -> None:
    where = postgres.address(postgres.fresh())
    failures: list[BaseException] = []

    def open_it() -> None:
        try:
            Desk.open(where).close()
        except BaseException as error:
            failures.append(error)

    hands = [threading.Thread(target=open_it) for _ in range(4)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert failures == []
    desk = Desk.open(where)
    assert desk.plant() == ()
    desk.close()


def test_a_writer_that_hangs_in_the_middle_is_let_go_of(
    path: Path, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, _ = a_job(desk)
    monkeypatch.setattr(dialect, "HUNG", 1)
    hung, _ = open_engine(place_of(path))
    connection = hung.connect()
    connection.begin()
    dialect.take_turn(connection)
    with pytest.raises(CannotWrite, match="Another program"):
        desk.keep_note(job, "too early", ANN)
    patient = a_desk(path, wait=5.0)
    patient._ids = desk._ids
    assert patient.keep_note(job, "after a while", ANN).entry is not None
    patient.close()
    with pytest.raises(DBAPIError):
        connection.execute(text("SELECT 1"))
    connection.close()
    hung.dispose()


# ---- the server stops in the middle


@pytest.fixture
def own() -> Iterator[Server]:
    """A server that may be stopped."""
    with a_server() as server:
        yield server


def test_a_server_restarted_in_mid_write_loses_nothing_acknowledged(own: Server) -> None:
    """Stopped at once (SIGQUIT: no checkpoint, recovery from the log at the next start) four times."""
    desk = Desk.open(own.address("postgres"), wait=2.0)
    job, _ = a_job(desk)
    kept: list[str] = []
    refused: list[LedgerError] = []
    stop = threading.Event()

    def go_on() -> None:
        for number in count():
            if stop.is_set():
                return
            try:
                entry = desk.keep_note(job, f"note {number}", ANN).entry
                assert entry is not None
                kept.append(entry.id)
            except LedgerError as error:
                refused.append(error)
                stop.wait(0.02)

    hand = threading.Thread(target=go_on)
    hand.start()
    for _ in range(4):
        goes_on(kept, 15)
        own.stop(signal.SIGQUIT)
        own.start()
    goes_on(kept, 5)
    stop.set()
    hand.join()
    there = {entry.id for entry in desk.entries(job)}
    assert set(kept) <= there
    assert len(kept) == len(set(kept)) > 60
    assert len(there) <= len(kept) + len(refused) + 3
    assert refused and all(
        isinstance(error, CannotWrite) and error.typed.startswith("note ") for error in refused
    )
    assert desk.verify() == ()
    desk.close()


def goes_on(kept: list[str], more: int) -> None:
    """Wait until so many more were acknowledged."""
    goal = len(kept) + more
    until(lambda: len(kept) >= goal)


def answers(desk: Desk, job: str) -> bool:
    """Whether the server has come back from a stop it made by itself; it may answer once before that."""
    try:
        return bool(desk.keep_note(job, "is there room?", ANN).entry and desk.entries(job))
    except LedgerError:
        return False


def until(true: Callable[[], bool], seconds: float = 30.0) -> None:
    done, clock = threading.Event(), 0.0
    while not true():
        assert clock < seconds, "it took too long"
        done.wait(0.01)
        clock += 0.01


def test_a_full_disk_of_the_server_loses_nothing_acknowledged(small_disk: Path) -> None:
    with a_server(
        {"max_wal_size": "32MB", "min_wal_size": "32MB", "shared_buffers": "4MB"}, small_disk
    ) as server:
        desk = Desk.open(server.address("postgres"), wait=2.0)
        job, _ = a_job(desk)
        kept, long = [], "0123456789abcdef" * 4096
        ballast = small_disk / "ballast"
        free = os.statvfs(small_disk)
        ballast.write_bytes(b"\0" * (free.f_bavail * free.f_bsize - 6_000_000))

        def fill() -> None:
            for number in range(2000):
                entry = desk.keep_note(job, f"{number} " + os.urandom(30000).hex() + long, ANN).entry
                assert entry is not None
                kept.append(entry.id)

        with pytest.raises(CannotWrite) as failed:
            fill()
        assert failed.value.typed.startswith(f"{len(kept)} ")
        assert "disk is full" in str(failed.value) or "connection to the database was lost" in str(
            failed.value
        )
        ballast.unlink()
        if server.process is not None and server.process.poll() is not None:
            server.start()
        until(lambda: answers(desk, job))
        assert set(kept) <= {entry.id for entry in desk.entries(job)}
        assert len(kept) > 3
        assert desk.keep_note(job, "there is room again", ANN).entry is not None
        assert desk.verify() == ()
        desk.close()


def test_a_card_is_found_whatever_language_the_server_sorts_in(desk: Desk) -> None:
    """The order of lists is that of letters' numbers, as on a file: "Z" before "a" before "ä" (the server of
    these tests sorts as Swedish does, where "ä" comes after "z" and "Z" beside it)."""
    for tag in ("ä-1", "Z-1", "a-1", "z-1"):
        desk.keep_card(CARD.replace("TM-31-F02", tag), ANN)
    assert [machine.tag for machine in desk.plant()] == ["Z-1", "a-1", "z-1", "ä-1"]
