"""Moving a plant there and back, backups while others write, and the restore drill."""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
import threading
import time
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import insert, select

from tests.ledger.writing import ANN, BO, CARD, a_desk, a_job
from tests.records import Raw, place_of
from whitemetal.desk import Desk, Writer, copies, photographs
from whitemetal.errors import CannotWrite, ChainBroken, InputError, LedgerError
from whitemetal.ledger import Ledger, postgres
from whitemetal.ledger.tables import METADATA
from whitemetal.people import tables as people


def picture(colour: str) -> bytes:
    out = BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return out.getvalue()


def a_plant(path: Path) -> str:
    """A record with a job of 70 entries, a photograph and an account that is signed in. Returns the job."""
    desk = a_desk(path)
    job, check = a_job(desk)
    desk.keep_instrument("M7", {"mpe": "4 µm", "note": "ÄÖ \x00 'quoted' \\ \U0001f527"}, BO)
    for number in range(60):
        seen = desk.job(job).state.heads
        desk.keep_reading(job, check, "DE top", f"0,{200 + number} mm", ANN, repeat=True)
        if number % 10 == 0:
            desk.keep_note(job, f"note {number} — ölig", Writer("Bo Lund", "laptop", 60, seen))
    photographs.keep_photograph(desk, job, picture("red"), ANN, caption="wiped land")
    with desk._ledger.writing() as pen:
        account = {
            "id": "a1", "known": "ann", "name": "Ann", "roles": "keeper", "password": "h", "key": "", "sealed": "",
            "closed": "",
        }  # fmt: skip
        pen.connection.execute(insert(people.ACCOUNT), account)
        session = {"digest": "s", "account": "a1", "device": "d", "browser": "b", "begun": 1, "used": 2}
        pen.connection.execute(insert(people.SESSION), session)
    desk.close()
    return job


