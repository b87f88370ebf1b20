"""The one writer of dated rows beside a cost: paid, refunded, finished on another day, disposed of."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, insert, or_

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.later import write_one
from ledger.records.periods import accounting_day
from ledger.records.undone import stands

_NEW = insert(t.cost_change).returning(t.cost_change.c.id)
counts_still = or_(t.cost_change.c.kind != "window", stands(t.cost_change.c.operation_id))
"""Whether a row beside a cost counts: the end of a window does not once its act is undone. What was paid by mistake is
taken back by a row of its own, and both count."""


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
    reverses: int | None = None,
    accounted: dt.date | None = None,
) -> None:
    """Write one row; it is accounted on its day (or `accounted`), or the first open one."""
    row = {
        "cost_id": cost_id,
        "kind": kind,
        "happened_on": on,
        "accounting_on": accounting_day(conn, accounted or on),
        "amount": amount,
        "window_to": window_to,
        "note": note,
        "reverses": reverses,
        "operation_id": act.operation,
    }
    if kind == "paid" and reverses is None:
        write_one(conn, _NEW, t.cost_change, row)
    else:
        conn.execute(_NEW, row)
