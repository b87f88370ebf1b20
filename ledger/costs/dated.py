"""The one writer of dated rows beside a cost: paid, refunded, finished on another day, disposed of."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, insert

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.later import write_one
from ledger.records.periods import accounting_day

_NEW = insert(t.cost_change).returning(t.cost_change.c.id)


def write_change(
    conn: Connection,
    act: Act,
    cost_id: int,
    kind: str,
    on: dt.date,
    *,
    amount: int = 0,
    window_to: dt.date | None = None,
    note: str = "",
) -> None:
    """Write one row; it is accounted on its day, or the first open one."""
    row = {
        "cost_id": cost_id,
        "kind": kind,
        "happened_on": on,
        "accounting_on": accounting_day(conn, on),
        "amount": amount,
        "window_to": window_to,
        "note": note,
        "operation_id": act.operation,
    }
    if kind == "paid":
        write_one(conn, _NEW, t.cost_change, row)
    else:
        conn.execute(_NEW, row)
