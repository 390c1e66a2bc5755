"""Clocks that were wrong, noticed by what entries say of each other. Nothing is decided by them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from whitemetal.job.entry import Entry

SLACK = timedelta(minutes=2)
"""Clocks that differ by no more are right enough. Our own: the pages of a device complain from there on."""


def put_back(entries: Iterable[Entry]) -> Mapping[str, str]:
    """When the entry before it of its own device is dated, by the id of each entry of one book that is dated
    earlier than that one: a clock was put back, or it was sent late. A date that is none says nothing."""
    by_digest = {entry.digest: entry for entry in entries}
    found = {}
    for entry in by_digest.values():
        before = by_digest.get(entry.prev)
        here, there = moment(entry.at), moment(before.at) if before is not None else None
        if before is not None and here is not None and there is not None and here + SLACK < there:
            found[entry.id] = before.at
    return found


def ahead(entries: Iterable[Entry], now: str) -> tuple[Entry, ...]:
    """The entries that are dated later than now: the clock they were written by, or this one, is wrong."""
    here = moment(now)
    if here is None:
        return ()
    return tuple(entry for entry in entries if (at := moment(entry.at)) is not None and at > here + SLACK)


def moment(at: str) -> datetime | None:
    """A date of an entry, None where it is none."""
    try:
        found = datetime.fromisoformat(at)
    except ValueError:
        return None
    return found if found.tzinfo is not None else found.replace(tzinfo=UTC)
