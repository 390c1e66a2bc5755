"""What was seen on a run-in, as people left it who did not know of each other; and a run-in belongs to the
state of the fit at which it was read, as a check does."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.ledger.writing import Device, all_of
from tests.mistakes.hand import a_hand
from whitemetal.desk.run_in import begin_run, see
from whitemetal.job.account import Account
from whitemetal.job.entry import Entry
from whitemetal.job.fit_matrix import FIT_CHANGES
from whitemetal.job.picture import Picture, fold
from whitemetal.job.sight import stamped
from whitemetal.words import say


@pytest.fixture
def phone() -> Device:
    device = Device("phone")
    device.open()
    return device


def test_of_two_who_saw_the_same_unaware_both_are_named() -> None:
    with a_hand() as hand:
        kept = begin_run(hand.desk, hand.job, "coupled", "2026-11-25T08:00:00Z", "", hand.writer)
        assert kept.entry is not None
        run, before = str(kept.entry.body["run"]), hand.desk.job(hand.job).state.heads
        for name, text in (("Ann", "through the cap"), ("Bo", "by its shine")):
            writer = replace(hand.writer, name=name, device=f"device of {name}", seen=before)
            see(hand.desk, hand.job, run, "ring_turning", "yes", text, writer)
        seen = hand.desk.job(hand.job).state.runs[0].seen["ring_turning"]
    assert seen.state == "yes" and not seen.doubt
    assert set(seen.by.split(", ")) == {"Ann", "Bo"}
    assert set(seen.text.split("; ")) == {"through the cap", "by its shine"}


def a_run(phone: Device, run: str = "r") -> Entry:
    phone.write("run/1", {"run": run, "what": "coupled", "start": "2026-03-02T08:00:00Z", "ambient": ""})
    return a_reading(phone, run)


def a_reading(phone: Device, run: str = "r", *seen: Device) -> Entry:
    body = {"run": run, "what": "metal", "point": "", "at": "2026-03-02T08:05:00Z", "text": "40", "unit": ""}
    return phone.write("run_reading/1", body, *seen)


def stale_of(*devices: Device) -> list[tuple[str, ...]]:
    return [one.stale for one in fold(all_of(*devices)).runs]


@pytest.mark.parametrize("what", [*FIT_CHANGES, "something newer"])
def test_any_change_of_the_fit_after_a_reading_makes_a_run_in_stale(phone: Device, what: str) -> None:
    a_run(phone)
    assert stale_of(phone) == [()]
    change = phone.fit(what, text="seen to")
    ((said,),) = stale_of(phone)
    assert f"{what} (upper): seen to was entered by Phone (2026-03-02)" in said
    assert fold(phone.chain).runs[0].stale_by == (change.id,)


def test_a_run_in_begun_and_read_after_the_change_counts_and_the_one_before_does_not(phone: Device) -> None:
    a_run(phone, "before")
    phone.fit("cap opened")
    a_run(phone, "after")
    before, after = stale_of(phone)
    assert len(before) == 1 and after == ()


def test_a_change_before_the_first_reading_does_not_nor_one_that_was_struck(phone: Device) -> None:
    phone.fit("shim")
    a_run(phone)
    assert stale_of(phone) == [()]
    change = phone.fit("cap opened")
    assert len(stale_of(phone)[0]) == 1
    phone.strike(change)
    assert stale_of(phone) == [()]


def test_readings_struck_and_taken_again_after_the_change_count(phone: Device) -> None:
    first = a_run(phone)
    phone.fit("shim")
    a_reading(phone)
    assert len(stale_of(phone)[0]) == 1
    phone.strike(first)
    assert stale_of(phone) == [()]


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("log/1", {"log": "l", "part": 1, "file": "a.csv", "text": "time;metal"}),
        ("run_seen/1", {"what": "oil_level", "state": "yes", "text": "looked"}),
    ],
)
def test_a_loggers_file_and_what_was_seen_belong_to_the_fit_as_it_was(
    phone: Device, kind: str, body: dict[str, Any]
) -> None:
    phone.write("run/1", {"run": "r", "what": "coupled", "start": "2026-03-02T08:00:00Z", "ambient": ""})
    phone.write(kind, {"run": "r", **body})
    assert stale_of(phone) == [()]
    phone.fit("scraping")
    assert len(stale_of(phone)[0]) == 1


def test_a_run_read_unaware_of_a_change_is_stale_whatever_the_clocks_say(phone: Device) -> None:
    laptop = Device("laptop")
    words = {"what": "shim", "half": "", "joint": "shell joint", "loaded": "lower", "text": "out"}
    laptop.write("fit/1", words, phone, at="2025-01-01T00:00:00.000Z")
    a_run(phone)
    ((said,),) = stale_of(phone, laptop)
    assert said == say("ledger.unaware_fit", what="shim (shell joint): out", by="Laptop")
    a_reading(phone, "r", laptop)
    assert len(stale_of(phone, laptop)[0]) == 1


def test_taking_entries_in_one_by_one_sees_the_change_too(phone: Device) -> None:
    a_run(phone)
    picture = Picture("j", Account())
    pairs = stamped(phone.chain)
    for entry, stamp in pairs:
        picture.add(entry, stamp)
    assert picture.state().runs[0].stale == ()
    change = phone.fit("cap opened")
    picture.add(change, next(stamp for entry, stamp in stamped(phone.chain) if entry.id == change.id))
    assert len(picture.state().runs[0].stale) == 1
