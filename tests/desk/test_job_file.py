"""A job carried by stick: out, in elsewhere, written on at both places, and back; and files that are none."""

from __future__ import annotations

import hashlib
import io
import json
import random
import tracemalloc
import zipfile
from collections.abc import Callable, Iterator
from datetime import timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.ledger.writing import ANN, BO, CARD, a_desk, a_job
from tests.web.client import TestClient
from whitemetal.desk import Desk, Writer, photographs
from whitemetal.desk.cards_apart import cards_apart
from whitemetal.desk.job_file import bring, job_file, read_job_file
from whitemetal.desk.sending import sending
from whitemetal.errors import ChainBroken, InputError, WhitemetalError
from whitemetal.job.entry import digest_of, from_json, read_entry
from whitemetal.web.app import make_app

CY = Writer("Cy Holm", "office")


def picture(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "plant")
    yield opened
    opened.close()


@pytest.fixture
def mill(tmp_path: Path) -> Iterator[Desk]:
    """A plant that has no network; its ids are its own."""
    opened = a_desk(tmp_path / "mill")
    numbers = count(1)
    opened._ids = lambda: f"m{next(numbers):05d}"
    yield opened
    opened.close()


@pytest.fixture
def job(desk: Desk) -> str:
    job, check = a_job(desk)
    desk.keep_instrument("M7", {"mpe": "4 µm", "anvil": "ball"}, ANN)
    desk.keep_reading(job, check, "DE top", "0.212 mm", ANN, instrument="M7")
    photographs.keep_photograph(desk, job, picture("red"), ANN, caption="as found")
    return job


def books(desk: Desk, job: str) -> tuple[str, str]:
    return job, desk.job(job).state.bearing


def test_a_job_is_the_same_elsewhere(desk: Desk, mill: Desk, job: str) -> None:
    data = job_file(desk, job)
    assert job_file(desk, job) == data
    brought = bring(mill, data, CY)
    assert (brought.job, brought.new, brought.entries, brought.photographs, brought.notes) == (
        job,
        6,
        6,
        1,
        (),
    )
    assert mill.job(job).state == desk.job(job).state
    assert mill.job(job).card == desk.job(job).card
    assert mill.instruments()["M7"] == {"mpe": "4 µm", "anvil": "ball"}
    assert [machine.tag for machine in mill.plant()] == ["TM-31-F02"]
    (shown, file) = photographs.photographs(mill, job)[0]
    assert (shown.caption, file is not None and file.content) == (
        "as found", photographs.photographs(desk, job)[0][1].content,  # type: ignore[union-attr]
    )  # fmt: skip
    assert mill.verify() == ()
    assert [e.by["name"] for e in mill.entries("plant") if e.kind == "brought/1"] == ["Cy Holm"]


def test_a_job_brought_by_a_request_that_comes_again_is_there_once(desk: Desk, mill: Desk, job: str) -> None:
    for new in (6, 0):
        with sending("a job by stick"):
            assert bring(mill, job_file(desk, job), CY).new == new
    assert [one.kind for one in mill.entries("plant")] == ["bearing/1", "job/1", "instrument/1", "brought/1"]


def test_the_same_file_again_changes_nothing(desk: Desk, mill: Desk, job: str) -> None:
    data = job_file(desk, job)
    bring(mill, data, CY)
    before = mill.entries("plant")
    again = bring(mill, data, CY)
    assert (again.new, again.photographs) == (0, 0)
    assert mill.entries("plant") == before


def test_what_was_written_at_both_places_ends_the_same_at_both(desk: Desk, mill: Desk, job: str) -> None:
    """Both wrote unaware of each other: the note of each is at both, and the two readings of one place are
    shown as a contradiction, whoever's clock was later."""
    bring(mill, job_file(desk, job), CY)
    (check,) = desk.job(job).state.checks
    desk.keep_reading(job, check, "OE top", "0.214 mm", BO)
    desk.keep_note(job, "at home", BO)
    mill.keep_reading(job, check, "OE top", "0.241 mm", CY)
    mill.keep_note(job, "at the mill", CY)
    there, here = job_file(mill, job), job_file(desk, job)
    assert (bring(desk, there, BO).new, bring(mill, here, CY).new) == (2, 2)
    states = [one.job(job).state for one in (desk, mill)]
    assert states[0] == states[1]
    assert {note.text for note in states[0].notes} == {"at home", "at the mill"}
    assert len(states[0].checks[check].contradictions) == 1
    assert desk.verify() == mill.verify() == ()


def test_another_card_at_the_same_place_and_other_facts_are_said(desk: Desk, mill: Desk, job: str) -> None:
    a_job(mill)
    mill.keep_instrument("M7", {"mpe": "2 µm"}, CY)
    notes = bring(mill, job_file(desk, job), CY).notes
    assert len(notes) == 2
    assert "another card here" in notes[0] and "M7 has other facts" in notes[1]
    assert mill.instruments()["M7"] == {"mpe": "2 µm"}


