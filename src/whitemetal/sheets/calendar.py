"""Days to remember as an iCalendar file (RFC 5545): the next opening, the end of a concession."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Day:
    """A whole day. id: the same for the same thing, so that a calendar moves it instead of adding another."""

    id: str
    day: date
    title: str
    text: str


def calendar(days: Sequence[Day], made_at: datetime, version: str) -> bytes:
    """The file. made_at: UTC, when what it says was last changed. The same input gives the same bytes."""
    from icalendar import Calendar, Event

    made = Calendar()
    made.add("prodid", f"-//whitemetal//whitemetal {version}//EN")
    made.add("version", "2.0")
    for one in days:
        event = Event()
        event.add("uid", f"{one.id}@whitemetal")
        event.add("dtstamp", made_at)
        event.add("dtstart", one.day)
        event.add("summary", one.title)
        event.add("description", one.text)
        event.add("transp", "TRANSPARENT")
        made.add_component(event)
    written: bytes = made.to_ical()
    return written
