"""Every stored format ever released stays readable, and every migration is made with rows in it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect, text

from tests.ledger.writing import ANN, BO, a_desk
from tests.records import place_of
from whitemetal.desk import Desk
from whitemetal.job.account import FOLD_VERSION, account_of, to_json
from whitemetal.job.entry import Entry, canonical, content, digest_of, from_json
from whitemetal.job.kinds import KINDS
from whitemetal.job.picture import fold
from whitemetal.ledger import connect, tables
from whitemetal.ledger.connect import LATEST, migrate, version_of
from whitemetal.people import tables as people

GOLDEN = Path(__file__).parents[1] / "golden"
JOB = "goldenaaaaaaaaaaaaaaaaaaa6"


@pytest.fixture(scope="module")
def lines() -> list[str]:
    return (GOLDEN / "entries-v1.jsonl").read_text(encoding="utf-8").splitlines()


@pytest.fixture(scope="module")
def kept(lines: list[str]) -> list[Entry]:
    return [from_json(json.loads(line)) for line in lines]


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A database as the first version of the tables left it, full of entries."""
    path = tmp_path / "old.sqlite3"
    database = sqlite3.connect(path)
    database.executescript((GOLDEN / "record-0001.sql").read_text(encoding="utf-8"))
    if place_of(path, "template1") != str(path):
        _copied(database, engine_of(path))
    database.close()
    return path


def engine_of(path: Path) -> Engine:
    place = place_of(path, "template1")
    return connect._engine(place if "://" in place else f"sqlite+pysqlite:///{place}", 1.0)


def _copied(database: sqlite3.Connection, engine: Engine) -> None:
    """The rows of the golden file in the tables of the first version, on the other database."""
    migrate(engine, "0001")
    with engine.begin() as connection:
        for table in ("entry", "head"):
            rows = database.execute(f"SELECT * FROM {table}").fetchall()
            places = ", ".join("%s" for _ in rows[0])
            connection.exec_driver_sql(f"INSERT INTO {table} VALUES ({places})", rows)
    engine.dispose()


@pytest.fixture
def desk(old: Path) -> Iterator[Desk]:
    opened = a_desk(old)
    yield opened
    opened.close()


def test_every_kept_entry_has_its_digest_still(kept: list[Entry]) -> None:
    assert [entry.id for entry in kept if digest_of(entry) != entry.digest] == []
    assert len(kept) == 37


def test_every_kept_line_is_the_canonical_form_with_the_digest(lines: list[str], kept: list[Entry]) -> None:
    for line, entry in zip(lines, kept, strict=True):
        assert json.loads(line) == {**content(entry), "digest": entry.digest}
        assert json.loads(canonical(entry)) == content(entry)


@pytest.fixture(scope="module")
def fitted() -> list[Entry]:
    """Entries of the fit state as it was told more fully: stripped, missed, loaded half and joint."""
    text = (GOLDEN / "entries-v1-fit.jsonl").read_text(encoding="utf-8")
    return [from_json(json.loads(line)) for line in text.splitlines()]


def test_every_kind_of_a_job_is_in_the_golden_files() -> None:
    files = sorted(GOLDEN.glob("entries-v1*.jsonl"))
    lines = [line for file in files for line in file.read_text(encoding="utf-8").splitlines()]
    every = [from_json(json.loads(line)) for line in lines]
    assert set(KINDS) <= {entry.kind for entry in every}
    assert [entry.id for entry in every if digest_of(entry) != entry.digest] == []


def test_the_golden_fit_state_reads_as_it_was_written(fitted: list[Entry]) -> None:
    state = fold(fitted)
    assert state.as_found == "missed"
    assert [one.text for one in state.stripped] == ["cap off, upper shell out"]
    assert [one.what for one in state.missed] == ["clearance as found"]
    assert [(one.what, one.half, one.joint, one.touches) for one in state.fit_changes] == [
        ("scraping", "lower", "", ("contact", "clearance", "alignment", "seals")),
        ("shim", "", "shell joint", ("crush", "clearance")),
    ]


def test_the_fold_of_the_golden_job_has_not_moved(kept: list[Entry]) -> None:
    """A fold that gathers anything else needs another FOLD_VERSION, or stored accounts would be wrong."""
    stored = json.loads((GOLDEN / f"account-{FOLD_VERSION}.json").read_text(encoding="utf-8"))
    account = to_json(account_of(entry for entry in kept if entry.book == JOB))
    assert json.loads(json.dumps(account)) == stored


