"""Many entries taken in at once end as if each had come alone, in whatever order and company they arrive."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from tests.ledger.writing import CARD, Device, a_desk, all_of
from whitemetal.desk import Desk, Writer
from whitemetal.errors import ChainBroken
from whitemetal.job.entry import Entry, canonical, content, digest_of, from_json
from whitemetal.job.picture import fold


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record")
    yield opened
    opened.close()


def two_devices(length: int = 30) -> list[Entry]:
    """Entries of one job by two devices that saw each other now and then."""
    ann, bo = Device("ann"), Device("bo")
    ann.open()
    for number in range(length):
        ann.read("DE top", f"0.{200 + number} mm", *([bo] if number % 3 == 0 else []), repeat="yes")
        bo.write("note/1", {"text": f"note {number}"}, *([ann] if number % 4 == 0 else []))
    return all_of(ann, bo)


@pytest.mark.parametrize("seed", range(4))
def test_whatever_the_order_and_the_lots_the_record_is_the_same(
    desk: Desk, tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    entries = two_devices()
    shuffled = entries + chance.sample(entries, 10)
    chance.shuffle(shuffled)
    waiting: list[Entry] = []
    while shuffled:
        size = chance.randint(1, 15)
        waiting = list(desk.receive([*waiting, *shuffled[:size]]))
        shuffled = shuffled[size:]
    assert waiting == []
    whole = a_desk(tmp_path / "whole")
    assert whole.receive(entries) == ()
    assert fold(whole.entries("job")) == fold(desk.entries("job")) == fold(entries)
    assert {e.digest for e in desk.entries("job")} == {e.digest for e in entries}
    assert desk.verify() == whole.verify() == ()
    with desk._ledger.reading() as one, whole._ledger.reading() as other:
        rows = [
            connection.exec_driver_sql(
                "SELECT e.id, s.clock FROM entry e JOIN sight s ON s.receipt = e.receipt ORDER BY e.id"
            ).fetchall()
            for connection in (one, other)
        ]
    whole.close()
    assert [(row[0], sorted(json.loads(row[1]).items())) for row in rows[0]] == [
        (row[0], sorted(json.loads(row[1]).items())) for row in rows[1]
    ]


def test_it_can_be_written_on_after(desk: Desk) -> None:
    plant = Device("plant-hand", "plant")
    plant.write("bearing/1", {"bearing": "b", "machine": "TM-1", "position": "drive end"})
    plant.write("job/1", {"job": "job", "bearing": "b", "number": "J1", "title": "opening"})
    card = Device("card-hand", "b")
    card.write("card/1", {"card": "d" * 64, "typed": CARD})
    assert desk.receive(all_of(plant, card) + two_devices(5)) == ()
    assert [(m.tag, [j.number for b in m.bearings for j in b.jobs]) for m in desk.plant()] == [
        ("TM-1", ["J1"])
    ]
    assert desk.keep_note("job", "and on", Writer("Ann", "ann")).entry is not None
    assert desk.entries("job")[-1].seq == 9
    assert desk.verify() == ()


def test_a_bad_one_among_many_keeps_none(desk: Desk) -> None:
    entries = two_devices()
    for spoil in (
        {**content(entries[20]), "at": "2020-01-01T00:00:00.000Z", "digest": entries[20].digest},
        {**content(entries[20]), "id": "other"},
    ):
        if "digest" not in spoil:
            spoil["digest"] = digest_of(from_json({**spoil, "digest": ""}))
        with pytest.raises(ChainBroken):
            desk.receive([*entries[:20], from_json(spoil), *entries[20:]])
        assert desk.entries("job") == ()


def test_a_thousand_entries_are_not_a_thousand_questions(desk: Desk) -> None:
    asked: list[str] = []
    event.listen(
        desk._ledger.engine,
        "before_cursor_execute",
        lambda c, cursor, statement, *more: asked.append(statement),
    )
    assert desk.receive(two_devices(500)) == ()
    assert len(desk.entries("job")) == 1003
    assert len(asked) < 40


NAMES = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | NAMES | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@pytest.mark.sqlite_only
@settings(max_examples=400)
@given(st.dictionaries(NAMES, VALUES, max_size=5), NAMES)
def test_the_quick_way_to_the_canonical_form_is_the_canonical_form(body: dict[str, Any], name: str) -> None:
    """Against an independent library that does nothing else."""
    entry = Entry("i", "b", name, "d", 1, "", (), "t", 0, {"name": name}, body, "")
    assert canonical(entry) == rfc8785.dumps(content(entry))


@pytest.mark.sqlite_only
def test_names_beyond_sixteen_bits_are_sorted_as_the_standard_says() -> None:
    """U+FB33 comes after U+1F600 there, whose first unit is D83D: RFC 8785, 3.2.3, its own example."""
    body = {"\ufb33": 1, "\U0001f600": 2}
    text = canonical(Entry("i", "b", "k", "d", 1, "", (), "t", 0, {}, body, "")).decode()
    assert text.index("\U0001f600") < text.index("\ufb33")
