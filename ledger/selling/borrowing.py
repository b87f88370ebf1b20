"""Animals of others that are here on loan: whose they are, since when, and whether they went back. Reads only.

They come in with the reason 'lent in', are not owned and never sold; the loan is over when all of them went back or
are gone otherwise.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class BorrowedRow:
    """Animals of one lot that came here on loan on a day."""

    lot_id: int
    lot: str
    owner: str
    """As stated with their origin; empty if nobody was."""
    came_on: dt.date
    animals: int
    left_on: dt.date | None
    """The last day some went back, once none of that lot is left; `None`: some are here."""


def borrowed(conn: Connection) -> tuple[BorrowedRow, ...]:
    """Everything that came on loan, oldest first, without what was taken back."""
    m, e, h = t.movement.c, t.entry.c, t.holding.c
    back = t.movement.alias("back")
    rows = conn.execute(
        select(h.lot_id, t.lot.c.code, e.happened_on, func.sum(m.count).label("n"))
        .join(t.entry, e.id == m.entry_id)
        .join(t.holding, h.id == m.to_holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .outerjoin(back, back.c.reverses == m.id)
        .where(m.reason == "lent in", m.reverses.is_(None), back.c.id.is_(None))
        .group_by(h.lot_id, t.lot.c.code, e.happened_on)
        .order_by(e.happened_on, h.lot_id)
    ).all()
    lots = [row.lot_id for row in rows]
    here = set(conn.execute(select(h.lot_id).where(h.lot_id.in_(lots), h.count > 0)).scalars())
    gone = conn.execute(
        select(h.lot_id, func.max(e.happened_on, type_=e.happened_on.type).label("last"))
        .join(t.movement, m.from_holding_id == h.id)
        .join(t.entry, e.id == m.entry_id)
        .where(h.lot_id.in_(lots))
        .group_by(h.lot_id)
    )
    left = {row.lot_id: row.last for row in gone}
    owners = _owners(conn, lots)
    return tuple(
        BorrowedRow(
            row.lot_id,
            row.code,
            owners.get(row.lot_id, ""),
            row.happened_on,
            int(row.n),
            None if row.lot_id in here else left.get(row.lot_id),
        )
        for row in rows
    )


def _owners(conn: Connection, lots: list[int]) -> dict[int, str]:
    f = t.origin_fact.c
    rows = conn.execute(
        select(f.lot_id, f.supplier)
        .where(f.lot_id.in_(lots), f.kind == "stated", f.supplier != "")
        .order_by(f.from_on, f.id)
    )
    return {row.lot_id: row.supplier for row in rows}
