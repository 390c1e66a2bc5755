"""move, backup and restore on the command line, and where the record is when nothing says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.ledger.writing import a_desk, a_job
from tools.start_postgres import Server


@pytest.fixture
def record(tmp_path: Path) -> Path:
    path = tmp_path / "plant.sqlite3"
    desk = a_desk(path)
    a_job(desk)
    desk.close()
    return path


def test_a_record_is_backed_up_and_restored(command: Command, record: Path, tmp_path: Path) -> None:
    """6 entries: of the bearing and of the job in the plant's book, the card in the bearing's, and in the
    job's that it was opened, which card it adopted and that a check was begun."""
    made = command("backup", "--database", str(record), str(tmp_path / "b"))
    assert (made.status, made.out) == (0, f"{record} is backed up in {tmp_path / 'b'}: 6 entries in 3 chains of 3 books, "
        "0 photographs; every chain of the copy is whole.\n")  # fmt: skip
    again = command("restore", str(tmp_path / "b"), str(tmp_path / "again.sqlite3"))
    assert again.status == 0 and "Restored to" in again.out and "6 entries in 3 chains" in again.out
    assert command("verify", str(tmp_path / "again.sqlite3")).status == 0
    twice = command("backup", "--database", str(record), str(tmp_path / "b"))
    assert "nothing is ever written over" in twice.wrong[0]


@pytest.mark.postgres
def test_a_plant_is_moved_to_a_server_and_back(
    command: Command, record: Path, tmp_path: Path, postgres: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = postgres.address(postgres.fresh())
    monkeypatch.setenv("PGPASSWORD", "not asked for")
    moved = command("move", str(record), there.replace("@", ":secret@"))
    assert moved.status == 0 and "6 entries in 3 chains of 3 books" in moved.out
    assert "secret" not in moved.out + moved.err
    monkeypatch.setenv("WHITEMETAL_DATABASE", there)
    assert command("verify").out == "Every chain is whole: 6 entries in 3 chains of 3 books.\n"
    assert command("backup", str(tmp_path / "b")).status == 0
    assert command("move", there, str(tmp_path / "home.sqlite3")).status == 0
    assert command("verify", str(tmp_path / "home.sqlite3")).status == 0
    assert "is there" not in command("move", str(tmp_path / "home.sqlite3"), there).out


def test_the_variable_says_where_the_record_is(
    command: Command, record: Path, served: list[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WHITEMETAL_DATABASE", str(record))
    assert command("verify").status == 0
    command("serve")
    command("serve", "--database", "other.sqlite3")
    assert [vars(options)["database"] for options in served] == [str(record), "other.sqlite3"]
    monkeypatch.setenv("WHITEMETAL_DATABASE", str(record.with_name("missing")))
    assert "a record that exists" in command("verify").wrong[0]


def test_keys_are_not_passed_over_for_a_record(command: Command, record: Path) -> None:
    """Whoever gives a list of keys must not read that all is whole where no key was looked at."""
    wrong = command("verify", record, "--keys", "nowhere").wrong
    assert '--keys: "nowhere" was typed; expected a file exported from a record' in wrong[0]
