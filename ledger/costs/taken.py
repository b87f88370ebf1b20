"""What was taken out of the store and is still being used, beside the bags that were opened when bought. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.in_use import OpenRow, in_use
from ledger.costs.items import item_words
from ledger.costs.store import in_words
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class TakenRow:
    """A taking that is thought to last beyond the day it was taken out."""

    number: int
    category: str
    item: str
    quantity: str
    """With its unit."""
    whom: str
    """Species or lot it is for; empty: all animals."""
    on: dt.date
    used_to: dt.date


def taken(conn: Connection, today: dt.date) -> tuple[TakenRow, ...]:
    """Takings in use on a day, the one thought to end first at the top."""
    i, back = t.store_issue.c, t.store_issue.alias("back").c
    rows = conn.execute(
        select(i.id, i.category, i.item, i.quantity, i.unit, t.species.c.code, t.lot.c.code, i.happened_on, i.used_to)
        .outerjoin(t.species, t.species.c.id == i.species_id)
        .outerjoin(t.lot, t.lot.c.id == i.lot_id)
        .where(
            i.reverses.is_(None),
            ~select(back.id).where(back.reverses == i.id).exists(),
            i.happened_on <= today,
            i.used_to >= today,
        )
        .order_by(i.used_to, i.id)
    )
    return tuple(
        TakenRow(
            number, category, item_words(category, item), in_words(quantity, unit), species or lot or "", on, used_to
        )
        for number, category, item, quantity, unit, species, lot, on, used_to in rows
    )


def all_in_use(conn: Connection, today: dt.date) -> tuple[tuple[OpenRow, ...], tuple[TakenRow, ...]]:
    """Bags opened when bought, and what was taken out of the store."""
    return in_use(conn, today), taken(conn, today)
