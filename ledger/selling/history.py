"""What is on record of one customer: sales, holds, places in queues, claims, loans, gifts, and what is owed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.selling.customers import CustomerRow, find_customer
from ledger.selling.doa import ClaimRow, claims
from ledger.selling.giving import GivenRow, given
from ledger.selling.holds import Hold, holds
from ledger.selling.lending import LoanRow, loans
from ledger.selling.queue import QueueRow, queue
from ledger.selling.sale import Sale, sales_by_id


@dataclass(frozen=True, slots=True)
class History:
    """One customer with everything on record of them."""

    customer: CustomerRow
    sales: tuple[Sale, ...]
    holds: tuple[Hold, ...]
    queue: tuple[QueueRow, ...]
    claims: tuple[ClaimRow, ...]
    loans: tuple[LoanRow, ...]
    given: tuple[GivenRow, ...]

    @property
    def bought(self) -> int:
        """What their sales come to less credits, minor units."""
        return sum(sale.total - sale.credited for sale in self.sales)

    @property
    def owed(self) -> int:
        """Positive: they owe it; negative: it is owed to them. Deposits are not in it."""
        return sum(sale.owed for sale in self.sales)

    @property
    def last_on(self) -> dt.date | None:
        """The day of their last sale."""
        return max((sale.sold_on for sale in self.sales), default=None)


def history(conn: Connection, name: str, now: str) -> History:
    """Everything on record of a customer.

    Raises:
        NotFound: there is no customer of that name.
    """
    who = find_customer(conn, name)
    s = t.sale.c
    ids = conn.execute(select(s.id).where(s.customer_id == who.id).order_by(s.id)).scalars().all()
    sales = tuple(sales_by_id(conn, ids))
    numbers = {sale.number for sale in sales}
    return History(
        who,
        sales,
        tuple(hold for hold in holds(conn, now) if hold.customer_id == who.id),
        tuple(row for row in queue(conn, now) if row.customer == who.name),
        tuple(row for row in claims(conn) if row.number in numbers),
        tuple(row for row in loans(conn) if row.to == who.name),
        tuple(row for row in given(conn) if row.to == who.name),
    )
