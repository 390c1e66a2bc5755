"""Alembic's way in: it runs on the connection it is given, inside the transaction that connection is in."""

from __future__ import annotations

from alembic import context

from whitemetal.ledger.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    transactional_ddl=True,
    transaction_per_migration=False,
)
context.run_migrations()
