"""The days a bill is for, as a person writes them: nov, nov 2025, last month, 1 nov to 30 nov.

A bill is for days that are over, or begun: what names no year begins on the latest such day up to today.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection

from ledger.days import DayRange, Order, long_day, parse_day
from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.typed_words import span_in_english

MONTH = (
    "jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
    "|nov(?:ember)?|dec(?:ember)?"
)
_ONE_DAY = (
    rf"(?:\d{{4}}-\d{{1,2}}-\d{{1,2}}|\d{{1,2}}/\d{{1,2}}(?:/\d{{4}}|/\d{{2}})?|\d{{1,2}}\.\d{{1,2}}\.(?:\d{{4}}|\d{{2}})?"
    rf"|\d{{1,2}}\.?\ (?:{MONTH})(?:\ \d{{4}})?|today|yesterday)"
)
_WHOLE = rf"(?:(?:{MONTH})(?:\ \d{{4}})?|\d{{4}}-\d{{2}}|(?:last|this)\ (?:month|year))"
_PAIR = rf"(?:{MONTH})\ ?[-–/&+,]\ ?(?:{MONTH})(?:\ \d{{4}})?"
"""Two months as they stand on a bill: oct-nov, Oct/Nov 2025, oct, nov."""
_BETWEEN = re.compile(rf"\b({MONTH})\ ?[-–/&+,]\ ?(?={MONTH})", re.IGNORECASE)
_TO = r"\ (?:to|until|till|-|–)\ "
_AND = rf"(?:{_TO}|\ and\ )"
_TWO = re.compile(_AND, re.IGNORECASE)
_MONTH = re.compile(rf"(?P<name>{MONTH})(?:\ (?P<year>\d{{4}}))?|(?P<iso>\d{{4}})-(?P<number>\d{{2}})", re.IGNORECASE)
_IN_LINE = re.compile(
    rf"(?<=\s)(?:(?:(?:for|from)\ )?{_ONE_DAY}{_TO}{_ONE_DAY}|(?:for|from)\ {_PAIR}"
    rf"|(?:for|from)\ {_WHOLE}(?:{_AND}{_WHOLE})?)(?=\s|,|$)",
    re.IGNORECASE,
)
_OPENING = re.compile(r"^(?:for|from)\s", re.IGNORECASE)


def read_span(typed: str, today: dt.date, order: Order = "dmy") -> DayRange | None:
    """The days written, in English or in the language of the screen; None for nothing. Raises BadInput."""
    try:
        return _read_span(typed, today, order)
    except BadInput:
        english = span_in_english(_OPENING.sub("", typed.strip()))
        if english is None or english == typed:
            raise
        try:
            return _read_span(english, today, order)
        except BadInput:
            raise _unread(typed) from None


def _read_span(typed: str, today: dt.date, order: Order) -> DayRange | None:
    said = _BETWEEN.sub(r"\1 to ", _OPENING.sub("", " ".join(typed.split())))
    if not said:
        return None
    begins, *more = _TWO.split(said)
    if len(more) > 1:
        raise _unread(typed)
    if (first := _whole(begins, today)) is not None:
        if not more:
            return first
        last = _whole(more[0], today)
        if last is None:
            raise _unread(typed)
        if last.last < first.first and not re.search(r"\d{4}", begins):
            # 'dec to jan': December of the year before that January.
            first = _whole(begins, last.last) or first
        return DayRange(first.first, last.last)
    if not more or " and " in said.casefold():
        raise _unread(typed)
    ends = more[0]
    if re.search(r"\d{4}", ends) and not re.search(r"\d{4}", begins):
        until = parse_day(ends, today, order, field="period")
        return DayRange(parse_day(begins, until, order, field="period"), until)
    start = parse_day(begins, today, order, field="period")
    plain = ends.casefold() in ("today", "yesterday")
    return DayRange(start, parse_day(ends, today if plain else start, order, ahead=not plain, field="period"))


def span_words(span: DayRange | None) -> str:
    """Such days in words, for beside a field."""
    return "" if span is None else say("{first} to {last}", first=long_day(span.first), last=long_day(span.last))


def cut_span(text: str, names: Collection[str]) -> tuple[str, str]:
    """A line of spending without the days it is for, and these as written; `for MAY` is a lot if `names` has it."""
    found = _IN_LINE.search(text)
    if found is None:
        return text, ""
    word = _OPENING.sub("", found.group()).split()[0].casefold()
    if word in {name.casefold() for name in names}:
        return text, ""
    return f"{text[: found.start()].rstrip()}{text[found.end() :]}", found.group()


def _whole(typed: str, today: dt.date) -> DayRange | None:
    """The month or year a text names; None if it names none."""
    name = typed.casefold()
    if name in ("this year", "last year"):
        year = today.year - (name == "last year")
        return DayRange(dt.date(year, 1, 1), dt.date(year, 12, 31))
    if name == "this month":
        return _month_of(today)
    if name == "last month":
        return _month_of(today.replace(day=1) - dt.timedelta(days=1))
    found = _MONTH.fullmatch(typed)
    if found is None:
        return None
    if found["iso"]:
        return _month_of(parse_day(f"{typed}-01", today, field="period"))
    return _month_of(parse_day(f"1 {found['name']} {found['year'] or ''}", today, field="period"))


def _month_of(day: dt.date) -> DayRange:
    first = day.replace(day=1)
    return DayRange(first, (first + dt.timedelta(days=31)).replace(day=1) - dt.timedelta(days=1))


def _unread(typed: str) -> BadInput:
    return BadInput(
        say("{typed} is no period; write nov, nov 2025, last month, or 1 nov to 30 nov.", typed=quoted(typed)),
        field="period",
    )
