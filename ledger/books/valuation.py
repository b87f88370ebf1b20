"""Other valuations of the stock at the end of a year, beside the actual cost that the books stand at.

A standard cost per stage, year over year (after 26 CFR 1.471-6(e)-(g)), and a warning where net realisable value is
lower than cost (IAS 2). Nothing here is booked: which valuation a return may use is for local rules and an adviser.
A death is deducted once under each of them: the animal is no longer in the stock, and no other line repeats it.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.books.income import income_of, year_rows
from ledger.books.lines import SELLING
from ledger.books.material import Material, material
from ledger.books.position import Position
from ledger.books.sources import BOUGHT, LENT
from ledger.costs.standard import standards_on
from ledger.costs.valuing import at_standard, bought_value, write_down
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.selling.prices import PriceList, prices_on
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost

SEXES = ("male", "female", "unsexed")


@dataclass(frozen=True, slots=True)
class ValuationRow:
    """The animals of one lot and stage, at the start and the end of a year. Amounts in minor units."""

    lot: str
    species: str
    stage: str
    source: str
    at_start: int
    at_end: int
    actual_at_start: int
    actual_at_end: int
    standard_at_start: int
    standard_at_end: int
    has_standard: bool
    """Otherwise its standard columns hold the actual cost."""
    realisable: int | None
    """Price less selling cost of those there at the end; `None`: the price list does not say."""
    lower_by: int
    """How much less that is than actual cost; 0 if it is not."""


@dataclass(frozen=True, slots=True)
class Valuation:
    """A year's stock on both valuations, and what each makes of the year's result."""

    year: int
    rows: tuple[ValuationRow, ...]
    brood_change: int
    """What the year added to cost that waits for young."""
    brood_kept: int
    """The part of it of species without a standard cost: elsewhere the standard of the young holds it."""
    actual_result: int
    """On the accruals basis, as in the income of the year."""
    selling_part: Fraction
    """Selling costs of the year as a part of its sales of animals; a price less that part is what one would fetch."""
    lower_by: int
    """Sum of the rows: a warning, not booked."""

    @property
    def actual_change(self) -> int:
        """What the year added to the stock at actual cost, brood included."""
        return sum(row.actual_at_end - row.actual_at_start for row in self.rows) + self.brood_change

    @property
    def standard_change(self) -> int:
        """What the year added to the stock at standard cost."""
        return sum(row.standard_at_end - row.standard_at_start for row in self.rows) + self.brood_kept

    @property
    def standard_result(self) -> int:
        """The year's result with the stock at standard cost."""
        return self.actual_result - self.actual_change + self.standard_change


def valuation(conn: Connection, year: int) -> Valuation:
    """The stock of a year on both valuations.

    Raises:
        BadInput: there is no such year.
    """
    given = material(conn, year)
    rows = year_rows(conn, given)
    result = income_of(given, rows)
    sold = sum(row.net for row in rows.sales if row.lot)
    selling = -sum(line.accruals or 0 for line in result.lines if line.number == SELLING)
    part = min(Fraction(max(selling, 0), sold), Fraction(1)) if sold > 0 else Fraction(0)
    valued = tuple(_rows(conn, given, part))
    priced = {species for species, _ in standards_on(conn, given.last)}
    added = {
        lot_id: given.after.brood.get(lot_id, 0) - given.before.brood.get(lot_id, 0)
        for lot_id in {*given.before.brood, *given.after.brood}
    }
    return Valuation(
        given.period.year,
        valued,
        sum(added.values()),
        sum(change for lot_id, change in added.items() if given.lots[lot_id].species_id not in priced),
        result.accruals_result,
        part,
        sum(row.lower_by for row in valued),
    )


