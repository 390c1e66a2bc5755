"""Find by number: a job is found by its number without reading the list of jobs."""

from __future__ import annotations

from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the index."""
    op.create_index("job_by_number", "listed_job", ["number"])
