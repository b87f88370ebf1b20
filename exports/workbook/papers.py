"""The sheets of sales, receipts, origins and what is owed."""

from __future__ import annotations

from exports.workbook.sheet import Cell, Column, Table, money
from ledger.books.paper_rows import SalesRow
from ledger.books.year import YearBooks
from ledger.money import Currency

NO_ORIGIN = -1
"""Number of the origin on a line of animals that states none."""


def sales(books: YearBooks, currency: Currency) -> Table:
    """Every line, charge and credit of the year."""
    numbers = {row.origin: row.number for row in books.origins}

    def origin(row: SalesRow) -> int:
        return numbers.get(row.origin, NO_ORIGIN) if row.lot else 0

    rows: list[list[Cell]] = [
        [
            row.on,
            row.number,
            row.kind,
            row.paper,
            row.position,
            row.customer,
            row.channel,
            row.item,
            row.lot,
            row.stage,
            row.sex,
            row.origin,
            origin(row),
            row.source,
            row.line,
            row.animals,
            row.extra,
            money(row.price, currency),
            money(row.discount, currency),
            money(row.net, currency),
        ]
        for row in books.rows.sales
    ]
    return Table(
        "Sales",
        "Sales",
        f"What was earned in the year, line by line, less credits, in {currency.code}. Parcels count when posted.",
        (
            Column("Date", "date", 11),
            Column("Sale", "text", 13),
            Column("Kind", "text", 9),
            Column("Credit", "text", 13),
            Column("Position", "number", 10),
            Column("Customer", "wide", 22),
            Column("Channel", "text", 10),
            Column("Item", "wide", 26),
            Column("Lot", "text", 9),
            Column("Stage", "text", 11),
            Column("Sex", "text", 9),
            Column("Stated origin", "wide", 34),
            Column("Origin no", "number", 7),
            Column("Source", "text", 15),
            Column("Income line", "number", 10),
            Column("Animals", "whole", 8, total=True),
            Column("Extra", "whole", 7, total=True),
            Column("Price", "money", 11, total=True),
            Column("Discount", "money", 10, total=True),
            Column("Net", "money", 11, "=ROUND([@Price]-[@Discount],{digits})", total=True),
        ),
        rows,
    )


def receipts(books: YearBooks, currency: Currency) -> Table:
    """Everything that settled a sale or came in on a hold."""
    rows: list[list[Cell]] = [
        [
            row.on,
            row.paper,
            row.number,
            row.customer,
            row.how,
            row.line,
            money(row.amount, currency),
            money(row.cash, currency),
        ]
        for row in books.rows.receipts
    ]
    return Table(
        "Receipts",
        "Receipts",
        "What settled sales and holds in the year: money, swaps, and deposits applied or kept, "
        f"in {currency.code}. Only Cash is money.",
        (
            Column("Date", "date", 11),
            Column("Paper", "text", 8),
            Column("Number", "text", 13),
            Column("Customer", "wide", 30),
            Column("How", "text", 17),
            Column("Income line", "number", 8),
            Column("Amount", "money", 12, total=True),
            Column("Cash", "money", 12, total=True),
        ),
        rows,
    )


def origins(books: YearBooks, currency: Currency) -> Table:
    """What was sold under each stated origin."""
    total = sum(row.net for row in books.origins)
    rows: list[list[Cell]] = [
        [
            row.number,
            row.origin,
            row.lines,
            row.animals,
            money(row.net, currency),
            row.net / total if total else 0,
        ]
        for row in books.origins
    ]
    return Table(
        "Origins",
        "Origins",
        f"What was sold in the year by the origin stated on the sale, in {currency.code}. By our records; "
        "not a certificate.",
        (
            Column("Origin no", "number", 9),
            Column("Stated origin", "wide", 70),
            Column("Lines", "whole", 8, "=COUNTIF(Sales[Origin no],[@Origin no])", total=True),
            Column(
                "Animals",
                "whole",
                9,
                "=SUMIFS(Sales[Animals],Sales[Origin no],[@Origin no])"
                "+SUMIFS(Sales[Extra],Sales[Origin no],[@Origin no])",
                total=True,
            ),
            Column("Net", "money", 12, "=SUMIFS(Sales[Net],Sales[Origin no],[@Origin no])", total=True),
            Column("Share", "share", 9, "=IF(SUM(Origins[Net])=0,0,[@Net]/SUM(Origins[Net]))"),
        ),
        rows,
    )


def owed(books: YearBooks, currency: Currency) -> Table:
    """What was owed both ways at the start and the end of the year."""
    rows: list[list[Cell]] = [
        [
            row.kind,
            row.number,
            row.who,
            money(row.at_start, currency),
            money(row.added, currency),
            money(row.settled, currency),
            money(row.at_end, currency),
        ]
        for row in books.rows.owed
    ]
    return Table(
        "Owed",
        "Owed both ways",
        f"By sale, hold and cost, in {currency.code}. Positive: owed to the business. Negative: the business owes it, "
        "or was paid ahead.",
        (
            Column("Kind", "text", 8),
            Column("Number", "text", 13),
            Column("Who", "wide", 34),
            Column("At start", "money", 12, total=True),
            Column("Added", "money", 12, total=True),
            Column("Settled", "money", 12, total=True),
            Column("At end", "money", 12, "=ROUND([@At start]+[@Added]-[@Settled],{digits})", total=True),
        ),
        rows,
        landscape=False,
    )
