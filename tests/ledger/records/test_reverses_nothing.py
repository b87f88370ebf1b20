"""Rows of one sale, one cost or one act are found by that, and not among all rows that take nothing back."""

from __future__ import annotations

import pytest
from sqlalchemy import ColumnElement, Table, select

from ledger.records import tables as t
from ledger.records.store import Store
from ledger.records.undone import reverses_nothing


def plan(store: Store, table: Table, by: str, *more: ColumnElement[bool]) -> str:
    """How SQLite looks for rows."""
    wanted = select(table.c.id).where(table.c[by] == 1, *more)
    with store.reading() as conn:
        said = str(wanted.compile(conn, compile_kwargs={"literal_binds": True}))
        return " ".join(row[3] for row in conn.exec_driver_sql(f"EXPLAIN QUERY PLAN {said}"))


@pytest.mark.parametrize(
    ("table", "by"),
    [(t.payment, "sale_id"), (t.cost, "sale_id"), (t.cost, "operation_id"), (t.cost_change, "cost_id")],
    ids=lambda one: getattr(one, "name", one),
)
def test_the_index_of_what_is_looked_for_is_used(sqlite_store: Store, table: Table, by: str) -> None:
    assert f"({by}=?)" in plan(sqlite_store, table, by, reverses_nothing(table.c.reverses))
    # The control: said plainly, all rows that take nothing back are gone through.
    assert "(reverses=?)" in plan(sqlite_store, table, by, table.c.reverses.is_(None))
