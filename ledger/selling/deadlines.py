"""Deadlines of holds: a local date and minute, judged when read. Knows no clock and no records."""

from __future__ import annotations

import datetime as dt
import re

from ledger.days import FIRST_DAY, LAST_DAY
from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import a_day, say

LAST_MINUTE = "T23:59"
_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2}))?", re.ASCII)
HOURS = re.compile(r"\+?(\d{1,5})\s*(?:h|hours?)", re.ASCII | re.IGNORECASE)
MOST_HOURS = 8_784
"""A year of them."""
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def read_moment(text: str, field: str = "until", now: str | None = None) -> str:
    """A deadline as it is stored, 2025-06-15T18:00; a day alone ends at 23:59, 48h is so long from now.

    Args:
        text: as typed.
        field: what it is.
        now: local date and minute hours are counted from; `None`: no hours.

    Raises:
        BadInput: it is no such date or minute.
    """
    if now is not None and (hours := HOURS.fullmatch(text.strip())):
        if not 1 <= int(hours[1]) <= MOST_HOURS:
            raise BadInput(
                say("Hold animals for 1 to {most_hours} hours, or until a day.", most_hours=f"{MOST_HOURS:,}"), field
            )
        after = dt.datetime.fromisoformat(now[:16]) + dt.timedelta(hours=int(hours[1]))
        return after.strftime("%Y-%m-%dT%H:%M")
    found = _MOMENT.fullmatch(text.strip())
    try:
        if found is None:
            raise ValueError
        moment = dt.datetime.fromisoformat(f"{found[1]}T{found[2]}" if found[2] else found[1] + LAST_MINUTE)
    except ValueError:
        raise BadInput(
            say(
                "{text} is not a deadline that can be read; write a date and a time like 2025-06-15T18:00.",
                text=quoted(text),
            ),
            field=field,
        ) from None
    if not FIRST_DAY <= moment.date() <= LAST_DAY:
        raise BadInput(
            say(
                "{text} lies outside {first_year} to {last_year}; check the year.",
                text=quoted(text),
                first_year=FIRST_DAY.year,
                last_year=LAST_DAY.year,
            ),
            field=field,
        )
    return moment.strftime("%Y-%m-%dT%H:%M")


def has_passed(until: str, now: str) -> bool:
    """Whether a deadline is over at `now` (both ISO 8601 to the minute); its own minute still counts."""
    return until < now[:16]


def day_of(until: str) -> dt.date:
    """The day a deadline falls on."""
    return dt.date.fromisoformat(until[:10])


def moment_in_words(until: str, today: dt.date) -> str:
    """'Friday 6 June, 18:00', with the year when it is not this one; the end of a day needs no time."""
    day = day_of(until)
    words, how = f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}", "MMMMEd"
    if day.year != today.year:
        words, how = f"{words} {day.year}", "yMMMMEd"
    told = a_day(day, words, how)
    return told if until.endswith(LAST_MINUTE) else say("{day}, {time}", day=told, time=until[11:16])


def end_of(day: dt.date) -> str:
    """The last minute of a day, to judge deadlines as of that day."""
    return day.isoformat() + LAST_MINUTE
