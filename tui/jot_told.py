"""A jot line in the language of the screen, put into the English words that are read.

English is read first and always; what it cannot read is looked up here, word for word, in the catalogue of the screen.
What it becomes is read as any other line, and shown in full before anything is recorded. Names stay as they are typed,
and so does all that stands after `note`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Final, TypeVar

from ledger.errors import Refused
from ledger.stock.words import stage_words
from ledger.wording import say
from tui.jot_words import Setting, Vocabulary, as_line
from tui.tongue import Tongue, speaking, tell, word
from tui.typed_words import month_in_english

R = TypeVar("R")
SALE, HOLD, SPENDING, ANIMALS = "sell", "hold", "spending", "animals"
OTHER: Final = "|"
"""Between several words of another language that mean the same."""

ANYWHERE: Final[Mapping[str, str]] = {
    "sell": say("sell{jot}", jot=""),
    "hold": say("hold{jot}", jot=""),
    "undo": say("undo{jot}", jot=""),
    "all": say("all{jot}", jot=""),
    "and": say("and{jot}", jot=""),
    "note": say("note{jot}", jot=""),
    "male": say("male{jot}", jot=""),
    "female": say("female{jot}", jot=""),
    "hermaphrodite": say("hermaphrodite{jot}", jot=""),
    "unsexed": say("unsexed{jot}", jot=""),
    "probable": say("probable{jot}", jot=""),
    "confirmed": say("confirmed{jot}", jot=""),
    "in tub": say("in tub{jot}", jot=""),
    "in no tub": say("in no tub{jot}", jot=""),
    "from tub": say("from tub{jot}", jot=""),
}
IN_CONTEXT: Final[Mapping[str, Mapping[str, str]]] = {
    ANIMALS: {
        "died": say("died{jot}", jot=""),
        "missing": say("missing{jot}", jot=""),
        "culled": say("culled{jot}", jot=""),
        "escaped": say("escaped{jot}", jot=""),
        "given away": say("given away{jot}", jot=""),
        "given away to": say("given away to{jot}", jot=""),
        "own use": say("own use{jot}", jot=""),
        "used as feed": say("used as feed{jot}", jot=""),
        "went back": say("went back{jot}", jot=""),
        "found": say("found{jot}", jot=""),
        "miscounted before": say("miscounted before{jot}", jot=""),
        "dried": say("dried{jot}", jot=""),
        "moved on": say("moved on{jot}", jot=""),
        "pupated": say("pupated{jot}", jot=""),
        "emerged": say("emerged{jot}", jot=""),
        "hatched": say("hatched{jot}", jot=""),
        "sexed": say("sexed{jot}", jot=""),
        "laid": say("laid{jot}", jot=""),
        "born": say("born{jot}", jot=""),
        "sieved out": say("sieved out{jot}", jot=""),
        "fed": say("fed{jot}", jot=""),
        "looked": say("looked{jot}", jot=""),
        "seen hard": say("seen hard{jot}", jot=""),
        "cleaned": say("cleaned{jot}", jot=""),
        "substrate changed": say("substrate changed{jot}", jot=""),
        "watered": say("watered{jot}", jot=""),
        "water changed": say("water changed{jot}", jot=""),
        "sprayed": say("sprayed{jot}", jot=""),
        "counted": say("counted{jot}", jot=""),
        "estimated": say("estimated{jot}", jot=""),
        "exceptional": say("exceptional{jot}", jot=""),
        "ordinary": say("ordinary{jot}", jot=""),
        "unknown": say("unknown{jot}", jot=""),
        "old age": say("old age{jot}", jot=""),
        "mould": say("mould{jot}", jot=""),
        "power cut": say("power cut{jot}", jot=""),
        "into tub": say("into tub{jot}", jot=""),
        "into tubs": say("into tubs{jot}", jot=""),
        "to": say("to{jot}", jot=""),
        "moved to": say("moved to{jot}", jot=""),
        "in pack": say("in pack{jot}", jot=""),
        "about": say("about{jot}", jot=""),
        "as": say("as{jot}", jot=""),
        "eggs": say("eggs{jot}", jot=""),
    },
    HOLD: {
        "for": say("for{jot}", jot=""),
        "until": say("until{jot}", jot=""),
        "deposit": say("deposit{jot}", jot=""),
        "cash": say("cash{jot}", jot=""),
        "card": say("card{jot}", jot=""),
        "transfer": say("transfer{jot}", jot=""),
    },
    SALE: {
        "at": say("at{jot}", jot=""),
        "each": say("each{jot}", jot=""),
        "to": say("to a buyer{jot}", jot=""),
        "paid": say("paid{jot}", jot=""),
        "unpaid": say("unpaid{jot}", jot=""),
        "postage": say("postage{jot}", jot=""),
        "by post": say("by post{jot}", jot=""),
        "by fair": say("by fair{jot}", jot=""),
        "by collection": say("by collection{jot}", jot=""),
        "by trade": say("by trade{jot}", jot=""),
        "free sample": say("free sample{jot}", jot=""),
        "free replacement": say("free replacement{jot}", jot=""),
        "cash": say("cash{jot}", jot=""),
        "card": say("card{jot}", jot=""),
        "transfer": say("transfer{jot}", jot=""),
    },
    SPENDING: {
        "for": say("for{jot}", jot=""),
        "to": say("to a day{jot}", jot=""),
        "tax": say("tax{jot}", jot=""),
        "lasts": say("lasts{jot}", jot=""),
        "unpaid": say("unpaid{jot}", jot=""),
        "unopened": say("unopened{jot}", jot=""),
        "opened": say("opened{jot}", jot=""),
        "from the box": say("from the box{jot}", jot=""),
        "cash": say("cash{jot}", jot=""),
        "card": say("card{jot}", jot=""),
        "transfer": say("transfer{jot}", jot=""),
    },
}
"""Words of the grammar, by what the line is about. A translation may hold several, with a bar between them."""
OPENS_A_NAME: Final = {SALE: ("to",), HOLD: ("for",), ANIMALS: ("given away to",)}
_HOW_PAID = frozenset({"cash", "card", "transfer", "each"})
NO_NAME: Final = {
    context: frozenset({"and", "note", *words}) - _HOW_PAID - {*OPENS_A_NAME.get(context, ())}
    for context, words in IN_CONTEXT.items()
}
"""What ends the name of a person or shop; other words belong to it."""


@lru_cache(8)
def _grammar(speaker: Tongue, context: str) -> Mapping[str, str]:
    """What the words of the screen's language are in English; a tongue is known by itself, not by its language."""
    return {
        one.strip().casefold(): english
        for english, told in {**ANYWHERE, **IN_CONTEXT[context]}.items()
        for one in tell(told).split(OTHER)
    }


