"""How the screen looks: two themes of our own, and the signs that say a state in a word before any colour does."""

from __future__ import annotations

import codecs
import datetime as dt
import re
import sys
from fractions import Fraction

from textual.theme import Theme

from ledger.days import Order
from ledger.money import Currency, amount_text, round_half_even
from ledger.wording import say
from tui.charts import ASCII, LINES, Signs
from tui.tongue import tell, told_day


def _theme(
    name: str,
    *,
    dark: bool,
    paper: str,
    ink: str,
    quiet: str,
    lamp: str,
    blue: str,
    warning: str,
    panel: str = "",
    accent: str = "",
    unlit: tuple[str, str] | None = None,
) -> Theme:
    """A theme of ours: ink on paper, one colour of a lamp and one blue; no colour alone says anything.

    Args:
        name: its name.
        dark: whether its paper is.
        paper, ink, quiet: behind, in front, and for what is said beside.
        lamp, blue, warning: what is marked, what went well, what to look at.
        panel, accent: where they are not the paper and the lamp.
        unlit: behind and in front in the marked row of a list that has not the keys; else paper on quiet.
    """
    behind, in_front = unlit or (quiet, paper)
    return Theme(
        name=name,
        primary=lamp,
        secondary=blue,
        accent=accent or lamp,
        warning=warning,
        error=warning,
        success=blue,
        foreground=ink,
        background=paper,
        surface=paper,
        panel=panel or paper,
        dark=dark,
        variables={
            "quiet": quiet,
            "block-cursor-background": lamp,
            "block-cursor-foreground": paper,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": behind,
            "block-cursor-blurred-foreground": in_front,
            "input-cursor-background": ink,
            "input-cursor-foreground": paper,
        },
    )


LAMPLIGHT = _theme(
    "lamplight",
    dark=True,
    paper="#191714",
    ink="#e6dfd2",
    quiet="#a39a8b",
    lamp="#d8a657",
    blue="#8fb3c9",
    warning="#e78a4e",
    panel="#26231e",
    accent="#e0b872",
    unlit=("#3a352c", "#e6dfd2"),
)
"""Dark: the colours of a lamp in a warm room. Orange and blue, which most people can tell apart."""
DAYLIGHT = _theme(
    "daylight",
    dark=False,
    paper="#f7f3ea",
    ink="#23201a",
    quiet="#6b6355",
    lamp="#7a4b06",
    blue="#14557b",
    warning="#9a3b00",
    panel="#e9e2d3",
    unlit=("#ddd3be", "#23201a"),
)
"""Light, for a bright room."""
DAYLIGHT_256 = _theme(
    "daylight-256",
    dark=False,
    paper="#ffffff",
    ink="#1c1c1c",
    quiet="#585858",
    lamp="#875f00",
    blue="#005f87",
    warning="#af0000",
    panel="#e4e4e4",
    unlit=("#d0d0d0", "#1c1c1c"),
)
"""The same where there are 256 colours, as over many an SSH: these are among them, and those nearest to the warm paper
above are yellow and pink."""
LAMPLIGHT_16 = _theme(
    "lamplight-16",
    dark=True,
    paper="#000000",
    ink="#ffffff",
    quiet="#aaaaaa",
    lamp="#ffff55",
    blue="#55ffff",
    warning="#ff5555",
)
DAYLIGHT_16 = _theme(
    "daylight-16",
    dark=False,
    paper="#ffffff",
    ink="#000000",
    quiet="#555555",
    lamp="#0000aa",
    blue="#00aaaa",
    warning="#aa0000",
)
"""Dark and light where a terminal has sixteen colours; others it would draw all alike."""

STATES = {
    "done": ("✓", "done", "$success"),
    "caution": ("✓", say("done, with a caution"), "$warning"),
    "notice": ("•", say("to know"), "$warning"),
    "refused": ("!", say("not recorded"), "$warning"),
}
"""What became of an act: its sign, its word and its colour; the sentence beside it says it in full. `!` alone means
that nothing was recorded; what was, with something to look at again, says so after the word Caution."""


