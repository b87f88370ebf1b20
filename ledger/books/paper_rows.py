"""Rows of sales, credits and money received in a year: one row for each line on a paper.

Each row names the line of the income it belongs to. What one payment pays for is shared over the lines of its sale in
proportion to what each of them comes to that day, less its credits, cumulatively: a sale paid in full was paid line by
line, and what is given back for dead animals comes off the animals and not off the postage.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Row, select

from ledger.books import lines
from ledger.books.material import Material
from ledger.books.sold import Amount, DepositAccount, SaleAccount
from ledger.money import largest_remainder
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class SalesRow:
    """A line, a charge or a part of a credit earned (or credited) in the year. Amounts in minor units."""

    on: dt.date
    number: str
    """Of the sale."""
    kind: str
    """animals, charge or credit."""
    paper: str
    """Number of the credit; empty otherwise."""
    position: int
    """Of the line on the sale; 0 for a charge."""
    customer: str
    channel: str
    item: str
    lot: str
    stage: str
    sex: str
    origin: str
    """As it was stated on the sale."""
    source: str
    line: int
    """Of the income; see `lines`."""
    animals: int
    """Paid for; negative for a sale taken back."""
    extra: int
    price: int
    discount: int

    @property
    def net(self) -> int:
        """What the line comes to."""
        return self.price - self.discount


@dataclass(frozen=True, slots=True)
class ReceiptRow:
    """Money (or a swap, or a deposit) that settles something, by what it was for."""

    on: dt.date
    paper: str
    """sale or hold."""
    number: str
    customer: str
    how: str
    """cash received, given back, swap, deposit applied or deposit kept."""
    line: int
    """Of the income, for cash; the line of swaps for a swap; 0 where neither."""
    amount: int
    """What it settles; negative where it is used up or given back."""
    cash: int
    """The same where it is money, else 0."""


RECEIVED, GIVEN_BACK, SWAP, APPLIED, KEPT = (
    "cash received",
    "given back",
    "swap",
    "deposit applied",
    "deposit kept",
)


@dataclass(frozen=True, slots=True)
class _Part:
    """A line or charge of a sale."""

    id: int | None
    row: Row[Any] | None
    """The sale line; `None` for the charges together."""
    line: int
    net: int


class Papers:
    """The sales of a ledger with their lines."""

    def __init__(self, conn: Connection, given: Material) -> None:
        self.given = given
        self._parts: dict[int, list[_Part]] = defaultdict(list)
        self._source: dict[int, str] = {}
        for row in conn.execute(
            select(t.sale_line, t.holding.c.lot_id)
            .join(t.holding, t.holding.c.id == t.sale_line.c.holding_id)
            .order_by(t.sale_line.c.sale_id, t.sale_line.c.position)
        ):
            source = given.lots[row.lot_id].source
            self._source[row.id] = source
            self._parts[row.sale_id].append(_Part(row.id, row, lines.SOLD[source], row.net))
        self._charges: dict[int, list[Row[Any]]] = defaultdict(list)
        for row in conn.execute(select(t.sale_charge).order_by(t.sale_charge.c.id)):
            self._charges[row.sale_id].append(row)
        self._credits = {row.id: row for row in conn.execute(select(t.credit))}
        self._posted = {row.sale_id: row.operation_id for row in conn.execute(select(t.posting))}
        self._credit_lines: dict[int, list[Row[Any]]] = defaultdict(list)
        for row in conn.execute(select(t.credit_line).order_by(t.credit_line.c.id)):
            self._credit_lines[row.credit_id].append(row)

    def sales_rows(self) -> list[SalesRow]:
        """Everything earned or credited in the year, in order of days."""
        given = self.given
        rows: list[SalesRow] = []
        for sale in given.sales:
            if sale.earned_on is not None and given.in_year(sale.earned_on):
                rows += self._earned(sale, sale.earned_on)
            for number, credit in zip(sale.credit_ids, sale.credits, strict=True):
                if given.in_year(credit.on):
                    rows += self._credited(sale, number, credit)
        return sorted(rows, key=lambda row: row.on)

    def _earned(self, sale: SaleAccount, on: dt.date) -> Iterator[SalesRow]:
        for part in self._parts[sale.id]:
            assert part.row is not None
            yield self._row(sale, on, part, "animals", "", part.row.price, part.row.discount)
        for charge in self._charges[sale.id]:
            item = charge.text or charge.kind
            yield self._charge(sale, on, "charge", "", item, charge.amount)

    def _credited(self, sale: SaleAccount, number: int, credit: Amount) -> Iterator[SalesRow]:
        paper = self._credits[number]
        for part, amount in self._credit_parts(sale, number, credit.amount):
            if part.row is None:
                yield self._charge(sale, credit.on, "credit", paper.number, "charges", -amount)
            else:
                animals, extra = self._kept_here(part, paper)
                row = self._row(sale, credit.on, part, "credit", paper.number, -amount, 0)
                yield replace(row, animals=-animals, extra=-extra)

    def _kept_here(self, part: _Part, paper: Row[Any]) -> tuple[int, int]:
        """How many animals of a line a credit says did not go: all, or those credited before the parcel was posted."""
        assert part.row is not None
        if paper.full:
            return _number(part.row), part.row.extra
        if paper.operation_id < self._posted.get(paper.sale_id, 0):
            return sum(_number(row) for row in self._credit_lines[paper.id] if row.sale_line_id == part.id), 0
        return 0, 0

    def _credit_parts(self, sale: SaleAccount, number: int, amount: int) -> list[tuple[_Part, int]]:
        """What a credit takes off each line; what its own lines leave unsaid is shared out in proportion."""
        parts = self._with_charges(sale)
        by_line = {part.id: place for place, part in enumerate(parts)}
        taken = [0] * len(parts)
        for row in self._credit_lines[number]:
            taken[by_line.get(row.sale_line_id, len(parts) - 1)] += row.amount
        rest = largest_remainder(amount - sum(taken), _weights(parts))
        paper = self._credits[number]
        both = [(part, one + more) for part, one, more in zip(parts, taken, rest, strict=True)]
        return [
            (part, off)
            for part, off in both
            if off or (part.row is not None and self._kept_here(part, paper) != (0, 0))
        ]

    def _with_charges(self, sale: SaleAccount) -> list[_Part]:
        return [*self._parts[sale.id], _Part(None, None, lines.CHARGES, sale.charges)]

    def _row(
        self,
        sale: SaleAccount,
        on: dt.date,
        part: _Part,
        kind: str,
        paper: str,
        price: int,
        discount: int,
    ) -> SalesRow:
        row = part.row
        assert row is not None
        return SalesRow(
            on=on,
            number=sale.number,
            kind=kind,
            paper=paper,
            position=row.position,
            customer=sale.customer,
            channel=sale.channel,
            item=row.species_text,
            lot=row.lot_code,
            stage=row.stage_text,
            sex=row.sex_text,
            origin=row.origin_text,
            source=self._source[row.id],
            line=part.line,
            animals=_number(row),
            extra=row.extra,
            price=price,
            discount=discount,
        )

    def _charge(self, sale: SaleAccount, on: dt.date, kind: str, paper: str, item: str, amount: int) -> SalesRow:
        return SalesRow(
            on=on,
            number=sale.number,
            kind=kind,
            paper=paper,
            position=0,
            customer=sale.customer,
            channel=sale.channel,
            item=item,
            lot="",
            stage="",
            sex="",
            origin="",
            source="",
            line=lines.CHARGES,
            animals=0,
            extra=0,
            price=amount,
            discount=0,
        )

    def receipt_rows(self) -> list[ReceiptRow]:
        """Everything that settled a sale or came in on a hold in the year, in order of days."""
        rows: list[ReceiptRow] = []
        for sale in self.given.sales:
            rows += self._of_sale(sale)
        for hold in self.given.deposits:
            rows += self._of_hold(hold)
        return sorted(rows, key=lambda row: row.on)

    def _of_sale(self, sale: SaleAccount) -> Iterator[ReceiptRow]:
        parts = self._with_charges(sale)
        so_far = 0
        before = (0,) * len(parts)
        for one in sale.paid:
            so_far += one.amount
            now = largest_remainder(so_far, self._owing(sale, parts, one))
            if self.given.in_year(one.on):
                how = RECEIVED if one.amount > 0 else GIVEN_BACK
                by_line: dict[int, int] = defaultdict(int)
                for part, upto_now, upto_then in zip(parts, now, before, strict=True):
                    by_line[part.line] += upto_now - upto_then
                for line, amount in by_line.items():
                    if amount:
                        yield ReceiptRow(one.on, "sale", sale.number, sale.customer, how, line, amount, amount)
            before = now
        for amounts, how, line in ((sale.swapped, SWAP, lines.SWAPS_OUT), (sale.applied, APPLIED, 0)):
            for one in amounts:
                if self.given.in_year(one.on):
                    yield ReceiptRow(one.on, "sale", sale.number, sale.customer, how, line, one.amount, 0)

    def _owing(self, sale: SaleAccount, parts: Sequence[_Part], paid: Amount) -> list[int]:
        """By what a payment is shared over the parts of a sale: what they came to, less credits before it.

        Of the same day a credit comes before money that is given back, and after what is received.
        """
        left = {part.id: part.net for part in parts}
        for number, credit in zip(sale.credit_ids, sale.credits, strict=True):
            if credit.on < paid.on or (credit.on == paid.on and paid.amount < 0):
                for part, off in self._credit_parts(sale, number, credit.amount):
                    left[part.id] -= off
        owing = [max(0, left[part.id]) for part in parts]
        return owing if any(owing) else _weights(parts)

    def _of_hold(self, hold: DepositAccount) -> Iterator[ReceiptRow]:
        for one in hold.received:
            if self.given.in_year(one.on):
                how = RECEIVED if one.amount > 0 else GIVEN_BACK
                yield ReceiptRow(
                    one.on, "hold", hold.number, hold.customer, how, lines.DEPOSITS, one.amount, one.amount
                )
        for amounts, how in ((hold.applied, APPLIED), (hold.kept, KEPT)):
            for one in amounts:
                if self.given.in_year(one.on):
                    yield ReceiptRow(one.on, "hold", hold.number, hold.customer, how, 0, -one.amount, 0)


def _number(row: Row[Any]) -> int:
    """The column `count`: as an attribute it would be the method of a tuple."""
    return int(row._mapping["count"])


def _weights(parts: Sequence[_Part]) -> list[int]:
    """By what money is shared over the parts of a sale; of a sale that is free, all of it to the charges."""
    nets = [part.net for part in parts]
    return nets if any(nets) else [0] * (len(parts) - 1) + [1]
