"""The walk along the chains names the first altered or missing entry of each device."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, BO, a_desk, a_job
from tests.records import Raw
from whitemetal.desk import Desk, Writer
from whitemetal.errors import ChainBroken
from whitemetal.job.entry import Entry, content, digest_of, from_json
from whitemetal.ledger import Fault


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.sqlite3"


@pytest.fixture
def job(path: Path) -> str:
    """A job in which Ann's phone wrote 9 entries and Bo's laptop 6, each seeing the other's."""
    desk = a_desk(path)
    job, _ = a_job(desk)
    for number in range(6):
        for writer in (ANN, BO):
            seen = desk.job(job).state.heads
            desk.keep_note(job, f"note {number}", Writer(writer.name, writer.device, 0, seen))
    assert desk.verify() == ()
    walked = desk.walk(job)
    assert (walked.books, walked.chains, walked.entries) == (1, 2, 15)
    desk.close()
    return job


@pytest.fixture
def raw(path: Path, job: str) -> Iterator[Raw]:
    """The record, opened by somebody who does not keep to the rules."""
    database = Raw(path)
    database.unlock()
    yield database
    database.close()


def found(path: Path, book: str | None = None) -> list[tuple[str, int, str]]:
    desk = a_desk(path)
    faults = desk.verify(book)
    desk.close()
    assert all(str(fault.seq) in fault.text or "list of last" in fault.text for fault in faults)
    return [(fault.device, fault.seq, fault.what) for fault in faults]


def change(raw: Raw, job: str, seq: int, alter: Callable[[str], str]) -> None:
    where = "book = ? AND device = 'phone' AND seq = ?"
    ((text,),) = raw.rows(f"SELECT content FROM entry WHERE {where}", (job, seq))
    raw.execute(f"UPDATE entry SET content = ? WHERE {where}", (alter(text), job, seq))


def test_entries_cannot_be_changed_by_an_honest_hand(path: Path, job: str) -> None:
    database = Raw(path)
    for attempt in ("UPDATE entry SET content = 'x'", "DELETE FROM entry"):
        with pytest.raises(Exception, match="never changed"):
            database.execute(attempt)
    database.close()


def test_an_altered_text_is_named(path: Path, job: str, raw: Raw) -> None:
    change(raw, job, 5, lambda text: text.replace("note 1", "note 7"))
    assert found(path) == [("phone", 5, "altered")]
    assert found(path, "plant") == []


@pytest.mark.parametrize("column", ["id", "kind", "device", "book"])
def test_an_altered_column_is_named(path: Path, job: str, raw: Raw, column: str) -> None:
    raw.execute(f"UPDATE entry SET {column} = 'x' WHERE book = ? AND device = 'laptop' AND seq = 6", (job,))
    assert ("laptop", 6) in {(device, seq) for device, seq, _ in found(path)}


def test_what_is_no_entry_any_more_is_named(path: Path, job: str, raw: Raw) -> None:
    change(raw, job, 4, lambda _: "{not json")
    faults = found(path)
    assert faults == [("phone", 4, "altered")]


@pytest.mark.parametrize("seq", [1, 4, 9])
def test_a_missing_entry_is_named_first_middle_or_last(path: Path, job: str, raw: Raw, seq: int) -> None:
    raw.execute("DELETE FROM entry WHERE book = ? AND device = 'phone' AND seq = ?", (job, seq))
    assert ("phone", seq, "missing") in found(path)


def test_a_whole_chain_gone_is_named(path: Path, job: str, raw: Raw) -> None:
    raw.execute("DELETE FROM entry WHERE book = ? AND device = 'laptop'", (job,))
    assert ("laptop", 1, "missing") in found(path)
    raw.execute("DELETE FROM head WHERE book = ? AND device = 'laptop'", (job,))
    assert [(device, what) for device, _, what in found(path)] == [("phone", "missing")]


def test_two_entries_swapped_are_named(path: Path, job: str, raw: Raw) -> None:
    raw.execute("UPDATE entry SET seq = -5 WHERE book = ? AND device = 'phone' AND seq = 5", (job,))
    raw.execute("UPDATE entry SET seq = 5 WHERE book = ? AND device = 'phone' AND seq = 6", (job,))
    raw.execute("UPDATE entry SET seq = 6 WHERE book = ? AND device = 'phone' AND seq = -5", (job,))
    assert found(path) == [("phone", 5, "altered")]


