"""What was posted of each species and what of it arrived dead, by what buyers said: no part of rearing survival."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.records import tables as t
from ledger.records.undone import stands


@dataclass(frozen=True, slots=True)
class ArrivalsRow:
    """What was posted of a species and what of it arrived dead, by what buyers said."""

    species: str
    """Code."""
    parcels: int
    posted: int
    """Animals."""
    claims: int
    dead: int

    @property
    def share(self) -> float:
        """Part of the animals posted that arrived dead."""
        return self.dead / self.posted


def arrivals(conn: Connection, first: dt.date, last: dt.date) -> tuple[ArrivalsRow, ...]:
    """Arrivals by species of parcels posted from one day to another, both included. Not part of rearing survival."""
    line, p, h = t.sale_line.c, t.posting.c, t.holding.c
    c = t.claim.c
    dead = {
        row.sale_line_id: (row.n, int(row.dead))
        for row in conn.execute(
            select(c.sale_line_id, func.count().label("n"), func.sum(c.dead).label("dead"))
            .where(stands(c.operation_id))
            .group_by(c.sale_line_id)
        )
    }
    gone = {
        row.sale_line_id: int(row.n)
        for row in conn.execute(
            select(t.sale_movement.c.sale_line_id, func.sum(t.movement.c.count).label("n"))
            .join(t.movement, t.movement.c.id == t.sale_movement.c.movement_id)
            .group_by(t.sale_movement.c.sale_line_id)
        )
    }
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    sales: dict[str, set[int]] = defaultdict(set)
    rows = conn.execute(
        select(line.id, line.sale_id, t.species.c.code)
        .join(t.posting, p.sale_id == line.sale_id)
        .join(t.holding, h.id == line.holding_id)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.species, t.species.c.id == t.lot.c.species_id)
        .where(p.posted_on.between(first, last))
        .order_by(t.species.c.code, line.id)
    )
    for row in rows:
        if not gone.get(row.id):
            continue
        number, animals = dead.get(row.id, (0, 0))
        total = sums[row.code]
        total[0] += gone[row.id]
        total[1] += number
        total[2] += animals
        sales[row.code].add(row.sale_id)
    return tuple(ArrivalsRow(code, len(sales[code]), *total) for code, total in sums.items())
