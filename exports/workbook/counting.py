"""The sheets of counts and of late facts."""

from __future__ import annotations

from exports.workbook.sheet import Cell, Column, Table, money
from ledger.books.year import YearBooks
from ledger.money import Currency

EARLIER, LATER = "earlier year, counted here", "this year, counted later"


def counts(books: YearBooks) -> Table:
    """Every count of the year, with the difference and its reasons."""
    rows: list[list[Cell]] = [
        [
            row.on,
            row.lot,
            row.stage,
            row.tub,
            row.expected,
            row.counted,
            row.difference,
            row.recorded,
            row.again,
            row.left,
            row.reasons,
            row.note,
        ]
        for row in books.counts
    ]
    return Table(
        "Counts",
        "Counts",
        "Every count of the year beside what the records said before it; what was recorded of the difference, "
        "with it or later, and why. Counted again: what else of it a later count of the same animals no longer found.",
        (
            Column("Date", "date", 11),
            Column("Lot", "text", 9),
            Column("Stage", "text", 14),
            Column("Tub", "text", 8),
            Column("Recorded before", "whole", 10, total=True),
            Column("Counted", "whole", 9, total=True),
            Column("Difference", "whole", 11, "=[@Counted]-[@Recorded before]", total=True),
            Column("Recorded of it", "whole", 10, total=True),
            Column("Counted again", "whole", 10, total=True),
            Column("Left", "whole", 8, "=[@Difference]-[@Recorded of it]-[@Counted again]", total=True),
            Column("Reasons", "wide", 30),
            Column("Note", "wide", 40),
        ),
        rows,
    )


def late(books: YearBooks, currency: Currency) -> Table:
    """Facts of a closed year that are accounted in another one."""
    rows: list[list[Cell]] = [
        [
            where,
            fact.happened_on,
            fact.accounted_on,
            fact.kind,
            fact.number,
            fact.what,
            None if fact.amount is None else money(fact.amount, currency),
        ]
        for where, facts in ((EARLIER, books.late_here), (LATER, books.late_elsewhere))
        for fact in facts
    ]
    return Table(
        "Late",
        "Late facts",
        "What was recorded after its year had been closed: it counts in the first open year. "
        "The stock both ways stands on the sheet Stock.",
        (
            Column("Of", "wide", 26),
            Column("Happened on", "date", 12),
            Column("Accounted on", "date", 12),
            Column("Kind", "text", 17),
            Column("Number", "text", 13),
            Column("What", "wide", 60),
            Column("Amount", "money", 11),
        ),
        rows,
    )
