"""Animals sent as goodwill for those that arrived dead: a sale free of charge by number and papers, whose animals leave
at their cost as a selling cost of the sale they make good. Rearing survival ends when they leave, as with any sale.
"""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, or_, select

from ledger.records import tables as t

REASON = "goodwill"
"""Of the movements, in place of 'sold'."""


def reason_of(conn: Connection, sale_id: int) -> str:
    """The reason with which the animals of a sale leave."""
    o = t.claim_outcome.c
    found = conn.execute(select(o.id).where(o.sale_id == sale_id, o.outcome == "goodwill")).first()
    return "sold" if found is None else REASON


def made_good(conn: Connection, sales: Collection[int]) -> dict[int, tuple[int, str]]:
    """The id and number of the sale that each sale of goodwill makes good, where either is among `sales`."""
    o, line, s = t.claim_outcome.c, t.sale_line.c, t.sale.c
    rows = conn.execute(
        select(o.sale_id, s.id, s.number)
        .join(t.claim, t.claim.c.id == o.claim_id)
        .join(t.sale_line, line.id == t.claim.c.sale_line_id)
        .join(t.sale, s.id == line.sale_id)
        .where(o.outcome == "goodwill", o.sale_id.is_not(None), or_(o.sale_id.in_(sales), s.id.in_(sales)))
    )
    return {row.sale_id: (row.id, row.number) for row in rows}
