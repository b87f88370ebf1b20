"""What a keeper types in the language of the screen, in the words the ledger reads: days, lengths of time, known words.

English is read first and always; another language only where English says nothing. Its names of days, months and
lengths are those of CLDR (Babel), as are those the screen writes, so that what it writes can be typed back.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

from ledger.days import Order, parse_day
from ledger.errors import BadInput
from ledger.wording import say
from tui.tongue import Tongue, speaking, tell, word

_BESIDE: Final = {"today": say("today"), "yesterday": say("yesterday"), "tomorrow": say("tomorrow")}
_LAST: Final = say("last{jot}", jot="")
"""Before a weekday; several words of another language have a bar between them."""
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_DAY_MONTH = re.compile(r"(\d{1,2})\.?\s?([^\W\d_]{3,12})\.?(?:,?\s(\d{4}|\d{2}))?")
_WEEKDAY_DAY = re.compile(r"([^\W\d_]{2,12})\.?,?\s(\S.*)")
_LEAST = 3
"""Letters from which on the beginning of a name is enough, as in English."""


@lru_cache(8)
def _names(code: str) -> tuple[Mapping[str, str], Mapping[str, str], Mapping[str, str]]:
    """Weekdays, months and lengths of time in a language, in small letters, with what English calls them."""
    from babel import Locale
    from babel.units import format_unit

    locale = Locale.parse(code)

    def named(
        there: Mapping[str, Mapping[str, Mapping[int, str]]], english: Sequence[str], first: int
    ) -> dict[str, str]:
        return {
            name.casefold().rstrip("."): english[at - first]
            for context in ("format", "stand-alone")
            for width in ("wide", "abbreviated")
            for at, name in there[context][width].items()
        }

    lengths = {
        format_unit(many, f"duration-{unit}", locale=locale).partition(" ")[2].casefold(): unit
        for unit in ("day", "week", "month", "year")
        for many in (1, 2)
    }
    return named(locale.days, _WEEKDAYS, 0), named(locale.months, _MONTHS, 1), lengths


def _one(typed: str, names: Mapping[str, str], *, whole: bool = False) -> str | None:
    """The English of the name that was typed, or of which enough letters were; `whole`: of names that long alone."""
    if typed in names and (not whole or len(typed) > _LEAST):
        return names[typed]
    if whole:
        return None
    begun = {english for name, english in names.items() if len(typed) >= _LEAST and name.startswith(typed)}
    return begun.pop() if len(begun) == 1 else None


def day_in_english(text: str, *, whole: bool = False) -> str | None:
    """A day typed in the language of the screen ('gestern', 'Freitag', '15. Dez.') in English; None for anything else.

    Args:
        text: what was typed.
        whole: a weekday only by its whole name, where it may be something else.
    """
    speaker = speaking()
    if not isinstance(speaker, Tongue):
        return None
    typed = " ".join(text.split()).casefold().rstrip(".")
    for english, said in _BESIDE.items():
        if typed == tell(said).casefold():
            return english
    weekdays, months, _ = _names(speaker.code)
    if (weekday := _one(typed, weekdays, whole=whole)) is not None:
        return weekday
    for last in (one.strip().casefold() for one in tell(_LAST).split("|")):
        if typed.startswith(f"{last} ") and (weekday := _one(typed.removeprefix(f"{last} "), weekdays)) is not None:
            return f"last {weekday}"
    if found := _WEEKDAY_DAY.fullmatch(typed):
        # The day beside a field has its weekday before it.
        rest = found[2]
        return (day_in_english(rest) or rest) if _one(found[1], weekdays) is not None else None
    if (found := _DAY_MONTH.fullmatch(typed)) and (month := _one(found[2], months)) is not None:
        return " ".join(part for part in (found[1], month, found[3]) if part)
    return None


def typed_day(text: str, today: dt.date, order: Order = "dmy", *, ahead: bool = False, field: str = "date") -> dt.date:
    """A day as a keeper types it, in English or in the language of the screen. Raises BadInput."""
    if order == "mdy" and isinstance(speaking(), Tongue) and "." in text:
        # What the screen writes with dots has its day first, whatever the order of the keeper's other dates.
        order = "dmy"
    try:
        return parse_day(text, today, order, ahead=ahead, field=field)
    except BadInput:
        english = day_in_english(text)
        if english is None:
            raise
    return parse_day(english, today, order, ahead=ahead, field=field)


def month_in_english(text: str) -> str | None:
    """A month by its name in the language of the screen ('Nov', 'November'), as English calls it; None for another
    word."""
    speaker = speaking()
    return _one(text.casefold().rstrip("."), _names(speaker.code)[1]) if isinstance(speaker, Tongue) else None


_PERIODS: Final = {
    "last month": say("last month"),
    "this month": say("this month"),
    "last year": say("last year"),
    "this year": say("this year"),
}


def span_in_english(text: str) -> str | None:
    """Days typed in the language of the screen ('Nov 2025', '1. Nov bis 30. Nov', 'letzter Monat') in English; None
    where it says nothing in it."""
    if not isinstance(speaking(), Tongue):
        return None
    typed = " ".join(text.split())
    for english, told in _PERIODS.items():
        if means(typed, told):
            return english
    between = tell(say("{first} to {last}", first="", last="")).strip()
    parts = re.split(rf"\s(?:{re.escape(between)}|-|–)\s", typed)
    said = []
    for part in parts:
        name, _, year = part.partition(" ")
        month = month_in_english(name)
        said.append(
            f"{month} {year}".strip() if month and (not year or year.isdigit()) else day_in_english(part) or part
        )
    return " to ".join(said)


def length_in_english(unit: str) -> str:
    """A unit of time in English, one of it ('Monate': 'month'); as it was typed where it is not known."""
    speaker, typed = speaking(), unit.strip().casefold()
    if isinstance(speaker, Tongue):
        lengths = _names(speaker.code)[2]
        for name, english in lengths.items():
            # An ending more for its case: 'nach 2 Monaten'.
            if typed == name or (len(name) > _LEAST and typed == f"{name}n"):
                return english
    return typed.removesuffix("s")


def means(typed: str, told: str) -> bool:
    """Whether something typed is one of the words of a message that has several, with a bar between them."""
    return typed.strip().casefold() in [one.strip().casefold() for one in tell(told).split("|")]


def known_word(typed: str, known: Sequence[str]) -> str:
    """What was typed as one of the known words, where it is one in the language of the screen; else as it is."""
    if speaking() is None:
        return typed
    bare = typed.strip().casefold()
    if not bare or any(bare == one.casefold() for one in known):
        return typed
    alike = [one for one in known if word(one).casefold() == bare]
    return alike[0] if len(set(alike)) == 1 else typed