def test_the_golden_job_reads_as_it_was_written(kept: list[Entry]) -> None:
    state = fold(entry for entry in kept if entry.book == JOB)
    found, left = state.checks.values()
    assert [(one.place, one.text) for one in found.readings] == [
        ("DE left", "0.212"), ("DE top", "0,218"), ("M left", "0.221 mm"), ("M top", "0.0087 in"),
        ("M right", "0.216"), ("DE right", "0.209 mm"), ("DE top", "0.219"),
    ]  # fmt: skip
    assert found.readings[3].value == pytest.approx(0.0087 * 0.0254, rel=1e-12)
    assert [(one.reading.text, one.by) for one in found.struck] == [
        ("0.226 mm", "Bo Åkesson"), ("0.2O9 mm", "Ann Dale")
    ]  # fmt: skip
    assert found.facts["wire_diameter"].text == "0.400 mm"
    assert [len(check.stale) for check in (found, left)] == [1, 1]
    assert len(left.contradictions) == 1
    assert [one.kind for one in state.unknown] == ["photo/1", "strike/1"]


def test_an_old_database_opens_with_everything_in_it(desk: Desk, kept: list[Entry]) -> None:
    books = {entry.book for entry in kept}
    assert {book: desk.entries(book) for book in books} == {
        book: tuple(entry for entry in kept if entry.book == book) for book in books
    }
    assert desk.verify() == ()
    (machine,) = desk.plant()
    assert [(bearing.position, bearing.jobs[0].number) for bearing in machine.bearings] == [
        ("drive end", "J-104")
    ]
    assert len(desk.bearing(machine.bearings[0].book).revisions) == 2
    assert desk.bearing(machine.bearings[0].book).card.limits[0].revision == "D"
    assert desk.instruments()["M7"]["mpe"] == "4 µm"
    assert desk.job(JOB).card.limits[0].revision == "C"


def test_an_old_database_can_be_written_on(desk: Desk) -> None:
    before = len(desk.entries(JOB))
    seen = desk.job(JOB).state.heads
    assert desk.keep_note(JOB, "opened by a newer program", ANN).entry is not None
    assert desk.keep_note(JOB, "and again", BO).entry is not None
    assert len(desk.entries(JOB)) == before + 2
    assert set(seen) <= set(desk.job(JOB).state.heads)
    assert desk.verify() == ()


REVISIONS = tuple(
    script.revision
    for script in reversed(
        list(ScriptDirectory(str(Path(connect.__file__).parent / "migrations")).walk_revisions())
    )
)


def test_the_program_knows_its_newest_migration() -> None:
    assert REVISIONS[-1] == LATEST
    assert list(REVISIONS) == [f"{number:04d}" for number in range(1, len(REVISIONS) + 1)]


@pytest.mark.parametrize("to", REVISIONS)
def test_a_migration_keeps_every_row(old: Path, to: str) -> None:
    engine = engine_of(old)
    with engine.connect() as connection:
        before = connection.execute(text("SELECT * FROM entry ORDER BY receipt")).all()
        heads = connection.execute(text("SELECT * FROM head ORDER BY 1, 2")).all()
    migrate(engine, to)
    with engine.connect() as connection:
        assert connection.execute(text("SELECT * FROM entry ORDER BY receipt")).all() == before
        assert connection.execute(text("SELECT * FROM head ORDER BY 1, 2")).all() == heads
        if engine.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    assert len(before) == 37
    assert version_of(engine) == to
    engine.dispose()


def test_the_migrations_make_the_tables_the_program_uses(old: Path) -> None:
    engine, writable = connect.open_engine(place_of(old))
    assert writable
    both = [tables.METADATA, people.METADATA]
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), both) == []  # type: ignore[arg-type]
        names = set(inspect(connection).get_table_names()) - {"alembic_version"}
        assert names == set(tables.METADATA.tables) | set(people.METADATA.tables)
        if engine.dialect.name == "sqlite":
            listed = connection.exec_driver_sql("PRAGMA table_list").mappings().all()
            assert {row["name"] for row in listed if row["strict"]} == names
    engine.dispose()
