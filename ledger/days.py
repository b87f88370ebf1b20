"""Days: reading what a person types for a date, ranges of days, and dates in words.

Reads strictly: a day that does not exist, or digits that do not fit the user's order, are refused and never
swapped. Knows no clock; whoever calls says which day is today. Written dates in files are ISO 8601.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Literal

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import a_day, say

FIRST_DAY = date(1990, 1, 1)
LAST_DAY = date(2199, 12, 31)

Order = Literal["dmy", "mdy", "ymd"]

_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WORDS = {"today": 0, "yesterday": -1, "tomorrow": 1}

_AGO = re.compile(r"(a|[0-9]{1,3}) (day|week)s? ago")
_COUNTED = re.compile(r"([-+\u2212])([0-9]{1,5})")
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_THREE = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")
_TWO = re.compile(r"([0-9]{1,2})([/.])([0-9]{1,2})\.?")
_DAY_NAMED_MONTH = re.compile(r"([0-9]{1,2})\.? ?([a-z]{3,9})\.?(?:,? ([0-9]{4}|[0-9]{2}))?")
_NAMED_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ?([0-9]{1,2})(?:,? ([0-9]{4}|[0-9]{2}))?")
_LONGEST_TEXT = 40


@dataclass(frozen=True, slots=True)
class DayRange:
    """Every day from `first` to `last`, both included; a single day has both alike."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise BadInput(
                say(
                    "A range of days cannot end on {last} before it begins on {first}; swap them.",
                    last=self.last,
                    first=self.first,
                ),
                field="date",
                facts={"first": self.first, "last": self.last},
            )

    @property
    def midpoint(self) -> date:
        """The middle day; of two middle days the earlier."""
        return self.first + (self.last - self.first) // 2


def parse_day(text: str, today: date, order: Order = "dmy", *, ahead: bool = False, field: str = "date") -> date:
    """Read a date as a person types it.

    Takes 2026-02-14; today, yesterday, tomorrow; -3, 3 days ago, a week ago, and +3; fri, last fri; 12 mar, mar 12, 12
    march 2025; and 14/3, 14/3/25, 14.3.2025 in the user's `order`. English names, three letters or more. Two-figure
    years run from 1990 to 2089. What names no year or week means the latest such day up to and including
    today: on a Friday, fri is today, and last fri a week ago. With `ahead` (deadlines) it means the first such day from
    today on. Raises BadInput for a day that does not exist, digits that do not fit the order, or a day outside 1990 to
    2199.
    """
    typed = " ".join(text.split()).lower()
    day = _read(typed, today, order, ahead, text, field) if len(typed) <= _LONGEST_TEXT else None
    if day is None:
        raise BadInput(
            say(
                "{text} is not a date that can be read; write {day}, 12 mar, fri or -3.",
                text=quoted(text),
                day=today.isoformat(),
            )
            if typed
            else say("There is no date; write one, or today."),
            field=field,
            facts={"text": text},
        )
    if not FIRST_DAY <= day <= LAST_DAY:
        raise _outside(text, field)
    return day


@lru_cache(2_000)
def long_day(day: date) -> str:
    """Return a date in English words: 12 March 2025."""
    return a_day(day, f"{day.day} {_MONTHS[day.month - 1].capitalize()} {day.year}")


def between(first: date, last: date | None) -> str:
    """'from 1 March 2025 to 12 March 2025', or 'from 1 March 2025 on'."""
    if last is None:
        return say("from {first} on", first=long_day(first))
    return say("from {first} to {last}", first=long_day(first), last=long_day(last))


def month_ends(first: date, last: date) -> list[date]:
    """The ends of the months from one day to another, and the last day itself."""
    days = [last]
    day = last.replace(day=1) - timedelta(days=1)
    while day >= first:
        days.append(day)
        day = day.replace(day=1) - timedelta(days=1)
    return days


def short_day(day: date) -> str:
    """Return a date as ISO 8601 has it: 2025-03-12."""
    return day.isoformat()


