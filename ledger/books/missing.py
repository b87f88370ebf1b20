"""What is missing before an accounting year is closed: it can be looked at on any day, also while the year lasts.

None of it forbids the closing. `closing` says the same as cautions; screens add what to do about each kind.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Scene
from ledger.books.controls import LAST_DAYS, last_counts, uncounted_lots
from ledger.books.income import Income, income_of, year_rows
from ledger.books.material import Material, material
from ledger.books.stock_count import count_rows
from ledger.costs.twice import alike
from ledger.days import long_day
from ledger.errors import Refused
from ledger.money import said
from ledger.records.periods import Period, period_by_year
from ledger.selling.holds import holds, undecided
from ledger.stock.earmarks import shorts
from ledger.wording import counted, listed, say, strung, word

MOST_NAMED = 20
"""Lots, sales or holds named in one sentence."""


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing to look at before a year is closed."""

    kind: str
    """One of `KINDS`: screens know what to do about each."""
    sentence: str


@dataclass(frozen=True, slots=True)
class BeforeClosing:
    """How a year stands before it is closed."""

    period: Period
    over: bool
    """Whether its last day has passed."""
    missing: tuple[Missing, ...]


def before_closing(conn: Connection, year: int, scene: Scene) -> BeforeClosing:
    """What is still open in a year, whether or not it is over.

    Raises:
        BadInput: there is no such year.
        Refused: it has not begun.
    """
    period = period_by_year(conn, year)
    if scene.today < period.first_day:
        raise Refused(not_over(period), "year", {"year": period.year, "last": period.last_day})
    given = material(conn, year)
    found = missing_of(conn, given, income_of(given, year_rows(conn, given)), scene)
    return BeforeClosing(period, scene.today > period.last_day, tuple(found))


def not_over(period: Period) -> str:
    """That a year cannot be closed yet."""
    return say(
        "{year} lasts until {last_day}; it can be closed from the day after.",
        year=period.year,
        last_day=long_day(period.last_day),
    )


def missing_of(conn: Connection, given: Material, result: Income, scene: Scene) -> Iterable[Missing]:
    """The same of a year that has been read already."""
    year = _Year(conn, given, result, scene, uncounted_lots(conn, given.first, given.last))
    for kind, said_of in KINDS.items():
        if sentence := said_of(year):
            yield Missing(kind, sentence)


@dataclass(frozen=True, slots=True)
class _Year:
    """What each kind is looked for in."""

    conn: Connection
    given: Material
    result: Income
    scene: Scene
    uncounted: Collection[str]
    """Lots with animals that were not counted in it."""


def _results(year: _Year) -> str:
    if year.result.agrees:
        return ""
    return say("The accruals result does not come out the same on both ways; run prove before closing.")


def _named(those: Sequence[str]) -> str:
    """Each by its name, of many the first; a sentence of a hundred names is read by nobody."""
    rest = len(those) - MOST_NAMED
    if rest <= 0:
        return listed(those)
    return listed([*those[:MOST_NAMED], say("{rest} more", rest=f"{rest:,}")])


def _unpaid_sales(year: _Year) -> str:
    last = year.given.last
    unpaid = [sale for sale in year.given.sales if sale.balance(last) > 0]
    if not unpaid:
        return ""
    return counted(
        len(unpaid),
        "{n} sale not paid in full at the year's end: {total}.",
        "{n} sales not paid in full at the year's end: {total}.",
        total=said(sum(sale.balance(last) for sale in unpaid), year.scene.currency),
    )


def _not_posted(year: _Year) -> str:
    last = year.given.last
    numbers = [
        sale.number
        for sale in year.given.sales
        if sale.sold_on <= last and not sale.undone and (sale.earned_on or dt.date.max) > last
    ]
    if not numbers:
        return ""
    return say(
        "Sold and not posted by the year's end: {numbers}; they count in the year they are posted.",
        numbers=_named(numbers),
    )


def _unpaid_costs(year: _Year) -> str:
    last = year.given.last
    owing = [cost for cost in year.given.costs if cost.owed(last) > 0]
    if not owing:
        return ""
    return counted(
        len(owing),
        "{n} cost not paid in full at the year's end: {total}.",
        "{n} costs not paid in full at the year's end: {total}.",
        total=said(sum(cost.owed(last) for cost in owing), year.scene.currency),
    )


def _holds(year: _Year) -> str:
    waiting = holds(year.conn, year.scene.now, only_open=True)
    return say("Holds still open: {holds}.", holds=_named([hold.number for hold in waiting])) if waiting else ""


def _deposits(year: _Year) -> str:
    deposits = undecided(year.conn, year.scene.now)
    if not deposits:
        return ""
    return say("Deposits nobody has decided on: {holds}.", holds=_named([hold.number for hold in deposits]))


def _not_counted(year: _Year) -> str:
    if not year.uncounted:
        return ""
    return say("Not counted in the year: {uncounted}.", uncounted=_named(tuple(year.uncounted)))


def _counted_early(year: _Year) -> str:
    near = year.given.last - dt.timedelta(days=LAST_DAYS)
    if year.scene.today <= near:
        return ""
    early = [
        say("{code} ({on})", code=code, on=long_day(on))
        for code, on in last_counts(year.conn, year.given.last)
        if code not in year.uncounted and on <= near
    ]
    if not early:
        return ""
    return say(
        "Counted, but not in the last {last_days} days of the year: {early}.", last_days=LAST_DAYS, early=_named(early)
    )


def _counts_left(year: _Year) -> str:
    left = [row for row in count_rows(year.conn, year.given.first, year.given.last) if row.left]
    if not left:
        return ""
    where = _named([strung((row.lot, word(row.stage))) if row.stage else row.lot for row in left])
    return say("Counts that differ from the records, with nothing recorded of it: {where}.", where=where)


def _no_animals(year: _Year) -> str:
    idle, currency = year.given.idle, year.scene.currency
    if idle > 0:
        return say("Costs with no animals to carry them: {idle}.", idle=said(idle, currency))
    if idle < 0:
        return say(
            "Of costs a closed year had used up, {amount} more came back than there were costs with no animals to "
            "carry them.",
            amount=said(-idle, currency),
        )
    return ""


def _short(year: _Year) -> str:
    lacking = shorts(year.conn)
    if not lacking:
        return ""
    return counted(
        len(lacking),
        "{n} set-aside is short of animals; see what is due.",
        "{n} set-asides are short of animals; see what is due.",
    )


def _twice(year: _Year) -> str:
    pairs = alike(year.conn, year.given.first, year.given.last)
    if not pairs:
        return ""
    return counted(
        len(pairs),
        "{n} cost may be entered twice, of the same day, shop and amount: {pairs}.",
        "{n} costs may be entered twice, each of the same day, shop and amount: {pairs}.",
        pairs=_named([say("{again} as {first}", again=again, first=first) for first, again in pairs]),
    )


KINDS: Mapping[str, Callable[[_Year], str]] = {
    "results": _results,
    "unpaid sales": _unpaid_sales,
    "not posted": _not_posted,
    "unpaid costs": _unpaid_costs,
    "holds": _holds,
    "deposits": _deposits,
    "not counted": _not_counted,
    "counted early": _counted_early,
    "counts left": _counts_left,
    "no animals": _no_animals,
    "short": _short,
    "twice": _twice,
}
"""What is looked for, in the order it is said; each says what is missing, or nothing."""
