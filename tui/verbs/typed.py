"""Reading what stands in a command line: days, numbers, amounts, shares. Strict; raises `BadInput` with a sentence."""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Literal

from ledger.days import Order, parse_day
from ledger.errors import BadInput
from ledger.money import Currency, parse_amount
from ledger.text import quoted
from ledger.wording import say

if TYPE_CHECKING:
    from ledger.ledger import Ledger

_SHARE = re.compile(r"([0-9]{1,3})(?:[.,]([0-9]{1,6}))?\s*(%?)")


def day(typed: str | None, ledger: Ledger, field: str, *, ahead: bool = False) -> dt.date | None:
    """A day as typed, `None` if nothing was; `ahead`: one to come where no year is named."""
    return None if typed is None else parse_day(typed, ledger.today, order(ledger), ahead=ahead, field=field)


def day_or_today(typed: str | None, ledger: Ledger, field: str = "date") -> dt.date:
    """A day as typed, today if nothing was."""
    return day(typed, ledger, field) or ledger.today


def order(ledger: Ledger) -> Order:
    """In which order the keeper writes day and month, after the ledger's locale; day first if none is set."""
    from ledger.records.settings import setting

    return order_of(ledger.ask(setting, "locale", ""))


def order_of(locale: str) -> Order:
    """The order of the locale's own short date."""
    if not locale:
        return "dmy"
    from babel.core import Locale, UnknownLocaleError

    try:
        pattern = str(Locale.parse(locale).date_formats["short"].pattern)
    except (UnknownLocaleError, ValueError):
        return "dmy"
    places = {letter: pattern.lower().find(letter) for letter in "dmy"}
    if places["y"] == min(places.values()):
        return "ymd"
    return "mdy" if places["m"] < places["d"] else "dmy"


def whole(typed: str, what: str, field: str, *, least: int = 1, most: int = 1_000_000) -> int:
    """A whole number within bounds."""
    if not (typed.isascii() and typed.isdigit()) or len(typed) > 12 or not least <= int(typed) <= most:
        upper = f"{most}" if most < 10_000 else f"{most:,}"
        raise BadInput(
            say(
                "{typed} is not {what}; write a whole number from {least} to {most}.",
                typed=quoted(typed),
                what=what,
                least=least,
                most=upper,
            ),
            field=field,
            facts={"text": typed},
        )
    return int(typed)


def buyers(typed: str) -> int | Literal["all"]:
    """How many buyers are to come; 'all': as many as there are animals."""
    bare = typed.strip()
    if bare.casefold() == "all":
        return "all"
    if not (bare.isascii() and bare.isdigit()) or len(bare) > 6:
        raise BadInput(
            say("{typed} is not a number of buyers; write a whole number, or all.", typed=quoted(bare)),
            field="buyers",
            facts={"text": typed},
        )
    return int(bare)


def amount(typed: str, currency: Currency, field: str = "amount") -> int:
    """An amount not below nought, in minor units."""
    value = parse_amount(typed, currency, field=field)
    if value < 0:
        raise BadInput(
            say("{word} is less than nothing; write the amount without a minus.", word=quoted(typed)), field=field
        )
    return value


def share(typed: str, scale: int, what: str, field: str) -> int:
    """A share as typed, '85 %' or '0.85', in parts of `scale` for the whole (10000: hundredths of a percent)."""
    found = _SHARE.fullmatch(typed.strip()) if typed.isascii() else None
    if found is not None:
        part = Decimal(f"{found[1]}.{found[2] or 0}") * (scale if not found[3] else Decimal(scale) / 100)
        if part == int(part) and 0 <= part <= scale:
            return int(part)
    raise BadInput(
        say("{typed} is not {what}; write it like 85% or 0.85.", typed=quoted(typed), what=what),
        field=field,
        facts={"text": typed},
    )


def part_of_one(typed: str, what: str, field: str) -> float:
    """A share as typed, '85 %' or '0.85', as a part of one, to the millionth."""
    return share(typed, 1_000_000, what, field) / 1_000_000


def year(typed: str) -> int:
    """An accounting year by its number, or as it is shown where it is not that of the calendar: 2026-27."""
    first, _, second = typed.strip().partition("-")
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}", typed.strip(), re.ASCII) and int(second) == (int(first) + 1) % 100:
        typed = first
    return whole(typed, say("a year"), "year", least=1990, most=2199)


_IN_FIGURES = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})\.?")
_OF_YEAR = re.compile(r"[0-9]{1,2}\.? ?[A-Za-z]{3,9}|[A-Za-z]{3,9} ?[0-9]{1,2}")


def day_of_year(typed: str, field: str, order: Order | None = None) -> tuple[int, int]:
    """A day that every year has, as month and day: '6 April', or '6/4' where its order is known or plain.

    Raises:
        BadInput: it is no such day, or may be two.
    """
    words = " ".join(typed.split())
    if figures := _IN_FIGURES.fullmatch(words):
        return _in_figures(typed, int(figures[1]), int(figures[2]), field, order)
    fault = BadInput(f"{quoted(typed)} is no day that every year has; write it like 6 April.", field=field)
    if _OF_YEAR.fullmatch(words) is None:
        raise fault
    try:
        found = parse_day(f"{words} 1999", dt.date(1999, 1, 1))
    except BadInput as refusal:
        raise fault from refusal
    return found.month, found.day


def _in_figures(typed: str, first: int, second: int, field: str, order: Order | None) -> tuple[int, int]:
    readings = {}
    for one, month, day in (("dmy", second, first), ("mdy", first, second)):
        with contextlib.suppress(ValueError):
            readings[one] = dt.date(1999, month, day)
    if not readings:
        raise BadInput(f"{quoted(typed)} is no day that every year has; write it like 6 April.", field=field)
    days = set(readings.values())
    if len(days) > 1:
        if order not in readings:
            may_be = " or ".join(f"{day.day} {day:%B}" for day in readings.values())
            raise BadInput(f"{quoted(typed)} may be {may_be}; write the month as a word.", field=field)
        days = {readings[order]}
    found = days.pop()
    return found.month, found.day
