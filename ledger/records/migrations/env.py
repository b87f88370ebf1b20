"""Run by Alembic: hands it the connection and the transaction it is to work in."""

from __future__ import annotations

from alembic import context

from ledger.records.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
