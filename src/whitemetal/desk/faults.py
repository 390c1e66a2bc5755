"""A fault of the record in the words of the plant: in which job or bearing, and what the entry says now."""

from __future__ import annotations

import json
from contextlib import suppress

from sqlalchemy import select

from whitemetal.desk import shelf
from whitemetal.desk.desk import Desk
from whitemetal.errors import LedgerError
from whitemetal.ledger import Fault
from whitemetal.ledger.lists import PLANT
from whitemetal.ledger.tables import ENTRY
from whitemetal.words import say


def told(desk: Desk, fault: Fault) -> str:
    """Where the fault is and, of an altered entry, its kind, by whom and when, as it stands now."""
    where = _where(desk, fault.book) if fault.book else ""
    if not fault.entry:
        return where
    wanted = select(ENTRY.c.kind, ENTRY.c.content).where(ENTRY.c.id == fault.entry)
    with desk._ledger.reading() as connection:
        row = connection.execute(wanted).first()
    said: object = None
    with suppress(ValueError):
        said = json.loads(row.content) if row is not None else None
    if row is None or not isinstance(said, dict):
        return where
    by = said.get("by")
    name = by.get("name", "") if isinstance(by, dict) else ""
    return say("report.fault_says", where=where, kind=row.kind, by=name, at=said.get("at", ""))


def _where(desk: Desk, book: str) -> str:
    if book == PLANT:
        return say("report.fault_plant")
    with desk._ledger.reading() as connection:
        with suppress(LedgerError):
            return say("report.fault_job", number=shelf.job_row(connection, book).number)
        with suppress(LedgerError):
            row = shelf.bearing_row(connection, book)
            return say("report.fault_bearing", machine=row.machine, position=row.position)
    return say("report.fault_book", book=book)