def _names_of_stages(vocabulary: Vocabulary) -> dict[str, str]:
    names = dict.fromkeys(name for stages in vocabulary.stages.values() for name, _ in stages)
    return {told.casefold(): name for name in names for told in (word(name), tell(stage_words(name, 2)))}


def read_told(read: Callable[[str], R], typed: str, setting: Setting, context: str = "") -> R:
    """What `read` makes of a text, in English or else in the language of the screen. Raises what `read` does."""
    try:
        return read(typed)
    except Refused:
        english = in_english(typed, setting, context)
        if english is None:
            raise
    return read(english)


def in_english(line: str, setting: Setting, context: str = "") -> str | None:
    """The line in English words; None where the screen speaks English, or nothing in it is of its language.

    Args:
        line: as it was typed.
        setting: whose names stay as they are.
        context: what it is about, of a part of a line; else its first word says so.
    """
    speaker = speaking()
    if not isinstance(speaker, Tongue):
        return None
    vocabulary = setting.vocabulary
    kinds = {word(name).casefold(): name for name in vocabulary.categories}
    parts = re.sub(r",(?=\s|$)", " ,", line).split()
    context = context or _context(parts, kinds, speaker)
    known = dict(_grammar(speaker, context))
    if context == ANIMALS or context in (HOLD, SALE):
        known = {**_names_of_stages(vocabulary), **known}
    kept = {name.casefold() for name in (*vocabulary.customers, *vocabulary.suppliers, *vocabulary.places)}
    said: list[str] = []
    at, named = 0, False
    while at < len(parts):
        if context == SPENDING and at == 0 and (kind := _longest(parts, at, kinds)):
            said.append(kinds[kind])
            at += len(kind.split())
            continue
        if (name := _longest(parts, at, kept)) is not None:
            many = len(name.split())
            said += parts[at : at + many]
            at += many
            continue
        found = _longest(parts, at, known)
        english = known[found] if found is not None else None
        if english is None or (named and english not in NO_NAME[context]):
            if context == SPENDING and (month := month_in_english(parts[at])):
                said.append(month)
            else:
                said.append(parts[at])
                named = named or (context == SPENDING and any(letter.isdigit() for letter in parts[at]))
            at += 1
            continue
        at += len(found.split()) if found is not None else 1
        said.append(english)
        named = english in OPENS_A_NAME.get(context, ())
        if english == "note":
            said += parts[at:]
            break
    told = as_line(said)
    return None if told == as_line(parts) else told


def _context(parts: list[str], kinds: Mapping[str, str], speaker: Tongue) -> str:
    """What a line is about, by its first word."""
    first = _grammar(speaker, ANIMALS).get(parts[0].casefold(), parts[0].casefold()) if parts else ""
    if first in (SALE, HOLD):
        return first
    return SPENDING if _longest(parts, 0, {*kinds, *kinds.values()}) else ANIMALS


def _longest(parts: list[str], at: int, phrases: Iterable[str]) -> str | None:
    """The longest of the phrases that comes next."""
    rest = [part.casefold() for part in parts[at : at + 5]]
    fits = [phrase for phrase in phrases if phrase and rest[: len(phrase.split())] == phrase.casefold().split()]
    return max(fits, key=lambda phrase: len(phrase.split())) if fits else None
