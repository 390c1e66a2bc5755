"""What others want to be told: a job signed, a bearing left not fit, a job opened again, an opening due.

News are read off the entries, in the order in which they arrived, so that whoever asks again from where they
were misses nothing and gets nothing twice; nothing is marked as sent here. An opening that is due is no entry
but a day that has come: the list of those is given beside the news, as of a day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from sqlalchemy import select

from whitemetal.desk import openings, shelf
from whitemetal.desk.desk import Desk
from whitemetal.errors import InputError, Problem, UnknownBook
from whitemetal.job.entry import Entry
from whitemetal.job.signing import CONCESSION, REOPENED, SIGNED
from whitemetal.ledger import entry_from
from whitemetal.ledger.tables import ENTRY, LISTED_BEARING, LISTED_OPENING, NO_DAY
from whitemetal.words import say

NEWS = "whitemetal.news/1"
MOST = 200
"""News in one answer. Our own."""

_DUE = (LISTED_OPENING.c.book, LISTED_OPENING.c.due, LISTED_BEARING.c.machine, LISTED_BEARING.c.position)
What = Literal["signed", "not fit", "opened again"]


@dataclass(frozen=True)
class Told:
    """One piece of news. receipt: where it stands in the order of arrival. id: of its entry, the same every
    time it is told. leaves: what the signature says the bearing is left as; until: of a concession."""

    receipt: int
    id: str
    what: What
    job: str
    number: str
    machine: str
    position: str
    by: str
    at: str
    part: str = ""
    leaves: str = ""
    until: str = ""


@dataclass(frozen=True)
class Due:
    """A bearing whose next opening has come."""

    bearing: str
    machine: str
    position: str
    day: str

    @property
    def id(self) -> str:
        """The same every time it is told; another one when the day moves."""
        return f"{self.bearing}-due-{self.day}"


@dataclass(frozen=True)
class News:
    """after: the receipt to ask from next time. more: whether there is more already. not_reckoned: bearings
    whose day was not reckoned since something changed, where it was asked which are due."""

    told: tuple[Told, ...]
    after: int
    more: bool
    due: tuple[Due, ...] = ()
    not_reckoned: int = 0


def news(desk: Desk, after: int = 0, day: str = "", most: int = MOST) -> News:
    """News that arrived after a receipt, the oldest first. day: "YYYY-MM-DD", also tell which openings are
    due by then. Raises InputError."""
    if after < 0:
        raise InputError(Problem("after", str(after), say("outbox.after")))
    wanted = (
        select(ENTRY.c.receipt, ENTRY.c.content, ENTRY.c.digest)
        .where(ENTRY.c.kind.in_((SIGNED, CONCESSION, REOPENED)), ENTRY.c.receipt > after)
        .order_by(ENTRY.c.receipt)
        .limit(min(most, MOST) + 1)
    )
    with desk._ledger.reading() as connection:
        rows = connection.execute(wanted).all()
    shown, more = rows[: min(most, MOST)], len(rows) > min(most, MOST)
    told = tuple(one for row in shown for one in _told(desk, row.receipt, entry_from(row)))
    after = shown[-1].receipt if shown else after
    if not day:
        return News(told, after, more)
    left = openings.reckon_some(desk)
    return News(told, after, more, due(desk, day), left)


def due(desk: Desk, day: str) -> tuple[Due, ...]:
    """Bearings whose opening is due by a day, as far as the list is reckoned. Raises InputError."""
    try:
        date.fromisoformat(day)
    except ValueError:
        raise InputError(Problem("day", day, say("outbox.a_day"))) from None
    wanted = (
        select(*_DUE)
        .join(LISTED_BEARING, LISTED_BEARING.c.book == LISTED_OPENING.c.book)
        .where(LISTED_OPENING.c.due <= day, LISTED_OPENING.c.due != NO_DAY, LISTED_OPENING.c.due != "")
        .order_by(LISTED_OPENING.c.due, LISTED_OPENING.c.book)
    )
    with desk._ledger.reading() as connection:
        rows = connection.execute(wanted).all()
    return tuple(Due(row.book, row.machine, row.position, row.due) for row in rows)


def news_json(found: News) -> dict[str, Any]:
    """As plain JSON values."""
    from whitemetal.job.judgement_json import plain

    return {"format": NEWS, **plain(found)}


def _told(desk: Desk, receipt: int, entry: Entry) -> Iterator[Told]:
    try:
        with desk._ledger.reading() as connection:
            job = shelf.job_row(connection, entry.book)
            bearing = shelf.bearing_row(connection, job.bearing)
    except UnknownBook:
        return
    body = entry.body
    where = (entry.book, job.number, bearing.machine, bearing.position, entry.by.get("name", ""), entry.at)
    if entry.kind == REOPENED:
        yield Told(receipt, entry.id, "opened again", *where)
    elif entry.kind == CONCESSION:
        yield Told(receipt, entry.id, "not fit", *where, until=str(body.get("until", "")))
    else:
        told = str(body.get("part", "")), str(body.get("leaves", ""))
        yield Told(receipt, entry.id, "signed", *where, *told)
        if told[1] != "fit":
            yield Told(receipt, f"{entry.id}-not-fit", "not fit", *where, *told)
