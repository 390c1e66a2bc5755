"""List openings: by when each bearing is to be opened next, derived."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")

EVERY_BEARING = """
INSERT INTO listed_opening (book, due, fresh, said)
SELECT book, '9999-12-31', '', '{}' FROM listed_bearing WHERE card != ''
"""


def upgrade() -> None:
    """Make the list with a line for every bearing, none of them reckoned yet."""
    op.create_table(
        "listed_opening",
        sa.Column("book", TEXT, primary_key=True),
        sa.Column("due", TEXT, nullable=False),
        sa.Column("fresh", TEXT, nullable=False),
        sa.Column("said", TEXT, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("opening_by_day", "listed_opening", ["due", "book"])
    op.create_index("opening_reckoned", "listed_opening", ["fresh", "book"])
    op.execute(EVERY_BEARING)
