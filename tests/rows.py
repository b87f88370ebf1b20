"""Every row of a ledger as the database has it: what must be the same before and after a refusal."""

from __future__ import annotations

from sqlalchemy import Connection

from ledger.records.tables import metadata

Rows = dict[str, list[tuple[object, ...]]]

_IN_ORDER = {
    name: f"SELECT * FROM {name} ORDER BY {', '.join(column.name for column in table.primary_key)}"
    for name, table in metadata.tables.items()
}


def everything(conn: Connection) -> Rows:
    """Rows by table, in the order of their keys."""
    return {name: [tuple(row) for row in conn.exec_driver_sql(sql)] for name, sql in _IN_ORDER.items()}
