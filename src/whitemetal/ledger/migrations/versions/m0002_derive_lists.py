"""Derive lists: tables that may be thrown away and made again from the entries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")
TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _text(name: str, **options: object) -> sa.Column[str]:
    return sa.Column(name, TEXT, **{"nullable": False, **options})  # type: ignore[arg-type]


def _whole(name: str) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=False)


def _receipt(**options: object) -> sa.Column[int]:
    options = {"nullable": False, **options}
    return sa.Column("receipt", WHOLE, sa.ForeignKey("entry.receipt"), **options)  # type: ignore[arg-type]


def upgrade() -> None:
    """Make the derived tables, empty; the program fills them from the entries when it opens the record."""
    op.create_table(
        "sight", _receipt(primary_key=True, autoincrement=False), _text("clock"), sqlite_strict=True
    )
    op.create_table(
        "stored_fold", _text("book", primary_key=True), _receipt(), _whole("entries"), _text("heads"),
        _whole("version"), _text("account"), sqlite_strict=True,
    )  # fmt: skip
    _lists()


def _lists() -> None:
    op.create_table(
        "listed_bearing", _text("book", primary_key=True), _text("machine"), _text("position"),
        _text("card"), _whole("depth"), _text("entry"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("bearing_of_machine", "listed_bearing", ["machine", "position"])
    op.create_table(
        "listed_card", _text("digest", primary_key=True), _text("book", primary_key=True), _receipt(),
        sqlite_strict=True,
    )  # fmt: skip
    op.create_index("card_of_bearing", "listed_card", ["book"])
    op.create_table(
        "listed_job", _text("book", primary_key=True), _text("bearing"), _text("number"), _text("title"),
        _text("words", nullable=True), _text("version"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("job_of_bearing", "listed_job", ["bearing"])
    op.create_table(
        "listed_instrument", _text("id", primary_key=True), _text("facts"), _whole("depth"), _text("entry"),
        sqlite_strict=True,
    )  # fmt: skip
