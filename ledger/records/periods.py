"""Accounting years: which one a day falls in, where a late fact is accounted, and closing one.

The database itself refuses a row in a closed year, and takes the lock that keeps a closing and a late row apart
(`triggers`). Closing a year closes every year before it, or a late fact could still change what was carried forward.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, bindparam, insert, select, update

from ledger.errors import BadInput, PeriodClosed
from ledger.records.columns import FIRST_DAY, LAST_DAY
from ledger.records.tables import period
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Period:
    """One accounting year."""

    year: int
    """The calendar year it begins in."""
    first_day: dt.date
    last_day: dt.date
    closed: bool

    @property
    def name(self) -> str:
        """'2025', and '2025-26' of a year that does not end in the calendar year it begins in."""
        return str(self.year) if self.last_day.year == self.year else f"{self.year}-{self.last_day.year % 100:02}"


def lay_out(conn: Connection, year_start: tuple[int, int] = (1, 1)) -> None:
    """Write the accounting years from 1990 to 2199, without a gap.

    Args:
        conn: the transaction that makes the ledger.
        year_start: month and day each year begins on.

    Raises:
        BadInput: there is no such day in every year.
    """
    month, day = year_start
    try:
        dt.date(1999, month, day)
    except ValueError:
        raise BadInput(
            say(
                "A year cannot begin on day {day} of month {month}; choose a day that every year has.",
                day=day,
                month=month,
            ),
            field="year_start",
        ) from None
    starts = [FIRST_DAY, *(dt.date(year, month, day) for year in range(FIRST_DAY.year, LAST_DAY.year + 1))]
    if starts[1] == FIRST_DAY:
        del starts[0]
    ends = [*(start - dt.timedelta(days=1) for start in starts[1:]), LAST_DAY]
    # The stretch before the first full year belongs to the year that began in 1989.
    first_year = LAST_DAY.year + 1 - len(starts)
    rows = [
        {"year": first_year + i, "first_day": first, "last_day": last, "closed": 0}
        for i, (first, last) in enumerate(zip(starts, ends, strict=True))
    ]
    conn.execute(insert(period), rows)


_SEEN: WeakKeyDictionary[Connection, list[Period]] = WeakKeyDictionary()
"""Years already looked up, for as long as one connection is lent: an act asks for days of the same few many times."""
_YEAR_OF = (
    select(period)
    .where(period.c.first_day <= bindparam("day", type_=period.c.first_day.type))
    .order_by(period.c.first_day.desc())
    .limit(1)
)


def period_of(conn: Connection, day: dt.date) -> Period:
    """The accounting year a day falls in.

    Raises:
        BadInput: the day is before 1990 or after 2199.
    """
    seen = _SEEN.get(conn)
    if seen is None:
        seen = _SEEN[conn] = []
    for one in seen:
        if one.first_day <= day <= one.last_day:
            return one
    found = _look_up(conn, day)
    seen.append(found)
    return found


def _look_up(conn: Connection, day: dt.date) -> Period:
    found = conn.execute(_YEAR_OF, {"day": day}).one_or_none()
    if found is None or day > found.last_day:
        raise BadInput(
            say(
                "{day} is outside the days a ledger can hold ({first_day} to {last_day}).",
                day=day,
                first_day=FIRST_DAY,
                last_day=LAST_DAY,
            ),
            "date",
            {"date": day},
        )
    return Period(found.year, found.first_day, found.last_day, bool(found.closed))


def year_of(conn: Connection, day: dt.date) -> int:
    """The number of the accounting year a day falls in."""
    return period_of(conn, day).year


def period_by_year(conn: Connection, year: int) -> Period:
    """The accounting year of that number.

    Raises:
        BadInput: there is no such year.
    """
    found = conn.execute(select(period).where(period.c.year == year)).one_or_none()
    if found is None:
        raise BadInput(say("There is no accounting year {year} in this ledger.", year=year), "year", {"year": year})
    return Period(found.year, found.first_day, found.last_day, bool(found.closed))


def year_names(conn: Connection, years: Sequence[int]) -> tuple[str, ...]:
    """What accounting years are called.

    Raises:
        BadInput: there is no such year.
    """
    return tuple(period_by_year(conn, year).name for year in years)


def accounting_day(conn: Connection, happened_on: dt.date) -> dt.date:
    """The day a fact is accounted on: its own, or the first open day after it if its year is closed.

    Raises:
        BadInput: the day is before 1990 or after 2199.
        PeriodClosed: every year from that day on is closed.
    """
    own = period_of(conn, happened_on)
    if not own.closed:
        return happened_on
    first: dt.date | None = conn.execute(
        select(period.c.first_day)
        .where(period.c.closed == 0, period.c.first_day > happened_on)
        .order_by(period.c.first_day)
        .limit(1)
    ).scalar_one_or_none()
    if first is None:
        raise PeriodClosed(say("Every year from {year} on is closed.", year=own.name), "date", {"date": happened_on})
    return first


def close(conn: Connection, year: int) -> None:
    """Close a year and every open year before it. Call it before reading the figures that are to stand:
    it waits for everybody who is writing in those years, and keeps others out until the transaction ends.

    Raises:
        BadInput: there is no such year.
        PeriodClosed: it is closed already.
    """
    named = period_by_year(conn, year).name
    _SEEN.pop(conn, None)
    until = period.c.year <= year
    waiting = select(period.c.year, period.c.closed).where(until).order_by(period.c.year).with_for_update()
    if all(row.closed for row in conn.execute(waiting) if row.year == year):
        raise PeriodClosed(say("{year} is closed already; its figures stand.", year=named), "year", {"year": year})
    conn.execute(update(period).where(until, period.c.closed == 0).values(closed=1))
