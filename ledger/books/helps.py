"""Helps with tax: figures the keeper found in their own rules, dated and editable, beside what the books come to.

Nothing here is a rule of any place and nothing is set until the keeper sets it: each is labelled "check your local
rules". The year's total, and that of every twelve months, are the two ways thresholds are commonly reckoned (common
practice, no source).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.books.commands import SetTaxHelp
from ledger.books.sold import SaleAccount, sale_accounts
from ledger.days import long_day, month_ends
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day, period_of
from ledger.records.undone import stands
from ledger.text import clean, count_words
from ledger.wording import say

LABEL = say("check your local rules")
CONTAINS = say(
    "sales and charges to customers as earned, before any cost, less credits; swaps at their agreed value; without "
    "deposits held and equipment disposed of"
)
"""What every total here contains."""
THRESHOLD = "tax threshold "
KEEP = "tax keep years"
_WANTED = "threshold "
_KEEP_WANTED = "keep years"
_NONE = "none"
MOST_YEARS = 100


@dataclass(frozen=True, slots=True)
class ThresholdRow:
    """A threshold of the keeper's own, and what there was to compare with it. Amounts in minor units."""

    name: str
    threshold: int
    from_on: dt.date
    note: str
    on: dt.date
    """The totals run up to and including this day."""
    year_total: int
    """In the accounting year."""
    rolling: int
    """In the twelve months up to that day."""
    highest: int
    """The most that any twelve months ending in the accounting year, at a month's end or on that day, came to."""
    highest_on: dt.date
    """The last day of those."""

    @property
    def reached(self) -> bool:
        """Whether one of the totals has come to the threshold."""
        return max(self.year_total, self.highest) >= self.threshold


@dataclass(frozen=True, slots=True)
class KeepRow:
    """How long the records of a year are kept."""

    year: int
    last_day: dt.date
    keep_until: dt.date
    years: int
    note: str


@dataclass(frozen=True, slots=True)
class TaxHelps:
    """All helps as of a day."""

    on: dt.date
    thresholds: tuple[ThresholdRow, ...]
    keep: tuple[KeepRow, ...]


@dataclass(frozen=True, slots=True)
class HelpPlan:
    """A figure to be set."""

    name: str
    value: str
    from_on: dt.date
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_help(conn: Connection, command: SetTaxHelp, scene: Scene) -> HelpPlan:
    """Check a figure to compare with.

    Raises:
        BadInput: no such help, an amount or number of years that cannot be, or its day lies in a closed year.
    """
    if accounting_day(conn, command.from_on) != command.from_on:
        raise BadInput(say("That year is closed and keeps its figures; choose a day in an open year."), field="from_on")
    name, value = clean(command.name, limit=60, field="name"), command.value
    if name == _KEEP_WANTED:
        kept, words = KEEP, say("no number of years") if value is None else count_words(value, "year", "years")
        if value is not None and not 1 <= value <= MOST_YEARS:
            raise BadInput(
                say("Say for how many years records are kept, from 1 to {most_years}.", most_years=MOST_YEARS),
                field="value",
            )
        text = say("records of a year are to be kept for {years} after its last day", years=words)
    elif name.startswith(_WANTED) and len(THRESHOLD + name.removeprefix(_WANTED)) <= 60:
        own = name.removeprefix(_WANTED).strip()
        kept = THRESHOLD + own
        if not own or (value is not None and not 1 <= value <= MOST_MONEY):
            raise BadInput(say("Say the threshold's name and its amount, such as 10000.00."), field="value")
        text = say(
            "threshold {name}: {amount}",
            name=own,
            amount=say("none any more") if value is None else said(value, scene.currency),
        )
    else:
        raise BadInput(
            say("A help is 'threshold' and a name of your own (at most 46 letters), or 'keep years'."), field="name"
        )
    note = clean(command.note, limit=500, field="note")
    sentence = say("From {day}, {help}; {label}.", day=long_day(command.from_on), help=text, label=LABEL)
    return HelpPlan(kept, _NONE if value is None else str(value), command.from_on, note, sentence)


def commit_help(conn: Connection, plan: HelpPlan, act: Act) -> Done:
    """Write it."""
    conn.execute(
        insert(t.method).values(
            name=plan.name, value=plan.value, from_on=plan.from_on, note=plan.note, operation_id=act.operation
        )
    )
    return Done(plan.sentence)


def tax_helps(conn: Connection, on: dt.date) -> TaxHelps:
    """Every help in force on a day, with what the books come to by then."""
    m = t.method.c
    rows = conn.execute(
        select(m.name, m.value, m.from_on, m.note)
        .where(m.name.startswith("tax ", autoescape=True), m.from_on <= on, stands(m.operation_id))
        .order_by(m.from_on, m.id)
    )
    in_force = {row.name: row for row in rows if row.name == KEEP or row.name.startswith(THRESHOLD)}
    standing = {name: row for name, row in sorted(in_force.items()) if row.value != _NONE}
    sales = sale_accounts(conn) if standing else []
    period = period_of(conn, on)
    thresholds = []
    for name, row in standing.items():
        if name.startswith(THRESHOLD):
            year_total = _earned(sales, on) - _earned(sales, period.first_day - dt.timedelta(days=1))
            highest = max(month_ends(period.first_day, on), key=lambda day: (twelve_months(sales, day), day))
            thresholds.append(
                ThresholdRow(
                    name.removeprefix(THRESHOLD),
                    int(row.value),
                    row.from_on,
                    row.note,
                    on,
                    year_total,
                    twelve_months(sales, on),
                    twelve_months(sales, highest),
                    highest,
                )
            )
    kept = standing.get(KEEP)
    keep = () if kept is None else tuple(_keep(conn, int(kept.value), kept.note, on))
    return TaxHelps(on, tuple(thresholds), keep)


def twelve_months(sales: Sequence[SaleAccount], until: dt.date) -> int:
    """What was earned in the twelve months up to and including a day."""
    return _earned(sales, until) - _earned(sales, _years_on(until, -1))


def _earned(sales: Sequence[SaleAccount], until: dt.date) -> int:
    return sum(sale.earned(until) for sale in sales)


def _years_on(day: dt.date, years: int) -> dt.date:
    """The same day some years on; 29 February becomes the 28th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def _keep(conn: Connection, years: int, note: str, on: dt.date) -> list[KeepRow]:
    days = [
        conn.execute(select(func.min(table.c.accounting_on, type_=table.c.accounting_on.type))).scalar()
        for table in (t.metadata.tables[name] for name in t.ACCOUNTED)
    ]
    first = min((day for day in days if day is not None), default=None)
    if first is None:
        return []
    p = t.period.c
    rows = conn.execute(select(p.year, p.last_day).where(p.last_day >= first, p.first_day <= on).order_by(p.year))
    return [KeepRow(row.year, row.last_day, _years_on(row.last_day, years), years, note) for row in rows]
