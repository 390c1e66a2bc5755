"""Lists of bearings, cards, jobs and instruments, kept beside the entries so that no list reads them all.

A list follows the links and never the order of arrival: of several entries that say the same thing anew the
deepest counts (the one that had seen most entries; ties by id), which is one that no other had seen.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping

from sqlalchemy import Connection, Row, bindparam, insert, or_, select, update

from whitemetal.job.entry import Entry
from whitemetal.job.life_rule import KIND as RULE
from whitemetal.ledger.tables import (
    LISTED_BEARING,
    LISTED_CARD,
    LISTED_INSTRUMENT,
    LISTED_JOB,
    LISTED_OPENING,
    NO_DAY,
)  # fmt: skip

PLANT = "plant"
"""The one book of the plant."""

_JOB_CHANGED = (
    update(LISTED_JOB)
    .where(
        or_(LISTED_JOB.c.book == bindparam("of"), LISTED_JOB.c.bearing == bindparam("of")),
        LISTED_JOB.c.words.is_not(None),
    )
    .values(words=None)
)

_BEARING_OF = select(LISTED_JOB.c.bearing).where(LISTED_JOB.c.book == bindparam("of")).scalar_subquery()
_OPENING_CHANGED = (
    update(LISTED_OPENING)
    .where(
        or_(LISTED_OPENING.c.book == bindparam("of"), LISTED_OPENING.c.book == _BEARING_OF),
        LISTED_OPENING.c.fresh != "",
    )
    .values(fresh="")
)


def note(connection: Connection, receipt: int, entry: Entry, depth: int) -> bool:
    """Bring the lists up to date with one entry just kept; False when it is of no kind they list."""
    listing = _LISTINGS.get(entry.kind)
    if listing is None:
        return False
    needs, write = listing
    if all(isinstance(entry.body.get(key), of) for key, of in needs.items()):
        write(connection, receipt, entry, depth)
    return True


def listed_kinds() -> frozenset[str]:
    """Kinds that the lists are made from, and that change all of them: written in the plant's own book, or in
    a bearing's, and nowhere else."""
    return frozenset((*_LISTINGS, RULE))


def job_changed(connection: Connection, book: str) -> None:
    """Forget the verdict listed for a job, or for every job of a bearing (what its own book keeps of it)."""
    connection.execute(_JOB_CHANGED, {"of": book})


def opening_changed(connection: Connection, entry: Entry) -> None:
    """Forget the day listed for the bearing that an entry tells of, or for all by the plant's own rule."""
    if entry.kind == RULE:
        connection.execute(update(LISTED_OPENING).where(LISTED_OPENING.c.fresh != "").values(fresh=""))
    connection.execute(_OPENING_CHANGED, {"of": opening_of(entry)[1]})


def opening_of(entry: Entry) -> tuple[bool, str]:
    """What `opening_changed` forgets for an entry: whether every day, and the day of which book."""
    of = str(entry.body.get("bearing", "")) if entry.kind == "job/1" else entry.book
    return entry.kind == RULE, of


def _bearing(connection: Connection, _receipt: int, entry: Entry, _depth: int) -> None:
    book, machine, position = (str(entry.body[key]) for key in ("bearing", "machine", "position"))
    row = connection.execute(select(LISTED_BEARING).where(LISTED_BEARING.c.book == book)).first()
    if row is None:
        connection.execute(insert(LISTED_BEARING).values(
            book=book, machine=machine, position=position, card="", depth=0, entry=""
        ))  # fmt: skip
    else:
        connection.execute(
            update(LISTED_BEARING)
            .where(LISTED_BEARING.c.book == book)
            .values(machine=machine, position=position)
        )


def _card(connection: Connection, receipt: int, entry: Entry, depth: int) -> None:
    digest = str(entry.body["card"])
    known = select(LISTED_CARD).where(LISTED_CARD.c.digest == digest, LISTED_CARD.c.book == entry.book)
    if connection.execute(known).first() is None:
        connection.execute(insert(LISTED_CARD).values(digest=digest, book=entry.book, receipt=receipt))
    here = LISTED_BEARING.c.book == entry.book
    row = connection.execute(select(LISTED_BEARING).where(here)).first()
    _open_line(connection, entry.book)
    said = {"card": digest, "depth": depth, "entry": entry.id}
    if row is None:
        connection.execute(insert(LISTED_BEARING).values(book=entry.book, machine="", position="", **said))
    elif _deeper(row, depth, entry.id):
        connection.execute(update(LISTED_BEARING).where(here).values(**said))


def _open_line(connection: Connection, book: str) -> None:
    """A line for a bearing in the list by next opening, not reckoned yet."""
    line = select(LISTED_OPENING.c.book).where(LISTED_OPENING.c.book == book)
    if connection.execute(line).first() is None:
        connection.execute(insert(LISTED_OPENING).values(book=book, due=NO_DAY, fresh="", said="{}"))


def _job(connection: Connection, _receipt: int, entry: Entry, _depth: int) -> None:
    book = str(entry.body["job"])
    if connection.execute(select(LISTED_JOB.c.book).where(LISTED_JOB.c.book == book)).first() is None:
        said = {key: str(entry.body[key]) for key in ("bearing", "number", "title")}
        connection.execute(insert(LISTED_JOB).values(book=book, words=None, version="", **said))


def _instrument(connection: Connection, _receipt: int, entry: Entry, depth: int) -> None:
    here = LISTED_INSTRUMENT.c.id == str(entry.body["instrument"])
    said = {"facts": json.dumps(entry.body["facts"]), "depth": depth, "entry": entry.id}
    row = connection.execute(select(LISTED_INSTRUMENT).where(here)).first()
    if row is None:
        connection.execute(insert(LISTED_INSTRUMENT).values(id=str(entry.body["instrument"]), **said))
    elif _deeper(row, depth, entry.id):
        connection.execute(update(LISTED_INSTRUMENT).where(here).values(**said))
    connection.execute(update(LISTED_JOB).values(words=None))
    connection.execute(update(LISTED_OPENING).where(LISTED_OPENING.c.fresh != "").values(fresh=""))


def _deeper(row: Row[tuple[object, ...]], depth: int, entry: str) -> bool:
    return (depth, entry) > (row.depth, row.entry)


_LISTINGS: Mapping[
    str, tuple[Mapping[str, type], Callable[[Connection, int, Entry, int], None]]
] = {
    "bearing/1": ({"bearing": str, "machine": str, "position": str}, _bearing),
    "card/1": ({"card": str, "typed": str}, _card),
    "job/1": ({"job": str, "bearing": str, "number": str, "title": str}, _job),
    "instrument/1": ({"instrument": str, "facts": dict}, _instrument),
}  # fmt: skip
