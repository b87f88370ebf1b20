"""Numbers without gaps or doubles: each series counts its papers from 1 in each year, or through the years.

A number belongs to the transaction that takes it, so a rollback gives it back. Taking one locks the series until the
transaction ends: take it last. A counter counts papers; where a series goes on from a notebook, its first number stands
in a setting of its own, which never changes once a paper has a number of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select, text, update

from ledger.records.later import later, recall
from ledger.records.series import KINDS, Kind, Pattern, Series, read_pattern
from ledger.records.tables import counter, setting

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


def number_for(conn: Connection, kind: Kind, year: int) -> str:
    """Take the next number of a kind of paper, 'S-2025-0001'.

    Args:
        conn: the transaction that uses the number.
        kind: of paper.
        year: accounting year of the paper.
    """
    keep_patterns(conn)
    running = recall(conn, ("running", kind.letter, year), ("setting",), lambda: _running(conn, kind, year))
    n = next_number(conn, running.series, running.counted_in)
    return running.pattern.number(year, running.first + n - 1)


@dataclass(frozen=True, slots=True)
class _Running:
    """How the papers of a kind are numbered in a year."""

    pattern: Pattern
    series: str
    counted_in: int
    first: int


def _running(conn: Connection, kind: Kind, year: int) -> _Running:
    pattern = pattern_of(conn, kind)
    series = Series(kind, pattern.layout)
    counted_in = series.counted_in(year)
    return _Running(pattern, series.key, counted_in, first_of(conn, series, counted_in))


def keep_patterns(conn: Connection, *, to_change: bool = False) -> None:
    """Keep others from choosing a pattern until the transaction ends; `to_change`: also from taking a number.

    On SQLite a writer is alone anyway.
    """
    if conn.dialect.name == "postgresql":
        conn.execute(_LOCKED if to_change else _SHARED)


_LOCKED = text("SELECT pg_advisory_xact_lock(hashtext('rearledger numbers'), 0)")
_SHARED = text("SELECT pg_advisory_xact_lock_shared(hashtext('rearledger numbers'), 0)")


def pattern_of(conn: Connection, kind: Kind) -> Pattern:
    """How the numbers of a kind of paper look now."""
    return read_pattern(_chosen(conn, kind.setting) or kind.usual)


def first_of(conn: Connection, series: Series, counted_in: int) -> int:
    """The first number of a series in a year, 1 unless it goes on from a notebook."""
    return int(_chosen(conn, beginning(series, counted_in)) or 1)


def beginning(series: Series, counted_in: int) -> str:
    """Name of the setting that says with which number a series begins in a year."""
    return f"first of {series.key} {counted_in}"


def _chosen(conn: Connection, name: str) -> str:
    return conn.execute(_SETTING, {"of_name": name}).scalar_one_or_none() or ""


_SETTING = select(setting.c.value).where(setting.c.name == bindparam("of_name"))


@dataclass(frozen=True, slots=True)
class Counted:
    """How far a series has got in a year."""

    series: Series
    year: int
    """0: through the years."""
    first: int
    papers: int

    @property
    def last(self) -> int:
        """The last number given."""
        return self.first + self.papers - 1


def series_in_use(conn: Connection, *kinds: Kind) -> tuple[Counted, ...]:
    """Every series a paper has a number of, newest year first.

    Args:
        conn: a connection.
        kinds: of papers; none: all.
    """
    c = counter.c
    rows = conn.execute(select(c.series, c.year, c.last).where(c.last > 0).order_by(c.year.desc(), c.series))
    found = []
    for row in rows:
        series = _series_of(row.series)
        if series is not None and series.kind in (kinds or KINDS):
            found.append(Counted(series, row.year, first_of(conn, series, row.year), row.last))
    return tuple(found)


def _series_of(key: str) -> Series | None:
    letter, _, layout = key.partition(":")
    kind = next((one for one in KINDS if one.letter == letter), None)
    return Series(kind, layout or read_pattern(kind.usual).layout) if kind else None


def longest(conn: Connection, kinds: tuple[Kind, ...]) -> int:
    """How many characters the longest number of some kinds of paper has, given or next."""
    looks = [(pattern_of(conn, kind), 1) for kind in kinds]
    looks += [(Pattern(one.series.layout, 4, 1), one.last) for one in series_in_use(conn, *kinds)]
    return max(len(pattern.number(2000, max(n, pattern.first))) for pattern, n in looks)


def meant_by(conn: Connection, kind: Kind, typed: str) -> set[str]:
    """A number as typed, and what else it may stand for."""
    wanted = typed.strip().upper()
    return {wanted, *spellings(conn, kind, wanted)}


def spellings(conn: Connection, kind: Kind, typed: str) -> tuple[str, ...]:
    """What a number as typed may stand for: S-2025-1 is S-2025-0001."""
    layouts = {one.series.layout: one.series for one in series_in_use(conn, kind)}
    return tuple(one for series in layouts.values() for one in series.spellings(typed))
