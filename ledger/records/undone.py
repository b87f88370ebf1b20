"""Whether an act still stands: what was only said, and neither moved nor paid, no longer counts once its act is undone.

The rows stay. Whoever reads a table of such rows asks for those that `stands`.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, func, insert, literal_column, select

from ledger.act import Act
from ledger.records import tables as t


def stands(column: Any) -> ColumnElement[bool]:
    """Whether the act of a row was not undone.

    Args:
        column: `operation_id` of the table that is read.
    """
    wanted: Select[Any] = select(literal_column("1")).where(t.undone.c.act_id == column)
    return ~wanted.correlate(column.table).exists()


def write_undone(conn: Connection, act: Act, target: int) -> None:
    """Say that an act was taken back; the database refuses it twice."""
    conn.execute(insert(t.undone).values(act_id=target, operation_id=act.operation))


def reverses_nothing(column: Any) -> ColumnElement[bool]:
    """Whether a row of a journal takes nothing back; for queries that look for few rows by something else.

    Nearly no row takes anything back. SQLite takes NULL in a unique column for something rare and
    would go through all of them by its index (100,000 payments to find those of one sale): it is kept out of its sight.

    Args:
        column: the one that says which row is taken back.
    """
    return func.coalesce(column, 0) == 0
