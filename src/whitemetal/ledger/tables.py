"""The tables. Migrations make them; these definitions are what the program reads and writes through.

Kept: ``entry`` (the entries in their canonical form, with the columns they are found by) and ``head`` (the
last entry of each device in each book, so that an entry missing at the end is noticed), and ``kept_file``
(files by the digest of their content: photographs).
Derived, may be thrown away and made again from the entries at any time: ``sight`` (each entry's clock),
``stored_fold`` (a job's account as of some entry) and the lists ``listed_bearing``, ``listed_card``,
``listed_job``, ``listed_instrument``, ``listed_opening``.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

METADATA = MetaData()

WHOLE = BigInteger().with_variant(Integer, "sqlite")
"""A 64-bit whole number: STRICT tables of SQLite know it as INTEGER."""

TEXT = Text().with_variant(Text(collation="C"), "postgresql")
"""Text in the order of its letters' numbers on every database, whatever language the server speaks."""


def _table(
    name: str, *columns: Column[int] | Column[str] | Column[bytes] | UniqueConstraint | Index
) -> Table:
    return Table(name, METADATA, *columns, sqlite_strict=True)


ENTRY = _table(
    "entry",
    Column("receipt", WHOLE, primary_key=True, autoincrement=False),
    Column("id", TEXT, nullable=False, unique=True),
    Column("book", TEXT, nullable=False),
    Column("kind", TEXT, nullable=False),
    Column("device", TEXT, nullable=False),
    Column("seq", WHOLE, nullable=False),
    Column("digest", TEXT, nullable=False, unique=True),
    Column("content", TEXT, nullable=False),
    UniqueConstraint("book", "device", "seq", name="one_chain_a_device"),
    Index("entry_of_book", "book", "receipt"),
    Index("entry_of_kind", "book", "kind", "receipt"),
)
"""receipt: in order of arrival, outside the digest. content: the canonical form, as digested."""

HEAD = _table(
    "head",
    Column("book", TEXT, primary_key=True),
    Column("device", TEXT, primary_key=True),
    Column("seq", WHOLE, nullable=False),
    Column("digest", TEXT, ForeignKey("entry.digest"), nullable=False),
)

KEPT_FILE = _table(
    "kept_file",
    Column("digest", Text, primary_key=True),
    Column("media", Text, nullable=False),
    Column("size", WHOLE, nullable=False),
    Column("thumbnail", LargeBinary, nullable=False),
    Column("content", LargeBinary, nullable=False),
)
"""digest: SHA-256 of ``content``. thumbnail: a small picture made from it. It stands before the content, so
that reading a page of small ones does not read the large ones."""

SIGHT = _table(
    "sight",
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), primary_key=True, autoincrement=False),
    Column("clock", TEXT, nullable=False),
)

STORED_FOLD = _table(
    "stored_fold",
    Column("book", TEXT, primary_key=True),
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), nullable=False),
    Column("entries", WHOLE, nullable=False),
    Column("heads", TEXT, nullable=False),
    Column("version", WHOLE, nullable=False),
    Column("account", TEXT, nullable=False),
)
"""heads: digest of the book as of ``receipt``. entries: how many the account had taken in."""

LISTED_BEARING = _table(
    "listed_bearing",
    Column("book", TEXT, primary_key=True),
    Column("machine", TEXT, nullable=False),
    Column("position", TEXT, nullable=False),
    Column("card", TEXT, nullable=False),
    Column("depth", WHOLE, nullable=False),
    Column("entry", TEXT, nullable=False),
    Index("bearing_of_machine", "machine", "position"),
)
"""card: digest of the newest revision, "" before the first. depth, entry: of the entry that said so."""

LISTED_CARD = _table(
    "listed_card",
    Column("digest", TEXT, primary_key=True),
    Column("book", TEXT, primary_key=True),
    Column("receipt", WHOLE, ForeignKey("entry.receipt"), nullable=False),
    Index("card_of_bearing", "book"),
)

LISTED_JOB = _table(
    "listed_job",
    Column("book", TEXT, primary_key=True),
    Column("bearing", TEXT, nullable=False),
    Column("number", TEXT, nullable=False),
    Column("title", TEXT, nullable=False),
    Column("words", TEXT),
    Column("version", TEXT, nullable=False),
    Index("job_of_bearing", "bearing"),
    Index("job_by_number", "number"),
)
"""words: the verdict last reckoned, NULL since the job changed. version: of the program that reckoned it."""

LISTED_INSTRUMENT = _table(
    "listed_instrument",
    Column("id", TEXT, primary_key=True),
    Column("facts", TEXT, nullable=False),
    Column("depth", WHOLE, nullable=False),
    Column("entry", TEXT, nullable=False),
)

LISTED_OPENING = _table(
    "listed_opening",
    Column("book", TEXT, primary_key=True),
    Column("due", TEXT, nullable=False),
    Column("fresh", TEXT, nullable=False),
    Column("said", TEXT, nullable=False),
    Index("opening_by_day", "due", "book"),
    Index("opening_reckoned", "fresh", "book"),
)
"""book: of a bearing. due: the day by which it is to be opened next, `NO_DAY` where nothing can be said.
fresh: version of the program that reckoned it, "" since anything of the bearing changed. said: in words."""

NO_DAY = "9999-12-31"
"""Sorts after every day; our own sign that there is none."""

LISTS = (LISTED_BEARING, LISTED_CARD, LISTED_JOB, LISTED_INSTRUMENT, LISTED_OPENING)
DERIVED = (SIGHT, STORED_FOLD, *LISTS)
