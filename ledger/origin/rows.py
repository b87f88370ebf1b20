"""Reading rows of the records that belong to given lots, however many lots there are."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select

_AT_ONCE = 900
"""Lots named in one statement; beyond a few such parts a table is read whole, which is quicker."""
_PARTS = 4


def rows_of(conn: Connection, wanted: Select[Any], column: ColumnElement[int], ids: Collection[int]) -> Iterator[Any]:
    """Rows of a statement whose `column` is one of `ids`, in no order."""
    ordered = sorted(ids)
    if len(ordered) > _AT_ONCE * _PARTS:
        rows = conn.execute(wanted.add_columns(column.label("of_lot")))
        yield from (row for row in rows if row.of_lot in ids)
        return
    for start in range(0, len(ordered), _AT_ONCE):
        yield from conn.execute(wanted.where(column.in_(ordered[start : start + _AT_ONCE])))
