"""A record opened for reading only although it could be written: nothing is made, migrated or written."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.ledger.writing import ANN, a_desk, a_job
from tests.records import Raw, place_of
from whitemetal.desk import Desk
from whitemetal.errors import CannotWrite, NewerDatabase


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record"


def test_it_shows_what_others_write_meanwhile_and_writes_nothing(path: Path) -> None:
    writes = a_desk(path)
    job, check = a_job(writes)
    reads = Desk.open(str(path), read_only=True)
    assert not reads.writable and reads.job(job).state.notes == ()
    writes.keep_note(job, "oil dark", ANN)
    assert [note.text for note in reads.job(job).state.notes] == ["oil dark"]
    with pytest.raises(CannotWrite, match="for reading only") as refused:
        reads.keep_reading(job, check, "DE top", "0.212 mm", ANN)
    assert refused.value.typed == "0.212 mm" and "0.212 mm" in str(refused.value)
    assert len(reads.plant()) == 1 and reads.verify() == ()
    writes.close()
    assert reads.walk().entries == 7
    reads.close()


def test_old_and_new_tables_are_left_alone(path: Path) -> None:
    a_desk(path).close()
    raw = Raw(path)
    for found, kind, words in (
        ("0003", CannotWrite, "older version"),
        ("0099", NewerDatabase, "tables 0099"),
    ):
        raw.execute("UPDATE alembic_version SET version_num = ?", (found,))
        with pytest.raises(kind, match=words):
            Desk.open(str(path), read_only=True)
        assert raw.rows("SELECT version_num FROM alembic_version") == [(found,)]
    raw.close()


def test_where_there_is_no_record_none_is_made(path: Path, kept_in: str) -> None:
    where = place_of(path, like="template1")
    with pytest.raises(CannotWrite, match="There is no record here"):
        Desk.open(where, read_only=True)
    if kept_in == "sqlite":
        assert not path.exists()
        path.touch()
        with pytest.raises(CannotWrite, match="There is no record here"):
            Desk.open(where, read_only=True)
        assert path.stat().st_size == 0