def everything(where: str) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all tables of a record, in the order of their keys."""
    desk = Desk.open(where)
    tables = (*METADATA.sorted_tables, *people.METADATA.sorted_tables)
    with desk._ledger.reading() as connection:
        rows = {table.name: sorted(map(tuple, connection.execute(select(table)).all())) for table in tables}
    desk.close()
    return rows


def without_sessions(rows: dict[str, list[tuple[Any, ...]]]) -> dict[str, list[tuple[Any, ...]]]:
    return {name: of for name, of in rows.items() if name not in {t.name for t in copies.STAY_BEHIND}}


def test_a_plant_moved_there_and_back_is_the_same_to_the_last_letter(tmp_path: Path) -> None:
    """From this database to a file, from there to this database again: and a move reads as it was."""
    job = a_plant(tmp_path / "first")
    first, file, last = (
        place_of(tmp_path / "first"),
        str(tmp_path / "record.file"),
        place_of(tmp_path / "last"),
    )
    before = everything(first)
    assert len(before["entry"]) > 70 and len(before["kept_file"]) == 1 and before["people_session"]
    told: list[str] = []
    there = copies.move(first, file, lambda table, count: told.append(f"{table} {count}"))
    back = copies.move(file, last)
    assert there == back
    assert (there.walked.entries, there.files, there.walked.faults) == (len(before["entry"]), 1, ())
    assert f"entry {len(before['entry'])}" in told
    for place in (file, last):
        now = everything(place)
        assert now["people_session"] == []
        assert without_sessions(now) == without_sessions(before)
    assert everything(first) == before
    state, again = Desk.open(first), Desk.open(last)
    assert state.job(job).state == again.job(job).state
    assert again.keep_note(job, "written at the new place", ANN).entry is not None
    assert again.verify() == ()
    state.close()
    again.close()


def test_a_damaged_chain_is_not_copied(tmp_path: Path) -> None:
    job = a_plant(tmp_path / "first")
    raw = Raw(tmp_path / "first")
    raw.unlock()
    raw.execute("UPDATE entry SET content = replace(content, '0,220', '0,020') WHERE book = ?", (job,))
    raw.close()
    target = tmp_path / "record.file"
    for copy in (copies.move, copies.backup):
        with pytest.raises(ChainBroken, match=r"Entry \d+ of device phone .* was altered .*1 in all"):
            copy(place_of(tmp_path / "first"), str(target))
        assert sorted(path.name for path in tmp_path.iterdir() if ".file" in path.name) == []


@pytest.mark.sqlite_only
def test_a_page_that_holds_no_entry_is_looked_at_too(tmp_path: Path) -> None:
    """A page of an index is wiped: every entry is there and whole, and yet the file is damaged."""
    a_plant(tmp_path / "first")
    copies.backup(str(tmp_path / "first"), str(tmp_path / "whole.file"))
    with sqlite3.connect(tmp_path / "whole.file") as raw:
        ((root,),) = raw.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'opening_by_day'")
        ((size,),) = raw.execute("PRAGMA page_size")
    raw.close()
    data = bytearray((tmp_path / "whole.file").read_bytes())
    data[(root - 1) * size : root * size] = bytes(size)
    (tmp_path / "spoilt.file").write_bytes(data)
    desk = Desk.open(str(tmp_path / "spoilt.file"), read_only=True)
    (fault,) = desk.verify()
    desk.close()
    assert "The file itself is damaged" in fault.text
    for copy in (copies.backup, copies.restore):
        with pytest.raises(ChainBroken, match="The file itself is damaged"):
            copy(str(tmp_path / "spoilt.file"), str(tmp_path / "to.file"))
        assert [path.name for path in tmp_path.iterdir() if "to.file" in path.name] == []


@pytest.mark.sqlite_only
def test_what_did_not_become_whole_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_plant(tmp_path / "first")

    def full(*given: object, **named: object) -> None:
        raise CannotWrite("The disk is full")

    for name in ("open", "writing"):
        with monkeypatch.context() as patch:
            patch.setattr(Ledger, name, full)
            with pytest.raises(CannotWrite):
                copies.restore(str(tmp_path / "first"), str(tmp_path / "to.file"))
        assert [path.name for path in tmp_path.iterdir() if "to.file" in path.name] == []


def test_an_altered_photograph_is_not_copied(tmp_path: Path) -> None:
    a_plant(tmp_path / "first")
    raw = Raw(tmp_path / "first")
    raw.unlock()
    raw.execute("UPDATE kept_file SET content = ?", (b"other",))
    raw.close()
    with pytest.raises(ChainBroken, match=r"photograph .* altered"):
        copies.move(place_of(tmp_path / "first"), str(tmp_path / "record.file"))
    assert not (tmp_path / "record.file").exists()


def test_nothing_is_written_over_and_nothing_made_from_nothing(tmp_path: Path) -> None:
    a_plant(tmp_path / "first")
    a_plant(tmp_path / "other")
    first, other = place_of(tmp_path / "first"), place_of(tmp_path / "other")
    before = everything(other)
    with pytest.raises((InputError, LedgerError), match=r"not there yet|something in the record"):
        copies.move(first, other)
    assert everything(other) == before
    taken = tmp_path / "taken.file"
    taken.write_bytes(b"mine")
    for act in (copies.backup, copies.move):
        with pytest.raises(InputError, match="is ever written over"):
            act(first, str(taken))
    assert taken.read_bytes() == b"mine"
    with pytest.raises(InputError, match="a record that is there"):
        copies.restore(str(tmp_path / "nowhere"), str(tmp_path / "new.file"))
    with pytest.raises(InputError, match="a backup is one file"):
        copies.backup(first, "postgresql://here/plant")
    assert not (tmp_path / "new.file").exists()


def test_a_record_with_nothing_in_it_is_not_taken_for_one(tmp_path: Path) -> None:
    """A mistyped name of a database, kept every night, would be found out on the worst day."""
    Desk.open(place_of(tmp_path / "other")).close()
    for copy in (copies.backup, copies.move):
        with pytest.raises(LedgerError, match="nothing in the record"):
            copy(place_of(tmp_path / "other"), str(tmp_path / "b.file"))
        assert not (tmp_path / "b.file").exists()


def test_a_copy_goes_into_no_folder_that_is_not_there(tmp_path: Path) -> None:
    a_plant(tmp_path / "first")
    for copy in (copies.backup, copies.move, copies.restore):
        with pytest.raises(InputError, match=r"a file in a folder that is there; .*stick is not"):
            copy(place_of(tmp_path / "first"), str(tmp_path / "stick" / "b.file"))
    assert not (tmp_path / "stick").exists()


def test_nobody_writes_to_a_record_while_it_is_moved(tmp_path: Path) -> None:
    job = a_plant(tmp_path / "first")
    other = a_desk(tmp_path / "first", wait=0.05)
    refused: list[CannotWrite] = []

    def meanwhile(table: str, count: int) -> None:
        if table == "entry" and not refused:
            with pytest.raises(CannotWrite, match="Another program") as failed:
                other.keep_note(job, "too late", ANN)
            refused.append(failed.value)
            assert other.job(job).state.number == "J-1"

    copies.move(place_of(tmp_path / "first"), str(tmp_path / "record.file"), meanwhile)
    other.close()
    assert [error.typed for error in refused] == ["too late"]


def test_a_copy_that_pauses_for_longer_than_a_writer_may_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the copy of a large record is walked the place it came from is asked nothing for minutes."""
    monkeypatch.setattr(postgres, "HUNG", 1)
    a_plant(tmp_path / "first")
    first = place_of(tmp_path / "first")

    def slowly(table: str, count: int) -> None:
        time.sleep(1.5 if table == "entry" else 0.0)

    moved = copies.move(first, str(tmp_path / "moved.file"), slowly)
    assert moved == copies.backup(first, str(tmp_path / "backup.file"), slowly)
    assert moved == copies.restore(str(tmp_path / "backup.file"), place_of(tmp_path / "last"), slowly)


