"""Signatures over a state that nobody was ever shown: found by the links, whatever a device claims."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from sqlalchemy import Connection, select

from whitemetal.errors import ChainBroken
from whitemetal.job.signing import SIGNED, false_states
from whitemetal.ledger.ledger import entry_from
from whitemetal.ledger.tables import ENTRY
from whitemetal.ledger.verify import Fault
from whitemetal.words import say


def state_faults(connection: Connection, book: str | None = None) -> Iterator[Fault]:
    """A fault for every such signature, in every book or in one. One book at a time is in memory."""
    signed = select(ENTRY.c.book).where(ENTRY.c.kind == SIGNED).distinct().order_by(ENTRY.c.book)
    if book is not None:
        signed = signed.where(ENTRY.c.book == book)
    for name in connection.execute(signed).scalars().all():
        rows = connection.execute(
            select(ENTRY.c.content, ENTRY.c.digest).where(ENTRY.c.book == name).order_by(ENTRY.c.receipt)
        )
        entries = []
        for row in rows:
            with suppress(ChainBroken):
                entries.append(entry_from(row))
        for one in false_states(entries):
            text = say("signing.fault_state", seq=one.seq, device=one.device, entry=one.id)
            yield Fault(name, one.device, one.seq, one.id, "altered", text)
