"""The income of an accounting year on the cash and on the accruals basis, side by side, and the bridge between them.

Cash: what was received less what was paid; the stock never touches it. Accruals: what was earned less what was spent,
with the change in what is there; the same result again from what went out, which must agree to the minor unit.
After the usual reconciliation of the two bases (change in what is owed both ways and in what is there).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.books import lines
from ledger.books.cost_rows import CostRow, EquipmentRow, cost_rows, equipment_rows
from ledger.books.material import Material, material
from ledger.books.owed_rows import OwedRow, owed_rows
from ledger.books.paper_rows import KEPT, SWAP, Papers, ReceiptRow, SalesRow
from ledger.books.sources import RAISED
from ledger.books.stock_rows import MovementRow, StockRow, movement_rows, stock_rows
from ledger.wording import say, word


@dataclass(frozen=True, slots=True)
class IncomeLine:
    """One line on both bases, in minor units; costs are negative. `None`: the line has no place on that basis."""

    number: int
    name: str
    cash: int | None
    accruals: int | None
    how: str
    """How it is made, in words."""


@dataclass(frozen=True, slots=True)
class Income:
    """The income of one year."""

    year: int
    closed: bool
    lines: tuple[IncomeLine, ...]
    """Income, costs and changes; they sum to the results."""
    cash_result: int
    accruals_result: int
    again: tuple[IncomeLine, ...]
    """The accruals result from what went out; the last line is the result."""
    bridge: tuple[IncomeLine, ...]
    """From the cash result to the accruals result; the last line is the result."""

    @property
    def agrees(self) -> bool:
        """Whether the accruals result comes out the same all three ways."""
        return self.accruals_result == self.again[-1].accruals == self.bridge[-1].accruals


@dataclass(frozen=True, slots=True)
class YearRows:
    """The rows of a year that the income is made of; one for each sheet of a workbook."""

    sales: tuple[SalesRow, ...]
    receipts: tuple[ReceiptRow, ...]
    costs: tuple[CostRow, ...]
    equipment: tuple[EquipmentRow, ...]
    movements: tuple[MovementRow, ...]
    stock: tuple[StockRow, ...]
    owed: tuple[OwedRow, ...]


def income(conn: Connection, year: int) -> Income:
    """The income of an accounting year.

    Raises:
        BadInput: there is no such year.
    """
    given = material(conn, year)
    return income_of(given, year_rows(conn, given))


def year_rows(conn: Connection, given: Material) -> YearRows:
    """All rows of a year."""
    papers = Papers(conn, given)
    stock = stock_rows(conn, given)
    return YearRows(
        sales=tuple(papers.sales_rows()),
        receipts=tuple(papers.receipt_rows()),
        costs=tuple(cost_rows(conn, given)),
        equipment=tuple(equipment_rows(given)),
        movements=tuple(movement_rows(given, stock)),
        stock=tuple(stock),
        owed=tuple(owed_rows(given)),
    )


def income_of(given: Material, rows: YearRows) -> Income:
    """The income from the rows of a year."""
    first = (*_income(given, rows), *_costs(rows), *_changes(rows))
    cash = sum(line.cash or 0 for line in first)
    accruals = sum(line.accruals or 0 for line in first)
    return Income(
        year=given.period.year,
        closed=given.period.closed,
        lines=first,
        cash_result=cash,
        accruals_result=accruals,
        again=_with_result(_again(first, rows), lines.RESULT_AGAIN, say("sum of the lines above")),
        bridge=_with_result(_bridge(cash, first, rows), lines.BRIDGE_RESULT, say("sum of the lines above")),
    )


_COUNTED = (lines.DEPOSITS_HELD_END, lines.DEPOSITS_HELD_START)


def _line(number: int, cash: int | None, accruals: int | None, how: str) -> IncomeLine:
    return IncomeLine(number, lines.NAMES[number], cash, accruals, how)


def _income(given: Material, rows: YearRows) -> Iterable[IncomeLine]:
    earned = _by_line((row.line, row.net) for row in rows.sales)
    received = _by_line((row.line, row.cash) for row in rows.receipts)
    for number in sorted({*lines.SOLD.values(), lines.CHARGES}):
        if number == lines.SOLD[RAISED] or number in earned or number in received:
            how = say("received from customers; earned on the day of the sale or of posting, less credits")
            yield _line(number, received.get(number, 0), earned.get(number, 0), how)
    held = [row for row in rows.owed if row.kind == "hold"]
    how = say("as the method for deposits says; what tax counts differs: ask")
    before, after = given.on_receipt
    if after:
        yield _line(lines.DEPOSITS_HELD_END, None, -sum(row.at_end for row in held), how)
    if before:
        yield _line(lines.DEPOSITS_HELD_START, None, sum(row.at_start for row in held), how)
    kept = -sum(row.amount for row in rows.receipts if row.how == KEPT)
    how = say(
        "cash: received less given back; where the hold was taken up, only the rest of its sale stands with the "
        "animals. Accruals: earned when kept"
    )
    yield _line(lines.DEPOSITS, received.get(lines.DEPOSITS, 0), kept, how)
    proceeds = sum(row.proceeds for row in rows.equipment)
    yield _line(lines.PROCEEDS, proceeds, proceeds, say("what equipment disposed of was sold for"))


def _costs(rows: YearRows) -> Iterable[IncomeLine]:
    paid = _by_line((row.line, row.refunded - row.paid) for row in rows.costs)
    spent = _by_line((row.line, row.refunded - row.cost) for row in rows.costs)
    names = {row.line: say("Running costs: {category}", category=word(row.category)) for row in rows.costs}
    notes = {
        lines.EQUIPMENT_BOUGHT: say("paid; spent. Many rules spread it over years on either basis; ask"),
        lines.ANIMALS_BOUGHT: say("paid; spent"),
    }
    for number in sorted(number for number in {*paid, *spent} - {0} if paid[number] or spent[number]):
        yield IncomeLine(
            number,
            lines.NAMES.get(number) or names[number],
            paid[number],
            spent[number],
            notes.get(number, say("paid less refunds; spent less refunds")),
        )


def _changes(rows: YearRows) -> Iterable[IncomeLine]:
    how = say("at the end of the year less at its start")
    for number, change in zip(lines.CHANGES, _change_amounts(rows), strict=True):
        yield _line(number, None, change, how)


def _change_amounts(rows: YearRows) -> tuple[int, int, int, int]:
    """Change in animals on hand, brood, costs not used up and equipment."""
    return (
        sum(row.cost_at_end - row.cost_at_start for row in rows.stock if row.kind != "brood"),
        sum(row.cost_at_end - row.cost_at_start for row in rows.stock if row.kind == "brood"),
        sum(row.unused_at_end - row.unused_at_start for row in rows.costs),
        sum(row.at_end - row.at_start for row in rows.equipment),
    )


_WENT = say("cost that went out with them, from the movements")
_LOST = say(
    "lost in the year at any stage: beyond a loss rate, exceptional, or the last of a group; the cost of all other "
    "losses is in that of the animals that lived"
)


def _again(first: Sequence[IncomeLine], rows: YearRows) -> Iterable[IncomeLine]:
    earned = sum(line.accruals or 0 for line in first if line.number <= lines.DEPOSITS)
    yield _line(lines.INCOME_AGAIN, None, earned, say("the income lines above"))
    gone = _by_line((row.line, -row.cost) for row in rows.movements)
    always = (lines.COST_SOLD, lines.WRITTEN_OFF, lines.NO_ANIMALS)
    for number in sorted({*always, *gone} - {0}):
        yield _line(number, None, gone.get(number, 0), _LOST if number == lines.WRITTEN_OFF else _WENT)
    selling = sum(line.accruals or 0 for line in first if line.number == lines.SELLING)
    yield _line(lines.SELLING_AGAIN, None, selling, say("never part of the cost so far of animals"))
    left = sum(row.proceeds - row.left_at_disposal for row in rows.equipment)
    yield _line(lines.DISPOSED, None, left, say("proceeds less what was left of its cost"))


def _bridge(cash: int, first: Sequence[IncomeLine], rows: YearRows) -> Iterable[IncomeLine]:
    yield _line(lines.CASH_RESULT, None, cash, say("sum of the cash lines above"))
    sales = [row for row in rows.owed if row.kind == "sale"]
    how = say("what is owed at the end of the year less at its start")
    owed = sum(max(row.at_end, 0) - max(row.at_start, 0) for row in sales)
    ahead = sum(min(row.at_end, 0) - min(row.at_start, 0) for row in sales)
    yield _line(lines.OWED_BY_CUSTOMERS, None, owed, how)
    yield _line(lines.PAID_AHEAD, None, ahead, say("paid for what was not earned yet, or to be given back"))
    for number, kind in ((lines.DEPOSITS_HELD, "hold"), (lines.OWED_TO_SUPPLIERS, "cost")):
        yield _line(number, None, sum(row.at_end - row.at_start for row in rows.owed if row.kind == kind), how)
        counted = [line.accruals or 0 for line in first if line.number in _COUNTED]
        if number == lines.DEPOSITS_HELD and counted:
            yield _line(lines.DEPOSITS_COUNTED, None, sum(counted), say("as above"))
    for line, number in zip(
        [line for line in first if line.number in lines.CHANGES],
        (lines.BRIDGE_STOCK, lines.BRIDGE_BROOD, lines.BRIDGE_UNUSED, lines.BRIDGE_EQUIPMENT),
        strict=True,
    ):
        yield _line(number, None, line.accruals, say("as above"))
    out = sum(row.amount for row in rows.receipts if row.how == SWAP)
    came = sum(row.swapped for row in rows.costs)
    yield _line(lines.SWAPS_OUT, None, out, say("earned without cash"))
    yield _line(lines.SWAPS_IN, None, -came, say("spent without cash"))


def _with_result(given: Iterable[IncomeLine], number: int, how: str) -> tuple[IncomeLine, ...]:
    rows = tuple(given)
    return (*rows, _line(number, None, sum(row.accruals or 0 for row in rows), how))


def _by_line(amounts: Iterable[tuple[int, int]]) -> Mapping[int, int]:
    total: dict[int, int] = {}
    for number, amount in amounts:
        total[number] = total.get(number, 0) + amount
    return total
