"""The list of bearings by next opening, and the plant a page at a time: no list reads the whole plant.

The list is derived: a line is reckoned from the bearing's life when it is shown and written down, and
forgotten when anything of the bearing changes. What is not reckoned yet is counted and said, never passed
over.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.engine import Row

from whitemetal.desk.desk import Desk
from whitemetal.desk.life import life_of
from whitemetal.errors import LedgerError, WhitemetalError
from whitemetal.job import life_words
from whitemetal.ledger.tables import LISTED_BEARING, LISTED_OPENING, NO_DAY
from whitemetal.version import VERSION
from whitemetal.words import say

PER_PAGE = 20
"""Bearings on a page of a list. Our own."""

AT_ONCE = 5
"""Lines reckoned when the list is shown, besides those on the page itself. Our own."""


MANY = 100
"""Lines to be reckoned are counted so far and no farther. Our own."""


@dataclass(frozen=True)
class OpeningRow:
    """A bearing in the list. due: the day, "" where nothing can be said. due_by: "wear", "plant" or "".
    said: in sentences. fresh: False where something changed since it was reckoned. last: day of its last
    opening."""

    book: str
    machine: str
    position: str
    due: str
    due_by: str
    said: tuple[str, ...]
    rate: str
    last: str
    fresh: bool


@dataclass(frozen=True)
class OpeningPage:
    """A page of the list. number: of this page. more: whether another comes after it. not_reckoned: lines
    of the whole plant that are not reckoned since something changed, counted up to `MANY`."""

    rows: tuple[OpeningRow, ...]
    number: int
    more: bool
    not_reckoned: int


def openings(desk: Desk, number: int = 1) -> OpeningPage:
    """A page of the bearings by next opening, the most pressing first."""
    number = max(1, number)
    _reckon(desk, _stale(desk, AT_ONCE))
    rows, stale = _page(desk, number)
    old = [row.book for row in rows if row.fresh != VERSION]
    if old:
        _reckon(desk, old)
        rows, stale = _page(desk, number)
    return OpeningPage(tuple(map(_row, rows[:PER_PAGE])), number, len(rows) > PER_PAGE, stale)


def opening_of(desk: Desk, bearing: str) -> OpeningRow:
    """The line of one bearing, reckoned where it was not. Raises UnknownBook."""
    row = _line(desk, bearing)
    if row is not None and row.fresh != VERSION:
        _reckon(desk, [bearing])
        row = _line(desk, bearing)
    if row is None or row.fresh != VERSION:
        card, found = desk.bearing(bearing).card, _reckoned(desk, bearing)
        words = json.loads(found["said"])
        return _told(bearing, card.machine.tag, card.bearing.position, found["due"], words, fresh=True)
    return _row(row)


def reckon_some(desk: Desk) -> int:
    """Reckon a few of the lines that are old; how many are left, counted up to `MANY`."""
    _reckon(desk, _stale(desk, AT_ONCE))
    return len(_stale(desk, MANY))


def reckon_all(desk: Desk) -> None:
    """Reckon every line that is old, as far as anything can be written."""
    before: list[str] = []
    while (old := _stale(desk, MANY)) and old != before:
        _reckon(desk, old)
        before = old


def _joined() -> Any:
    columns = (LISTED_OPENING, LISTED_BEARING.c.machine, LISTED_BEARING.c.position)
    return select(*columns).join(LISTED_BEARING, LISTED_BEARING.c.book == LISTED_OPENING.c.book)


def _line(desk: Desk, bearing: str) -> Row[Any] | None:
    with desk._ledger.reading() as connection:
        return connection.execute(_joined().where(LISTED_OPENING.c.book == bearing)).first()


def _page(desk: Desk, number: int) -> tuple[Sequence[Row[Any]], int]:
    """The rows of a page and one more where another page follows; how many lines are to be reckoned."""
    with desk._ledger.reading() as connection:
        wanted = _joined().order_by(LISTED_OPENING.c.due, LISTED_OPENING.c.book)
        rows = connection.execute(wanted.limit(PER_PAGE + 1).offset((number - 1) * PER_PAGE)).all()
    return rows, len(_stale(desk, MANY))


def _stale(desk: Desk, most: int) -> list[str]:
    """At most so many lines that were not reckoned by this program since something changed."""
    with desk._ledger.reading() as connection:
        found: list[str] = []
        for other in (LISTED_OPENING.c.fresh < VERSION, LISTED_OPENING.c.fresh > VERSION):
            wanted = select(LISTED_OPENING.c.book).where(other)
            wanted = wanted.order_by(LISTED_OPENING.c.fresh, LISTED_OPENING.c.book).limit(most - len(found))
            found += connection.execute(wanted).scalars()
        return found


def _reckon(desk: Desk, books: Sequence[str]) -> None:
    """Reckon lines anew and write them down; where nothing can be written the list says what is old."""
    if not books or not desk.writable:
        return
    mark = f"~{secrets.token_hex(8)}"
    with suppress(LedgerError):
        _write(desk, [(book, {"fresh": mark}) for book in books])
        _write(desk, [(book, {**_reckoned(desk, book), "fresh": VERSION}) for book in books], mark)


def _reckoned(desk: Desk, bearing: str) -> dict[str, str]:
    """The day and the words of a bearing's line. A life that cannot be reckoned says why."""
    try:
        life = life_of(desk, bearing)
    except WhitemetalError as bad:
        words = {"said": [str(bad)], "by": "", "rate": "", "last": ""}
        return {"due": NO_DAY, "said": json.dumps(words, ensure_ascii=False)}
    last = life.openings[-1].day.isoformat() if life.openings else ""
    said = [*life_words.headline(life)[1:], *life.problems]
    words = {"said": said, "by": life.due_by, "rate": life_words.rate(life), "last": last}
    due = life.due.isoformat() if life.due is not None else NO_DAY
    return {"due": due, "said": json.dumps(words, ensure_ascii=False)}


def _write(desk: Desk, lines: Sequence[tuple[str, dict[str, str]]], mark: str = "") -> None:
    """Write lines down; with a mark only where it still stands, for a bearing that changed meanwhile has lost
    it."""
    with desk._ledger.writing() as pen:
        for book, values in lines:
            here = update(LISTED_OPENING).where(LISTED_OPENING.c.book == book)
            pen.connection.execute(
                (here.where(LISTED_OPENING.c.fresh == mark) if mark else here).values(values)
            )


def _row(row: Row[Any]) -> OpeningRow:
    fresh = bool(row.fresh == VERSION)
    return _told(row.book, row.machine, row.position, row.due, json.loads(row.said), fresh=fresh)


def _told(
    book: str, machine: str, position: str, due: str, words: dict[str, Any], *, fresh: bool
) -> OpeningRow:
    said = tuple(words.get("said", ())) or (() if words else (say("life.not_reckoned"),))
    day = "" if due == NO_DAY else due
    rate, last = str(words.get("rate", "")), str(words.get("last", ""))
    return OpeningRow(book, machine, position, day, str(words.get("by", "")), said, rate, last, fresh)
