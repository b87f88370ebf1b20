"""The sheets of costs and equipment."""

from __future__ import annotations

from exports.workbook.sheet import Cell, Column, Table, money
from ledger.books.year import YearBooks
from ledger.money import Currency


def costs(books: YearBooks, currency: Currency) -> Table:
    """Every cost of the year, and earlier ones of which something is left."""
    rows: list[list[Cell]] = [
        [
            row.on,
            row.number,
            row.supplier,
            row.category,
            row.kind,
            row.scope,
            row.text,
            row.line,
            *(
                money(amount, currency)
                for amount in (
                    row.net,
                    row.tax,
                    row.gross,
                    row.cost,
                    row.refunded,
                    row.paid,
                    row.swapped,
                    row.owed_at_start,
                    row.owed_at_end,
                    row.unused_at_start,
                    row.unused_at_end,
                )
            ),
            row.note,
        ]
        for row in books.rows.costs
    ]
    return Table(
        "Costs",
        "Costs",
        f"What was spent, paid and not used up, in {currency.code}. From Cost on: the business part, of this year.",
        (
            Column("Date", "date", 11),
            Column("Cost no", "number", 7),
            Column("Supplier", "wide", 20),
            Column("Category", "wide", 15),
            Column("Kind", "text", 9),
            Column("For", "wide", 14),
            Column("Text", "wide", 28),
            Column("Income line", "number", 10),
            Column("Net paid price", "money", 11),
            Column("Tax", "money", 10),
            Column("Gross", "money", 11, "=ROUND([@Net paid price]+[@Tax],{digits})"),
            Column("Cost", "money", 11, total=True),
            Column("Refunded", "money", 10, total=True),
            Column("Paid", "money", 11, total=True),
            Column("Swapped", "money", 10, total=True),
            Column("Owed at start", "money", 14, total=True),
            Column(
                "Owed at end", "money", 13, "=ROUND([@Owed at start]+[@Cost]-[@Paid]-[@Swapped],{digits})", total=True
            ),
            Column("Not used up at start", "money", 12, total=True),
            Column("Not used up at end", "money", 12, total=True),
            Column("Note", "wide", 24),
        ),
        rows,
    )


def equipment(books: YearBooks, currency: Currency) -> Table:
    """Lasting things: what they cost, what the year used up, what is left."""
    rows: list[list[Cell]] = [
        [
            row.on,
            row.number,
            row.item,
            money(row.cost, currency),
            row.life_days,
            row.disposed_on,
            *(
                money(amount, currency)
                for amount in (
                    row.residual,
                    row.at_start,
                    row.bought,
                    row.used_up,
                    row.left_at_disposal,
                    row.proceeds,
                    row.at_end,
                    row.declining,
                )
            ),
        ]
        for row in books.rows.equipment
    ]
    return Table(
        "Equipment",
        "Equipment",
        f"Lasting things, used up in equal parts each day of their life, business part, in {currency.code}. "
        "What they would stand at by declining balance is shown for comparison and is in no total of the books.",
        (
            Column("Bought on", "date", 11),
            Column("Cost no", "number", 7),
            Column("Item", "wide", 28),
            Column("Cost", "money", 11),
            Column("Life in days", "whole", 8),
            Column("Gone on", "date", 11),
            Column("Residual value", "money", 11),
            Column("At start", "money", 11, total=True),
            Column("Bought", "money", 11, total=True),
            Column("Used up", "money", 11, total=True),
            Column("Left at disposal", "money", 11, total=True),
            Column("Proceeds", "money", 11, total=True),
            Column(
                "At end",
                "money",
                11,
                "=ROUND([@At start]+[@Bought]-[@Used up]-[@Left at disposal],{digits})",
                total=True,
            ),
            Column("By declining balance", "money", 13, total=True),
        ),
        rows,
    )
