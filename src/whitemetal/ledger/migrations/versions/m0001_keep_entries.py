"""Keep entries: the entries and the heads of their chains."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")

NEVER_CHANGED = """
CREATE TRIGGER entry_never_{what} BEFORE {what} ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END
"""


def upgrade() -> None:
    """Make the two kept tables; on SQLite, refuse every change of an entry."""
    op.create_table(
        "entry",
        sa.Column("receipt", WHOLE, primary_key=True, autoincrement=False),
        sa.Column("id", sa.Text, nullable=False, unique=True),
        sa.Column("book", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", sa.Text, nullable=False, unique=True),
        sa.Column("content", sa.Text, nullable=False),
        sa.UniqueConstraint("book", "device", "seq", name="one_chain_a_device"),
        sqlite_strict=True,
    )
    op.create_index("entry_of_book", "entry", ["book", "receipt"])
    op.create_table(
        "head",
        sa.Column("book", sa.Text, primary_key=True),
        sa.Column("device", sa.Text, primary_key=True),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", sa.Text, sa.ForeignKey("entry.digest"), nullable=False),
        sqlite_strict=True,
    )
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(NEVER_CHANGED.format(what=what))
