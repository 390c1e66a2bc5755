"""What the accounts need besides the entries about them: secrets that must be changed or thrown away, and so
cannot be entries. The record's migrations make these tables. Every moment is in whole seconds since 1970."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, MetaData, Table, Text

METADATA = MetaData()

WHOLE = BigInteger().with_variant(Integer, "sqlite")
"""A 64-bit whole number: STRICT tables of SQLite know it as INTEGER."""

TEXT = Text().with_variant(Text(collation="C"), "postgresql")
"""Text in the order of its letters' numbers on every database."""


def _table(name: str, *columns: Column[int] | Column[str] | Index) -> Table:
    return Table(name, METADATA, *columns, sqlite_strict=True)


def _text(name: str, *more: ForeignKey) -> Column[str]:
    return Column(name, TEXT, *more, nullable=False)


def _whole(name: str) -> Column[int]:
    return Column(name, WHOLE, nullable=False)


ACCOUNT = _table(
    "people_account",
    Column("id", TEXT, primary_key=True),
    Column("known", TEXT, nullable=False, unique=True),
    _text("name"), _text("roles"), _text("password"), _text("key"), _text("sealed"), _text("closed"),
)  # fmt: skip
"""known: the name without its capitals. password: its hash, "" until its owner chose one. key: public;
sealed: the private key, "" where its owner keeps it. closed: since when, "" while it is open."""

SESSION = _table(
    "people_session",
    Column("digest", TEXT, primary_key=True),
    _text("account", ForeignKey("people_account.id")), _text("device"), _text("browser"), _whole("begun"),
    _whole("used"),
    Index("session_of_account", "account"),
)  # fmt: skip
"""digest: SHA-256 of what the cookie says."""

TOKEN = _table(
    "people_token",
    Column("digest", TEXT, primary_key=True),
    Column("id", TEXT, nullable=False, unique=True),
    _text("account", ForeignKey("people_account.id")), _text("title"), _text("scope"), _whole("ends"),
    _whole("used"),
    Index("token_of_account", "account"),
)  # fmt: skip

CODE = _table("people_code", Column("digest", TEXT, primary_key=True), _text("account"), _whole("ends"))
"""A code that is good once, to choose a password with. account: "" for the first account of all."""

TRY = _table("people_try", Column("who", TEXT, primary_key=True), _whole("tries"), _whole("last"))
"""Wrong tries in a row. who: an account or an address."""

SECRET = _table("people_secret", Column("name", TEXT, primary_key=True), _text("value"))

TIE = _table(
    "people_tie",
    Column("issuer", TEXT, primary_key=True), Column("subject", TEXT, primary_key=True),
    Column("account", TEXT, ForeignKey("people_account.id"), nullable=False, unique=True),
)  # fmt: skip
"""Whose account somebody of an OpenID provider has: by the provider and its name for them, never by mail."""

ERRAND = _table(
    "people_errand",
    Column("what", TEXT, primary_key=True), Column("digest", TEXT, primary_key=True), _text("said"),
    _whole("ends"),
)  # fmt: skip
"""What is known for some minutes while somebody goes to the provider and comes back."""
