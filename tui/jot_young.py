"""Jot lines about young that begin a lot of their own: `E05 laid 42 eggs as E13`, `E05 12 L1 sieved out as E13`.

Reads words only. The mother is the lot, or the animal of a tub, that the line begins with; the origin follows from her.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from ledger.errors import Ambiguous, BadInput
from ledger.stock.commands import AddLot, Arrival
from ledger.stock.words import place, stage_words
from ledger.text import clean_code, quoted
from ledger.wording import say
from tui.how_many import is_number, number_of
from tui.jot_lots import place_of, places_as_typed
from tui.jot_said import Said, take_rough
from tui.jot_words import Vocabulary, Words, find_stage

LAID = ("laid", "sieved out", "sieved off", "sieved")
_CODE = re.compile(r"(.*?)(\d+)", re.ASCII)


def next_code(lot: str, known: Iterable[str]) -> str:
    """The code after the highest of those that begin like a lot's: E13 where E12 is the last of E05's kind."""
    parts = _CODE.fullmatch(lot)
    prefix = parts[1] if parts else f"{lot}-"
    width = len(parts[2]) if parts else 1
    numbers = [
        int(one[2]) for code in known if (one := _CODE.fullmatch(code)) and one[1].casefold() == prefix.casefold()
    ]
    return f"{prefix}{max(numbers, default=0) + 1:0{width}}"


def read_laid(
    words: Words,
    mother: tuple[str, str],
    said: Said,
    on: dt.date,
    note: str,
    vocabulary: Vocabulary,
) -> AddLot:
    """The lot that is opened, `words` standing behind the word laid.

    Args:
        words: the line.
        mother: (lot, tub), the tub empty when not said.
        said: how many of which stage, as far as that was said before the word.
        on: the day it was laid, or found.
        note: a remark.
        vocabulary: the names of the ledger.

    Raises:
        BadInput: not said how many, or what of.
        Ambiguous: the code of the new lot was not said; the choices are lines that say it.
    """
    lot, tub = mother
    count, about = said.count, said.estimated
    if count is None and is_number(words.peek()):
        count = number_of(words.take())
    elif count is None and (rough := take_rough(words)) is not None:
        count, about = rough, True
    stage = said.stage or find_stage(words, lot, vocabulary)
    if not count:
        raise BadInput(say("How many were laid? Write: {lot} laid 42 eggs.", lot=lot), field="count")
    stages = [name for name, unit in vocabulary.stages[lot] if unit != "specimen"]
    if stage is None:
        stage = stages[0]
    words.take_phrase(LAID)
    if words.take_phrase(("as lot", "as")) is None:
        if words:
            raise BadInput(
                say("{rest} was not understood; put remarks after the word note.", rest=quoted(words.rest()))
            )
        code = next_code(lot, vocabulary.stages)
        raise Ambiguous(
            say(
                "{count} {stage} of {mother} begin a lot of their own; say its code, such as: as {code}.",
                count=count,
                stage=stage_words(stage, count),
                mother=place(lot, tub),
                code=code,
            ),
            field="code",
            choices=(words.replaced(words.at, words.at, f"as {code}"),),
        )
    code = clean_code(words.take(), field="code")
    shelf = _shelf(words, lot, vocabulary)
    if words:
        raise BadInput(say("{rest} was not understood; put remarks after the word note.", rest=quoted(words.rest())))
    reason = "laid" if stage == stages[0] else "hatched"
    return AddLot(
        code,
        vocabulary.kinds[lot],
        on,
        (Arrival(reason, stage, count, estimated=about),),
        place=shelf,
        note=note,
        mothers=(place(lot, tub),),
        laid_on=on if reason == "laid" else None,
    )


def _shelf(words: Words, mother: str, vocabulary: Vocabulary) -> str:
    """Where the new lot stands: the place said ('on egg shelf'), or that of the mother's lot.

    Raises:
        BadInput: no lot stands at the place said.
    """
    if words.take_phrase(("on", "in", "at")) is None:
        return place_of(mother, vocabulary)
    known = places_as_typed(vocabulary)
    typed = words.take_phrase(known)
    if typed is None:
        raise BadInput(
            say(
                "{place} is no place where a lot stands; leave it out, and name the place of the new lot on its page.",
                place=quoted(words.rest()),
            ),
            field="place",
        )
    return known[typed]
