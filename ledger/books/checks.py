"""Whether the books of a year add up: every check holds two sides against each other that were reached differently.

The same checks stand in the workbook with live formulas; `key` joins the two. A check that does not hold is shown,
never hidden: the year end is marked a draft.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.books import lines
from ledger.books.stock_rows import MOVED_IN, MOVED_OUT, SOLD
from ledger.books.year import YearBooks
from ledger.wording import say

MONEY, COUNT = "money", "count"


@dataclass(frozen=True, slots=True)
class Check:
    """One check. Amounts in minor units."""

    key: str
    name: str
    first: int
    second: int
    unit: str
    """money or count."""
    advice: str
    """What to do if it does not hold."""
    remark: bool = False
    """Only worth knowing: a difference is no fault."""

    @property
    def difference(self) -> int:
        """First side less second side."""
        return self.first - self.second

    @property
    def holds(self) -> bool:
        """Whether it adds up, or is no more than a remark."""
        return self.remark or self.difference == 0

    @property
    def result(self) -> str:
        """In one word or two: 'adds up', 'note' or 'look'."""
        if self.difference == 0:
            return ADDS_UP
        return NOTE if self.remark else LOOK


ADDS_UP, NOTE, LOOK = "adds up", "note", "look"
_REBUILD = say("run prove: it says which rows differ")
_COPY = say("the sheet was changed by hand; make the workbook again")


def checks_of(books: YearBooks) -> tuple[Check, ...]:
    """Every check of a year."""
    return (
        *_of_sales(books),
        *_of_stock(books),
        *_of_money(books),
        *_of_costs(books),
        *_of_results(books),
    )


def _of_sales(books: YearBooks) -> Iterable[Check]:
    sales, control = books.rows.sales, books.controls
    net = sum(row.net for row in sales)
    by_line = sum(
        line.accruals or 0 for line in books.income.lines if line.number in {*lines.SOLD.values(), lines.CHARGES}
    )
    of_animals = sum(row.net for row in sales if row.lot)
    gone = -sum(row.change for row in books.rows.movements if row.group == SOLD)
    yield Check("sales", say("Sales: sheet and ledger"), net, control.sales, MONEY, _COPY)
    yield Check("sales income", say("Sales: income lines and sheet"), by_line, net, MONEY, _COPY)
    yield Check("origins", say("Sales by origin and sales of animals"), _origin_net(books), of_animals, MONEY, _COPY)
    missing = sum(1 for row in sales if row.lot and not row.origin)
    yield Check("no origin", say("Sales of animals without a stated origin"), missing, 0, COUNT, _REBUILD)
    animals = sum(row.animals + row.extra for row in sales)
    yield Check("sold", say("Animals sold: sales and movements"), animals, gone, COUNT, _REBUILD)
    yield Check(
        "numbers",
        say("Sale and credit numbers: given and used"),
        control.numbers_given,
        control.numbers_used,
        COUNT,
        say("a number is missing or used twice; run prove"),
    )


def _origin_net(books: YearBooks) -> int:
    return sum(row.net for row in books.origins)


def _of_stock(books: YearBooks) -> Iterable[Check]:
    stock, control = books.rows.stock, books.controls
    moved = {row.number: 0 for row in stock}
    for row in books.rows.movements:
        if row.stock:
            moved[row.stock] += row.change
    differing = sum(1 for row in stock if row.at_end - row.at_start != moved[row.number])
    at_end = sum(row.at_end for row in stock)
    gone = -sum(row.change for row in books.rows.movements if row.group == SOLD)
    sold = -sum(row.changes[SOLD] for row in stock)
    both_ways = sum(row.changes[MOVED_IN] + row.changes[MOVED_OUT] for row in stock)
    before = say("last closing") if control.from_closing else say("journal")
    yield Check("sold stock", say("Animals sold: stock and movements"), sold, gone, COUNT, _REBUILD)
    yield Check("stock rows", say("Stock rows that differ from their movements"), differing, 0, COUNT, _REBUILD)
    yield Check("stock", say("Animals at the end: stock and ledger"), at_end, control.animals_at_end, COUNT, _REBUILD)
    costed = sum(row.on_books for row in stock)
    yield Check("stock costed", say("Animals at the end: stock and cost sharing"), at_end, costed, COUNT, _REBUILD)
    yield Check("moved", say("Moved in and moved out, added up"), both_ways, 0, COUNT, _REBUILD)
    at_start = sum(row.at_start for row in stock)
    yield Check(
        "opening",
        say("Animals at the start: stock and {before}", before=before),
        at_start,
        control.animals_at_start,
        COUNT,
        _REBUILD,
    )
    cost = sum(row.cost_at_start for row in stock)
    yield Check(
        "opening cost",
        say("Cost so far at the start: stock and {before}", before=before),
        cost,
        control.cost_at_start,
        MONEY,
        _REBUILD,
    )
    known = sum(row.known_now for row in stock)
    yield Check(
        "late",
        say("Animals at the end: by these books and as known now"),
        at_end,
        known,
        COUNT,
        say("facts of this year came after it was closed; see the sheet Late"),
        remark=True,
    )
    counted = sum(row.counted for row in books.counts)
    yield Check("count sheet", say("Counts of the year: sheet and ledger"), counted, control.counted, COUNT, _COPY)
    late = len(books.late_here) + len(books.late_elsewhere)
    yield Check("late sheet", say("Late facts: sheet and ledger"), late, control.late, COUNT, _COPY)
    yield Check(
        "counts",
        say("Counts of the year: counted, and what the records said before"),
        counted,
        sum(row.expected for row in books.counts),
        COUNT,
        "see the sheet Counts for the reasons",
        remark=True,
    )
    yield Check(
        "counts left",
        say("Counts with a difference that nobody recorded"),
        sum(1 for row in books.counts if row.left),
        0,
        COUNT,
        "record what is missing or found",
        remark=True,
    )
    ties = [one.row for one in books.reared]
    open_ties = sum(1 for row in ties if row.entered - row.reached - row.lost - row.left_early - row.pending)
    yield Check("rearing", say("Rearing rows with animals not accounted for"), open_ties, 0, COUNT, _REBUILD)
    yield Check(
        "counted",
        say("Lots with animals at the end that were not counted in the year"),
        control.not_counted,
        0,
        COUNT,
        say("count them when next looked at"),
        remark=True,
    )


def _of_money(books: YearBooks) -> Iterable[Check]:
    receipts, owed = books.rows.receipts, books.rows.owed
    cash = sum(row.cash for row in receipts)
    by_line = sum(line.cash or 0 for line in books.income.lines if line.number <= lines.DEPOSITS)
    yield Check("receipts", say("Receipts: sheet and ledger"), cash, books.controls.received, MONEY, _COPY)
    yield Check("receipts income", say("Receipts: income lines and sheet"), by_line, cash, MONEY, _COPY)
    of_sales = [row for row in owed if row.kind == "sale"]
    net = sum(row.net for row in books.rows.sales)
    settled = sum(row.amount for row in receipts if row.paper == "sale")
    yield Check(
        "owed customers",
        say("Owed by customers: start, sales and receipts; and the end"),
        sum(row.at_start for row in of_sales) + net - settled,
        sum(row.at_end for row in of_sales),
        MONEY,
        _COPY,
    )
    of_holds = [row for row in owed if row.kind == "hold"]
    held = sum(row.amount for row in receipts if row.paper == "hold")
    yield Check(
        "deposits",
        say("Deposits held: start and receipts; and the end"),
        held - sum(row.at_start for row in of_holds),
        -sum(row.at_end for row in of_holds),
        MONEY,
        _COPY,
    )


def _of_costs(books: YearBooks) -> Iterable[Check]:
    costs, equipment, control = books.rows.costs, books.rows.equipment, books.controls
    total = sum(row.cost for row in costs)
    refunded = sum(row.refunded for row in costs)
    in_lines = -sum(line.accruals or 0 for line in books.income.lines if is_cost(line.number))
    yield Check("costs", say("Costs: sheet and ledger"), total, control.costs, MONEY, _COPY)
    yield Check(
        "costs income", say("Costs less refunds: income lines and sheet"), in_lines, total - refunded, MONEY, _COPY
    )
    gross = sum(row.gross for row in costs if books.given.in_year(row.on))
    yield Check("gross", say("Costs of the year, gross: sheet and ledger"), gross, control.gross, MONEY, _COPY)
    yield Check("paid", say("Costs paid: sheet and ledger"), sum(row.paid for row in costs), control.paid, MONEY, _COPY)
    owing = sum(row.owed_at_end for row in costs)
    of_costs = -sum(row.at_end for row in books.rows.owed if row.kind == "cost")
    yield Check("owed suppliers", say("Owed to suppliers: costs and owed"), owing, of_costs, MONEY, _COPY)
    bought = sum(row.bought for row in equipment)
    lasting = sum(row.cost - row.refunded for row in costs if row.kind == "lasting")
    yield Check("equipment bought", say("Equipment bought: equipment and costs"), bought, lasting, MONEY, _COPY)
    at_end = sum(row.at_end for row in equipment)
    yield Check("equipment", say("Equipment at the end: sheet and ledger"), at_end, control.equipment, MONEY, _COPY)


def is_cost(number: int) -> bool:
    """Whether a line of the income is one of costs."""
    return number >= lines.RUNNING or lines.ANIMALS_BOUGHT <= number <= lines.SELLING


def _of_results(books: YearBooks) -> Iterable[Check]:
    income, control = books.income, books.controls
    result = income.accruals_result
    yield Check("cash", say("Cash result: sheet and ledger"), income.cash_result, control.cash_result, MONEY, _COPY)
    yield Check("accruals", say("Accruals result: sheet and ledger"), result, control.accruals_result, MONEY, _COPY)
    went = -sum(line.accruals or 0 for line in income.again if lines.COST_SOLD <= line.number <= lines.BROOD_ENDED)
    by_movement = sum(row.cost for row in books.rows.movements)
    yield Check("went out", say("Cost that went out: income lines and movements"), went, by_movement, MONEY, _COPY)
    again, bridge = income.again[-1].accruals or 0, income.bridge[-1].accruals or 0
    yield Check("two ways", say("Accruals result: from changes and from what went out"), result, again, MONEY, _REBUILD)
    yield Check("bridge", say("Accruals result: from the lines and from the bridge"), result, bridge, MONEY, _REBUILD)
    outside = sum(1 for row in books.rows.sales if not books.given.in_year(row.on))
    outside += sum(1 for row in books.rows.receipts if not books.given.in_year(row.on))
    outside += sum(1 for row in books.rows.movements if not books.given.in_year(row.on))
    yield Check("dates", say("Rows dated outside the year"), outside, 0, COUNT, _REBUILD)
    if books.differing is not None:
        yield Check(
            "closing", say("Figures that differ from those kept at closing"), len(books.differing), 0, COUNT, _REBUILD
        )
