"""Keep people: what accounts need besides the entries about them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def _key(name: str) -> sa.Column[str]:
    return sa.Column(name, TEXT, primary_key=True)


def _text(*names: str, unique: bool = False) -> list[sa.Column[str]]:
    return [sa.Column(name, TEXT, nullable=False, unique=unique or None) for name in names]


def _whole(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, WHOLE, nullable=False) for name in names]


def _of_account() -> sa.Column[str]:
    return sa.Column("account", TEXT, sa.ForeignKey("people_account.id"), nullable=False)


def upgrade() -> None:
    """Make the tables, empty: a record without accounts is as it was."""
    op.create_table(
        "people_account", _key("id"), *_text("known", unique=True),
        *_text("name", "roles", "password", "key", "sealed", "closed"), sqlite_strict=True,
    )  # fmt: skip
    op.create_table(
        "people_session", _key("digest"), _of_account(), *_text("device", "browser"),
        *_whole("begun", "used"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("session_of_account", "people_session", ["account"])
    op.create_table(
        "people_token", _key("digest"), *_text("id", unique=True), _of_account(), *_text("title", "scope"),
        *_whole("ends", "used"), sqlite_strict=True,
    )  # fmt: skip
    op.create_index("token_of_account", "people_token", ["account"])
    op.create_table("people_code", _key("digest"), *_text("account"), *_whole("ends"), sqlite_strict=True)
    op.create_table("people_try", _key("who"), *_whole("tries", "last"), sqlite_strict=True)
    op.create_table("people_secret", _key("name"), *_text("value"), sqlite_strict=True)
