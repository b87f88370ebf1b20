"""What a cell means, strictly: an amount or a day that could be read in two ways is asked about and never guessed.

The order of day and month is decided for all dates of a file together, after trying which orders fit every one of
them; the decimal sign likewise. Digits after ISO 4217; spreadsheets count days from 1899-12-30 (ECMA-376, 18.17.4.1).
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import get_args

from exports.bring_in.cells import Cell, FaultyCell, shown
from exports.bring_in.kinds import Field
from exports.bring_in.report import Question
from ledger.days import FIRST_DAY, LAST_DAY, Order, parse_day
from ledger.errors import Ambiguous, BadInput
from ledger.money import Currency, DecimalSign, amount_text, parse_amount
from ledger.text import clean, clean_block, clean_code

ORDERS: tuple[Order, ...] = get_args(Order)
_FIGURES = re.compile(r"(\d{1,4})([-/. ])(\d{1,2})\2(\d{1,4})\.?", re.ASCII)
_NAMED = re.compile(r"(?:\d{1,2}\.? ?[A-Za-z]{3,9}\.?,? \d{2,4}|[A-Za-z]{3,9}\.? ?\d{1,2},? \d{4})", re.ASCII)
_COUNT = re.compile(r"(?:about|approx\.?|ca\.?|c\.|~|≈)\s*(\d{1,7})|(\d{1,7})\s*\?", re.IGNORECASE | re.ASCII)
_WITH_LETTERS = re.compile(r"(\d{1,6}) ?[m♂][ ,/+]*(\d{1,6}) ?[f♀w]", re.IGNORECASE | re.ASCII)
_BY_SEX = re.compile(r"(\d{1,6})\.(\d{1,6})(?:\.(\d{1,6}))?", re.ASCII)
_ZERO_DAY = dt.date(1899, 12, 30)
_YES = {"yes": True, "y": True, "true": True, "x": True, "1": True, "no": False, "n": False, "false": False, "0": False}
_YES |= {"ja": True, "j": True, "nein": False}
_ALSO = {
    "m": "male", "♂": "male", "males": "male", "männlich": "male", "f": "female", "♀": "female", "females": "female",
    "w": "female", "weiblich": "female", "u": "unsexed", "unbestimmt": "unsexed", "here": "opening", "own": "bred",
    "bred here": "bred", "gekauft": "bought", "nachzucht": "bred", "bestand": "opening",
}  # fmt: skip
"""Words that mean one of a closed list, where the list has what they mean."""
_WAYS_TO_PAY = {
    "cash": "cash", "bar": "cash", "card": "card", "karte": "card", "transfer": "transfer", "bank transfer": "transfer",
    "bank": "transfer", "bacs": "transfer", "überweisung": "transfer", "paypal": "paypal", "cheque": "cheque",
    "check": "cheque", "scheck": "cheque",
}  # fmt: skip
"""How a buyer paid, as people write it under Paid."""
_TODAY = dt.date(2000, 1, 1)
"""Stands in for today where a text names its year, so that it is never asked for."""


@dataclass(frozen=True, slots=True)
class Counts:
    """How many animals, by sex as far as said."""

    males: int = 0
    females: int = 0
    unsexed: int = 0
    about: bool = False

    @property
    def all(self) -> int:
        """Together."""
        return self.males + self.females + self.unsexed


Meaning = str | int | bool | dt.date | Counts


class Unclear(Exception):
    """A cell that has no meaning of its kind; says why and what might have been meant."""

    def __init__(self, reason: str, suggestion: str = "") -> None:
        super().__init__(reason)
        self.reason = reason
        self.suggestion = suggestion


@dataclass(frozen=True, slots=True)
class Manner:
    """How the dates and amounts of a file are written."""

    currency: Currency
    order: Order | None = None
    """None: nothing in the file depends on it."""
    sign: DecimalSign | None = None


def order_of(cells: Iterable[Cell]) -> tuple[Order | None, Question | None]:
    """The one order of day and month in which every date of figures is a day; or the question to ask."""
    texts = [text for cell in cells if isinstance(cell, str) and _FIGURES.fullmatch(text := cell.strip())]
    fitting = {order: [_day(text, order) for text in texts] for order in ORDERS}
    fits = [order for order, days in fitting.items() if all(days)]
    if not texts:
        return None, None
    if not fits:
        # Judge the ones that are days in some order; the others are refused one by one.
        some = [text for text in texts if any(_day(text, order) for order in ORDERS)]
        fits = [order for order in ORDERS if some and all(_day(text, order) for text in some)]
        if not fits:
            if not some:
                return None, None
            first = next(text for text in some if not _day(text, "dmy"))
            other = next((text for text in some if _day(text, "dmy")), first)
            return None, Question(
                f"The dates are written in different orders of day and month ({other} and {first}); write all in one.",
                "--dates dmy, mdy or ymd, which refuses the others",
                ORDERS,
            )
        texts = some
    if len({tuple(_day(text, order) for text in texts) for order in fits}) == 1:
        short = next((text for text in texts if not re.match(r"\d{4}|.*\d{4}\.?$", text)), "")
        if fits == ["ymd"] and short:
            # More often a day that is none, written day first.
            return None, Question(
                f"Do the dates begin with the year? {short} would be {_day(short, 'ymd')}.", "--dates ymd", ("ymd",)
            )
        return fits[0], None
    text = next(text for text in texts if len({_day(text, order) for order in fits}) > 1)
    readings = " or ".join(str(_day(text, order)) for order in fits)
    return None, Question(
        f"In which order are day and month? {text} may be {readings}.", f"--dates {' or '.join(fits)}", tuple(fits)
    )


def sign_of(cells: Iterable[Cell], currency: Currency) -> DecimalSign | None:
    """The decimal sign that the amounts of a file show; None: none or both."""
    shown_signs: set[DecimalSign] = set()
    for cell in cells:
        if not isinstance(cell, str):
            continue
        last = max(cell.rfind("."), cell.rfind(","))
        if last < 0 or not cell[last + 1 :].strip(" )€£$").isdigit():
            continue
        after = len(cell[last + 1 :].strip(" )€£$"))
        both = "." in cell and "," in cell
        repeated = cell.count(cell[last]) > 1
        if not repeated and (both or after != 3) and after <= max(currency.digits, 1):
            shown_signs.add("." if cell[last] == "." else ",")
    return shown_signs.pop() if len(shown_signs) == 1 else None


def meaning(cell: Cell, field: Field, manner: Manner) -> Meaning | None:
    """What a cell means as a field; None: nothing stands there.

    Raises:
        Unclear: it cannot be that, or could be two things.
    """
    if isinstance(cell, FaultyCell):
        raise Unclear(f"is {cell.fault.value}.")
    if cell is None or (isinstance(cell, str) and not cell.strip()):
        return None
    try:
        return _READERS[field.type](cell, field, manner)
    except Ambiguous as unclear:
        readings = " or ".join(unclear.choices)
        raise Unclear(f"may mean {readings}.", "Say which decimal sign it has: --decimal . or ,") from unclear
    except BadInput as refused:
        raise Unclear(refused.sentence) from refused


def _text(cell: Cell, field: Field, _manner: Manner) -> str:
    return clean(_as_text(cell), limit=200, field=field.name)


def _block(cell: Cell, field: Field, _manner: Manner) -> str:
    return clean_block(_as_text(cell), limit=500, field=field.name)


def _code(cell: Cell, field: Field, _manner: Manner) -> str:
    return clean_code(_as_text(cell), field=field.name)


def _as_text(cell: Cell) -> str:
    if isinstance(cell, float) and cell == int(cell):
        return str(int(cell))
    return shown(cell)


def _word(cell: Cell, field: Field, _manner: Manner) -> str:
    text = _as_text(cell).strip()
    for choice in field.choices:
        if choice.casefold() == text.casefold():
            return choice
    if (means := _ALSO.get(text.casefold(), "")) in field.choices:
        return means
    near = [choice for choice in field.choices if choice.casefold().startswith(text.casefold())]
    raise Unclear(f"is none of: {', '.join(field.choices)}.", f"Perhaps {near[0]}?" if len(near) == 1 else "")


def _whole(cell: Cell, _field: Field, _manner: Manner) -> int:
    if isinstance(cell, bool | dt.date | dt.time):
        raise Unclear("is no number.")
    if isinstance(cell, int):
        number: int = cell
    elif isinstance(cell, float):
        if cell != int(cell):
            raise Unclear("is no whole number.")
        number = int(cell)
    else:
        text = re.sub(r"(?<=\d)[\u00a0\u202f ](?=\d{3}\b)", "", str(cell).strip())
        text = text[1:] if re.fullmatch(r"[FfGg]\d+", text) else text
        if not (text.isascii() and text.isdigit() and len(text) <= 9):
            raise Unclear("is no whole number.")
        number = int(text)
    if not 0 <= number <= 1_000_000:
        raise Unclear("lies outside 0 to 1,000,000.")
    return number


def _counts(cell: Cell, field: Field, manner: Manner) -> Counts:
    text = str(cell).strip() if isinstance(cell, str) else ""
    if about := _COUNT.fullmatch(text):
        return Counts(unsexed=int(about[1] or about[2]), about=True)
    if by_sex := _BY_SEX.fullmatch(text):
        return Counts(int(by_sex[1]), int(by_sex[2]), int(by_sex[3] or 0))
    if text[-1:].isalpha() or text[-1:] in "♂♀":
        lettered = _WITH_LETTERS.fullmatch(text)
        if lettered:
            return Counts(int(lettered[1]), int(lettered[2]))
    if isinstance(cell, float) and cell != int(cell):
        raise Unclear(
            "is no whole number; 1.2 typed as a number cannot be told from one point two.",
            "Write males.females.unsexed in full, such as 1.2.0, as text.",
        )
    return Counts(unsexed=_whole(cell, field, manner))


def _amount(cell: Cell, field: Field, manner: Manner) -> int:
    if isinstance(cell, bool | dt.date | dt.time):
        raise Unclear("is no amount.", "Format the column as a number." if isinstance(cell, dt.date) else "")
    if isinstance(cell, int | float):
        exact = Decimal(format(cell, ".15g")) if isinstance(cell, float) else Decimal(cell)
        if not exact.is_finite():
            raise Unclear("is no amount.")
        value = parse_amount(f"{exact.normalize():f}", manner.currency, field=field.name, decimal_sign=".")
    else:
        value = parse_amount(str(cell), manner.currency, field=field.name, decimal_sign=manner.sign)
    if value < 0:
        raise Unclear(
            "is less than nothing.", f"Perhaps {amount_text(-value, manner.currency)}? A refund is recorded by itself."
        )
    return value


def _date(cell: Cell, field: Field, manner: Manner) -> dt.date:
    if isinstance(cell, dt.datetime):
        return _within(cell.date())
    if isinstance(cell, dt.date):
        return _within(cell)
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        guess = ""
        if 32_874 <= cell <= 109_575:
            guess = f"Perhaps {_ZERO_DAY + dt.timedelta(days=int(cell))}? Format the column as dates."
        raise Unclear("is a number and no date.", guess)
    text = " ".join(str(cell).split())
    if _FIGURES.fullmatch(text):
        orders = [manner.order] if manner.order else list(ORDERS)
        days = {day for order in orders if (day := _day(text, order))}
        if len(days) == 1:
            return days.pop()
        if days:
            readings = " or ".join(str(day) for day in sorted(days))
            raise Unclear(f"may be {readings}.", "Say the order: --dates dmy, mdy or ymd")
        others = [str(day) for order in ORDERS if (day := _day(text, order))]
        if not others:
            years = f"from {FIRST_DAY.year} to {LAST_DAY.year}"
            raise Unclear(f"is no day of the calendar {years}.", "Correct the day, the month or the year.")
        raise Unclear("is no day in the order of the other dates.", f"Perhaps {others[0]}?")
    if _NAMED.fullmatch(text):
        return parse_day(text, _TODAY, field=field.name)
    raise Unclear("is no date with a year.", "Write it like 2025-06-02.")


def _within(day: dt.date) -> dt.date:
    if not FIRST_DAY <= day <= LAST_DAY:
        raise Unclear(f"lies outside {FIRST_DAY.year} to {LAST_DAY.year}.")
    return day


def _day(text: str, order: Order) -> dt.date | None:
    """A date of three figures in an order; None: it is no day in that order."""
    found = _FIGURES.fullmatch(text.strip())
    if found is None:
        return None
    first, second, third = found[1], found[3], found[4]
    if len(first) == 4:
        year, month, day = first, second, third
        if len(third) > 2:
            return None
    elif len(first) == 3 or len(third) == 3 or (order == "ymd" and len(third) > 2):
        return None
    elif order == "ymd":
        year, month, day = first, second, third
    elif order == "dmy":
        day, month, year = first, second, third
    else:
        month, day, year = first, second, third
    number = int(year)
    if len(year) <= 2:
        number += 1900 if number >= 90 else 2000
    try:
        made = dt.date(number, int(month), int(day))
    except ValueError:
        return None
    return made if FIRST_DAY <= made <= LAST_DAY else None


def _yes(cell: Cell, _field: Field, _manner: Manner) -> bool:
    if isinstance(cell, bool):
        return cell
    text = _as_text(cell).strip().casefold()
    if text not in _YES:
        raise Unclear("is neither yes nor no.")
    return _YES[text]


def _paid(cell: Cell, field: Field, manner: Manner) -> bool | str:
    """Whether it is paid; or how, which says that it is."""
    text = _as_text(cell).strip().casefold() if isinstance(cell, str) else ""
    if how := _WAYS_TO_PAY.get(text, ""):
        return how
    try:
        return _yes(cell, field, manner)
    except Unclear:
        ways = ", ".join(dict.fromkeys(_WAYS_TO_PAY.values()))
        raise Unclear(f"is neither yes nor no, nor a way to pay ({ways}).") from None


def _share(cell: Cell, _field: Field, _manner: Manner) -> int:
    """Hundredths of a percent."""
    text = _as_text(cell).strip()
    found = re.fullmatch(r"(\d{1,3})(?:[.,](\d{1,2}))?\s*%", text, re.ASCII)
    if found:
        share = int(found[1]) * 100 + int((found[2] or "0").ljust(2, "0"))
    elif isinstance(cell, int | float) and not isinstance(cell, bool) and 0 < cell <= 1:
        share = int(Decimal(format(cell, ".15g")) * 10_000)
    else:
        raise Unclear("is no share.", "Write it like 60%.")
    if not 1 <= share <= 10_000:
        raise Unclear("lies outside 0.01% to 100%.")
    return share


_READERS: dict[str, Callable[[Cell, Field, Manner], Meaning]] = {
    "text": _text,
    "block": _block,
    "code": _code,
    "word": _word,
    "whole": _whole,
    "counts": _counts,
    "amount": _amount,
    "date": _date,
    "yes": _yes,
    "paid": _paid,
    "share": _share,
}
