"""The tables. Migrations make them; these definitions are what the program reads and writes through.

Kept: ``entry`` (the entries in their canonical form, with the columns they are found by) and ``head`` (the
last entry of each device in each book, so that an entry missing at the end is noticed).
Derived, may be thrown away and made again from the entries at any time: ``sight`` (each entry's clock),
``stored_fold`` (a job's account as of some entry) and the lists ``listed_bearing``, ``listed_card``,
``listed_job``, ``listed_instrument``.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, MetaData, Table, Text, UniqueConstraint

METADATA = MetaData()

WHOLE = BigInteger().with_variant(Integer, "sqlite")
"""A 64-bit whole number: STRICT tables of SQLite know it as INTEGER."""


def _table(name: str, *columns: Column[int] | Column[str] | UniqueConstraint | Index) -> Table:
    return Table(name, METADATA, *columns, sqlite_strict=True)


ENTRY = _table(
    "entry",
    Column("receipt", WHOLE, primary_key=True, autoincrement=False),
    Column("id", Text, nullable=False, unique=True),
    Column("book", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("seq", WHOLE, nullable=False),
    Column("digest", Text, nullable=False, unique=True),
    Column("content", Text, nullable=False),
    UniqueConstraint("book", "device", "seq", name="one_chain_a_device"),
    Index("entry_of_book", "book", "receipt"),
)
"""receipt: in order of arrival, outside the digest. content: the canonical form, as digested."""

HEAD = _table(
    "head",
    Column("book", Text, primary_key=True),
    Column("device", Text, primary_key=True),
    Column("seq", WHOLE, nullable=False),
    Column("digest", Text, ForeignKey("entry.digest"), nullable=False),
)

SIGHT = _table(
    "sight",
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), primary_key=True, autoincrement=False),
    Column("clock", Text, nullable=False),
)

STORED_FOLD = _table(
    "stored_fold",
    Column("book", Text, primary_key=True),
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), nullable=False),
    Column("entries", WHOLE, nullable=False),
    Column("heads", Text, nullable=False),
    Column("version", WHOLE, nullable=False),
    Column("account", Text, nullable=False),
)
"""heads: digest of the book as of ``receipt``. entries: how many the account had taken in."""

LISTED_BEARING = _table(
    "listed_bearing",
    Column("book", Text, primary_key=True),
    Column("machine", Text, nullable=False),
    Column("position", Text, nullable=False),
    Column("card", Text, nullable=False),
    Column("depth", WHOLE, nullable=False),
    Column("entry", Text, nullable=False),
    Index("bearing_of_machine", "machine", "position"),
)
"""card: digest of the newest revision, "" before the first. depth, entry: of the entry that said so."""

LISTED_CARD = _table(
    "listed_card",
    Column("digest", Text, primary_key=True),
    Column("book", Text, primary_key=True),
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), nullable=False),
    Index("card_of_bearing", "book"),
)

LISTED_JOB = _table(
    "listed_job",
    Column("book", Text, primary_key=True),
    Column("bearing", Text, nullable=False),
    Column("number", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("words", Text),
    Column("version", Text, nullable=False),
    Index("job_of_bearing", "bearing"),
)
"""words: the verdict last reckoned, NULL since the job changed. version: of the program that reckoned it."""

LISTED_INSTRUMENT = _table(
    "listed_instrument",
    Column("id", Text, primary_key=True),
    Column("facts", Text, nullable=False),
    Column("depth", WHOLE, nullable=False),
    Column("entry", Text, nullable=False),
)

LISTS = (LISTED_BEARING, LISTED_CARD, LISTED_JOB, LISTED_INSTRUMENT)
DERIVED = (SIGHT, STORED_FOLD, *LISTS)
