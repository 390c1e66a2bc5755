"""Tie accounts to somebody of an OpenID provider, and know for some minutes who is on the way there."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Make the tables, empty: every account goes on as it was."""
    op.create_table(
        "people_tie", sa.Column("issuer", TEXT, primary_key=True),
        sa.Column("subject", TEXT, primary_key=True),
        sa.Column("account", TEXT, sa.ForeignKey("people_account.id"), nullable=False, unique=True),
        sqlite_strict=True,
    )  # fmt: skip
    op.create_table(
        "people_errand", sa.Column("what", TEXT, primary_key=True),
        sa.Column("digest", TEXT, primary_key=True), sa.Column("said", TEXT, nullable=False),
        sa.Column("ends", WHOLE, nullable=False), sqlite_strict=True,
    )  # fmt: skip
