"""Numbers without gaps or doubles: each series counts from 1 in each year.

A number belongs to the transaction that takes it, so a rollback gives it back. Taking one locks the series until the
transaction ends: take it last.
"""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, select, text, update

from ledger.records.later import later
from ledger.records.tables import counter

_FIRST = text("INSERT INTO counter (series, year, last) VALUES (:series, :year, 0) ON CONFLICT DO NOTHING")

_ONE_MORE = (
    update(counter)
    .where(counter.c.series == bindparam("of_series"), counter.c.year == bindparam("of_year"))
    .values(last=counter.c.last + 1)
)
_STEP = _ONE_MORE.returning(counter.c.last)


def next_number(conn: Connection, series: str, year: int) -> int:
    """Take the next number of a series, 1 for the first of a year.

    Args:
        conn: the transaction that uses the number.
        series: name of the series, such as "sale".
        year: accounting year the series counts in.
    """
    waiting = later(conn)
    if waiting is None:
        return _take(conn, series, year)
    # The first one locks the series; those after it are counted here, and the steps written together.
    taken: list[int] = waiting.recall(("number", series, year), ("counter",), list)
    if not taken:
        number = _take(conn, series, year)
        taken = waiting.recall(("number", series, year), ("counter",), list)
    else:
        number = taken[0] + 1
        waiting.put_off(_ONE_MORE, (series, year, number), {"of_series": series, "of_year": year})
    taken[:] = [number]
    return number


def _take(conn: Connection, series: str, year: int) -> int:
    which = {"of_series": series, "of_year": year}
    number: int | None = conn.execute(_STEP, which).scalar_one_or_none()
    if number is None:
        conn.execute(_FIRST, {"series": series, "year": year})
        number = int(conn.execute(_STEP, which).scalar_one())
    return number


def last_numbers(conn: Connection) -> tuple[tuple[str, int, int], ...]:
    """The last number given of each series in each year, newest year first: (series, year, number)."""
    c = counter.c
    rows = conn.execute(select(c.series, c.year, c.last).where(c.last > 0).order_by(c.year.desc(), c.series))
    return tuple((row.series, row.year, row.last) for row in rows)
