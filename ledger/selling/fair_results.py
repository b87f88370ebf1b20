"""What a fair comes to: its sales as they stand, its packs, its cash, and what is left of the prices.

The margin of a fair is that of its sales less what the fair itself cost. What was credited counts as not sold.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.origin.service import said_of
from ledger.records import tables as t
from ledger.selling.fair_cash import CashLine, cash_lines, not_taken_back
from ledger.selling.fair_packs import fair_packs
from ledger.selling.fairs import Fair, find_fair, sales_of
from ledger.selling.margin import SaleMargin, margins_of
from ledger.selling.sale import sales_by_id


@dataclass(frozen=True, slots=True)
class FairResult:
    """What a fair comes to. Amounts in minor units."""

    fair: Fair
    sales: tuple[SaleMargin, ...]
    """All that were made, those taken back included: their animals came back, and so did their price."""
    standing: int
    """Sales that were not credited in full."""
    animals: int
    """Animals sold less those credited, what was given on top included."""
    packed: int
    """Packs put together and not taken apart since."""
    packs_sold: int
    packs_left: int
    """Packs that still stand ready."""
    packs_unsold: int
    """Packs that came back unsold when it was settled."""
    cash: tuple[CashLine, ...]
    """What the cash there should be is made of, the float first."""
    costs: int
    """Table fee, mileage and the like."""
    undone: tuple[str, ...]
    """Numbers of the sales that were credited in full, or taken back."""
    origins: tuple[tuple[str, str], ...]
    """Each lot of its packs, and its origin as it is printed."""

    @property
    def price(self) -> int:
        """Lines and charges less credits."""
        return sum(sale.price for sale in self.sales)

    @property
    def cost(self) -> int:
        """What the animals left at."""
        return sum(sale.cost for sale in self.sales)

    @property
    def selling_costs(self) -> int:
        """Of single sales, such as card fees."""
        return sum(sale.selling_costs for sale in self.sales)

    @property
    def margin(self) -> int:
        """What is left of the prices after all of these."""
        return self.price - self.cost - self.selling_costs - self.costs

    @property
    def expected(self) -> int:
        """Cash there should be; once it was settled, as it stood then."""
        return sum(line.amount for line in self.cash)

    @property
    def difference(self) -> int | None:
        """Cash counted less cash expected when it was counted; `None`: not counted yet."""
        if self.fair.counted is None or self.fair.expected is None:
            return None
        return self.fair.counted - self.fair.expected


def fair_result(conn: Connection, typed: str, until: dt.date) -> FairResult:
    """What a fair comes to, with costs accounted up to a day. Raises NotFound."""
    fair = find_fair(conn, typed)
    sales = sales_of(conn, fair)
    known = sales_by_id(conn, sales)
    made = [one for one in known if not one.undone]
    rows = fair_packs(conn, str(fair.id))
    c = t.fair_cost.c
    spent = conn.execute(
        select(func.coalesce(func.sum(t.cost.c.basis), 0))
        .join(t.fair_cost, c.cost_id == t.cost.c.id)
        .where(c.fair_id == fair.id, t.cost.c.kind == "selling", not_taken_back())
    ).scalar_one()
    return FairResult(
        fair,
        margins_of(conn, until, sales),
        len(made),
        sum(line.animals - line.credited for one in made for line in one.lines),
        sum(row.packed for row in rows),
        sum(row.sold for row in rows),
        sum(row.ready + row.short for row in rows),
        sum(row.unsold for row in rows),
        cash_lines(conn, fair),
        int(spent),
        tuple(one.number for one in known if one.undone),
        _origins(conn, {lot for row in rows for lot in row.lots}),
    )


def _origins(conn: Connection, codes: Collection[str]) -> tuple[tuple[str, str], ...]:
    lots = {row.id: row.code for row in conn.execute(select(t.lot.c.id, t.lot.c.code).where(t.lot.c.code.in_(codes)))}
    return tuple(sorted((lots[lot], one.text) for lot, one in said_of(conn, lots).items()))
