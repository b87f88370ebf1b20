"""The sheets of movements, stock and rearing."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from exports.workbook.sheet import Cell, Column, Table, money
from ledger.books.stock_rows import GROUPS
from ledger.books.year import RearedRow, YearBooks
from ledger.money import Currency, round_half_even
from ledger.rearing.report import SHARING


def movements(books: YearBooks, currency: Currency) -> Table:
    """Every movement that changes a row of the stock, and the cost that went with it."""
    rows: list[list[Cell]] = [
        [
            row.on,
            row.happened_on,
            row.entry,
            row.movement,
            row.lot,
            row.stage,
            row.reason,
            row.group,
            row.change,
            row.stock,
            money(row.cost, currency),
            row.line,
        ]
        for row in books.rows.movements
    ]
    return Table(
        "Movements",
        "Movements",
        "What came, moved on and went in the year, by the day it is accounted on; and the cost that went with it, "
        f"in {currency.code}.",
        (
            Column("Accounted on", "date", 11),
            Column("Happened on", "date", 11),
            Column("Entry", "number", 8),
            Column("Movement", "number", 11),
            Column("Lot", "text", 10),
            Column("Stage", "text", 14),
            Column("Reason", "wide", 24),
            Column("Group", "text", 14),
            Column("Change", "whole", 9),
            Column("Stock row", "number", 8),
            Column("Cost", "money", 12, total=True),
            Column("Income line", "number", 8),
        ),
        rows,
    )


def stock(books: YearBooks, currency: Currency) -> Table:
    """Every lot and stage over the year."""
    moved: dict[int, int] = {}
    for row in books.rows.movements:
        moved[row.stock] = moved.get(row.stock, 0) + row.change
    rows: list[list[Cell]] = []
    for line in books.rows.stock:
        at_end = line.at_end
        changed = moved.get(line.number, 0)
        rows.append(
            [
                line.number,
                line.lot,
                line.species,
                line.stage,
                line.kind,
                line.source,
                line.at_start,
                *(line.changes[group] for group in GROUPS),
                at_end,
                changed,
                at_end - line.at_start - changed,
                line.on_books,
                line.counted_on,
                money(line.cost_at_start, currency),
                money(line.cost_at_end, currency),
                _each(line.cost_at_end, at_end, currency),
                line.known_now,
            ]
        )
    return Table(
        "Stock",
        "Stock",
        "Animals (and objects such as oothecae, and specimens) by lot and stage, and their cost so far, in "
        f"{currency.code}. Brood is what breeders cost and no young carries yet. As known now: with what was recorded "
        "after the year was closed, which counts in a later year.",
        (
            Column("Row", "number", 6),
            Column("Lot", "text", 9),
            Column("Species", "text", 9),
            Column("Stage", "text", 14),
            Column("Kind", "text", 9),
            Column("Source", "text", 15),
            Column("At start", "whole", 8, total=True),
            *(Column(group, "whole", 9, total=True) for group in GROUPS),
            Column("At end", "whole", 8, f"=SUM(Stock[[#This Row],[At start]:[{GROUPS[-1]}]])", total=True),
            Column("By movements", "whole", 10, "=SUMIFS(Movements[Change],Movements[Stock row],[@Row])", total=True),
            Column("Differs", "whole", 8, "=[@At end]-[@At start]-[@By movements]", total=True),
            Column("In cost sharing", "whole", 8, total=True),
            Column("Counted on", "date", 11),
            Column("Cost at start", "money", 11, total=True),
            Column("Cost at end", "money", 11, total=True),
            Column("Cost each", "money", 10, "=IF([@At end]=0,0,ROUND([@Cost at end]/[@At end],{digits}))"),
            Column("At end as known now", "whole", 9, total=True),
        ),
        rows,
    )


def rearing(books: YearBooks, currency: Currency) -> Table:
    """What became of the animals of each lot, and what one reared adult cost."""
    rows: list[list[Cell]] = [_reared(one, currency) for one in books.reared]
    return Table(
        "Rearing",
        "Rearing",
        "Up to the end of the year, by lot and for all of a species. Survival and its 95 % limits are "
        f"estimates that count what is still rearing as pending. Costs in {currency.code}; how they are shared is a "
        "choice (by animal-days and care weights), and your hours are not in them.",
        (
            Column("Species", "text", 9),
            Column("Lot", "text", 12),
            Column("Origin", "wide", 24),
            Column("Entered", "whole", 9),
            Column("Reared", "whole", 8),
            Column("Lost", "whole", 8),
            Column("Of these missing", "whole", 9),
            Column("Left early", "whole", 8),
            Column("Still rearing", "whole", 8),
            Column(
                "Unaccounted", "whole", 13, "=[@Entered]-[@Reared]-[@Lost]-[@Left early]-[@Still rearing]", total=True
            ),
            Column("Survival", "share", 11),
            Column("Lower limit", "share", 9),
            Column("Upper limit", "share", 9),
            Column("Counted from", "wide", 16),
            Column("Reared by the books", "whole", 9),
            Column("Cost known", "text", 8),
            Column("Cost moved", "money", 11),
            Column(
                "Cost per reared adult",
                "money",
                12,
                '=IF([@Cost known]="no","not known",'
                'IF([@Reared by the books]<=0,"none reared",ROUND([@Cost moved]/[@Reared by the books],{digits})))',
                empty="none reared",
            ),
            Column("Own minutes each, a memo", "tenths", 10),
            Column("With own time, a memo", "money", 11),
            Column("Remarks", "wide", 48),
        ),
        rows,
    )


def _reared(one: RearedRow, currency: Currency) -> list[Cell]:
    row = one.row
    survival: Cell = row.survival
    if survival is None:
        # None got there yet: only its limits are known.
        survival = "not known yet" if row.high is None else "none reared yet"
    elif not row.reached:
        survival = "none reared"
    elif survival is None:
        survival = "not known yet"
    each: Cell
    if not one.known:
        each = "not known"
    elif row.cost_reached <= 0:
        each = "none reared"
    else:
        each = _each(one.moved, row.cost_reached, currency)
    remarks = [part for part in (row.so_far, row.why, *row.notes) if part and part != SHARING]
    return [
        row.species,
        row.lot or f"all {row.species}",
        row.origin,
        row.entered,
        row.reached,
        row.lost,
        row.missing,
        row.left_early,
        row.pending,
        row.entered - row.reached - row.lost - row.left_early - row.pending,
        survival,
        row.low,
        row.high,
        row.counted_from,
        row.cost_reached,
        "yes" if one.known else "no",
        money(one.moved, currency),
        each,
        None if row.own_minutes is None else _rounded(row.own_minutes, 1),
        None if row.with_own_time is None else _rounded(row.with_own_time / 10**currency.digits, currency.digits),
        "; ".join(remarks),
    ]


def _rounded(exact: Fraction, digits: int) -> Decimal:
    return Decimal(round_half_even(exact.numerator * 10**digits, exact.denominator)).scaleb(-digits)


def _each(minor: int, count: int, currency: Currency) -> Decimal:
    """As the spreadsheet's ROUND does it: a half away from nought."""
    if not count:
        return Decimal(0)
    step = Decimal(1).scaleb(-currency.digits)
    return (money(minor, currency) / count).quantize(step, ROUND_HALF_UP)
