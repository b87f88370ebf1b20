"""What one clause of a jot line says of the animals: how many, of which sex, stage and tub; words only."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ledger.errors import Ambiguous, BadInput
from ledger.stock.commands import Move
from ledger.text import quoted
from ledger.wording import say, strung, word
from tui.how_many import by_sex, is_number, number_of
from tui.jot_words import (
    SEXES,
    Vocabulary,
    Words,
    find_stage,
    take_sex,
    take_tub,
)

ROUGHLY = ("about", "roughly", "some", "ca.", "ca", "~")
"""Words before a number that was not counted."""


@dataclass(slots=True)
class Said:
    """What one clause has said of the animals so far."""

    count: int | None = None
    by_sex: tuple[tuple[str, int], ...] = ()
    """From 1.2.3: (sex, count) for each that is not nought."""
    sex: str | None = None
    stage: str | None = None
    tub: str | None = None
    pack: str = ""
    """Mark of the fair's pack they lay in."""
    estimated: bool = False


def describe(words: Words, lot: str, in_tub: str, vocabulary: Vocabulary) -> Said:
    """Number, sex, stage and tub of the animals, in any order."""
    said = Said(tub=in_tub or None)
    while words:
        word = words.peek()
        if said.count is None and not said.by_sex and (sexes := take_by_sex(words)):
            said.by_sex = sexes
        elif said.count is None and not said.by_sex and is_number(word):
            said.count = number_of(words.take())
        elif said.count is None and not said.by_sex and (rough := take_rough(words)) is not None:
            said.count, said.estimated = rough, True
        elif said.sex is None and not _is_last(words) and (sex := take_sex(words)) is not None:
            said.sex = sex
        elif said.tub is None and (tub := take_tub(words, lot, vocabulary)) is not None:
            said.tub = tub
        elif not said.pack and (pack := take_pack(words)):
            said.pack = pack
        elif said.stage is None and (stage := find_stage(words, lot, vocabulary)) is not None:
            said.stage = stage
        else:
            break
    return said


def take_by_sex(words: Words) -> tuple[tuple[str, int], ...]:
    """Step over 1.2.3 and return (sex, count) for each that is not nought; empty if no such word comes next."""
    counts = by_sex(words.peek())
    if counts is None:
        return ()
    words.take()
    return counts


def take_pack(words: Words) -> str:
    """Step over 'in pack A' and return the mark; empty if that does not come next.

    Raises:
        BadInput: there is no mark.
    """
    if words.take_phrase(("in pack", "from pack")) is None:
        return ""
    mark = words.take()
    if not mark or mark == ",":
        raise BadInput(say("In which pack? Write its mark, such as: in pack A."), field="pack")
    return mark


def _is_last(words: Words) -> bool:
    """Whether the next word ends its clause: 'P08/07 female' says what it is, 'female died' which one."""
    following = words.words[words.at + 1 : words.at + 2]
    sex_next = words.peek().casefold() in SEXES
    return sex_next and (not following or following[0].casefold() in (",", "and", "probable", "probably"))


def take_rough(words: Words) -> int | None:
    """Step over 'about 40', 'ca. 40' or '~40' and return the number; None if no such words come next."""
    if words.peek().startswith("~") and is_number(words.peek()[1:]):
        return number_of(words.take()[1:])
    if words.take_phrase(ROUGHLY) is None:
        return None
    return take_number(words, say("about how many"))


def take_number(words: Words, what: str) -> int:
    word = words.take()
    if not is_number(word):
        raise BadInput(
            say("Say {what}, as a whole number; {word} is none.", what=what, word=quoted(word))
            if word
            else say("Say {what}, as a whole number.", what=what),
            field="count",
        )
    return number_of(word)


def joined_said(said: Said) -> str:
    """'10 L3', '2.3 adult' as it was said."""
    counts = strung((strung((str(number), word(sex))) for sex, number in said.by_sex), say(" and "))
    number = str(said.count) if said.count is not None else counts
    return strung((part for part in (number, said.sex, said.stage) if part), " ") or say("the animals")


def count_of(said: Said, words: Words, start: int, lot: str, vocabulary: Vocabulary) -> int:
    """The number said, or the one animal of the tub."""
    if said.count == 0:
        raise BadInput(say("Nought animals is nothing to record; leave the line out."), field="count")
    if said.count is not None:
        return said.count
    if said.tub is None:
        raise BadInput(say("How many of {lot}? Put the number first, such as: {lot} 3 died.", lot=lot), field="count")
    living = vocabulary.tubs.get(lot, {}).get(said.tub, 0)
    if living == 1:
        return 1
    raise Ambiguous(
        say("Tub {tub} of {lot} holds {living} animals; say how many.", tub=said.tub, lot=lot, living=living),
        field="count",
        choices=tuple(words.replaced(start, start, str(n)) for n in sorted({1, living}) if n),
    )


def each_move(said: Said, move: Move, words: Words, start: int, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """The move for the animals said: one, or one for each sex of 1.2.3."""
    move = replace(move, estimated=move.estimated or said.estimated, pack=said.pack)
    if said.by_sex and move.reason == "next stage":
        # Of those that moved on: a sex shows when it is there, and may have been unknown before.
        moved = replace(move, stage=said.stage, tub=said.tub)
        return tuple(
            replace(moved, count=n, sex="unsexed") if sex == "unsexed" else replace(moved, count=n, to_sex=sex)
            for sex, n in said.by_sex
        )
    if said.by_sex:
        return tuple(replace(move, count=n, sex=sex, stage=said.stage, tub=said.tub) for sex, n in said.by_sex)
    count = count_of(said, words, start, lot, vocabulary)
    return (replace(move, count=count, sex=said.sex, stage=said.stage, tub=said.tub),)
