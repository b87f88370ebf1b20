"""How the screen looks: two themes of our own, and the signs that say a state in a word before any colour does."""

from __future__ import annotations

import codecs
import datetime as dt
import sys
from fractions import Fraction

from textual.theme import Theme

from ledger.money import Currency, amount_text, round_half_even
from tui.charts import ASCII, LINES, Signs

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

STATES = {
    "done": ("✓", "done", "$success"),
    "caution": ("!", "caution", "$warning"),
    "refused": ("!", "not recorded", "$warning"),
}
"""What became of an act: its sign, its word and its colour; the sentence beside it says it in full."""


def signs_for(encoding: str | None = None) -> Signs:
    """Line-drawing signs where the terminal's encoding has them, plain ones where it does not."""
    name = encoding or getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        (LINES.heavy + LINES.heights + LINES.dot).encode(codecs.lookup(name).name)
    except (LookupError, UnicodeEncodeError):
        return ASCII
    return LINES


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def short(day: dt.date) -> str:
    """A day for a list: 12 Mar 2025."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def percent(share: float) -> str:
    """A share for a list: 65 %."""
    return f"{share * 100:.0f} %"


def each(amount: Fraction | None, currency: Currency) -> str:
    """An exact amount in minor units, rounded for a list; nothing for none."""
    return "" if amount is None else amount_text(round_half_even(amount.numerator, amount.denominator), currency)
