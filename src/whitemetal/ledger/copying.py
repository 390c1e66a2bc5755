"""A whole record copied into an empty one, whichever databases the two are, with every chain walked at both
ends.

The copy is of one moment: others may go on reading and writing meanwhile, unless the source is held still for
as long as it takes. It is one transaction, so that there is a whole copy or none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

from sqlalchemy import Connection, Table, func, insert, select

from whitemetal.errors import ChainBroken, LedgerError
from whitemetal.ledger import postgres
from whitemetal.ledger.files import file_digest
from whitemetal.ledger.ledger import Ledger
from whitemetal.ledger.tables import ENTRY, HEAD, KEPT_FILE, METADATA
from whitemetal.ledger.verify import Walked, page_faults, walk
from whitemetal.words import say

MANY = 1000
"""Rows read and written at a time. Our own."""

FEW = 8
"""Rows of large things (photographs) read and written at a time. Our own."""

Tell = Callable[[str, int], object]
"""Called with a table's name and how many of its rows are copied."""


@dataclass(frozen=True)
class Copied:
    """What was copied and walked at both ends. files: photographs whose content was compared."""

    walked: Walked
    files: int


def copy_record(
    source: Ledger,
    target: Ledger,
    more: Sequence[Table] = (),
    *,
    hold: bool = False,
    tell: Tell | None = None,
) -> Copied:  # fmt: skip
    """Copy everything kept and derived. more: further tables that go along. hold: nobody may write to the
    source meanwhile. Raises ChainBroken, and copies nothing, where a chain is damaged; LedgerError where the
    target has something in it, or the source nothing; CannotWrite.
    """
    with _one_moment(source, hold) as here:
        if postgres.speaks(source.engine):
            postgres.may_pause(here)
        before = walk(here)
        _whole(before)
        _whole(replace(before, faults=page_faults(here)))
        if not before.entries:
            raise LedgerError(say("ledger.copy_nothing"))
        with target.writing() as pen:
            there = pen.connection
            if postgres.speaks(target.engine):
                postgres.may_pause(there)
            _must_be_empty(there, more)
            for table in (*METADATA.sorted_tables, *more):
                _copy_table(here, there, table, tell)
            _same_heads(here, there)
            after = walk(there)
            _whole(after)
            if (after.entries, after.chains, after.books) != (before.entries, before.chains, before.books):
                raise ChainBroken(say("ledger.copy_differs"))
            files = _files_whole(there)
    return Copied(after, files)


@contextmanager
def _one_moment(source: Ledger, hold: bool) -> Iterator[Connection]:
    if not hold or not source.writable:
        with source.reading() as connection:
            yield connection
        return
    with source.writing() as pen:
        yield pen.connection


def _whole(walked: Walked) -> None:
    if walked.faults:
        raise ChainBroken(say("ledger.copy_damaged", fault=walked.faults[0].text, count=len(walked.faults)))


def _must_be_empty(there: Connection, more: Sequence[Table]) -> None:
    for table in (ENTRY, KEPT_FILE, *more):
        if there.execute(select(func.count()).select_from(table)).scalar_one():
            raise LedgerError(say("ledger.copy_not_empty"))


def _copy_table(here: Connection, there: Connection, table: Table, tell: Tell | None) -> None:
    """All rows of a table, in the order of its key so that what is pointed at comes first."""
    size = FEW if table is KEPT_FILE else MANY
    ordered = select(table).order_by(*table.primary_key.columns)
    done, fill = 0, insert(table)
    with here.execute(ordered.execution_options(yield_per=size)) as rows:
        for some in rows.mappings().partitions(size):
            there.execute(fill, [dict(row) for row in some])
            done += len(some)
            if tell is not None:
                tell(table.name, done)


def _same_heads(here: Connection, there: Connection) -> None:
    """Every device of every book ends with the same entry at both ends: the digests of the books agree."""
    wanted = select(HEAD.c.book, HEAD.c.device, HEAD.c.seq, HEAD.c.digest).order_by(
        HEAD.c.book, HEAD.c.device
    )
    ends = [connection.execute(wanted).all() for connection in (here, there)]
    if sorted(map(tuple, ends[0])) != sorted(map(tuple, ends[1])):
        raise ChainBroken(say("ledger.copy_differs"))


def _files_whole(connection: Connection) -> int:
    """How many files there are, each of them what its digest says. Raises ChainBroken."""
    wanted = select(KEPT_FILE.c.digest, KEPT_FILE.c.content)
    count = 0
    with connection.execute(wanted.execution_options(yield_per=FEW)) as rows:
        for row in rows:
            if file_digest(row.content) != row.digest:
                raise ChainBroken(say("ledger.file_altered", digest=row.digest[:12]))
            count += 1
    return count
