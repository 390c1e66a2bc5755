"""Photographs of a job: stored once whatever they are of, named when altered, never changed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.desk.pictures import as_jpeg, pattern
from tests.ledger.writing import ANN, BO, a_desk, a_job
from whitemetal.desk import Desk
from whitemetal.desk.photographs import keep_photograph, photographs
from whitemetal.desk.picture_file import developed
from whitemetal.errors import ChainBroken, InputError, UnknownBook
from whitemetal.job.entry import from_json
from whitemetal.job.picture import fold
from whitemetal.ledger.files import KeptFile

GOLDEN = Path(__file__).parents[1] / "golden" / "entries-v1-photo.jsonl"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def test_the_same_picture_twice_is_stored_once_and_nothing_is_lost(desk: Desk) -> None:
    job, check = a_job(desk)
    sent = as_jpeg(pattern(400, 300))
    first = keep_photograph(desk, job, sent, ANN, of=check, caption="match mark")
    again = keep_photograph(desk, job, sent, ANN, of=check, caption="match mark")
    silent = keep_photograph(desk, job, sent, BO, of=check)
    other = keep_photograph(desk, job, sent, BO, of=check, caption="the same, seen by another")
    placed = keep_photograph(desk, job, sent, BO, of=check, place="DE top")
    assert first.entry is not None and again.entry == first.entry == silent.entry
    assert other.entry is not None and other.entry.id != first.entry.id
    assert placed.entry is not None
    found = photographs(desk, job)
    assert sorted(one.caption for one, _ in found) == ["", "match mark", "the same, seen by another"]
    assert len({file.digest for _, file in found if file is not None}) == 1
    assert len(list(desk.files.all())) == 1
    desk.strike(job, first.entry.id, "wrong machine", ANN)
    anew = keep_photograph(desk, job, sent, ANN, of=check, caption="match mark")
    assert anew.entry is not None and anew.entry.id != first.entry.id
    assert len(list(desk.files.all())) == 1


def test_a_photograph_says_what_it_is_of(desk: Desk) -> None:
    job, check = a_job(desk)
    note = desk.keep_note(job, "wiped at the drive end", ANN).entry
    assert note is not None
    sent = as_jpeg(pattern(400, 300), offset="-03:30")
    keep_photograph(desk, job, sent, ANN, of=note.id, caption=" looking up ")
    (one,) = desk.job(job).state.photographs
    assert (one.of, one.place, one.caption, one.by) == (note.id, "", "looking up", "Ann Dale")
    assert (one.taken, one.width, one.height) == ("2026-03-02T07:39:25-03:30", 400, 300)
    for of, place, field in (("nothing", "", "of"), (check, "DE bottom", "place"), ("", "DE top", "check")):
        with pytest.raises(InputError) as told:
            keep_photograph(desk, job, sent, ANN, of=of, place=place)
        assert [problem.field for problem in told.value.problems] == [field]
    with pytest.raises(InputError):
        keep_photograph(desk, job, sent, ANN, caption="x" * 401)
    with pytest.raises(UnknownBook):
        keep_photograph(desk, "NONE", sent, ANN)
    assert len(desk.job(job).state.photographs) == 1
    assert desk.verify() == ()


def test_a_struck_photograph_stays_visible_and_is_not_printed(desk: Desk) -> None:
    job, _ = a_job(desk)
    kept = keep_photograph(desk, job, as_jpeg(pattern(400, 300)), ANN).entry
    assert kept is not None
    desk.strike(job, kept.id, "another bearing", BO)
    (one,) = desk.job(job).state.photographs
    assert one.struck == "struck by Bo Lund: another bearing"
    assert photographs(desk, job) == ()


def test_the_device_tells_the_time_where_the_picture_does_not(desk: Desk) -> None:
    job, _ = a_job(desk)
    silent, telling = as_jpeg(pattern(40, 30), taken="none"), as_jpeg(pattern(40, 30))
    by_device = "2026-03-01T06:00:00.125Z"
    keep_photograph(desk, job, silent, ANN, taken=by_device)
    keep_photograph(desk, job, telling, ANN, taken=by_device)
    keep_photograph(desk, job, silent, ANN, taken="", caption="again")
    taken = [one.taken for one in desk.job(job).state.photographs]
    assert taken == ["2026-03-01T06:00:00Z", "2026-03-02T07:39:25", ""]
    for wrong in ("yesterday", "2026-13-01T06:00:00Z", "1970-01-01T00:00:00Z", "2026-03-01"):
        with pytest.raises(InputError) as told:
            keep_photograph(desk, job, silent, ANN, taken=wrong)
        assert [(problem.field, problem.typed) for problem in told.value.problems] == [("taken", wrong)]


def test_an_id_made_on_the_device_changes_nothing_the_second_time(desk: Desk) -> None:
    job, _ = a_job(desk)
    sent = as_jpeg(pattern(400, 300))
    first = keep_photograph(desk, job, sent, ANN, id="phone1")
    assert first.entry is not None and first.entry.id == "phone1"
    other = keep_photograph(desk, job, as_jpeg(pattern(300, 300)), ANN, id="phone1")
    assert other.problem is not None
    assert len(desk.job(job).state.photographs) == 1


@pytest.mark.sqlite_only
def test_an_altered_file_is_named_and_none_is_ever_changed(desk: Desk, tmp_path: Path) -> None:
    job, _ = a_job(desk)
    kept = keep_photograph(desk, job, as_jpeg(pattern(400, 300)), ANN).entry
    assert kept is not None
    digest = kept.body["digest"]
    database = sqlite3.connect(tmp_path / "record.sqlite3")
    for change in ("UPDATE kept_file SET content = x'00'", "DELETE FROM kept_file"):
        with pytest.raises(sqlite3.IntegrityError, match="files are never changed"):
            database.execute(change)
    database.execute("DROP TRIGGER kept_file_never_update")
    database.execute("UPDATE kept_file SET content = x'00'")
    database.commit()
    database.close()
    with pytest.raises(ChainBroken, match=digest[:12]):
        desk.files.of(digest)
    with pytest.raises(ChainBroken):
        photographs(desk, job)
    (fault,) = desk.verify()
    assert (fault.entry, fault.what, fault.book) == (kept.id, "altered", job)
    assert digest[:12] in fault.text
    assert desk.verify(desk.job(job).state.bearing) == ()


def test_a_file_is_taken_in_only_under_its_own_digest(desk: Desk) -> None:
    made = developed(as_jpeg(pattern(400, 300))).file
    with pytest.raises(ChainBroken):
        desk.files.keep(replace(made, digest="0" * 64))
    with pytest.raises(ChainBroken):
        desk.files.keep(replace(made, media="text/html"))
    assert desk.files.here([made.digest]) == frozenset()
    assert desk.files.keep(made) is True
    assert desk.files.keep(KeptFile(made.digest, made.content, b"another small one")) is False
    assert desk.files.of(made.digest) == made
    assert desk.files.thumbnails([made.digest, "0" * 64]) == {made.digest: made.thumbnail}
    assert list(desk.files.all()) == [made]


def test_an_entry_may_come_before_its_file(desk: Desk, tmp_path: Path) -> None:
    job, _ = a_job(desk)
    keep_photograph(desk, job, as_jpeg(pattern(400, 300)), ANN)
    elsewhere = a_desk(tmp_path / "elsewhere.sqlite3")
    bearing = desk.job(job).state.bearing
    for book in ("plant", bearing, job):
        assert elsewhere.receive(desk.entries(book)) == ()
    assert [file for _, file in photographs(elsewhere, job)] == [None]
    (fault,) = elsewhere.verify()
    assert (fault.what, fault.entry) == ("missing", desk.job(job).state.photographs[0].entry)
    for file in desk.files.all():
        elsewhere.files.keep(file)
    assert photographs(elsewhere, job) == photographs(desk, job)
    assert elsewhere.verify() == ()
    elsewhere.close()


def test_the_golden_photographs_read_as_they_were_written() -> None:
    lines = GOLDEN.read_text(encoding="utf-8").splitlines()
    state = fold([from_json(json.loads(line)) for line in lines])
    shown = [(one.digest[:8], one.place, one.caption, one.taken, one.struck) for one in state.photographs]
    assert sorted(shown) == [
        ("61c7f8f9", "", "from the aisle", "", "struck by Bo Lund: another machine"),
        ("8d896828", "", "the same once more, of the whole check", "2026-03-02T07:39:25+01:00", ""),
        ("8d896828", "DE top", "match mark, drive end", "2026-03-02T07:39:25+01:00", ""),
    ]
    assert state.unknown == ()
