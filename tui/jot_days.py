"""Days in a jot line: the shapes that cannot be mistaken for something else, and a day that does not stand at the end.

Knows words only; which day is meant is `ledger.days` to say.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ledger.errors import Ambiguous, BadInput, Refused
from ledger.text import quoted
from ledger.wording import say
from tui.spans import MONTH

if TYPE_CHECKING:
    from tui.jot_words import Words

_WEEKDAY = "mon(?:day)?|tue(?:s(?:day)?)?|wed(?:nesday)?|thu(?:rs(?:day)?)?|fri(?:day)?|sat(?:urday)?|sun(?:day)?"
DAY = re.compile(
    rf"""(?:^|(?<=\s))(?: today | yesterday | tomorrow | (?:last\ )?(?:{_WEEKDAY})
    | (?:a|\d{{1,3}})\ (?:day|week)s?\ ago | [-\u2212]\d{{1,3}}
    | \d{{4}}-\d{{1,2}}-\d{{1,2}} | \d{{1,2}}/\d{{1,2}}(?:/\d{{2}}|/\d{{4}})? | \d{{1,2}}\.\d{{1,2}}\.(?:\d{{4}})?
    | \d{{1,2}}\ (?:{MONTH})(?:\ \d{{4}})? )$""",
    re.IGNORECASE | re.VERBOSE,
)
"""A day at the end of a line, in the shapes that cannot be mistaken for something else."""
SHORT_YEAR = re.compile(r"(?:^|(?<=\s))\d{1,2}\.\d{1,2}\.\d{2}$")
"""31.12.24: a day after `on` and in a line of spending; elsewhere it may be a count by sex, 1.2.10."""
_LIKE_A_DAY = re.compile(
    rf"""last | ago | today | yesterday | tomorrow | {_WEEKDAY} | {MONTH} | \d{{1,2}}(?:st|nd|rd|th)
    | \d{{1,2}}[./]\d{{1,2}}\.? | \d{{1,4}}[-./]\d{{1,2}}[-./]\d{{1,4}} """,
    re.IGNORECASE | re.VERBOSE,
)
"""A word that was more often meant for a day than for anything else, where it was not understood."""
_PLAIN = ("today", "yesterday", "tomorrow")
_MINUS = "-\N{MINUS SIGN}"
_LONGEST = 3
"""Words of a day: 12 March 2025."""


def day_inside(words: Words, start: int, stop: int) -> tuple[int, int] | None:
    """Where a day stands that ends just before `stop` and begins behind `start` or there; None for no day."""
    for many in range(min(_LONGEST, stop - start), 0, -1):
        said = " ".join(words.words[stop - many : stop])
        if DAY.fullmatch(said) and said[0] not in _MINUS:
            return stop - many, stop
    return None


def next_day(words: Words) -> tuple[int, int] | None:
    """Where the day stands that comes next; None if none does."""
    left = len(words.words) - words.at
    ends = (day_inside(words, words.at, words.at + many) for many in range(min(_LONGEST, left), 0, -1))
    return next((found for found in ends if found is not None and found[0] == words.at), None)


def any_day(words: Words, start: int) -> tuple[int, int] | None:
    """Where the last day stands that begins behind `start` or there; None for none."""
    inside = (day_inside(words, start, stop) for stop in range(len(words.words), start, -1))
    return next((found for found in inside if found is not None), None)


def at_the_end(words: Words, first: int, stop: int) -> tuple[str, ...]:
    """The whole line with the day that stands in it from `first` up to `stop` at its end; none if it has one there."""
    behind = words.after.strip()
    if behind and not behind.casefold().startswith("note "):
        return ()
    if first > 1 and words.words[first - 1].casefold() == "on" and words.words[first - 2].casefold() != "moved":
        first -= 1
    day = words.words[first:stop]
    return (words.line_of([*words.words[:first], *words.words[stop:], *day]),)


def refuse_day_inside(words: Words, first: int, stop: int, *others: str) -> Refused:
    """The refusal of a day that stands in the middle of a line, with the line that has it at the end.

    Args:
        words: the line.
        first: where the day begins.
        stop: where it ends.
        others: lines in which it is no day, offered where it may be a name.
    """
    day = quoted(" ".join(words.words[first:stop]))
    if words.words[0].casefold() == "hold":
        return BadInput(say("A hold begins when it is recorded; leave {day} out.", day=day), field="date")
    if stop - first > 1 or words.words[first].casefold() in _PLAIN or not words.words[first].isalpha():
        others = ()
    return Ambiguous(
        say("{day} stands inside the line; a day stands at its end.", day=day),
        field="date",
        choices=(*at_the_end(words, first, stop), *others),
    )


def left_over(words: Words, otherwise: str = "") -> Refused:
    """The refusal of what is left of a line; where a day was meant, with how one is written and where it stands.

    Args:
        words: the line.
        otherwise: what to say of the rest where no day was meant; empty for the usual.
    """
    day = any_day(words, words.at)
    if day is not None and at_the_end(words, *day):
        return refuse_day_inside(words, *day)
    parts = words.words[words.at :]
    rest = quoted(words.rest())
    if any(_LIKE_A_DAY.fullmatch(part) for part in parts):
        return BadInput(
            say(
                "{rest} was not understood; a day stands at the end of the line and is written 28 nov, fri, last fri, "
                "yesterday or -3.",
                rest=rest,
            ),
            field="date",
        )
    return BadInput(otherwise or say("{rest} was not understood; put remarks after the word note.", rest=rest))
