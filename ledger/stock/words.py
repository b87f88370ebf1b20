"""The words of the stock: stages in the plural, counts by sex, and the pieces of sentences about movements.

Only wording; it decides nothing. Counts by sex are written males.females.unsexed, the trade's own notation.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from ledger.days import long_day
from ledger.text import count_words
from ledger.wording import listed, otherwise, say, strung, word

SEXES = ("male", "female", "hermaphrodite", "unsexed")
SURE = ("probable", "confirmed")

_PLURALS = {
    "larva": "larvae",
    "pupa": "pupae",
    "prepupa": "prepupae",
    "ootheca": "oothecae",
    "manca": "mancas",
    "clutch": "clutches",
    "fry": "fry",
    "eggs with legs": "eggs with legs",
}
_PLAIN = frozenset(
    ("egg", "nymph", "cocoon", "adult", "juvenile", "subadult", "hatchling", "sling", "sac", "specimen", "neonate")
)
"""English stage words with a regular plural; a keeper's own word, perhaps of another language, is left alone."""


def stage_words(name: str, count: int) -> str:
    """The name of a stage as it stands after a count: 1 larva, 3 larvae, 3 L3, 2 soft adults."""
    return word(name if count == 1 else _many(name))


def _many(name: str) -> str:
    head, _, last = name.rpartition(" ")
    many = _PLURALS.get(name) or _PLURALS.get(last) or (f"{last}s" if last in _PLAIN else last)
    return many if name in _PLURALS or not head else f"{head} {many}"


def sex_words(sex: str, sure: str) -> str:
    """'male', 'probable male'; nothing for the unsexed."""
    if sex == "unsexed":
        return ""
    return say("probable {sex}", sex=word(sex)) if sure == "probable" else word(sex)


def animals(count: int, stage: str, sex: str = "unsexed", sure: str = "") -> str:
    """'3 L3', '2 probable male adults'."""
    of, kind = sex_words(sex, sure), stage_words(stage, count)
    if of and kind:
        return say("{count} {sex} {stage}", count=str(count), sex=of, stage=kind)
    return strung((part for part in (str(count), of, kind) if part), " ")


def counted_stage(count: int, stage: str, sex: str = "unsexed", sure: str = "") -> str:
    """'3 adult', '2 adult female', as a list of stages has it: English names the stage as it is called, another
    language in the plural."""
    of = sex_words(sex, sure)
    return otherwise(" ".join(part for part in (str(count), stage, of) if part), animals(count, stage, sex, sure))


def by_sex(counts: Mapping[str, int]) -> str:
    """Counts by sex as males.females.unsexed: '1.2.3', '0.0.5 and 4 hermaphrodites'."""
    text = ".".join(str(counts.get(sex, 0)) for sex in ("male", "female", "unsexed"))
    both = counts.get("hermaphrodite", 0)
    if not both:
        return text
    named = count_words(both, "hermaphrodite", "hermaphrodites")
    return named if text == "0.0.0" else say("{numbers} and {both}", numbers=text, both=named)


def place(lot: str, tub: str) -> str:
    """'P08', or 'P08/07' for tub 07."""
    return f"{lot}/{tub}" if tub else lot


def when(on: dt.date, happened_from: dt.date | None = None) -> str:
    """'12 March 2025', or 'between 10 March 2025 and 12 March 2025'."""
    if happened_from is None or happened_from == on:
        return long_day(on)
    return say("between {first} and {last}", first=long_day(happened_from), last=long_day(on))


def tub_order(tub: str) -> tuple[tuple[bool, int, str], ...]:
    """Sorts tubs as people number them: none, 2, 10, F05."""
    pieces: list[tuple[bool, int, str]] = []
    number = ""
    for letter in f"{tub}\0":
        if letter.isascii() and letter.isdigit():
            number += letter
            continue
        if number:
            pieces.append((False, int(number), number))
            number = ""
        if letter != "\0":
            pieces.append((True, 0, letter))
    return tuple(pieces)


def tubs_text(tubs: Iterable[str]) -> str:
    """'tub 7', 'tubs 1 to 10', 'tubs 1, 3 and F05'; no tub is 'no tub'."""
    names = sorted(set(tubs), key=tub_order)
    if len(names) == 1:
        return say("tub {label}", label=names[0]) if names[0] else say("no tub")
    numbers = [int(name) if name.isascii() and name.isdigit() else -1 for name in names]
    if len(names) > 2 and numbers[0] >= 0 and numbers == list(range(numbers[0], numbers[0] + len(names))):
        return say("tubs {first} to {last}", first=names[0], last=names[-1])
    return say("tubs {labels}", labels=listed([name or say("none") for name in names]))
