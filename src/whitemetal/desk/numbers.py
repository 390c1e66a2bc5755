"""Work-order numbers: the plant's own, which no program makes. Two jobs of one bearing may carry the same
one, meant or by mistake; nobody is kept from it, and whoever opens or reads one is told of the other."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from whitemetal.desk import shelf
from whitemetal.desk.desk import Desk
from whitemetal.desk.sending import in_hand


@dataclass(frozen=True)
class Named:
    """A job by its book, number and title."""

    book: str
    number: str
    title: str


def same_number(desk: Desk, bearing: str, number: str, but: str = "") -> tuple[Named, ...]:
    """The jobs of a bearing with this number, however its letters and blanks are written, without the job
    ``but``; in order of their numbers."""
    with desk._ledger.reading() as connection:
        return in_record(connection, bearing, number, but)


def in_record(connection: Connection, bearing: str, number: str, but: str = "") -> tuple[Named, ...]:
    """As `same_number`, of an open record."""
    wanted = _plain(number)
    return tuple(
        Named(row.book, row.number, row.title)
        for row in shelf.job_rows(connection, bearing)
        if wanted and _plain(row.number) == wanted and row.book != but
    )


def to_ask(desk: Desk, bearing: str, number: str) -> tuple[Named, ...]:
    """The jobs to show before another one is opened under their number; none where the request came before
    and opened one of them."""
    found, request = same_number(desk, bearing, number), in_hand()
    if request is not None and request.key and request.ahead() in {one.book for one in found}:
        return ()
    return found


def _plain(number: str) -> str:
    return "".join(number.split()).casefold()
