"""Revisions of one bearing's card that were written by people who had not seen each other's."""

from __future__ import annotations

import json

from sqlalchemy import Connection, select

from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import Revision
from whitemetal.job.sight import Stamp
from whitemetal.ledger import entry_from
from whitemetal.ledger.tables import ENTRY, SIGHT
from whitemetal.words import say


def cards_apart(desk: Desk, bearing: str) -> str:
    """A sentence on the revisions between which a person must choose, "" where the newest saw all others."""
    with desk._ledger.reading() as connection:
        return apart_said(connection, bearing)


def apart_said(connection: Connection, bearing: str) -> str:
    """The same, in a transaction that is open."""
    found = revisions_apart(connection, bearing)
    if len({one.digest for one in found}) < 2:
        return ""
    cards = "; ".join(f"{one.digest[:8]} ({one.by}, {one.at[:10]})" for one in found)
    return say("web.cards_apart", cards=cards)


def revisions_apart(connection: Connection, bearing: str) -> tuple[Revision, ...]:
    """The revisions that the writer of no other one had seen, in the order of the links: one, unless people
    wrote unaware of each other."""
    rows = connection.execute(
        select(ENTRY.c.content, ENTRY.c.digest, SIGHT.c.clock)
        .join(SIGHT, SIGHT.c.receipt == ENTRY.c.receipt)
        .where(ENTRY.c.book == bearing, ENTRY.c.kind == "card/1")
    )
    cards = [(entry, Stamp(entry.id, entry.device, entry.seq, json.loads(row.clock)))
             for row in rows for entry in (entry_from(row),)]  # fmt: skip
    last = [
        (stamp.rank, entry)
        for entry, stamp in cards
        if not any(other.saw(stamp) for it, other in cards if it.id != entry.id)
    ]
    ordered = [entry for _, entry in sorted(last, key=lambda pair: pair[0])]
    return tuple(Revision(str(one.body.get("card", "")), one.by.get("name", ""), one.at) for one in ordered)
