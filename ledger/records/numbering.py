"""Choosing how the numbers of sales, credits and holds look: checked so that no number is given twice or left out.

Numbers already given never change. A series that was left is taken up again where it stood; a pattern whose numbers
could ever be those of another series is refused, also if somebody else chooses theirs in the same moment.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.act import Scene
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.numbers import Counted, beginning, first_of, keep_patterns, pattern_of, series_in_use
from ledger.records.periods import accounting_day, year_of
from ledger.records.series import HOLDS, KINDS, Kind, Pattern, Series, may_meet, read_pattern
from ledger.text import quoted
from ledger.wording import capital, say, word


@dataclass(frozen=True, slots=True)
class NumberingPlan:
    """A pattern that can be used from the next paper on."""

    kind: Kind
    typed: str
    """Empty: the usual one."""
    series: Series
    counted_in: int
    first: int | None
    """Where the series begins, to be written down; `None`: that stands already."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Numbering:
    """How the numbers of a kind of paper stand."""

    kind: Kind
    pattern: str
    chosen: bool
    """False: the usual one."""
    last: str
    """The last number given in the series, this year if it is counted by years; empty: none yet."""
    next: str


def numberings(conn: Connection, today: dt.date) -> tuple[Numbering, ...]:
    """The numbers of sales, credits and holds as they stand on a day."""
    year = year_of(conn, accounting_day(conn, today))
    found = []
    for kind in KINDS:
        chosen = conn.execute(select(t.setting.c.value).where(t.setting.c.name == kind.setting)).scalar_one_or_none()
        pattern = pattern_of(conn, kind)
        series = Series(kind, pattern.layout)
        given = _given(conn, series, series.counted_in(year))
        n = given.last + 1 if given else first_of(conn, series, series.counted_in(year))
        last = pattern.number(year, given.last) if given else ""
        found.append(Numbering(kind, pattern.text, bool(chosen), last, pattern.number(year, n)))
    return tuple(found)


def _given(conn: Connection, series: Series, counted_in: int) -> Counted | None:
    mine = (one for one in series_in_use(conn, series.kind) if one.series == series and one.year == counted_in)
    return next(mine, None)


def kind_of_setting(name: str) -> Kind | None:
    """The kind of paper whose pattern a setting is."""
    return next((kind for kind in KINDS if kind.setting == name), None)


def plan_numbering(conn: Connection, kind: Kind, typed: str, scene: Scene) -> NumberingPlan:
    """Check a pattern.

    Raises:
        BadInput: it is none.
        Refused: it would give a number twice, leave some out, or meet the numbers of other papers.
    """
    pattern = read_pattern(typed or kind.usual)
    series = Series(kind, pattern.layout)
    _check_apart(conn, series, pattern)
    year = year_of(conn, accounting_day(conn, scene.today))
    counted_in = series.counted_in(year)
    given = _given(conn, series, counted_in)
    first: int | None = None
    if given is None:
        first = n = pattern.first
    else:
        n = given.last + 1
        if pattern.first not in (1, given.first, n):
            raise Refused(
                say(
                    "{last} is given already, so the next is {next}: none is given twice and none left out; write "
                    "{pattern}, or begin a series with other letters.",
                    last=pattern.number(year, given.last),
                    next=pattern.number(year, n),
                    pattern=Pattern(pattern.layout, pattern.digits, n).text,
                ),
                "value",
                {"next": n},
            )
    how = say("each accounting year begins with 1 again") if series.yearly else say("it goes on through the years")
    return NumberingPlan(
        kind,
        pattern.text if typed else "",
        series,
        counted_in,
        first,
        say(
            "{setting}: the next is {number}; {how}. Numbers given before stay.",
            setting=capital(word(kind.setting)),
            number=pattern.number(year, n),
            how=how,
        ),
    )


def _check_apart(conn: Connection, series: Series, pattern: Pattern) -> None:
    used = {one.series for one in series_in_use(conn)}
    for other in (*used, *(Series(kind, pattern_of(conn, kind).layout) for kind in KINDS if kind != series.kind)):
        if other != series and may_meet(series.layout, other.layout):
            raise Refused(
                say(
                    "{pattern} could repeat a number of {taken} ({setting}); choose other letters.",
                    pattern=pattern.text,
                    taken=other.layout,
                    setting=word(other.kind.setting),
                ),
                "value",
                {"taken": other.layout},
            )
    if series.kind != HOLDS:
        for number in conn.execute(select(t.hold.c.number).order_by(t.hold.c.id)).scalars():
            if series.read(number) is not None:
                raise Refused(
                    say(
                        "{pattern} could repeat the number of hold {number}; choose other letters.",
                        pattern=pattern.text,
                        number=number,
                    ),
                    "value",
                    {"taken": number},
                )


def check_own_number(conn: Connection, number: str) -> None:
    """Check that a number a keeper gives a hold by hand is none of the numbers of other papers.

    Raises:
        Refused: it could be one.
    """
    others = {one.series for one in series_in_use(conn) if one.series.kind != HOLDS}
    others |= {Series(kind, pattern_of(conn, kind).layout) for kind in KINDS if kind != HOLDS}
    for series in others:
        if series.read(number) is not None:
            raise Refused(
                say(
                    "{number} reads as one of your {setting}; give the hold another number, or none.",
                    number=quoted(number),
                    setting=word(series.kind.setting),
                ),
                "number",
            )


def commit_numbering(
    conn: Connection, plan: NumberingPlan, scene: Scene, write: Callable[[str, str], None]
) -> NumberingPlan:
    """Write where the series begins, once nobody else can take a number of it or choose another pattern.

    Args:
        conn: the transaction of the act.
        plan: the pattern, checked.
        scene: of the act.
        write: writes a setting.

    Returns:
        the plan as it was checked again then.
    """
    keep_patterns(conn, to_change=True)
    plan = plan_numbering(conn, plan.kind, plan.typed, scene)
    if plan.first is not None and plan.first != first_of(conn, plan.series, plan.counted_in):
        write(beginning(plan.series, plan.counted_in), str(plan.first))
    return plan
