"""The equipment register: every lasting thing, what is left of it, and what became of it. Reads only.

What is left is what the books hold, to the minor unit.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.account import account
from ledger.costs.declining import declining_left
from ledger.money import round_half_even
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class EquipmentRow:
    """One lasting thing on a day. Amounts in minor units, business part."""

    cost: int
    """Number of the cost."""
    bought_on: dt.date
    item: str
    basis: int
    """What it cost, less refunds."""
    residual: int
    life_days: int
    used_up: int
    """What animals took of it so far, in equal parts a day."""
    left: int
    """What it stands at; 0 once it is gone."""
    declining: Fraction
    """What it would stand at by declining balance: for comparison only."""
    disposed_on: dt.date | None
    expensed: int
    """What was left of it when it went: nobody carries it."""
    proceeds: int


def equipment_rows(conn: Connection, on: dt.date) -> tuple[EquipmentRow, ...]:
    """The register at the end of a day, in the order things were bought."""
    back = t.cost.alias("back")
    wanted = (
        select(t.cost)
        .outerjoin(back, (back.c.reverses == t.cost.c.id) & (back.c.accounting_on <= on))
        .where(
            t.cost.c.kind == "lasting",
            t.cost.c.reverses.is_(None),
            t.cost.c.accounting_on <= on,
            back.c.id.is_(None),
        )
        .order_by(t.cost.c.bought_on, t.cost.c.id)
    )
    things = conn.execute(wanted).all()
    if not things:
        # Nothing is shared out for nothing: of a large ledger that takes long.
        return ()
    reckoned = account(conn, on)
    spread = {cost.id: cost for cost in reckoned.costs if cost.kind == "lasting"}
    waiting: dict[int | None, int] = defaultdict(int)
    for line in reckoned.shared.closing:
        waiting[line.cost_line] += sum(line.posted)
    gone = {
        row.cost_id: row
        for row in conn.execute(
            select(t.cost_change).where(t.cost_change.c.kind == "disposal", t.cost_change.c.accounting_on <= on)
        )
    }
    rows = []
    for row in things:
        final = spread[row.id].spread
        whole = sum(part.amount for part in final.parts) + final.stranded
        used = sum(part.amount for part in final.parts) - waiting[row.id]
        left_over = gone.get(row.id)
        days = max(0, on.toordinal() - row.window_from.toordinal() + 1)
        basis = whole + row.residual
        rows.append(
            EquipmentRow(
                row.id,
                row.bought_on,
                row.text or row.category,
                basis,
                row.residual,
                row.life_days,
                used,
                0 if left_over else basis - used,
                Fraction(0) if left_over else declining_left(basis, row.residual, row.life_days, days),
                None if left_over is None else left_over.happened_on,
                final.stranded + row.residual if left_over else 0,
                0 if left_over is None else round_half_even(left_over.amount * row.share, 10000),
            )
        )
    return tuple(rows)