def test_two_revisions_of_a_card_made_apart_are_shown_until_a_person_keeps_one(
    desk: Desk, mill: Desk, job: str
) -> None:
    """The clock of neither decides; a third revision, whose writer has seen both, ends it."""
    bearing = desk.job(job).state.bearing
    bring(mill, job_file(desk, job), CY)
    assert cards_apart(desk, bearing) == cards_apart(mill, bearing) == ""
    desk.keep_card(CARD.replace("0.25 mm", "0.26 mm"), BO)
    mill.keep_card(CARD.replace("0.25 mm", "0.45 mm"), CY)
    there, here = job_file(mill, job), job_file(desk, job)
    notes = bring(desk, there, BO).notes, bring(mill, here, CY).notes
    assert notes == ((cards_apart(desk, bearing),), (cards_apart(mill, bearing),))
    assert desk.bearing(bearing).card == mill.bearing(bearing).card
    said = cards_apart(desk, bearing)
    assert said == cards_apart(mill, bearing) and "Bo" in said and "Cy Holm" in said
    assert said.index(desk.bearing(bearing).card.digest[:8]) > said.index("; "), "the one named last"
    page = TestClient(make_app(desk)).get(f"/bearings/{bearing}").text
    assert "Two revisions of this card" in page
    desk.keep_card(CARD.replace("0.25 mm", "0.27 mm"), BO)
    assert cards_apart(desk, bearing) == ""


def test_a_clock_that_was_wrong_elsewhere_is_said_and_decides_nothing(
    desk: Desk, mill: Desk, job: str
) -> None:
    """The mill's laptop was a year ahead, then put right: its two notes are in the order they were written."""
    bring(mill, job_file(desk, job), CY)
    right = mill._clock
    mill._clock = lambda: right() + timedelta(days=365)
    mill.keep_note(job, "first", CY)
    mill._clock = right
    mill.keep_note(job, "second", CY)
    brought = bring(desk, job_file(mill, job), BO)
    ahead, back = brought.notes
    assert "clock: 1 of its entries" in ahead and "Cy Holm" in ahead
    assert "earlier: 1 of its entries" in back
    assert [note.text for note in desk.job(job).state.notes][-2:] == ["first", "second"]
    assert desk.verify() == ()


# ---- files that are none


