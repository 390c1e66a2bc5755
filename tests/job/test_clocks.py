"""Clocks that were wrong are noticed, by hand-made dates; what cannot be read says nothing."""

from __future__ import annotations

import pytest

from whitemetal.job.clocks import ahead, moment, put_back
from whitemetal.job.entry import GENESIS, Entry, make

NOON = "2026-03-02T12:00:00.000Z"


def chain(*dates: str, device: str = "a" * 26) -> tuple[Entry, ...]:
    """The entries of one device at these dates, each after the one before."""
    made: list[Entry] = []
    for seq, at in enumerate(dates, 1):
        made.append(
            make(
                id=f"{device[0]}{seq}", book="j", kind="note/1", device=device, seq=seq,
                prev=made[-1].digest if made else GENESIS, after=(), at=at, offset=0, by={"name": "Ida"},
                body={"text": at},
            )
        )  # fmt: skip
    return tuple(made)


def test_an_entry_dated_before_its_devices_last_one_is_noticed() -> None:
    """Two minutes are slack; the entry after the one that was put back is in order again."""
    entries = chain(NOON, "2026-03-02T11:58:00.000Z", "2026-03-02T11:55:59.000Z", "2026-03-02T11:56:30.000Z")
    assert put_back(entries) == {"a3": "2026-03-02T11:58:00.000Z"}
    assert put_back(reversed(entries)) == put_back(entries), "arrival does not matter"


def test_two_devices_are_not_compared_and_an_odd_date_says_nothing() -> None:
    assert put_back((*chain(NOON), *chain("2026-03-01T12:00:00Z", device="b" * 26))) == {}
    assert put_back(chain(NOON, "yesterday", "2026-03-02T12:01:00Z")) == {}


def test_an_entry_dated_later_than_now_is_noticed() -> None:
    entries = chain("2026-03-02T12:02:00.000Z", "2026-03-02T12:02:01.000Z", "2027-03-02T12:00:00+01:00", "?")
    assert [entry.id for entry in ahead(entries, NOON)] == ["a2", "a3"]
    assert ahead(entries, "no date") == ()


@pytest.mark.parametrize("odd", ["", "noon", "2026-13-01T00:00:00Z", "2026-03-02"])
def test_dates_of_any_kind_compare(odd: str) -> None:
    found = moment(odd)
    assert found is None or found.tzinfo is not None