def signs_for(encoding: str | None = None) -> Signs:
    """Line-drawing signs where the terminal's encoding has them, plain ones where it does not."""
    name = encoding or getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        (LINES.heavy + LINES.heights + LINES.dot).encode(codecs.lookup(name).name)
    except (LookupError, UnicodeEncodeError):
        return ASCII
    return LINES


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LONG_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
LEAP = 2000
"""A year in which every day of a month exists."""
MONDAY = dt.date(2001, 1, 1)
"""One of them, to name the days of a week after it."""
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_SAID = re.compile(
    rf"""(?<![\w/.-])(?:(?:(?P<weekday>{"|".join(_WEEKDAYS)})[a-z]*\ )?(?P<day>\d{{1,2}})\ """
    rf"""(?P<month>{"|".join(_LONG_MONTHS)})(?(weekday)(?:\ (?P<year>\d{{4}}))?|\ (?P<only>\d{{4}}))"""
    r"""|(?P<iso>\d{4}-\d{2}-\d{2})(?:T(?P<clock>\d{2}:\d{2}))?)(?![\w-])""",
    re.VERBOSE,
)
"""A day as the ledger writes it into a sentence: 'Friday 12 March 2025', '12 March 2025', '2025-03-12T18:00'."""


def short(day: dt.date, order: Order = "dmy") -> str:
    """A day as every screen writes it, in the keeper's order: 12 Mar 2025, Mar 12, 2025 or 2025-03-12."""
    if order == "ymd":
        return day.isoformat()
    if (said := told_day(day, "medium")) is not None:
        return said
    month = _MONTHS[day.month - 1]
    return (
        say("{month} {day}, {year}", month=month, day=day.day, year=day.year)
        if order == "mdy"
        else f"{day.day} {month} {day.year}"
    )


def without_year(day: dt.date, order: Order = "dmy") -> str:
    """A day where there is no room for the year: 12 Mar, Mar 12 or 03-12."""
    if order == "ymd":
        return f"{day.month:02}-{day.day:02}"
    if (said := told_day(day, "MMMd")) is not None:
        return said
    month = _MONTHS[day.month - 1]
    return f"{month} {day.day}" if order == "mdy" else f"{day.day} {month}"


def month(day: dt.date) -> str:
    """Mar 2025."""
    return told_day(day, "yMMM") or f"{_MONTHS[day.month - 1]} {day.year}"


def weekday(day: dt.date) -> str:
    """Wed."""
    return told_day(day, "E") or _WEEKDAYS[day.weekday()]


def _told_weekday(name: str) -> str:
    """A short name of a weekday in the language of the screen."""
    return told_day(MONDAY + dt.timedelta(days=_WEEKDAYS.index(name)), "E") or name


def in_one_style(sentence: str, order: Order = "dmy") -> str:
    """A sentence of the ledger with its days written as lists write them; anything else stays as it is."""

    def said(found: re.Match[str]) -> str:
        try:
            if found["iso"]:
                day = dt.date.fromisoformat(found["iso"])
            else:
                year = found["year"] or found["only"]
                day = dt.date(int(year or LEAP), _LONG_MONTHS.index(found["month"]) + 1, int(found["day"]))
                if year is None:
                    return f"{_told_weekday(found['weekday'])} {without_year(day, order)}"
        except ValueError:
            return found[0]
        before = f"{_told_weekday(found['weekday'])} " if found["weekday"] else ""
        return before + short(day, order) + (f" {found['clock']}" if found["clock"] else "")

    return _SAID.sub(said, tell(sentence))


def percent(share: float) -> str:
    """A share for a list: 65 %."""
    return f"{share * 100:.0f} %"


def each(amount: Fraction | None, currency: Currency) -> str:
    """An exact amount in minor units, rounded for a list; nothing for none."""
    return "" if amount is None else amount_text(round_half_even(amount.numerator, amount.denominator), currency)
