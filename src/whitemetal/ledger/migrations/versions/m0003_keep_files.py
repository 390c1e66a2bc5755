"""Keep files: photographs, each once, under the digest of its content."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
WHOLE = sa.BigInteger().with_variant(sa.Integer, "sqlite")

NEVER_CHANGED = """
CREATE TRIGGER kept_file_never_{what} BEFORE {what} ON kept_file
BEGIN SELECT RAISE(ABORT, 'files are never changed'); END
"""

NEVER_CHANGED_POSTGRES = (
    """
    CREATE FUNCTION kept_file_never_changed() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'files are never changed'; END $$
    """,
    """
    CREATE TRIGGER kept_file_never_changed BEFORE UPDATE OR DELETE ON kept_file
    FOR EACH ROW EXECUTE FUNCTION kept_file_never_changed()
    """,
    """
    CREATE TRIGGER kept_file_never_emptied BEFORE TRUNCATE ON kept_file
    FOR EACH STATEMENT EXECUTE FUNCTION kept_file_never_changed()
    """,
)


def upgrade() -> None:
    """Make the table of files, and refuse every change of one."""
    op.create_table(
        "kept_file",
        sa.Column("digest", TEXT, primary_key=True),
        sa.Column("media", TEXT, nullable=False),
        sa.Column("size", WHOLE, nullable=False),
        sa.Column("thumbnail", sa.LargeBinary, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sqlite_strict=True,
    )
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(NEVER_CHANGED.format(what=what))
    else:
        for statement in NEVER_CHANGED_POSTGRES:
            op.execute(statement)