def test_an_entry_forged_with_its_own_digest_breaks_the_next(path: Path, job: str, raw: Raw) -> None:
    row = "book = ? AND device = 'phone' AND seq = 5"
    ((text,),) = raw.rows(f"SELECT content FROM entry WHERE {row}", (job,))
    forged = text.replace("note 1", "note 7")
    digest = digest_of(from_json({**json.loads(forged), "digest": ""}))
    raw.execute(f"UPDATE entry SET content = ?, digest = ? WHERE {row}", (forged, digest, job))
    faults = found(path)
    assert ("phone", 6, "altered") in faults
    assert [what for device, _, what in faults if device == "laptop"] == ["missing"]


def test_the_first_fault_of_each_device_is_named(path: Path, job: str, raw: Raw) -> None:
    change(raw, job, 5, lambda text: text.replace("note 1", "note 7"))
    change(raw, job, 7, lambda text: text.replace("note 3", "note 7"))
    raw.execute("DELETE FROM entry WHERE book = ? AND device = 'laptop' AND seq = 6", (job,))
    assert found(path) == [("laptop", 6, "missing"), ("phone", 5, "altered")]


def test_a_head_that_does_not_fit_its_chain_is_named(path: Path, job: str, raw: Raw) -> None:
    ((digest,),) = raw.rows(
        "SELECT digest FROM entry WHERE book = ? AND device = 'phone' AND seq = 8", (job,)
    )
    raw.execute("UPDATE head SET seq = 8, digest = ? WHERE book = ? AND device = 'phone'", (digest, job))
    assert found(path) == [("phone", 9, "altered")]


# ---- entries written elsewhere


@pytest.fixture
def elsewhere(path: Path, job: str) -> list[Entry]:
    desk = a_desk(path)
    entries = list(desk.entries(job))
    desk.close()
    return entries


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "other.sqlite3")
    yield opened
    opened.close()


def test_entries_may_arrive_in_any_order_and_twice(desk: Desk, elsewhere: list[Entry]) -> None:
    assert desk.receive(elsewhere[::-1]) == ()
    assert desk.receive(elsewhere) == ()
    assert sorted(entry.id for entry in desk.entries(elsewhere[0].book)) == sorted(e.id for e in elsewhere)
    assert desk.verify() == ()


def test_an_entry_whose_links_are_missing_waits(desk: Desk, elsewhere: list[Entry]) -> None:
    waiting = desk.receive([elsewhere[0], *elsewhere[5:]])
    assert {entry.id for entry in waiting} == {entry.id for entry in elsewhere[5:]}
    assert desk.receive(elsewhere[1:5]) == ()
    assert desk.receive(waiting) == ()
    assert len(desk.entries(elsewhere[0].book)) == len(elsewhere)


def test_an_altered_entry_is_refused_and_the_whole_lot_with_it(desk: Desk, elsewhere: list[Entry]) -> None:
    bad = {**content(elsewhere[4]), "at": "2020-01-01T00:00:00.000Z", "digest": elsewhere[4].digest}
    with pytest.raises(ChainBroken, match="is not the entry that was written"):
        desk.receive([*elsewhere[:4], from_json(bad)])
    assert desk.entries(elsewhere[0].book) == ()


def test_a_second_entry_at_the_same_place_of_a_chain_is_refused(desk: Desk, elsewhere: list[Entry]) -> None:
    desk.receive(elsewhere)
    fork = from_json({**content(elsewhere[-1]), "id": "z" * 26, "digest": ""})
    fork = from_json({**content(fork), "digest": digest_of(fork)})
    with pytest.raises(ChainBroken, match="contradicts"):
        desk.receive([fork])
    assert len(desk.entries(elsewhere[0].book)) == len(elsewhere)


def test_a_fault_carries_where_it_is(path: Path, job: str, raw: Raw) -> None:
    change(raw, job, 5, lambda text: text.replace("note 1", "note 7"))
    desk = a_desk(path)
    (fault,) = desk.verify(job)
    desk.close()
    assert isinstance(fault, Fault)
    assert fault.book == job
    assert fault.entry in fault.text