def test_the_restore_drill(tmp_path: Path) -> None:
    """A plant is backed up while two people write, then lost; from the backup all is there that was there
    when the backup began, each chain whole, and work goes on in it."""
    job = a_plant(tmp_path / "plant")
    plant, stop = place_of(tmp_path / "plant"), threading.Event()
    kept: dict[str, list[str]] = {"a": [], "b": []}

    def work(device: str) -> None:
        desk = Desk.open(plant)
        while not stop.is_set():
            entry = desk.keep_note(job, f"{device} {len(kept[device])}", Writer("Cy", device)).entry
            assert entry is not None
            kept[device].append(entry.id)
        desk.close()

    hands = [threading.Thread(target=work, args=(device,)) for device in kept]
    for hand in hands:
        hand.start()
    while min(map(len, kept.values())) < 5:
        stop.wait(0.01)
    acknowledged = {device: list(ids) for device, ids in kept.items()}
    done = copies.backup(plant, str(tmp_path / "night.file"))
    stop.set()
    for hand in hands:
        hand.join()
    raw = Raw(tmp_path / "plant")
    raw.unlock()
    for table in ("sight", "stored_fold", "listed_card", "head", "entry"):
        raw.execute(f"DELETE FROM {table}")
    raw.close()
    restored = copies.restore(str(tmp_path / "night.file"), place_of(tmp_path / "again"))
    assert restored.walked == done.walked
    desk = Desk.open(place_of(tmp_path / "again"))
    there = [entry.id for entry in desk.entries(job)]
    for device, ids in kept.items():
        of_device = [one for one in there if one in set(ids)]
        assert set(acknowledged[device]) <= set(there)
        assert of_device == ids[: len(of_device)]
    assert desk.verify() == ()
    assert len(photographs.photographs(desk, job)) == 1
    assert desk.keep_note(job, "and on", BO).entry is not None
    desk.close()


def test_a_backup_and_every_new_record_are_their_owners_alone(tmp_path: Path) -> None:
    """They hold the hashes of passwords."""
    a_plant(tmp_path / "plant")
    copies.backup(place_of(tmp_path / "plant"), str(tmp_path / "b.file"))
    copies.move(place_of(tmp_path / "plant"), str(tmp_path / "moved.file"))
    copies.restore(str(tmp_path / "b.file"), str(tmp_path / "back.file"))
    Desk.open(str(tmp_path / "new.file")).close()
    for name in ("b.file", "moved.file", "back.file", "new.file"):
        assert stat.S_IMODE(os.stat(tmp_path / name).st_mode) == 0o600, name
    assert [path.name for path in tmp_path.iterdir() if "partial" in path.name] == []


def test_a_backup_goes_onto_a_stick_that_knows_no_second_name_of_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_plant(tmp_path / "plant")

    def refused(*names: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    copies.backup(place_of(tmp_path / "plant"), str(tmp_path / "b.file"))
    assert everything(str(tmp_path / "b.file"))["entry"] == everything(place_of(tmp_path / "plant"))["entry"]
    assert [path.name for path in tmp_path.iterdir() if "partial" in path.name] == []


def test_a_backup_opens_as_it_is(tmp_path: Path) -> None:
    a_plant(tmp_path / "plant")
    copies.backup(place_of(tmp_path / "plant"), str(tmp_path / "b.file"))
    copy = Desk.open(str(tmp_path / "b.file"))
    assert copy.card_text(copy.plant()[0].bearings[0].card) == CARD
    copy.close()
