"""Whether an act still stands: what was only said, and neither moved nor paid, no longer counts once its act is undone.

The rows stay. Whoever reads a table of such rows asks for those that `stands`.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, insert, literal_column, select

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
