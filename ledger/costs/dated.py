"""The one writer of dated rows beside a cost: paid, refunded, finished on another day, disposed of."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, insert

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.periods import accounting_day

_NEW = insert(t.cost_change)


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
    conn.execute(
        _NEW,
        {
            "cost_id": cost_id,
            "kind": kind,
            "happened_on": on,
            "accounting_on": accounting_day(conn, on),
            "amount": amount,
            "window_to": window_to,
            "note": note,
            "operation_id": act.operation,
        },
    )
