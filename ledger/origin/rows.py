"""Reading rows of the records that belong to given lots, however many lots there are."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select

_AT_ONCE = 900
"""Lots named in one statement."""
MANY = 3600
"""Lots beyond which a table is read whole, which is then quicker."""


def in_parts(ids: Collection[int]) -> Iterator[list[int]]:
    """Ids in lists short enough to be named several times in one statement."""
    ordered = sorted(ids)
    for start in range(0, len(ordered), _AT_ONCE):
        yield ordered[start : start + _AT_ONCE]


def rows_of(
    conn: Connection, wanted: Select[Any], column: ColumnElement[int], ids: Collection[int], *, many: int = MANY
) -> Iterator[Any]:
    """Rows of a statement whose `column` is one of `ids`, in no order; they may have one more column at the end."""
    if len(ids) > many:
        among = set(ids)
        rows = conn.execute(wanted.add_columns(column.label("of_lot")))
        yield from (row for row in rows if row.of_lot in among)
        return
    for part in in_parts(ids):
        yield from conn.execute(wanted.where(column.in_(part)))
