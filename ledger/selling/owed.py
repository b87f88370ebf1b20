"""What is owed both ways on sales and holds: by buyers, to buyers, and deposits held for them. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.selling.holds import holds
from ledger.selling.listing import sales

OWED, GIVE_BACK, HELD, DECIDE = "owed", "give back", "deposit held", "deposit to decide"


@dataclass(frozen=True, slots=True)
class OwedPaper:
    """A sale or hold on which something is owed. Amounts in minor units."""

    kind: str
    """owed (by the buyer), give back (to the buyer), deposit held, deposit to decide."""
    number: str
    customer: str
    since: dt.date
    days: int
    total: int
    """Of the sale less credits, or the deposit."""
    paid: int
    owed: int
    """Positive: owed to us; negative: owed to, or held for, the buyer."""
    waits: bool
    """The animals have not been posted yet."""


def owed(conn: Connection, today: dt.date, now: str) -> tuple[OwedPaper, ...]:
    """Everything owed on sales and holds: what buyers owe first, the longest owed first."""
    found = [
        OwedPaper(
            OWED if row.owed > 0 else GIVE_BACK,
            row.number,
            row.customer,
            row.sold_on,
            (today - row.sold_on).days,
            row.total - row.credited,
            row.paid,
            row.owed,
            row.waits,
        )
        for row in sales(conn, limit=10**9)
        if row.owed
    ]
    found += [
        OwedPaper(
            HELD if hold.deposit_state == "held" else DECIDE,
            hold.number,
            hold.customer,
            hold.made_on,
            (today - hold.made_on).days,
            hold.deposit,
            hold.deposit,
            -hold.deposit,
            False,
        )
        for hold in holds(conn, now)
        if hold.deposit_state in ("held", "undecided")
    ]
    order = (OWED, GIVE_BACK, DECIDE, HELD)
    return tuple(sorted(found, key=lambda row: (order.index(row.kind), row.since, row.number)))
