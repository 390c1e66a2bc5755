"""The plant a page at a time: bearings in the order of their machines, each with its newest jobs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.engine import Row

from whitemetal.card import Card
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import BearingRow, JobRow, MachineRow
from whitemetal.ledger.tables import HEAD, LISTED_BEARING, LISTED_JOB

PER_PAGE = 20
"""Bearings on a page. Our own."""

NEWEST = 5
"""Jobs shown with a bearing; the others stand on its own page. Our own."""


@dataclass(frozen=True)
class PlantPage:
    """number: of this page; more: whether another comes after it. earlier: by bearing, how many jobs are not
    shown."""

    machines: tuple[MachineRow, ...]
    number: int
    more: bool
    earlier: dict[str, int]


def plant_page(desk: Desk, number: int = 1, find: str = "") -> PlantPage:
    """A page of the plant. find: part of a machine's number or a bearing's position, or a job's number."""
    number = max(1, number)
    with desk._ledger.reading() as connection:
        order = LISTED_BEARING.c.machine, LISTED_BEARING.c.position, LISTED_BEARING.c.book
        wanted = select(LISTED_BEARING).where(_wanted(find)).order_by(*order)
        found = connection.execute(wanted.limit(PER_PAGE + 1).offset((number - 1) * PER_PAGE)).all()
        rows = found[:PER_PAGE]
        cards = {row.book: desk._shelf.card(connection, row.card)[0] for row in rows}
        books = [row.book for row in rows]
        jobs = connection.execute(
            select(LISTED_JOB)
            .where(LISTED_JOB.c.bearing.in_(books))
            .order_by(LISTED_JOB.c.number, LISTED_JOB.c.book)
        ).all()
    held: dict[str, list[Row[Any]]] = {book: [] for book in books}
    for job in jobs:
        held[job.bearing].append(job)
    listed = {book: desk._job_rows(some[-NEWEST:]) for book, some in held.items()}
    machines = _machines(rows, cards, listed)
    earlier = {book: len(some) - NEWEST for book, some in held.items() if len(some) > NEWEST}
    return PlantPage(machines, number, len(found) > PER_PAGE, earlier)


def _wanted(find: str) -> ColumnElement[bool]:
    """Bearings with a card; by what is looked for."""
    carded = LISTED_BEARING.c.card != ""
    text = " ".join(find.split())
    if not text:
        return carded
    part = "%" + text.lower().replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_") + "%"
    of_job = select(LISTED_JOB.c.bearing).where(LISTED_JOB.c.number == text)
    columns = LISTED_BEARING.c.machine, LISTED_BEARING.c.position
    like = [func.lower(column).like(part, escape="\\") for column in columns]
    return carded & or_(*like, LISTED_BEARING.c.book.in_(of_job))


def _machines(
    rows: Sequence[Row[Any]], cards: Mapping[str, Card], jobs: Mapping[str, tuple[JobRow, ...]]
) -> tuple[MachineRow, ...]:
    held: dict[str, list[BearingRow]] = {}
    names = {row.machine: cards[row.book].machine for row in reversed(rows)}
    for row in rows:
        one = BearingRow(row.book, row.position, row.card, jobs[row.book])
        held.setdefault(row.machine, []).append(one)
    return tuple(MachineRow(tag, names[tag].name, names[tag].kind, tuple(some)) for tag, some in held.items())


def heads_of_book(desk: Desk, book: str) -> tuple[str, ...]:
    """Digests of the last entries of every device in a book, without reading the entries."""
    with desk._ledger.reading() as connection:
        wanted = select(HEAD.c.digest).where(HEAD.c.book == book).order_by(HEAD.c.digest)
        return tuple(connection.execute(wanted).scalars())
