"""Animals of a lot that are together with others now, as a keeper reads it. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, or_, select

from ledger.records import tables as t
from ledger.stock.naming import find_lot
from ledger.stock.words import place


@dataclass(frozen=True, slots=True)
class Pair:
    """A female and a male that were put together and not parted."""

    number: int
    female: str
    male: str
    from_on: dt.date


def open_pairs(conn: Connection, lot: str) -> tuple[Pair, ...]:
    """The pairs of a lot that were not parted, oldest first. Raises NotFound."""
    wanted = find_lot(conn, lot).id
    e, end = t.exposure.c, t.exposure_end.c
    female, male = t.lot.alias("female"), t.lot.alias("male")
    rows = conn.execute(
        select(e.id, female.c.code, e.female_tub, male.c.code, e.male_tub, e.from_on)
        .join(female, female.c.id == e.female_lot_id)
        .join(male, male.c.id == e.male_lot_id)
        .outerjoin(t.exposure_end, end.exposure_id == e.id)
        .where(or_(e.female_lot_id == wanted, e.male_lot_id == wanted), e.to_on.is_(None), end.id.is_(None))
        .order_by(e.id)
    )
    return tuple(Pair(row[0], place(row[1], row[2]), place(row[3], row[4]), row[5]) for row in rows)
