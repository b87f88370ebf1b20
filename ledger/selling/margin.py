"""The margin of each sale: its price less credits, less the cost its animals left at, less its selling costs.

What animals left at comes from the sharing of costs and is not split again here; selling costs belong to the sale
and not to its animals. What animals sent as goodwill left at is a selling cost of the sale they make good. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, or_, select

from ledger.costs.account import account
from ledger.costs.result import Kind
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.records.undone import reverses_nothing
from ledger.selling.goodwill import made_good
from ledger.selling.sale import LineOfSale, Sale, find_sale, sales_by_id
from ledger.stock.journal import in_parts


@dataclass(frozen=True, slots=True)
class LineMargin:
    """One line, with what is stated on it. Amounts in minor units."""

    position: int
    lot: str
    species: str
    stage: str
    sex: str
    """As sold, with how sure it was: 'probable female'."""
    origin: str
    """As sold."""
    count: int
    extra: int
    price: int
    """Net of discount."""
    credited: int
    cost: int
    """What its animals left at, less what came back; 0 while they are still here."""
    cost_known: bool
    """False: the lot was here before the ledger began, so part of its cost is not known."""

    @property
    def left(self) -> int:
        """Price less credits and cost."""
        return self.price - self.credited - self.cost


@dataclass(frozen=True, slots=True)
class SaleMargin:
    """One sale. Amounts in minor units."""

    number: str
    sold_on: dt.date
    customer: str
    channel: str
    waits: bool
    """Its animals have not left yet: no cost has left with them."""
    price: int
    """Lines and charges less credits."""
    cost: int
    selling_costs: int
    """With what animals sent as goodwill for it left at."""
    lines: tuple[LineMargin, ...]
    goodwill: int
    """Of the selling costs, what animals sent as goodwill left at."""
    makes_good: str
    """Its animals are goodwill: number of the sale whose selling cost they are; empty otherwise."""

    @property
    def margin(self) -> int:
        """Price less cost and selling costs."""
        return self.price - self.cost - self.selling_costs

    @property
    def cost_known(self) -> bool:
        """Whether the cost of every line is known in full."""
        return all(line.cost_known for line in self.lines)


def margins(conn: Connection, until: dt.date, first: dt.date | None = None) -> tuple[SaleMargin, ...]:
    """The margin of every sale made from one day to another (both included), oldest first."""
    s = t.sale.c
    wanted = select(s.id).where(s.sold_on <= until)
    if first is not None:
        wanted = wanted.where(s.sold_on >= first)
    return margins_of(conn, until, conn.execute(wanted.order_by(s.id)).scalars().all())


def margin_of(conn: Connection, number: str, until: dt.date) -> SaleMargin:
    """The margin of one sale. Raises NotFound."""
    return margins_of(conn, until, [find_sale(conn, number).id])[0]


def margins_of(conn: Connection, until: dt.date, sales: Collection[int]) -> tuple[SaleMargin, ...]:
    """The margins of sales by their ids, with costs accounted up to a day."""
    if not sales:
        return ()
    goodwill = made_good(conn, sales)
    movements = _movements(conn, {*sales, *goodwill})
    shared = account(conn, until).shared
    gone: dict[int, int] = defaultdict(int)
    for posting in shared.postings:
        if posting.kind is Kind.LEFT and posting.event in movements:
            gone[movements[posting.event]] += sum(posting.posted)
    borne: dict[int, int] = defaultdict(int)
    for one in sales_by_id(conn, sorted(goodwill)):
        borne[goodwill[one.id][0]] += sum(gone.pop(line.id, 0) for line in one.lines)
    lots = _lots(conn, sales)
    spent = _selling_costs(conn, sales)
    found = []
    for sale in sales_by_id(conn, sales):
        lines = tuple(
            _line(line, gone[line.id], lots[line.id] not in shared.not_known and lots[line.id] not in shared.mixed)
            for line in sale.lines
        )
        makes_good = goodwill[sale.id][1] if sale.id in goodwill else ""
        found.append(_sale(sale, lines, spent[sale.id], borne[sale.id], makes_good))
    return tuple(found)


def _line(line: LineOfSale, cost: int, known: bool) -> LineMargin:
    return LineMargin(
        line.position,
        line.lot_code,
        line.species_text,
        line.stage_text,
        line.sex_text,
        line.origin_text,
        line.count,
        line.extra,
        line.net,
        line.credited_amount,
        cost,
        known,
    )


def _sale(sale: Sale, lines: tuple[LineMargin, ...], spent: int, goodwill: int, makes_good: str) -> SaleMargin:
    return SaleMargin(
        sale.number,
        sale.sold_on,
        sale.customer_name,
        sale.channel,
        sale.waits_for_post,
        sale.total - sale.credited,
        sum(line.cost for line in lines),
        spent + goodwill,
        lines,
        goodwill,
        makes_good,
    )


def _movements(conn: Connection, sales: Collection[int]) -> dict[int, int]:
    """The sale line of each movement that took animals out, or brought them back."""
    line, link, back = t.sale_line.c, t.sale_movement.c, t.movement.alias("back")
    found: dict[int, int] = {}
    for part in in_parts(sales):
        rows = conn.execute(
            select(line.id, link.movement_id, back.c.id.label("back_id"))
            .join(t.sale_movement, link.sale_line_id == line.id)
            .outerjoin(back, or_(back.c.relates_to == link.movement_id, back.c.reverses == link.movement_id))
            .where(line.sale_id.in_(part))
        )
        for row in rows:
            found[row.movement_id] = row.id
            if row.back_id is not None:
                found[row.back_id] = row.id
    return found


def _lots(conn: Connection, sales: Collection[int]) -> dict[int, int]:
    """The lot of each sale line."""
    line, h = t.sale_line.c, t.holding.c
    found: dict[int, int] = {}
    for part in in_parts(sales):
        rows = conn.execute(
            select(line.id, h.lot_id).join(t.holding, h.id == line.holding_id).where(line.sale_id.in_(part))
        )
        found.update((row.id, row.lot_id) for row in rows)
    return found


def _selling_costs(conn: Connection, sales: Collection[int]) -> dict[int, int]:
    """Business part of the selling costs of each sale, less refunds and what was taken back."""
    c, ch, back = t.cost.c, t.cost_change.c, t.cost.alias("taken_back")
    found: dict[int, int] = defaultdict(int)
    for part in in_parts(sales):
        rows = conn.execute(
            select(c.id, c.sale_id, c.basis, c.gross)
            .outerjoin(back, back.c.reverses == c.id)
            .where(c.sale_id.in_(part), reverses_nothing(c.reverses), back.c.id.is_(None))
        ).all()
        of = {row.id: row for row in rows}
        for row in rows:
            found[row.sale_id] += row.basis
        refunds = select(ch.cost_id, ch.amount).where(ch.kind == "refund", ch.cost_id.in_(list(of)))
        for cost_id, amount in conn.execute(refunds):
            cost = of[cost_id]
            found[cost.sale_id] -= round_half_even(amount * cost.basis, cost.gross)
    return found