def _rows(conn: Connection, given: Material, selling_part: Fraction) -> Iterable[ValuationRow]:
    purchases = _purchases(conn, given)
    at = [
        _AtStandard(given, standards_on(conn, position.on), purchases, position, first)
        for position, first in (
            (given.before, given.first.replace(year=given.first.year - 1)),
            (given.after, given.first),
        )
    ]
    counts = [
        {(row.lot, row.stage): row.count for row in position.shared.buckets if row.count}
        for position in (given.before, given.after)
    ]
    prices = prices_on(conn, given.last)
    stage_ids = {(row.species_id, row.position): row.id for row in conn.execute(select(t.stage))}
    for lot_id, stage in sorted({*counts[0], *counts[1]}):
        lot = given.lots[lot_id]
        if lot.source == LENT:
            continue
        start, end = counts[0].get((lot_id, stage), 0), counts[1].get((lot_id, stage), 0)
        actual = [position.animals.get((lot_id, stage), 0) for position in (given.before, given.after)]
        standard = [one.of(lot_id, stage, count) for one, count in zip(at, (start, end), strict=True)]
        price = _price(prices, lot.species_id, stage_ids[lot.species_id, stage])
        realisable = None if price is None else _whole(end * price * (1 - selling_part))
        lower_by = 0 if realisable is None else _whole(write_down([(actual[1], realisable)]))
        yield ValuationRow(
            lot.code,
            lot.species,
            given.stages[lot.species_id, stage][0],
            lot.source,
            start,
            end,
            actual[0],
            actual[1],
            actual[0] if standard[0] is None else standard[0],
            actual[1] if standard[1] is None else standard[1],
            standard[0] is not None and standard[1] is not None,
            realisable,
            lower_by,
        )


def _whole(amount: Fraction) -> int:
    return round_half_even(amount.numerator, amount.denominator)


@dataclass(frozen=True, slots=True)
class _Purchase:
    """Animals bought, with what they cost."""

    species: int
    stage: int
    count: int
    value: int
    on: dt.date


class _AtStandard:
    """Values of lots at standard cost at the end of a day."""

    def __init__(
        self,
        given: Material,
        standards: Mapping[tuple[int, int], int],
        purchases: Mapping[int, list[_Purchase]],
        position: Position,
        first: dt.date,
    ) -> None:
        self._given = given
        self._standards = standards
        self._purchases = purchases
        self._on = position.on
        self._first = first

    def of(self, lot_id: int, stage: int, count: int) -> int | None:
        """Value of some animals of a lot and stage, minor units; `None`: no standard is set."""
        if not count:
            return 0
        lot = self._given.lots[lot_id]
        each = self._standards.get((lot.species_id, stage))
        if each is None:
            return None
        bought = [one for one in self._purchases.get(lot_id, ()) if one.on <= self._on]
        if lot.source != BOUGHT or not bought:
            return _whole(at_standard([(count, each)]))
        total = sum((self._value(one, each) for one in bought), Fraction(0))
        return _whole(total * count / sum(one.count for one in bought))

    def _value(self, bought: _Purchase, each: int) -> Fraction:
        """Value of animals bought together: their price, and what raising them since adds to each."""
        step = max(0, each - self._standards.get((bought.species, bought.stage), each))
        price = Fraction(bought.value, bought.count)
        return bought.count * bought_value(price, bought.on, [(self._first, self._on)], [step])


def _purchases(conn: Connection, given: Material) -> dict[int, list[_Purchase]]:
    """By lot, the purchases its animals come from; of a lot made of others, theirs."""
    found: dict[int, list[_Purchase]] = defaultdict(list)
    for event in given.journal:
        if _is_purchase(event) and event.to_lot is not None and event.to_stage is not None:
            on = dt.date.fromordinal(event.accounting_on)
            species = given.lots[event.to_lot].species_id
            found[event.to_lot].append(_Purchase(species, event.to_stage, event.count, event.value or 0, on))
    made_of = conn.execute(
        select(t.lot_source.c.lot_id, t.lot_source.c.source_id)
        .join(t.lot, t.lot.c.id == t.lot_source.c.lot_id)
        .where(t.lot_source.c.how != "harvested")
        .order_by(t.lot.c.depth, t.lot.c.id, t.lot_source.c.id)
    )
    for row in made_of:
        found[row.lot_id] += found[row.source_id]
    return found


def _is_purchase(event: Event) -> bool:
    return event.from_lot is None and event.reverses is None and REASONS[event.reason].cost is Cost.PRICE


def _price(prices: PriceList, species_id: int, stage_id: int) -> Fraction | None:
    """The lowest price of one animal of a stage, of whatever sex and pack; `None`: none is listed."""
    each = [Fraction(pack.amount, pack.animals) for sex in SEXES for pack in prices.packs(species_id, stage_id, sex)]
    return min(each, default=None)
