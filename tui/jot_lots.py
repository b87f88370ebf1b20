"""Which lots a jot line begins with: one or several by their codes, a range, all of a place, or all there are.

Reads words only. A place, a range or all means the lots in it that hold animals, so that the preview can count them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ledger.errors import BadInput
from ledger.text import quoted
from ledger.wording import say
from tui.jot_words import MARKS, Vocabulary, Words, find_lot

ALL = ("all lots", "all")
_RANGE = re.compile(r"(\D*)(\d+)-(\D*)(\d+)", re.ASCII)
_CODE = re.compile(r"(\D*)(\d+)", re.ASCII)


@dataclass(frozen=True, slots=True)
class Subject:
    """What a line is about."""

    lots: tuple[tuple[str, str], ...]
    """(lot, tub), the tub empty when not said."""
    wide: bool
    """A place, a range or all was named, not only lots."""


def take_subject(words: Words, vocabulary: Vocabulary) -> Subject | None:
    """Step over 'P08', 'P08/07 and P09', 'C01-C03', 'egg shelf' or 'all'; None if no such thing comes next.

    Raises:
        NotFound: a lot has no such tub.
        BadInput: nothing is alive in what was named.
    """
    found: list[tuple[str, str]] = []
    wide = False
    while words:
        start = words.at
        if (lot := find_lot(words, vocabulary)) is not None:
            found.append(lot)
        elif (several := _several(words, vocabulary)) is not None:
            found.extend((code, "") for code in several)
            wide = True
        else:
            # The word 'and' or a comma before what is no lot belongs to what follows.
            words.at = start
            break
        words.take_phrase((",", "and"))
    return Subject(tuple(dict.fromkeys(found)), wide) if found else None


def is_of_a_round(words: Words, vocabulary: Vocabulary) -> bool:
    """Whether the line says of a place, a range or all that it was fed and the like; nothing is stepped over."""
    start = words.at
    try:
        subject = take_subject(words, vocabulary) if _names_several(words, vocabulary) else None
        return subject is not None and words.take_phrase(MARKS) is not None
    finally:
        words.at = start


def _names_several(words: Words, vocabulary: Vocabulary) -> bool:
    start = words.at
    several = find_lot(words, vocabulary) is None and _several(words, vocabulary) is not None
    words.at = start
    return several


def _several(words: Words, vocabulary: Vocabulary) -> tuple[str, ...] | None:
    known = places_as_typed(vocabulary)
    typed = words.take_phrase(known)
    if typed is not None:
        return _alive(vocabulary.places[known[typed]], known[typed])
    if words.take_phrase(ALL) is not None:
        return _alive(tuple(vocabulary.alive), words.words[words.at - 1])
    ends = _RANGE.fullmatch(words.peek())
    if ends is None or ends[3].casefold() not in ("", ends[1].casefold()):
        return None
    first, last = int(ends[2]), int(ends[4])
    inside = tuple(
        code
        for code in vocabulary.alive
        if (one := _CODE.fullmatch(code)) and one[1].casefold() == ends[1].casefold() and first <= int(one[2]) <= last
    )
    return _alive(inside, words.take())


def places_as_typed(vocabulary: Vocabulary) -> dict[str, str]:
    """Places as the words of a line, with commas or without: 'rack , upper' and 'rack upper' are 'rack, upper'."""
    found: dict[str, str] = {}
    for place in vocabulary.places:
        parts = Words(place).words
        found[" ".join(part for part in parts if part != ",")] = place
        found[" ".join(parts)] = place
    return found


def place_of(lot: str, vocabulary: Vocabulary) -> str:
    """Where a lot with animals stands; empty where that is not said."""
    return next((place for place, lots in vocabulary.places.items() if lot in lots), "")


def _alive(lots: tuple[str, ...], name: str) -> tuple[str, ...]:
    if not lots:
        raise BadInput(say("No lot of {name} has animals; look at the codes in Stock.", name=quoted(name)), field="lot")
    return lots
