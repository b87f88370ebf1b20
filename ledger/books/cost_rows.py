"""Rows of the costs of a year, and of the equipment: what was spent, paid, given back, and what is not used up.

A cost of an earlier year is listed while something of it moves or is left; only costs accounted in the year count as
costs of the year.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.books import lines
from ledger.books.material import Material
from ledger.books.sold import upto, within
from ledger.books.spent import CostAccount
from ledger.costs.declining import declining_left
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.wording import say, strung


@dataclass(frozen=True, slots=True)
class CostRow:
    """One cost. Amounts in minor units; `cost`, `paid` and so on are the business part."""

    on: dt.date
    number: int
    """0 for what is too small to be shared out yet."""
    supplier: str
    category: str
    kind: str
    scope: str
    """'all', or the species or lots it is for."""
    text: str
    line: int
    net: int
    tax: int
    gross: int
    cost: int
    """What counts as a cost of this year."""
    refunded: int
    """Came back in the year."""
    paid: int
    """In the year, in money."""
    swapped: int
    """In the year, in animals."""
    owed_at_start: int
    unused_at_start: int
    """Not used up; 0 for equipment, which has rows of its own."""
    unused_at_end: int
    note: str = ""
    """The keeper's remark."""

    @property
    def owed_at_end(self) -> int:
        """Still to be paid at the end of the year."""
        return self.owed_at_start + self.cost - self.paid - self.swapped


@dataclass(frozen=True, slots=True)
class EquipmentRow:
    """One lasting thing. Amounts in minor units, business part."""

    on: dt.date
    number: int
    item: str
    cost: int
    life_days: int
    residual: int
    at_start: int
    bought: int
    """In the year, less refunds, and less what was taken back."""
    left_at_disposal: int
    """What was left of it when it was disposed of in the year."""
    proceeds: int
    at_end: int
    disposed_on: dt.date | None
    declining: int
    """What it would stand at by declining balance, for comparison only; 0 once it is gone."""

    @property
    def used_up(self) -> int:
        """What the year used up of it."""
        return self.at_start + self.bought - self.left_at_disposal - self.at_end


def cost_rows(conn: Connection, given: Material) -> list[CostRow]:
    """Every cost of the year, and earlier ones that are not over, in the order they were entered."""
    whom = _scopes(conn)
    running = lines.running_costs([(cost.kind, cost.category) for cost in given.costs])
    rows = []
    for cost in given.costs:
        row = CostRow(
            on=cost.accounting_on,
            number=cost.id,
            supplier=cost.supplier,
            category=cost.category,
            kind=cost.kind,
            scope=whom.get(cost.reverses or cost.id, cost.scope),
            text=cost.text if cost.reverses is None else say("takes back cost {reverses}", reverses=cost.reverses),
            line=lines.line_of(cost.kind, cost.category, running),
            net=cost.net,
            tax=cost.tax,
            gross=cost.gross,
            cost=cost.basis if given.in_year(cost.accounting_on) else 0,
            refunded=within(cost.refunds, given.first, given.last),
            paid=within(cost.paid, given.first, given.last),
            swapped=within(cost.swapped, given.first, given.last),
            owed_at_start=cost.owed(given.eve),
            unused_at_start=given.before.not_used_up.get(cost.id, 0),
            unused_at_end=given.after.not_used_up.get(cost.id, 0),
            note=" ".join(cost.note.split()),
        )
        moved = (row.cost, row.refunded, row.paid, row.swapped, row.owed_at_start)
        if any(moved) or row.unused_at_start or row.unused_at_end:
            rows.append(row)
    crumbs = given.before.not_used_up.get(None, 0), given.after.not_used_up.get(None, 0)
    if any(crumbs):
        rows.append(_too_small(given, *crumbs))
    return rows


def _too_small(given: Material, at_start: int, at_end: int) -> CostRow:
    return CostRow(
        on=given.last,
        number=0,
        supplier="",
        category="",
        kind="used up",
        scope="all",
        text=say("too small to be shared out yet"),
        line=0,
        net=0,
        tax=0,
        gross=0,
        cost=0,
        refunded=0,
        paid=0,
        swapped=0,
        owed_at_start=0,
        unused_at_start=at_start,
        unused_at_end=at_end,
    )


def _scopes(conn: Connection) -> dict[int, str]:
    named: dict[int, list[str]] = defaultdict(list)
    for row in conn.execute(
        select(t.cost_scope.c.cost_id, t.species.c.code.label("species"), t.lot.c.code.label("lot"))
        .outerjoin(t.species, t.species.c.id == t.cost_scope.c.species_id)
        .outerjoin(t.lot, t.lot.c.id == t.cost_scope.c.lot_id)
        .order_by(t.cost_scope.c.id)
    ):
        named[row.cost_id].append(row.species or row.lot)
    return {number: strung(codes, ", ") for number, codes in named.items()}


def equipment_rows(given: Material) -> list[EquipmentRow]:
    """Every lasting thing that was there at the start or the end of the year, or was bought or disposed of in it."""
    added: dict[int, int] = defaultdict(int)
    for cost in given.costs:
        if cost.kind == "lasting":
            basis = cost.basis if given.in_year(cost.accounting_on) else 0
            added[cost.reverses or cost.id] += basis - within(cost.refunds, given.first, given.last)
    gone = {cost.reverses for cost in given.costs if cost.reverses and cost.accounting_on <= given.last}
    gone |= {cost.id for cost in given.costs if cost.disposal and cost.disposal.on <= given.last}
    rows = []
    for cost in given.costs:
        if cost.kind != "lasting" or cost.reverses is not None:
            continue
        number = cost.id
        row = EquipmentRow(
            on=cost.bought_on,
            number=number,
            item=cost.text or cost.category,
            cost=cost.basis,
            life_days=cost.life_days or 0,
            residual=cost.residual,
            at_start=given.before.equipment.get(number, 0),
            bought=added[number],
            left_at_disposal=given.after.disposed.get(number, 0) - given.before.disposed.get(number, 0),
            proceeds=within((cost.disposal,) if cost.disposal else (), given.first, given.last),
            at_end=given.after.equipment.get(number, 0),
            disposed_on=cost.disposal.on if cost.disposal and cost.disposal.on <= given.last else None,
            declining=0 if number in gone else _declining(cost, given.last),
        )
        if row.at_start or row.bought or row.left_at_disposal or row.proceeds or row.at_end:
            rows.append(row)
    return rows


def _declining(cost: CostAccount, on: dt.date) -> int:
    basis = cost.basis - upto(cost.refunds, on)
    days = max(0, on.toordinal() - cost.in_use_from.toordinal() + 1)
    left = declining_left(basis, min(cost.residual, basis), cost.life_days or days or 1, days)
    return round_half_even(left.numerator, left.denominator)
