"""The list of customers: each with how often they bought, when last, for how much, and what is owed. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, Table, func, select

from ledger.records import tables as t
from ledger.selling.customers import find_customers


@dataclass(frozen=True, slots=True)
class CustomerSums:
    """One customer who was not erased. Amounts in minor units."""

    id: int
    name: str
    contact: str
    kind: str
    note: str
    sales: int
    last_on: dt.date | None
    """Of their last sale."""
    bought: int
    """Lines and charges less credits."""
    owed: int
    """Positive: they owe it; negative: it is owed to them. Deposits that are held are not in it."""


def customer_sums(conn: Connection) -> tuple[CustomerSums, ...]:
    """Every customer who was not erased, by name."""
    s = t.sale.c
    mine = s.customer_id.is_not(None)
    sold = {
        row.customer_id: (int(row.n), row.last_on)
        for row in conn.execute(
            select(s.customer_id, func.count().label("n"), func.max(s.sold_on, type_=s.sold_on.type).label("last_on"))
            .where(mine)
            .group_by(s.customer_id)
        )
    }
    lines = _by_customer(conn, t.sale_line, t.sale_line.c.net)
    charges = _by_customer(conn, t.sale_charge, t.sale_charge.c.amount)
    credited = _by_customer(conn, t.credit, t.credit.c.amount)
    paid = _by_customer(conn, t.payment, t.payment.c.amount)
    applied = _applied(conn)
    found = []
    for one in find_customers(conn, "", limit=10**6):
        number, last_on = sold.get(one.id, (0, None))
        bought = lines.get(one.id, 0) + charges.get(one.id, 0) - credited.get(one.id, 0)
        owed = bought - paid.get(one.id, 0) - applied.get(one.id, 0)
        found.append(CustomerSums(one.id, one.name, one.contact, one.kind, one.note, number, last_on, bought, owed))
    return tuple(found)


def _by_customer(conn: Connection, table: Table, amount: ColumnElement[int]) -> dict[int, int]:
    """Sum over the rows of a table that belong to sales, by the customer of the sale."""
    s = t.sale.c
    rows = conn.execute(
        select(s.customer_id, func.sum(amount).label("sum"))
        .join(table, table.c.sale_id == s.id)
        .where(s.customer_id.is_not(None))
        .group_by(s.customer_id)
    )
    return {row.customer_id: int(row.sum) for row in rows}


def _applied(conn: Connection) -> dict[int, int]:
    """Deposits that counted for sales, by the customer."""
    s = t.sale.c
    rows = conn.execute(
        select(s.customer_id, func.sum(t.hold.c.deposit).label("sum"))
        .join(t.hold, t.hold.c.id == s.hold_id)
        .join(t.hold_fate, t.hold_fate.c.hold_id == t.hold.c.id)
        .where(s.customer_id.is_not(None), t.hold_fate.c.deposit == "applied")
        .group_by(s.customer_id)
    )
    return {row.customer_id: int(row.sum) for row in rows}
