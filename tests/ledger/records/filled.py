"""One row in every table, made from what the tables themselves allow; for tests of the database's own rules."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from sqlalchemy import CheckConstraint, Column, Connection, Table, func, insert, select

from ledger.records.columns import Day
from ledger.records.tables import metadata

DAY = dt.date(2025, 6, 2)
"""Every date of the rows: in the accounting year 2025."""

_ALSO: dict[str, dict[str, Any]] = {
    "counter": {"year": 2025, "last": 0},
    "closing": {"year": 2025},
    "movement": {"to_holding_id": 1, "from_holding_id": None},
    "payment": {"sale_id": 1, "amount": 5},
    "sale_line": {"origin_text": "captive-bred"},
    "closing_figure": {"value": 7},
    "outlook_week": {"issued_on": DAY - dt.timedelta(days=1)},
}
"""What checks over several columns ask for."""


def fill(conn: Connection) -> None:
    """Put one row into every empty table."""
    for table in metadata.sorted_tables:
        if conn.execute(select(func.count()).select_from(table)).scalar_one() == 0:
            conn.execute(insert(table).values(row_for(table)))


def row_for(table: Table) -> dict[str, Any]:
    """An acceptable first row of a table, without a generated id."""
    own = _ALSO.get(table.name, {})
    made = {column.name: _value(column) for column in table.columns if _is_asked_for(table, column)}
    return made | own


def _is_asked_for(table: Table, column: Column[Any]) -> bool:
    return not column.nullable and column is not table.autoincrement_column


def _value(column: Column[Any]) -> Any:
    if column.foreign_keys:
        return 1
    if isinstance(column.type, Day):
        return DAY
    said = " ".join(str(c.sqltext) for c in column.constraints if isinstance(c, CheckConstraint))
    allowed = re.search(r"IN \('((?:[^']|'')*)'", said)
    if allowed:
        return allowed[1]
    bounds = re.search(r"BETWEEN (-?\d+) AND \d+", said)
    if bounds:
        return max(0, int(bounds[1]))
    return "1" if "length" in said else 1
