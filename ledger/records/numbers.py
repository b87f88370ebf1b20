"""Numbers without gaps or doubles: each series counts from 1 in each year.

A number belongs to the transaction that takes it, so a rollback gives it back. Taking one locks the series until the
transaction ends: take it last.
"""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, select, text, update

from ledger.records.tables import counter

_FIRST = text("INSERT INTO counter (series, year, last) VALUES (:series, :year, 0) ON CONFLICT DO NOTHING")

_STEP = (
    update(counter)
    .where(counter.c.series == bindparam("of_series"), counter.c.year == bindparam("of_year"))
    .values(last=counter.c.last + 1)
    .returning(counter.c.last)
)


def next_number(conn: Connection, series: str, year: int) -> int:
    """Take the next number of a series, 1 for the first of a year.

    Args:
        conn: the transaction that uses the number.
        series: name of the series, such as "sale".
        year: accounting year the series counts in.
    """
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
