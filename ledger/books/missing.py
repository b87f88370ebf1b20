"""What is missing before an accounting year is closed: it can be looked at on any day, also while the year lasts.

None of it forbids the closing. `closing` says the same as cautions; screens add what to do about each kind.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
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


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing to look at before a year is closed."""

    kind: str
    """results, unpaid sales, not posted, unpaid costs, holds, deposits, not counted, counted early, counts left,
    no animals, short or twice."""
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
    if not result.agrees:
        yield Missing(
            "results", say("The accruals result does not come out the same on both ways; run prove before closing.")
        )
    last = given.last
    unpaid = [sale for sale in given.sales if sale.balance(last) > 0]
    if unpaid:
        total = said(sum(sale.balance(last) for sale in unpaid), scene.currency)
        yield Missing(
            "unpaid sales",
            counted(
                len(unpaid),
                "{n} sale not paid in full at the year's end: {total}.",
                "{n} sales not paid in full at the year's end: {total}.",
                total=total,
            ),
        )
    parcels = [s for s in given.sales if s.sold_on <= last and not s.undone and (s.earned_on or dt.date.max) > last]
    if parcels:
        numbers = listed([sale.number for sale in parcels])
        yield Missing(
            "not posted",
            say(
                "Sold and not posted by the year's end: {numbers}; they count in the year they are posted.",
                numbers=numbers,
            ),
        )
    owing = [cost for cost in given.costs if cost.owed(last) > 0]
    if owing:
        total = said(sum(cost.owed(last) for cost in owing), scene.currency)
        yield Missing(
            "unpaid costs",
            counted(
                len(owing),
                "{n} cost not paid in full at the year's end: {total}.",
                "{n} costs not paid in full at the year's end: {total}.",
                total=total,
            ),
        )
    waiting = holds(conn, scene.now, only_open=True)
    if waiting:
        yield Missing("holds", say("Holds still open: {holds}.", holds=listed([hold.number for hold in waiting])))
    deposits = undecided(conn, scene.now)
    if deposits:
        yield Missing(
            "deposits",
            say("Deposits nobody has decided on: {holds}.", holds=listed([hold.number for hold in deposits])),
        )
    uncounted = uncounted_lots(conn, given.first, last)
    if uncounted:
        yield Missing("not counted", say("Not counted in the year: {uncounted}.", uncounted=listed(list(uncounted))))
    near = last - dt.timedelta(days=LAST_DAYS)
    early = [
        say("{code} ({on})", code=code, on=long_day(on))
        for code, on in last_counts(conn, last)
        if code not in uncounted and on <= near
    ]
    if early and scene.today > near:
        yield Missing(
            "counted early",
            say(
                "Counted, but not in the last {last_days} days of the year: {early}.",
                last_days=LAST_DAYS,
                early=listed(early),
            ),
        )
    left = [row for row in count_rows(conn, given.first, last) if row.left]
    if left:
        where = listed([strung((row.lot, word(row.stage))) if row.stage else row.lot for row in left])
        yield Missing(
            "counts left",
            say("Counts that differ from the records, with nothing recorded of it: {where}.", where=where),
        )
    if given.idle > 0:
        yield Missing(
            "no animals", say("Costs with no animals to carry them: {idle}.", idle=said(given.idle, scene.currency))
        )
    elif given.idle < 0:
        yield Missing(
            "no animals",
            say(
                "Of costs a closed year had used up, {amount} more came back than there were costs with no animals to "
                "carry them.",
                amount=said(-given.idle, scene.currency),
            ),
        )
    lacking = shorts(conn)
    if lacking:
        yield Missing(
            "short",
            counted(
                len(lacking),
                "{n} set-aside is short of animals; see what is due.",
                "{n} set-asides are short of animals; see what is due.",
            ),
        )
    pairs = alike(conn, given.first, last)
    if pairs:
        yield Missing(
            "twice",
            counted(
                len(pairs),
                "{n} cost may be entered twice, of the same day, shop and amount: {pairs}.",
                "{n} costs may be entered twice, each of the same day, shop and amount: {pairs}.",
                pairs=listed([say("{again} as {first}", again=again, first=first) for first, again in pairs]),
            ),
        )
