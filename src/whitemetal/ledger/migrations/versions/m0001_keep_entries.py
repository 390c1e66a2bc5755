"""Keep entries: the entries and the heads of their chains."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")
TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")

NEVER_CHANGED = """
CREATE TRIGGER entry_never_{what} BEFORE {what} ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END
"""

NEVER_CHANGED_POSTGRES = (
    """
    CREATE FUNCTION entry_never_changed() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'entries are never changed'; END $$
    """,
    """
    CREATE TRIGGER entry_never_changed BEFORE UPDATE OR DELETE ON entry
    FOR EACH ROW EXECUTE FUNCTION entry_never_changed()
    """,
    """
    CREATE TRIGGER entry_never_emptied BEFORE TRUNCATE ON entry
    FOR EACH STATEMENT EXECUTE FUNCTION entry_never_changed()
    """,
)


def upgrade() -> None:
    """Make the two kept tables, and refuse every change of an entry."""
    op.create_table(
        "entry",
        sa.Column("receipt", WHOLE, primary_key=True, autoincrement=False),
        sa.Column("id", TEXT, nullable=False, unique=True),
        sa.Column("book", TEXT, nullable=False),
        sa.Column("kind", TEXT, nullable=False),
        sa.Column("device", TEXT, nullable=False),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", TEXT, nullable=False, unique=True),
        sa.Column("content", TEXT, nullable=False),
        sa.UniqueConstraint("book", "device", "seq", name="one_chain_a_device"),
        sqlite_strict=True,
    )
    op.create_index("entry_of_book", "entry", ["book", "receipt"])
    op.create_table(
        "head",
        sa.Column("book", TEXT, primary_key=True),
        sa.Column("device", TEXT, primary_key=True),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", TEXT, sa.ForeignKey("entry.digest"), nullable=False),
        sqlite_strict=True,
    )
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(NEVER_CHANGED.format(what=what))
    else:
        for statement in NEVER_CHANGED_POSTGRES:
            op.execute(statement)
