"""verify and demo: the record walked, made new, and never made over another."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Command
from whitemetal.demo_mill.load import load, mill_clock, mill_ids
from whitemetal.desk import Desk


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record of Tarn Mill."""
    path = tmp_path_factory.mktemp("made") / "mill.sqlite3"
    desk = Desk.open(str(path), clock=mill_clock(), ids=mill_ids())
    load(desk)
    desk.close()
    return path


@pytest.fixture
def record(made: Path, tmp_path: Path) -> Path:
    copy = tmp_path / "mill.sqlite3"
    copy.write_bytes(made.read_bytes())
    return copy


@pytest.fixture
def raw(record: Path) -> Iterator[sqlite3.Connection]:
    """The record, opened by somebody who does not keep to the rules."""
    database = sqlite3.connect(record)
    for what in ("update", "delete"):
        database.execute(f"DROP TRIGGER entry_never_{what}")
    yield database
    database.close()


def test_a_whole_record(command: Command, record: Path) -> None:
    database = sqlite3.connect(record)
    entries, books = database.execute("SELECT count(*), count(DISTINCT book) FROM entry").fetchone()
    (chains,) = database.execute("SELECT count(*) FROM (SELECT DISTINCT book, device FROM entry)").fetchone()
    database.close()
    answer = command("verify", record)
    assert (answer.status, answer.err) == (0, "")
    assert answer.out == f"Every chain is whole: {entries} entries in {chains} chains of {books} books.\n"
    assert entries > 60


def test_an_altered_entry_is_named(command: Command, record: Path, raw: sqlite3.Connection) -> None:
    number, device = raw.execute("SELECT seq, device FROM entry WHERE content LIKE '%0,204%'").fetchone()
    raw.execute("UPDATE entry SET content = replace(content, '0,204', '0,240')")
    raw.commit()
    answer = command("verify", record)
    assert (answer.status, answer.err) == (1, "")
    first, *faults = answer.out.splitlines()
    assert first == "The record is damaged:"
    assert len(faults) == 1
    assert f"Entry {number} of device {device}" in faults[0]
    assert "was altered after it was written" in faults[0]


def test_a_missing_entry_is_named(command: Command, record: Path, raw: sqlite3.Connection) -> None:
    receipt, number, device = raw.execute(
        "SELECT receipt, seq, device FROM entry WHERE content LIKE '%0,204%'"
    ).fetchone()
    raw.execute("DELETE FROM sight WHERE receipt = ?", (receipt,))
    raw.execute("DELETE FROM entry WHERE receipt = ?", (receipt,))
    raw.commit()
    answer = command("verify", record)
    assert answer.status == 1
    assert f"Entry {number} of device {device} is missing." in answer.out


def test_a_record_of_a_newer_program_is_left_alone(
    command: Command, record: Path, raw: sqlite3.Connection
) -> None:
    raw.execute("UPDATE alembic_version SET version_num = '0099'")
    raw.commit()
    answer = command("verify", record)
    assert (answer.status, answer.out) == (1, "")
    assert "written by a newer version of the program (tables 0099)" in answer.err
    assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == ("0099",)


def test_what_is_no_record(command: Command, tmp_path: Path) -> None:
    missing, empty, letter = tmp_path / "missing", tmp_path / "empty", tmp_path / "letter"
    empty.touch()
    letter.write_text("Dear engineer\n", encoding="utf-8")
    assert "a record that exists" in command("verify", missing).wrong[0]
    assert "a record that exists" in command("verify", tmp_path).wrong[0]
    assert "this file is empty" in command("verify", empty).wrong[0]
    answer = command("verify", letter)
    assert (answer.status, answer.out) == (1, "")
    assert "damaged or not a record" in answer.err
    assert (empty.read_bytes(), letter.read_text(encoding="utf-8")) == (b"", "Dear engineer\n")
    assert not missing.exists()


def test_the_demo_into_a_new_file_tells_what_happens(command: Command, tmp_path: Path) -> None:
    new = tmp_path / "new.sqlite3"
    answer = command("demo", "--into", new)
    assert answer.status == 0
    for step in ("Making the record", "fan, drive end", "gear unit", "motor", f"is in {new}"):
        assert step in answer.err
    assert answer.out == f"To see it: whitemetal serve --database {new}\n"
    assert "Every chain is whole" in command("verify", new).out


def test_the_demo_goes_into_no_file_that_exists(command: Command, record: Path, tmp_path: Path) -> None:
    before = hashlib.sha256(record.read_bytes()).hexdigest()
    for more in ((), ("--serve",), ("--files", tmp_path / "files")):
        (problem,) = command("demo", "--into", record, *more).wrong
        assert "a new file; this one exists already" in problem
    assert hashlib.sha256(record.read_bytes()).hexdigest() == before
    assert not (tmp_path / "files").exists()


def test_the_demo_goes_into_no_database_that_holds_something(command: Command, record: Path) -> None:
    """A database's address does not say whether the database is new: it is opened and looked at."""
    answer = command("demo", "--into", f"sqlite:///{record}")
    assert answer.status == 2
    assert "a new file; this one exists already" in answer.err
    database = sqlite3.connect(record)
    (machines,) = database.execute("SELECT count(DISTINCT machine) FROM listed_bearing").fetchone()
    (jobs,) = database.execute("SELECT count(*) FROM entry WHERE kind = 'job/1'").fetchone()
    database.close()
    assert (machines, jobs) == (5, 6)


def test_the_demo_as_files_that_can_be_judged(command: Command, tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "mill"
    answer = command("demo", "--files", folder)
    assert answer.status == 0
    names = sorted(each.name for each in folder.iterdir())
    assert answer.out.splitlines()[1:] == [f"  {folder / name}" for name in names]
    (line,) = (
        line for line in (folder / "fan_drive_end.facts.toml").read_text(encoding="utf-8").splitlines()
        if "whitemetal judge" in line
    )  # fmt: skip
    asked = [folder / word if "." in word else word for word in line.split("whitemetal ")[1].split()]
    assert "WITHIN LIMITS" in command(*asked).out
    for bearing in ("fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"):
        assert command("card", folder / f"{bearing}.toml").status == 0
    assert command("demo", "--files", folder).status == 0


def test_the_demo_writes_over_nothing_a_person_changed(command: Command, tmp_path: Path) -> None:
    card, readings = tmp_path / "fan_drive_end.toml", tmp_path / "fan_drive_end.csv"
    card.write_text("mine", encoding="utf-8")
    readings.write_text("mine too", encoding="utf-8")
    found = command("demo", "--files", tmp_path).wrong
    assert [str(path) in " ".join(found) for path in (card, readings)] == [True, True]
    assert len(found) == 2
    assert sorted(each.name for each in tmp_path.iterdir()) == ["fan_drive_end.csv", "fan_drive_end.toml"]
    assert card.read_text(encoding="utf-8") == "mine"


def test_the_demo_must_be_told_where(command: Command) -> None:
    assert "--into FILE, --files FOLDER or --serve" in command("demo").wrong[0]


def test_the_demo_served(command: Command, tmp_path: Path, served: list[object]) -> None:
    new = tmp_path / "new.sqlite3"
    answer = command("demo", "--into", new, "--serve", "--port", "0")
    assert answer.status == 0
    (options,) = served
    assert vars(options)["database"] == str(new)
    assert (vars(options)["host"], vars(options)["port"], vars(options)["demo"]) == ("127.0.0.1", 0, False)
    assert new.exists()
