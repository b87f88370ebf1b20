"""Whether the numbers of sales and credits run without a gap: what the counters gave against what the papers carry."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.records.numbers import Counted, series_in_use
from ledger.records.series import CREDITS, SALES, Kind


@dataclass(frozen=True, slots=True)
class PaperNumbers:
    """The numbers of one series in one year."""

    series: str
    """sale or credit."""
    layout: str
    year: int
    """0: of a series that goes on through the years."""
    first: int
    last: int
    """The last number given."""
    used: int
    """Different numbers from the first to the last that papers carry."""
    strange: tuple[str, ...]
    """Numbers that fit no place of any series of these papers; said with the first of them."""

    @property
    def given(self) -> int:
        """How many numbers were given."""
        return self.last - self.first + 1


def paper_numbers(conn: Connection, accounted: tuple[int, dt.date, dt.date] | None = None) -> tuple[PaperNumbers, ...]:
    """The numbers of sales and credits, series by series.

    Args:
        conn: a connection.
        accounted: only of that year, with its first and last day; of a series that goes on through the years, up to
            the last number of a paper that is accounted in it.
    """
    return tuple(one for kind in (SALES, CREDITS) for one in _of_kind(conn, kind, accounted))


def _of_kind(conn: Connection, kind: Kind, accounted: tuple[int, dt.date, dt.date] | None) -> list[PaperNumbers]:
    table = t.sale if kind is SALES else t.credit
    counted = sorted(series_in_use(conn, kind), key=lambda one: (one.year, one.series.key))
    found: dict[Counted, dict[int, dt.date]] = {one: {} for one in counted}
    strange: list[str] = []
    for number, on in conn.execute(select(table.c.number, table.c.accounting_on).order_by(table.c.id)):
        place = _place(number, counted)
        if place is None:
            strange.append(number)
        else:
            found[place[0]][place[1]] = on
    rows = []
    for one, papers in found.items():
        last = one.last
        if accounted is not None:
            year, first_day, last_day = accounted
            if one.year not in (0, year):
                continue
            if not one.year:
                last = max((n for n, on in papers.items() if first_day <= on <= last_day), default=0)
                if not last:
                    continue
        used = sum(n <= last for n in papers)
        rows.append(PaperNumbers(kind.one, one.series.layout, one.year, one.first, last, used, ()))
    if strange and accounted is None:
        rows.append(PaperNumbers(kind.one, "", 0, 1, 0, 0, tuple(strange)))
    return rows


def _place(number: str, counted: list[Counted]) -> tuple[Counted, int] | None:
    for one in counted:
        read = one.series.read(number)
        if read is not None and one.series.is_of(one.year, read[0]) and one.first <= read[1] <= one.last:
            return one, read[1]
    return None
