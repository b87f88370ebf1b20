"""The first tables of a ledger."""

from __future__ import annotations

from alembic import op

from ledger.records.migrations import statements

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table and index; the SQL lies beside this file, one file for each kind of database."""
    for statement in statements("0001", op.get_bind().dialect.name):
        op.get_bind().exec_driver_sql(statement)
