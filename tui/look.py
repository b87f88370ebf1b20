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

LAMPLIGHT = Theme(
    name="lamplight",
    primary="#d8a657",
    secondary="#8fb3c9",
    accent="#e0b872",
    warning="#e78a4e",
    error="#e78a4e",
    success="#8fb3c9",
    foreground="#e6dfd2",
    background="#191714",
    surface="#191714",
    panel="#26231e",
    dark=True,
    variables={
        "quiet": "#a39a8b",
        "block-cursor-background": "#d8a657",
        "block-cursor-foreground": "#191714",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#3a352c",
        "block-cursor-blurred-foreground": "#e6dfd2",
        "input-cursor-background": "#e6dfd2",
        "input-cursor-foreground": "#191714",
    },
)
"""Dark: the colours of a lamp in a warm room. Orange and blue, which most people can tell apart."""

DAYLIGHT = Theme(
    name="daylight",
    primary="#7a4b06",
    secondary="#14557b",
    accent="#7a4b06",
    warning="#9a3b00",
    error="#9a3b00",
    success="#14557b",
    foreground="#23201a",
    background="#f7f3ea",
    surface="#f7f3ea",
    panel="#e9e2d3",
    dark=False,
    variables={
        "quiet": "#6b6355",
        "block-cursor-background": "#7a4b06",
        "block-cursor-foreground": "#f7f3ea",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#ddd3be",
        "block-cursor-blurred-foreground": "#23201a",
        "input-cursor-background": "#23201a",
        "input-cursor-foreground": "#f7f3ea",
    },
)
"""Light, for a bright room."""
DAYLIGHT_256 = Theme(
    name="daylight-256",
    primary="#875f00",
    secondary="#005f87",
    accent="#875f00",
    warning="#af0000",
    error="#af0000",
    success="#005f87",
    foreground="#1c1c1c",
    background="#ffffff",
    surface="#ffffff",
    panel="#e4e4e4",
    dark=False,
    variables={
        "quiet": "#585858",
        "block-cursor-background": "#875f00",
        "block-cursor-foreground": "#ffffff",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#d0d0d0",
        "block-cursor-blurred-foreground": "#1c1c1c",
        "input-cursor-background": "#1c1c1c",
        "input-cursor-foreground": "#ffffff",
    },
)
"""The same where there are 256 colours, as over many an SSH: these are among them, and those nearest to the warm paper
above are yellow and pink."""


def _of_sixteen(name: str, paper: str, ink: str, quiet: str, lamp: str, blue: str, warning: str, dark: bool) -> Theme:
    """A theme in colours that a terminal with sixteen has; others it would draw all alike."""
    cursor = {"background": lamp, "foreground": paper}
    return Theme(
        name=name,
        primary=lamp,
        secondary=blue,
        accent=lamp,
        warning=warning,
        error=warning,
        success=blue,
        foreground=ink,
        background=paper,
        surface=paper,
        panel=paper,
        dark=dark,
        variables={
            "quiet": quiet,
            **{f"block-cursor-{what}": colour for what, colour in cursor.items()},
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": quiet,
            "block-cursor-blurred-foreground": paper,
            "input-cursor-background": ink,
            "input-cursor-foreground": paper,
        },
    )


LAMPLIGHT_16 = _of_sixteen("lamplight-16", "#000000", "#ffffff", "#aaaaaa", "#ffff55", "#55ffff", "#ff5555", dark=True)
DAYLIGHT_16 = _of_sixteen("daylight-16", "#ffffff", "#000000", "#555555", "#0000aa", "#00aaaa", "#aa0000", dark=False)
"""Dark and light where there are sixteen colours."""

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
