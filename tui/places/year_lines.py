"""The lines of an accounting year: income on both bases, its checks, and what was recorded late."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len

from ledger.days import Order, long_day
from ledger.money import Currency, amount_text, said
from ledger.wording import counted, say, strung, word
from tui.charts import beside, fit
from tui.look import short
from tui.places.page import hanging
from tui.tongue import tell

if TYPE_CHECKING:
    from ledger.books.checks import Check
    from ledger.books.income import Income, IncomeLine
    from ledger.books.late import Late
    from ledger.records.periods import Period

NAMES = 26
"""Cells below which the name of a line of income is not put beside its figures."""
STOCK_CHECK = "stock"
"""Key of the check that counts the animals at the end of the year."""
CHECK = 48
"""Cells of the name of a check, so that its two figures stand beside it at 80 columns."""


def late_lines(found: Late, currency: Currency, order: Order) -> list[str]:
    """Late facts of a year, then the lots and stages whose stock differs by them."""
    lines = [
        say(
            "{happened_on} → {accounted_on}  {kind} {number}: {what}{amount}",
            happened_on=short(fact.happened_on, order),
            accounted_on=short(fact.accounted_on, order),
            kind=word(fact.kind),
            number=fact.number,
            what=fact.what,
            amount="" if fact.amount is None else f", {said(fact.amount, currency)}",
        )
        for fact in found.facts
    ]
    year = found.period.year
    differing = [
        say(
            "{lot} {stage}: {in_books} in the books, {known_now} as known now",
            lot=row.lot,
            stage=word(row.stage),
            in_books=row.in_books,
            known_now=row.known_now,
        )
        for row in found.stock
        if row.differs
    ]
    return [
        say("The day it happened → the day it is accounted on"),
        *(lines or [say("Nothing of {year} was recorded after it was closed.", year=year)]),
        "",
        say("Stock at the end of {last_day}, both ways", last_day=long_day(found.period.last_day)),
        *(differing or [say("The same by the books and as known now.")]),
    ]


def reckoned_to(period: Period, today: dt.date) -> str:
    """Of a year that is not over, up to which day its figures are reckoned; nothing of others."""
    if period.closed or today >= period.last_day:
        return ""
    return say(
        "The year is not over: its figures are reckoned to {last_day}, with feed in use, power and equipment used "
        "until then. What an animal cost up to today stands on the page of its lot.",
        last_day=long_day(period.last_day),
    )


def income_lines(income: Income, currency: Currency, width: int) -> list[str]:
    """Both bases side by side, then the bridge between them."""
    figure = 12
    room = width - 2 * figure

    def line(name: str, cash: str, accruals: str) -> str:
        if room < NAMES:
            # On a phone a name has a line of its own: cut short it would say nothing.
            figures = beside(cash, figure) + beside(accruals, figure)
            return "\n".join([*hanging([name], width), fit(figures, width, right=True)])
        return fit(name, room) + beside(cash, figure) + beside(accruals, figure)

    def row(one: IncomeLine) -> str:
        return line(one.name, _amount(one.cash, currency), _amount(one.accruals, currency))

    rule = "─" * width
    return [
        line(say("in {code}", code=currency.code), say("cash{basis}", basis=""), say("accruals")),
        rule,
        *(row(one) for one in income.lines),
        rule,
        line(say("Result"), _amount(income.cash_result, currency), _amount(income.accruals_result, currency)),
        "",
        *hanging([say("From the cash result to the accruals result")], width),
        *(line(one.name, "", _amount(one.accruals, currency)) for one in income.bridge),
        "",
        *hanging([say("Working paper, not a tax return; ask your adviser what counts where you live.")], width),
    ]


def _amount(minor: int | None, currency: Currency) -> str:
    return "" if minor is None else amount_text(minor, currency)


def check_lines(checks: Sequence[Check], currency: Currency, specimens: int = 0) -> list[str]:
    """Every check with its two sides; the count of animals says how many of them are dried."""
    lines = [say("Amounts in {code}; the other figures are counts.", code=currency.code)]
    for check in checks:
        sides = [check.first, check.second]
        said = [amount_text(side, currency) if check.unit == "money" else str(side) for side in sides]
        sign = "✓" if check.difference == 0 else "·" if check.remark else "!"
        name, both = tell(check.name), f"{tell(said[0]):>11} {tell(said[1]):>11}"
        if cell_len(name) > CHECK:
            # All of it, and its figures below, rather than a name that is cut.
            lines.append(f"{sign} {name}")
            lines.append(f"  {' ' * CHECK} {both}")
        else:
            lines.append(f"{sign} {fit(name, CHECK)} {both}")
        if check.key == STOCK_CHECK and specimens:
            lines.append(
                counted(
                    specimens,
                    "    of which {n} dried specimen; 3 Stock counts the living",
                    "    of which {n} dried specimens; 3 Stock counts the living",
                )
            )
        if check.difference:
            lines.append(strung(("    ", check.advice), ""))
    return lines