def opened(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def packed(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in parts.items():
            file.writestr(name, data)
    return out.getvalue()


def lines(parts: dict[str, bytes], name: str = "job.jsonl") -> list[dict[str, Any]]:
    return [json.loads(line) for line in parts[name].splitlines()]


def put_back(parts: dict[str, bytes], entries: list[dict[str, Any]], name: str = "job.jsonl") -> None:
    parts[name] = b"\n".join(json.dumps(one).encode() for one in entries)


def sealed(value: dict[str, Any]) -> dict[str, Any]:
    """The entry with the digest it would have."""
    return {**value, "digest": digest_of(from_json(value))}


def altered(parts: dict[str, bytes]) -> None:
    parts["job.jsonl"] = parts["job.jsonl"].replace(b"0.212 mm", b"0.112 mm")


def with_a_hole(parts: dict[str, bytes]) -> None:
    entries = lines(parts)
    put_back(parts, entries[:2] + entries[3:])


def into_the_plant(parts: dict[str, bytes]) -> None:
    parts["job.json"] = parts["job.json"].replace(b'"bearing": "n', b'"bearing": "plant", "x": "')


def roles_into_people(parts: dict[str, bytes]) -> None:
    put_back(parts, [*lines(parts), sealed({**lines(parts)[0], "book": "people", "kind": "roles/1"})])


def a_machine_renamed(parts: dict[str, bytes]) -> None:
    entries = lines(parts)
    body = {"bearing": entries[0]["body"]["bearing"], "machine": "X", "position": "Y"}
    last = entries[-1]
    new = {
        **last,
        "id": "z",
        "seq": last["seq"] + 1,
        "prev": last["digest"],
        "kind": "bearing/1",
        "body": body,
    }
    put_back(parts, [*entries, sealed(new)])


def a_path_out(parts: dict[str, bytes]) -> None:
    parts["photographs/../../etc/passwd.jpg"] = b"x"


def another_picture(parts: dict[str, bytes]) -> None:
    (name,) = [name for name in parts if name.startswith("photographs/")]
    parts[name] = picture("blue")


def no_picture(parts: dict[str, bytes]) -> None:
    (name,) = [name for name in parts if name.startswith("photographs/")]
    data = b"\xff\xd8 not a picture"
    del parts[name]
    parts[f"photographs/{hashlib.sha256(data).hexdigest()}.jpg"] = data


def a_float(parts: dict[str, bytes]) -> None:
    put_back(parts, [{**one, "body": {**one["body"], "x": 0.5}} for one in lines(parts)])


def a_number_as_text(parts: dict[str, bytes]) -> None:
    put_back(parts, [{**one, "seq": str(one["seq"])} for one in lines(parts)])


def brackets(parts: dict[str, bytes]) -> None:
    parts["job.jsonl"] = b'{"id":' + b"[" * 100_000 + b"\n"


def another_format(parts: dict[str, bytes]) -> None:
    parts["job.json"] = parts["job.json"].replace(b"whitemetal.job/1", b"whitemetal.job/9")


def no_card(parts: dict[str, bytes]) -> None:
    parts["bearing.jsonl"] = b""


BAD: dict[Callable[[dict[str, bytes]], None], str] = {
    altered: "is not the entry that was written", with_a_hole: "missing from the file",
    into_the_plant: "name of a job's or a bearing's book", roles_into_people: "entries of this book only",
    a_machine_renamed: "kinds that belong there", a_path_out: "only what the file of a job holds",
    another_picture: "what its name says", no_picture: "photograph", a_float: "a float loses", a_number_as_text: "as seq",
    brackets: "JSON", another_format: "format whitemetal.job/1", no_card: "an entry a line",
}  # fmt: skip


@pytest.mark.parametrize("spoil", BAD, ids=lambda one: one.__name__)
def test_a_spoiled_file_is_refused_whole(
    desk: Desk, mill: Desk, job: str, spoil: Callable[[dict[str, bytes]], None]
) -> None:
    parts = opened(job_file(desk, job))
    spoil(parts)
    with pytest.raises((InputError, ChainBroken), match=BAD[spoil]):
        bring(mill, packed(parts), CY)
    assert mill.plant() == () and mill.entries(job) == () and mill.entries("plant") == ()
    assert list(mill.files.all()) == []


def test_a_bomb_is_not_unpacked() -> None:
    """300 MB of nothing in 300 kB, under a name that belongs there."""
    bomb = packed({"job.json": b"\0" * (300 * 1024 * 1024)})
    assert len(bomb) < 1_000_000
    with pytest.raises(InputError, match="at most 200 MB, packed and unpacked"):
        read_job_file(bomb)


def test_no_more_of_a_bomb_is_read_than_is_accepted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 64 MB under one name no more than the bound of 1 MB comes into memory, a few times over."""
    bomb = packed({"job.json": b"\0" * (64 * 1024 * 1024)})
    monkeypatch.setattr("whitemetal.desk.job_file.MOST_BYTES", 1024 * 1024)
    tracemalloc.start()
    try:
        with pytest.raises(InputError, match="packed and unpacked"):
            read_job_file(bomb)
        assert tracemalloc.get_traced_memory()[1] < 16 * 1024 * 1024
    finally:
        tracemalloc.stop()


@pytest.mark.sqlite_only
@settings(max_examples=150)
@given(st.binary(max_size=200))
def test_any_bytes_are_refused_in_words(data: bytes) -> None:
    with pytest.raises(InputError):
        read_job_file(data)


@pytest.mark.parametrize("seed", range(40))
def test_a_file_with_flipped_bytes_is_refused_in_words_or_is_the_same(
    desk: Desk, mill: Desk, job: str, seed: int
) -> None:
    data = bytearray(job_file(desk, job))
    chance = random.Random(seed)
    for _ in range(chance.randint(1, 4)):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    try:
        bring(mill, bytes(data), CY)
    except WhitemetalError:
        assert mill.entries(job) == ()
    else:
        assert mill.job(job).state == desk.job(job).state


SHAPES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip
PARTS = ("id", "book", "kind", "device", "seq", "prev", "after", "at", "offset", "by", "body", "digest")
GOOD = {
    "id": "a", "book": "j", "kind": "note/1", "device": "d", "seq": 1, "prev": "", "after": [],
    "at": "2026-03-02T07:15:30.250Z", "offset": 60, "by": {"name": "Ann"}, "body": {"text": "x"}, "digest": "d",
}  # fmt: skip


@pytest.mark.sqlite_only
@settings(max_examples=400)
@given(st.sampled_from(PARTS), SHAPES)
def test_an_entry_of_any_shape_is_read_or_refused(part: str, shape: object) -> None:
    try:
        entry = read_entry({**GOOD, part: shape})
    except InputError:
        return
    assert digest_of(entry)
    assert type(entry.seq) is int and entry.seq > 0
    assert all(isinstance(text, str) for text in (*entry.after, *entry.by.values(), entry.at))


@pytest.mark.sqlite_only
def test_a_good_entry_is_read() -> None:
    assert read_entry(GOOD).body == {"text": "x"}
    for wrong in (
        {"at": "2026-02-30T07:15:30.250Z"},
        {"at": "yesterday"},
        {"offset": 1441},
        {"seq": True},
        {"more": 1},
    ):
        with pytest.raises(InputError):
            read_entry({**GOOD, **wrong})


def test_a_job_brought_under_a_number_that_is_used_here_is_said(desk: Desk, mill: Desk, job: str) -> None:
    """A second job was opened at the mill under the same number before the first one came back."""
    bring(mill, job_file(desk, job), CY)
    assert bring(mill, job_file(desk, job), CY).notes == ()
    second = mill.open_job(mill.job(job).state.bearing, "j-1", "elsewhere", CY)
    (note,) = bring(desk, job_file(mill, second), ANN).notes
    assert note.startswith("Another job of this bearing carries the number j-1 too: opening.")
    assert bring(desk, job_file(mill, second), ANN).notes == ()
