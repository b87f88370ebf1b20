"""Jot lines about young: `E05 laid 42 eggs as E13`, `E05 12 L1 sieved out as E13`, `P01 40 mancas born as P02`.

Eggs, and what came of eggs unseen, begin a lot of their own. Young that are born alive do so where a code is said; else
they are born into their mother's lot, as a colony keeps them.
Reads words only. The mother is the lot, or the animal of a tub, that the line begins with; the origin follows from her.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from ledger.errors import Ambiguous, BadInput
from ledger.stock.commands import AddLot, Arrival, Move, Record
from ledger.stock.words import place, stage_words
from ledger.text import clean_code, quoted
from ledger.wording import say
from tui.how_many import is_number, number_of
from tui.jot_days import left_over
from tui.jot_lots import place_of, places_as_typed
from tui.jot_said import Said, take_rough
from tui.jot_words import Vocabulary, Words, find_stage, is_stage

BORN = ("born", "young born", "young")
"""What says that young came alive; `hatched` does, too, where a species lays no eggs."""
_EGGS = ("egg", "ootheca", "egg sac", "sac", "clutch")
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
            raise left_over(words)
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
        raise left_over(words)
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


def bears(lot: str, vocabulary: Vocabulary) -> bool:
    """Whether the species of a lot has young and no eggs."""
    return not any(is_stage(egg, name) for name, _ in vocabulary.stages[lot] for egg in _EGGS)


def youngest(lot: str, vocabulary: Vocabulary) -> str | None:
    """The first stage of young of a lot; None where a species has only eggs or what is counted whole."""
    alive = (name for name, unit in vocabulary.stages[lot] if unit == "animal")
    return next((name for name in alive if not any(is_stage(egg, name) for egg in _EGGS)), None)


def take_born(words: Words, said: Said, lot: str, vocabulary: Vocabulary) -> bool:
    """Step over `born`, or over `hatched` and `released` where they can mean no other; whether one of them came."""
    live = bears(lot, vocabulary)
    young = said.stage in (None, youngest(lot, vocabulary))
    return words.take_phrase((*BORN, "released", "hatched") if live and young else BORN) is not None


def read_born(
    words: Words, mother: tuple[str, str], said: Said, on: dt.date, note: str, vocabulary: Vocabulary
) -> AddLot | Record:
    """Young born alive, `words` standing behind the word born: a lot of their own, or more animals of their mother's.

    Raises:
        BadInput: not said how many, or their species lays eggs.
        Ambiguous: the code of the new lot was not said where one is needed.
    """
    lot, tub = mother
    young = youngest(lot, vocabulary)
    count, about = said.count, said.estimated
    if count is None and is_number(words.peek()):
        count = number_of(words.take())
    elif count is None and (rough := take_rough(words)) is not None:
        count, about = rough, True
    stage = said.stage or find_stage(words, lot, vocabulary)
    live = bears(lot, vocabulary)
    if said.by_sex or said.sex:
        raise BadInput(say("Young are unsexed when they are born; leave the sex out."), field="sex")
    if not count:
        raise BadInput(
            say(
                "How many were born? Write: {lot} 40 {stage} born.",
                lot=lot,
                stage=stage_words(stage or young or "", 40),
            ),
            field="count",
        )
    if not live and stage is None:
        raise BadInput(
            say(
                "{lot} lays eggs; write {lot} laid {count} eggs, or say at which stage they were.", lot=lot, count=count
            ),
            field="stage",
        )
    stage = stage or young
    assert stage is not None
    # Whether they were laid is what the other verb says.
    words.take_phrase(BORN)
    if live and words.peek().casefold() != "as":
        if words:
            raise left_over(words)
        if stage != young:
            raise BadInput(
                say(
                    "{lot} has its young as {young}; write {count} {young} born, or found for others.",
                    lot=lot,
                    young=stage_words(young or "", count),
                    count=count,
                ),
                field="stage",
            )
        move = Move("hatched", count, stage, tub=said.tub or tub or None, estimated=about)
        return Record(lot, (move,), on, note=note)
    named = Said(count=count, stage=stage, estimated=about)
    return read_laid(words, mother, named, on, note, vocabulary)


def refuse_laid(words: Words, said: Said, lot: str, vocabulary: Vocabulary) -> None:
    """Refuse that a species without eggs laid some, `words` standing behind the word laid.

    Raises:
        Ambiguous: with the line that says they were born.
    """
    young = youngest(lot, vocabulary)
    if said.stage is not None or young is None or not bears(lot, vocabulary):
        return
    at = words.at
    verb = next(n for n in range(at - 1, -1, -1) if words.words[n].casefold() in LAID)
    many: list[str] = []
    if said.count is None and words and (is_number(words.peek()) or words.peek().startswith("~")):
        many = [words.take()]
    words.take_phrase(("eggs", "egg", "young"))
    rest = words.words[words.at :]
    number = said.count if said.count is not None else int(many[0].lstrip("~") if many else 40)
    stage = stage_words(young, number)
    line = words.line_of([*words.words[:verb], *many, *stage.split(), "born", *rest])
    raise Ambiguous(
        say(
            "{lot} lays no eggs; write: {lot} 40 {stage} born, or born as and the code of a new lot.",
            lot=lot,
            stage=stage,
        ),
        field="stage",
        choices=(line,) if many or said.count is not None else (),
    )
