"""What all cost came to by the end of a day: what is there, by where it is, and what went out, by why.

Reads the shared costs and adds what they leave out: the residual value of equipment, and what was left of it when it
was disposed of. Shares nothing out itself.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.account import account
from ledger.costs.result import Kind, Shared
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class Position:
    """All cost at the end of a day. Amounts in minor units, all categories together."""

    on: dt.date
    shared: Shared
    animals: Mapping[tuple[int, int], int]
    """Cost so far by (lot, position of the stage)."""
    brood: Mapping[int, int]
    """By lot of the breeders."""
    not_used_up: Mapping[int | None, int]
    """By cost, without equipment; `None`: what is too small to be shared yet."""
    equipment: Mapping[int, int]
    """By cost: not used up, and the residual value, of what is in use."""
    disposed: Mapping[int, int]
    """By cost: what was left of equipment when it was disposed of."""
    went: Mapping[tuple[Kind, int | None], int]
    """What went out ever, by kind and movement; `None`: without a movement."""
    idle: int
    """What had no animals to carry it, in steps of the grid: posted, it may be a cent more or less."""

    def went_out(self, kind: Kind) -> int:
        """All that ever went out as one kind."""
        return sum(amount for (one, _), amount in self.went.items() if one is kind)

    @property
    def carried(self) -> int:
        """Cost so far of animals, and brood."""
        return sum(self.animals.values()) + sum(self.brood.values())

    @property
    def assets(self) -> int:
        """Everything that is there."""
        return self.carried + sum(self.not_used_up.values()) + sum(self.equipment.values())


def position(conn: Connection, on: dt.date) -> Position:
    """All cost accounted up to and including a day."""
    reckoned = account(conn, on)
    lasting = {cost.id: cost for cost in reckoned.costs if cost.kind == "lasting"}
    animals: dict[tuple[int, int], int] = {}
    brood: dict[int, int] = {}
    unused: dict[int | None, int] = defaultdict(int)
    equipment: dict[int, int] = defaultdict(int)
    for row in reckoned.shared.closing:
        amount = sum(row.posted)
        if row.kind is Kind.ON_HAND and row.lot is not None and row.stage is not None:
            animals[row.lot, row.stage] = amount
        elif row.kind is Kind.BROOD and row.lot is not None:
            brood[row.lot] = amount
        elif row.cost_line is not None and row.cost_line in lasting:
            equipment[row.cost_line] += amount
        else:
            unused[row.cost_line] += amount
    disposed = {number: cost.spread.stranded for number, cost in lasting.items() if cost.spread.stranded}
    for number, residual, gone in _residuals(conn, on):
        if gone:
            disposed[number] = disposed.get(number, 0) + residual
        else:
            equipment[number] += residual
    went: dict[tuple[Kind, int | None], int] = defaultdict(int)
    idle = 0
    for posting in reckoned.shared.postings:
        went[posting.kind, posting.event] += sum(posting.posted)
        if posting.kind is Kind.NO_ANIMALS:
            idle += sum(posting.cost)
    return Position(on, reckoned.shared, animals, brood, dict(unused), dict(equipment), disposed, dict(went), idle)


def _residuals(conn: Connection, on: dt.date) -> list[tuple[int, int, bool]]:
    """Residual values that count on a day: (cost, minor units, whether it was disposed of by then)."""
    back = t.cost.alias("back")
    gone = t.cost_change.alias("gone")
    rows = conn.execute(
        select(t.cost.c.id, t.cost.c.residual, gone.c.id.label("gone"))
        .outerjoin(back, (back.c.reverses == t.cost.c.id) & (back.c.accounting_on <= on))
        .outerjoin(
            gone,
            (gone.c.cost_id == t.cost.c.id) & (gone.c.kind == "disposal") & (gone.c.accounting_on <= on),
        )
        .where(
            t.cost.c.kind == "lasting",
            t.cost.c.reverses.is_(None),
            t.cost.c.accounting_on <= on,
            t.cost.c.residual > 0,
            back.c.id.is_(None),
        )
        .order_by(t.cost.c.id)
    )
    return [(row.id, row.residual, row.gone is not None) for row in rows]
