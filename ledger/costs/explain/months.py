"""What was spent month by month: of each category what animals were to bear in it, whenever it was paid."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection

from ledger.costs.explain.load import load
from ledger.costs.explain.parts import rounded
from ledger.costs.explain.replay import FINE, monthly


@dataclass(frozen=True, slots=True)
class MonthRow:
    """A category in a month."""

    month: str
    """2025-07."""
    category: str
    exact: Fraction
    """Minor units; of the month of the day looked at the whole month, as far as its costs are known."""
    shown: int
    """Minor units, rounded; `went.where_month_went` takes the same figure apart."""


def months_of_spending(conn: Connection, on: dt.date) -> tuple[MonthRow, ...]:
    """Every month that costs fell in, newest first, and in a month the dearest category first.

    Args:
        conn: an open reading connection.
        on: the last day that counts.
    """
    journal = load(conn, on).journal
    found: dict[tuple[str, str], int] = defaultdict(int)
    for line in journal.lines:
        for month, part in monthly(line, journal.until):
            found[month, line.category] += part.amount
    rows = [
        MonthRow(month, category, exact := Fraction(fine, FINE), rounded(exact))
        for (month, category), fine in found.items()
        if fine
    ]
    rows.sort(key=lambda row: row.category)
    rows.sort(key=lambda row: (row.month, row.exact), reverse=True)
    return tuple(rows)
