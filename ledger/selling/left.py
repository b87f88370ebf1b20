"""What would be left after a sale or a hold that is only planned: for a form that says so while it is filled in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from sqlalchemy import Connection

from ledger.selling.parts import Part
from ledger.selling.standing import standing
from ledger.stock.figures import figures


def left_after(conn: Connection, parts: Sequence[Part], on: dt.date, now: str, *, soft: bool = False) -> int:
    """How many animals of the kinds that were chosen would still be there for others.

    Args:
        conn: a connection.
        parts: what the plan chose; each kind (lot, stage, sex) counts once.
        on: day by which hardness is judged.
        now: moment by which deadlines are judged.
        soft: count soft ones too, as a hold may take them.
    """
    known = figures(conn, on)
    kinds = {(part.lot.id, part.stage.id, part.sex, part.sure) for part in parts}
    there = 0
    for lot in dict.fromkeys(part.lot for part in parts):
        for one in standing(conn, lot, known, now):
            key = one.group.key
            if (lot.id, key.stage_id, key.sex, key.sure) in kinds:
                there += one.free if soft else one.ready
    return max(0, there - sum(part.count for part in parts))
