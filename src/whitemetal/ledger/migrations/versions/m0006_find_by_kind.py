"""Find by kind: what a book keeps of one kind is found without reading the book."""

from __future__ import annotations

from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the index."""
    op.create_index("entry_of_kind", "entry", ["book", "kind", "receipt"])
