"""Everything the books of one year are made from, read once: the journal, both positions, papers, costs and names.

Decides nothing; the lines and rows are made elsewhere.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.books.position import Position, position
from ledger.books.sold import DepositAccount, SaleAccount, deposit_accounts, sale_accounts
from ledger.books.sources import sources
from ledger.books.spent import CostAccount, cost_accounts
from ledger.costs.grid import GRID
from ledger.costs.methods import method
from ledger.costs.result import Kind
from ledger.records import tables as t
from ledger.records.periods import Period, period_by_year
from ledger.stock.events import Event, ordered, without_reversed
from ledger.stock.journal import depths, events

ON_RECEIPT = "on receipt"
"""The method of deposits where some tax rules count them when they are received."""


@dataclass(frozen=True, slots=True)
class LotName:
    """A lot as the rows of the books show it."""

    code: str
    species: str
    """Code of the species."""
    species_id: int
    source: str
    """See `sources`."""


@dataclass(frozen=True, slots=True)
class Material:
    """What one accounting year is made from."""

    period: Period
    journal: tuple[Event, ...]
    """All movements in order of accounting, without those taken back on the day they count."""
    before: Position
    """At the end of the day before the year."""
    after: Position
    """At the end of the year."""
    sales: tuple[SaleAccount, ...]
    deposits: tuple[DepositAccount, ...]
    costs: tuple[CostAccount, ...]
    lots: Mapping[int, LotName]
    stages: Mapping[tuple[int, int], tuple[str, str]]
    """Name and unit, by (species, position)."""
    on_receipt: tuple[bool, bool] = (False, False)
    """Whether the method counts deposits on receipt: on the day before the year, and at its end."""

    @property
    def first(self) -> dt.date:
        """The first day of the year."""
        return self.period.first_day

    @property
    def last(self) -> dt.date:
        """The last day of the year."""
        return self.period.last_day

    @property
    def eve(self) -> dt.date:
        """The day before the year."""
        return self.before.on

    def in_year(self, day: dt.date) -> bool:
        """Whether a day falls in the year."""
        return self.first <= day <= self.last

    def went(self) -> dict[tuple[Kind, int | None], int]:
        """What went out in the year, by kind and movement, where it is not nothing."""
        keys = dict.fromkeys((*self.after.went, *self.before.went))
        change = {key: self.after.went.get(key, 0) - self.before.went.get(key, 0) for key in keys}
        return {key: amount for key, amount in change.items() if amount}

    def went_out(self, kind: Kind) -> int:
        """What went out in the year as one kind."""
        return self.after.went_out(kind) - self.before.went_out(kind)

    @property
    def idle(self) -> int:
        """What had no animals to carry it in the year, in minor units; 0 for less than one, which is but rounding."""
        exact = self.after.idle - self.before.idle
        return self.went_out(Kind.NO_ANIMALS) if abs(exact) >= GRID else 0


def material(conn: Connection, year: int) -> Material:
    """Read everything the books of a year are made from.

    Raises:
        BadInput: there is no such year.
    """
    period = period_by_year(conn, year)
    standing = without_reversed(events(conn), by="accounting_on")
    journal = ordered(standing, depths(conn), by="accounting_on")
    source = sources(conn, journal, period.last_day.toordinal())
    lots = {
        row.id: LotName(row.code, row.species, row.species_id, source[row.id])
        for row in conn.execute(
            select(t.lot.c.id, t.lot.c.code, t.lot.c.species_id, t.species.c.code.label("species")).join(
                t.species, t.species.c.id == t.lot.c.species_id
            )
        )
    }
    return Material(
        period=period,
        journal=tuple(journal),
        before=position(conn, period.first_day - dt.timedelta(days=1)),
        after=position(conn, period.last_day),
        sales=tuple(sale_accounts(conn)),
        deposits=tuple(deposit_accounts(conn)),
        costs=tuple(cost_accounts(conn)),
        lots=lots,
        stages={(row.species_id, row.position): (row.name, row.unit) for row in conn.execute(select(t.stage))},
        on_receipt=(
            method(conn, "deposits", period.first_day - dt.timedelta(days=1)) == ON_RECEIPT,
            method(conn, "deposits", period.last_day) == ON_RECEIPT,
        ),
    )
