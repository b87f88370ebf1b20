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
from ledger.books.controls import LAST_DAYS, last_counts, uncounted_lots
from ledger.books.income import Income, income_of, year_rows
from ledger.books.material import Material, material
from ledger.books.stock_count import count_rows
from ledger.costs.result import Kind
from ledger.days import long_day
from ledger.errors import BadInput, PeriodClosed, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.periods import Period, close, period_by_year
from ledger.selling.holds import holds, undecided
from ledger.stock.earmarks import shorts
from ledger.wording import counted, listed, say, strung, word

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
    cautions: tuple[str, ...]


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
            say("{year} is closed already; its figures stand.", year=period.year), "year", {"year": period.year}
        )
    if scene.today <= period.last_day:
        raise Refused(
            say(
                "{year} lasts until {last_day}; it can be closed from the day after.",
                year=period.year,
                last_day=long_day(period.last_day),
            ),
            "year",
            {"year": period.year, "last": period.last_day},
        )
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
    sentence = _sentence(years, result.cash_result, result.accruals_result, scene)
    return ClosePlan(period.year, years, command.on, sentence, tuple(_cautions(conn, given, result, scene)))


@dataclass(frozen=True, slots=True)
class SoFar:
    """A year that is not over yet."""

    sentence: str
    """Until when it lasts."""
    missing: tuple[str, ...]
    """What would have to be looked at if it ended today."""


def look_before_closing(conn: Connection, command: CloseYear, scene: Scene) -> ClosePlan | SoFar:
    """What closing would say; of a year that has begun and is not over, what is missing so far.

    Raises:
        BadInput, PeriodClosed, Refused: as `plan_close`, and of a year that has not begun.
    """
    period = period_by_year(conn, command.year)
    try:
        return plan_close(conn, command, scene)
    except Refused as refused:
        if "last" not in refused.facts or scene.today < period.first_day:
            raise
        given = material(conn, period.year)
        result = income_of(given, year_rows(conn, given))
        return SoFar(refused.sentence, tuple(_cautions(conn, given, result, scene)))


def _sentence(years: Sequence[int], cash: int, accruals: int, scene: Scene) -> str:
    return counted(
        len(years),
        "{years} is closed: result of {last} {cash} on the cash basis, {accruals} on the accruals "
        "basis. From then on these figures stand; late facts are accounted in the next year.",
        "{years} are closed: result of {last} {cash} on the cash basis, {accruals} on the accruals "
        "basis. From then on these figures stand; late facts are accounted in the next year.",
        years=listed([str(year) for year in years]),
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


def _cautions(conn: Connection, given: Material, result: Income, scene: Scene) -> Iterable[str]:
    if not result.agrees:
        yield say("The accruals result does not come out the same on both ways; run prove before closing.")
    last = given.last
    unpaid = [sale for sale in given.sales if sale.balance(last) > 0]
    if unpaid:
        total = said(sum(sale.balance(last) for sale in unpaid), scene.currency)
        yield counted(
            len(unpaid),
            "{n} sale not paid in full at the year's end: {total}.",
            "{n} sales not paid in full at the year's end: {total}.",
            total=total,
        )
    parcels = [s for s in given.sales if s.sold_on <= last and not s.undone and (s.earned_on or dt.date.max) > last]
    if parcels:
        numbers = listed([sale.number for sale in parcels])
        yield say(
            "Sold and not posted by the year's end: {numbers}; they count in the year they are posted.", numbers=numbers
        )
    owing = [cost for cost in given.costs if cost.owed(last) > 0]
    if owing:
        total = said(sum(cost.owed(last) for cost in owing), scene.currency)
        yield counted(
            len(owing),
            "{n} cost not paid in full at the year's end: {total}.",
            "{n} costs not paid in full at the year's end: {total}.",
            total=total,
        )
    waiting = holds(conn, scene.now, only_open=True)
    if waiting:
        yield say("Holds still open: {holds}.", holds=listed([hold.number for hold in waiting]))
    deposits = undecided(conn, scene.now)
    if deposits:
        yield say("Deposits nobody has decided on: {holds}.", holds=listed([hold.number for hold in deposits]))
    uncounted = uncounted_lots(conn, given.first, last)
    if uncounted:
        yield say("Not counted in the year: {uncounted}.", uncounted=listed(list(uncounted)))
    early = [
        say("{code} ({on})", code=code, on=long_day(on))
        for code, on in last_counts(conn, last)
        if code not in uncounted and on <= last - dt.timedelta(days=LAST_DAYS)
    ]
    if early:
        yield say(
            "Counted, but not in the last {last_days} days of the year: {early}.",
            last_days=LAST_DAYS,
            early=listed(early),
        )
    left = [row for row in count_rows(conn, given.first, last) if row.left]
    if left:
        where = listed([strung((row.lot, word(row.stage))) if row.stage else row.lot for row in left])
        yield say("Counts that differ from the records, with nothing recorded of it: {where}.", where=where)
    if given.idle > 0:
        yield say("Costs with no animals to carry them: {idle}.", idle=said(given.idle, scene.currency))
    elif given.idle < 0:
        yield say(
            "Of costs a closed year had used up, {amount} more came back than there were costs with no animals to "
            "carry them.",
            amount=said(-given.idle, scene.currency),
        )
    lacking = shorts(conn)
    if lacking:
        yield counted(
            len(lacking),
            "{n} set-aside is short of animals; see what is due.",
            "{n} set-asides are short of animals; see what is due.",
        )


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
    return Done(_sentence(plan.years, cash, accruals, act.scene), {"year": plan.year}, plan.cautions)


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