def _read(typed: str, today: date, order: Order, ahead: bool, text: str, field: str) -> date | None:
    """Return the day, None when the text has no known shape; refuse a known shape that names no day."""
    if typed in _WORDS:
        return _moved(today, _WORDS[typed], text, field)
    if counted := _COUNTED.fullmatch(typed):
        days = int(counted[2])
        return _moved(today, days if counted[1] == "+" else -days, text, field)
    if ago := _AGO.fullmatch(typed):
        many = 1 if ago[1] == "a" else int(ago[1])
        return _moved(today, -many * (7 if ago[2] == "week" else 1), text, field)
    if typed.startswith("last ") and (weekday := _named(typed.removeprefix("last "), _WEEKDAYS)) is not None:
        return _moved(today, -((today.weekday() - weekday) % 7 or 7), text, field)
    if (weekday := _named(typed, _WEEKDAYS)) is not None:
        back = (today.weekday() - weekday) % 7
        return _moved(today, (7 - back) % 7 if ahead else -back, text, field)
    if found := _YEAR_FIRST.fullmatch(typed):
        return _day(int(found[1]), int(found[3]), int(found[4]), text, field)
    if found := _THREE.fullmatch(typed):
        return _ordered(found[1], found[3], found[4], order, text, field)
    if found := _TWO.fullmatch(typed):
        first, second = int(found[1]), int(found[3])
        month, number = (second, first) if order == "dmy" else (first, second)
        return _nearest(month, number, today, ahead, text, field)
    if found := _DAY_NAMED_MONTH.fullmatch(typed):
        return _with_named_month(found[2], found[1], found[3], today, ahead, text, field)
    if found := _NAMED_MONTH_DAY.fullmatch(typed):
        return _with_named_month(found[1], found[2], found[3], today, ahead, text, field)
    return None


def _ordered(first: str, second: str, third: str, order: Order, text: str, field: str) -> date | None:
    if order == "ymd":
        return None if len(third) > 2 else _day(_year(first), int(second), int(third), text, field)
    month, number = (second, first) if order == "dmy" else (first, second)
    return _day(_year(third), int(month), int(number), text, field)


def _with_named_month(
    name: str, number: str, year: str | None, today: date, ahead: bool, text: str, field: str
) -> date | None:
    place = _named(name, _MONTHS)
    if place is None:
        return None
    if year is None:
        return _nearest(place + 1, int(number), today, ahead, text, field)
    return _day(_year(year), place + 1, int(number), text, field)


def _nearest(month: int, number: int, today: date, ahead: bool, text: str, field: str) -> date:
    """Return the latest such day up to today, or with `ahead` the first from today on."""
    step = 1 if ahead else -1
    # Nine years reach a 29 February even across a century that has none.
    for year in range(today.year, today.year + 9 * step, step):
        if _exists(year, month, number):
            day = date(year, month, number)
            if (day >= today) if ahead else (day <= today):
                return day
    raise _no_such_day(today.year, month, number, text, field)


def _day(year: int, month: int, number: int, text: str, field: str) -> date:
    if not FIRST_DAY.year <= year <= LAST_DAY.year:
        raise _outside(text, field)
    if not _exists(year, month, number):
        raise _no_such_day(year, month, number, text, field)
    return date(year, month, number)


def _exists(year: int, month: int, number: int) -> bool:
    return 1 <= month <= 12 and 1 <= number <= calendar.monthrange(year, month)[1]


def _moved(today: date, days: int, text: str, field: str) -> date:
    try:
        return today + timedelta(days=days)
    except OverflowError:
        raise _outside(text, field) from None


def _year(figures: str) -> int:
    year = int(figures)
    if len(figures) > 2:
        return year
    return 1900 + year if year >= 90 else 2000 + year


def _named(typed: str, names: tuple[str, ...]) -> int | None:
    """Return the place of the one name that begins with what was typed, of at least three letters."""
    if len(typed) < 3:
        return None
    return next((place for place, name in enumerate(names) if name.startswith(typed)), None)


def _no_such_day(year: int, month: int, number: int, text: str, field: str) -> BadInput:
    if 1 <= month <= 12:
        days = calendar.monthrange(year, month)[1]
        name = _MONTHS[month - 1].capitalize()
        reason = say(
            "{month} has {days} days and no day {number}",
            month=a_day(date(year, month, 1), f"{name} {year}", "yMMMM"),
            days=days,
            number=number,
        )
    else:
        reason = say("there is no month {month}", month=month)
    return BadInput(
        say("{text} is not a day: {reason}; check the order of day and month.", text=quoted(text), reason=reason),
        field=field,
        facts={"text": text, "year": year, "month": month, "day": number},
    )


def _outside(text: str, field: str) -> BadInput:
    return BadInput(
        say(
            "{text} lies outside {first_year} to {last_year}; check the year.",
            text=quoted(text),
            first_year=FIRST_DAY.year,
            last_year=LAST_DAY.year,
        ),
        field=field,
        facts={"text": text},
    )
