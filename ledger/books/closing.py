"""Closing an accounting year: from then on its figures stand, and late facts fall in the next open year.

The year is locked first, so that nothing can slip in while its figures are read; then the figures are written, with
a digest over them, to be held against what is reckoned later.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Table, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.books.commands import CloseYear
from ledger.books.income import Income, income_of, year_rows
from ledger.books.material import Material, material
from ledger.books.missing import Missing, missing_of, not_over
from ledger.costs.result import Kind
from ledger.days import long_day
from ledger.errors import BadInput, PeriodClosed, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.periods import Period, close, period_by_year, year_names
from ledger.wording import counted, listed, say

RESULT = "Result"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a closed year: a count, or an amount in minor units."""

    figure: str
    """animals, cost so far, brood, not used up, equipment, cash or accruals."""
    detail: str
    value: int


@dataclass(frozen=True, slots=True)
class ClosePlan:
    """A year that may be closed."""

    year: int
    years: tuple[int, ...]
    """The year and the open ones before it in which anything is accounted: they are closed with it."""
    on: dt.date
    sentence: str
    missing: tuple[Missing, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        """What is missing, in sentences."""
        return tuple(one.sentence for one in self.missing)


def plan_close(conn: Connection, command: CloseYear, scene: Scene) -> ClosePlan:
    """Check that a year is over, and list what is still open in it.

    Raises:
        BadInput: there is no such year, or the day of closing lies inside it.
        PeriodClosed: it is closed already.
        Refused: it is not over yet.
    """
    period = period_by_year(conn, command.year)
    if period.closed:
        raise PeriodClosed(
            say("{year} is closed already; its figures stand.", year=period.name), "year", {"year": period.year}
        )
    if scene.today <= period.last_day:
        raise Refused(not_over(period), "year", {"year": period.year, "last": period.last_day})
    if not period.last_day < command.on <= scene.today:
        raise BadInput(
            say(
                "A year is closed after its last day ({last_day}) and not later than today.",
                last_day=long_day(period.last_day),
            ),
            "on",
        )
    years = _with_earlier(conn, period)
    given = material(conn, period.year)
    result = income_of(given, year_rows(conn, given))
    sentence = _sentence(year_names(conn, years), result.cash_result, result.accruals_result, scene)
    return ClosePlan(period.year, years, command.on, sentence, tuple(missing_of(conn, given, result, scene)))


def _sentence(years: Sequence[str], cash: int, accruals: int, scene: Scene) -> str:
    return counted(
        len(years),
        "{years} is closed: result of {last} {cash} on the cash basis, {accruals} on the accruals "
        "basis. From then on these figures stand; late facts are accounted in the next year.",
        "{years} are closed: result of {last} {cash} on the cash basis, {accruals} on the accruals "
        "basis. From then on these figures stand; late facts are accounted in the next year.",
        years=listed(years),
        last=years[-1],
        cash=said(cash, scene.currency),
        accruals=said(accruals, scene.currency),
    )


def _with_earlier(conn: Connection, period: Period) -> tuple[int, ...]:
    """The open years up to this one, from the first in which anything is accounted."""
    first = min(
        (day for name in t.ACCOUNTED if (day := _first_day(conn, t.metadata.tables[name])) is not None),
        default=period.first_day,
    )
    years = conn.execute(
        select(t.period.c.year)
        .where(t.period.c.closed == 0, t.period.c.last_day >= first, t.period.c.year <= period.year)
        .order_by(t.period.c.year)
    ).scalars()
    return tuple(years) or (period.year,)


def _first_day(conn: Connection, table: Table) -> dt.date | None:
    on = table.c.accounting_on
    day: dt.date | None = conn.execute(select(func.min(on, type_=on.type))).scalar()
    return day


def commit_close(conn: Connection, plan: ClosePlan, act: Act) -> Done:
    """Lock the year and those before it, then read and write their figures.

    Raises:
        PeriodClosed: somebody closed it in the meantime.
    """
    close(conn, plan.year)
    results: dict[tuple[str, str], int] = {}
    for year in plan.years:
        figures = figures_of(conn, year)
        closing_id = conn.execute(
            insert(t.closing)
            .values(year=year, closed_on=plan.on, digest=digest_of(figures), operation_id=act.operation)
            .returning(t.closing.c.id)
        ).scalar_one()
        rows = [
            {"closing_id": closing_id, "figure": one.figure, "detail": one.detail, "value": one.value}
            for one in figures
        ]
        conn.execute(insert(t.closing_figure), rows)
        results = {(one.figure, one.detail): one.value for one in figures}
    cash, accruals = results["cash", RESULT], results["accruals", RESULT]
    return Done(_sentence(year_names(conn, plan.years), cash, accruals, act.scene), {"year": plan.year}, plan.cautions)


def figures_of(conn: Connection, year: int) -> tuple[Figure, ...]:
    """The figures of a year as they stand, in order."""
    given = material(conn, year)
    return figures_from(given, income_of(given, year_rows(conn, given)))


def figures_from(given: Material, result: Income) -> tuple[Figure, ...]:
    """The figures of a year that has been read already."""
    found = (*_stock_figures(given), *_cost_figures(given), *_income_figures(result))
    return tuple(sorted(found, key=lambda one: (one.figure, one.detail)))


def digest_of(figures: Sequence[Figure]) -> str:
    """SHA-256 over figures in the order of their names."""
    text = "".join(
        f"{one.figure}\t{one.detail}\t{one.value}\n"
        for one in sorted(figures, key=lambda one: (one.figure, one.detail))
    )
    return hashlib.sha256(text.encode()).hexdigest()


def differing(conn: Connection, given: Material, result: Income) -> tuple[str, ...] | None:
    """The figures of a closed year that come out otherwise now than they were kept; `None`: it is not closed."""
    f = t.closing_figure.c
    kept = {
        (row.figure, row.detail): row.value
        for row in conn.execute(
            select(f.figure, f.detail, f.value)
            .join(t.closing, t.closing.c.id == f.closing_id)
            .where(t.closing.c.year == given.period.year)
        )
    }
    if not given.period.closed or not kept:
        return None
    now = {(one.figure, one.detail): one.value for one in figures_from(given, result)}
    return tuple(", ".join(key) for key in sorted({*kept, *now}) if kept.get(key) != now.get(key))


def _place(given: Material, lot_id: int, stage: int) -> str:
    lot = given.lots[lot_id]
    return f"{lot.code}/{given.stages[lot.species_id, stage][0]}"


def _stock_figures(given: Material) -> Iterable[Figure]:
    for row in given.after.shared.buckets:
        if row.count:
            yield Figure("animals", _place(given, row.lot, row.stage), row.count)


def _cost_figures(given: Material) -> Iterable[Figure]:
    shared = given.after.shared
    values: dict[tuple[str, str], int] = defaultdict(int)
    for row in shared.closing:
        if row.kind is Kind.ON_HAND and row.lot is not None and row.stage is not None:
            name, where = "cost so far", _place(given, row.lot, row.stage)
        elif row.kind is Kind.BROOD and row.lot is not None:
            name, where = "brood", given.lots[row.lot].code
        else:
            name, where = (
                "not used up",
                "rest" if row.cost_line is None else f"cost {row.cost_line}",
            )
        for category, amount in zip(shared.categories, row.posted, strict=True):
            values[name, f"{where}/{category}"] += amount
    for number, amount in given.after.equipment.items():
        values["equipment", f"cost {number}"] += amount
    return [Figure(name, detail, amount) for (name, detail), amount in values.items() if amount]


def _income_figures(result: Income) -> Iterable[Figure]:
    for basis in ("cash", "accruals"):
        for line in result.lines:
            amount = line.cash if basis == "cash" else line.accruals
            if amount:
                yield Figure(basis, line.name, amount)
    yield Figure("cash", RESULT, result.cash_result)
    yield Figure("accruals", RESULT, result.accruals_result)
