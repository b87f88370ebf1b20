"""Jot lines about the animals of a lot: what happened to how many, and what was seen on a round.

Reads words only; which animals are meant where the words leave it open is the ledger's to say.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from ledger.errors import Ambiguous, BadInput, Refused
from ledger.selling.commands import GiveAway
from ledger.stock.commands import AddLot, HatchOut, Move, Record, SaveRound, SetLotFact
from ledger.text import quoted
from ledger.wording import say, strung
from tui.how_many import is_number, number_of
from tui.jot_days import left_over, next_day, refuse_day_inside
from tui.jot_gift import read_gift
from tui.jot_lots import take_subject
from tui.jot_marks import read_marks
from tui.jot_places import take_place
from tui.jot_said import Said, count_of, describe, each_move, joined_said, take_by_sex, take_pack
from tui.jot_tubs import into_tubs
from tui.jot_words import (
    ADULT,
    CAUSES,
    PUPAL,
    SEXES,
    VERBS,
    Verb,
    Vocabulary,
    Words,
    as_line,
    find_stage,
    near,
    or_list,
)
from tui.jot_young import LAID, bears, read_born, read_laid, refuse_laid, take_born, youngest

OTHER_KEYS = {
    **dict.fromkeys(
        ("split", "divide", "divided", "separate", "separated"),
        say("Part of a lot is split off by a key: go to 3 Stock, put the cursor on the lot, and press /."),
    ),
    **dict.fromkeys(
        ("merge", "merged", "join", "joined"),
        say("Lots are merged by a key: go to 3 Stock, put the cursor on the lot, and press +."),
    ),
    **dict.fromkeys(
        ("paired", "mated", "together", "with"),
        say("A pair is put together by a key: go to 3 Stock, put the cursor on the lot, press , and choose Together."),
    ),
}
"""What is done with a lot by a key and not in this line, and where."""
AnimalsCommand = Record | HatchOut | SaveRound | AddLot | SetLotFact | GiveAway


def read_animals(words: Words, on: dt.date, note: str, vocabulary: Vocabulary) -> AnimalsCommand:
    """A line that begins with a lot, several, a range, a place or all."""
    subject = take_subject(words, vocabulary)
    assert subject is not None
    lots = subject.lots
    lot, tub = lots[0]
    start = words.at
    if len(lots) == 1 and words.take_phrase(LAID) is not None:
        refuse_laid(words, Said(), lot, vocabulary)
        return read_laid(words, (lot, tub), Said(), on, note, vocabulary)
    said = Said() if subject.wide else describe(words, lot, tub, vocabulary)
    if (marks := read_marks(words, lots, said, note, vocabulary)) is not None:
        _not_of_a_pack(said)
        return SaveRound(marks, on)
    if len(lots) == 1 and words.take_phrase(LAID) is not None:
        _not_of_a_pack(said)
        refuse_laid(words, said, lot, vocabulary)
        return read_laid(words, (lot, said.tub or tub), said, on, note, vocabulary)
    if len(lots) == 1 and not subject.wide and take_born(words, said, lot, vocabulary):
        _not_of_a_pack(said)
        return read_born(words, (lot, said.tub or tub), said, on, note, vocabulary)
    if len(lots) == 1 and (gift := read_gift(words, said, start, lot, on, note, vocabulary)) is not None:
        return gift
    if not subject.wide and (place := take_place(words, said, lots, note, vocabulary)):
        _not_of_a_pack(said)
        return SetLotFact(lot, "place", place, on)
    if len(lots) > 1 or subject.wide:
        raise BadInput(
            say("Only fed, looked, cleaned and the like take several lots in one line; write one line for each lot.")
        )
    if not words and said == Said(tub=tub or None):
        raise BadInput(
            say(
                "What happened in {place}? Such as: {lot} 3 died, or {lot} fed.",
                place=f"{lot}/{tub}" if tub else lot,
                lot=lot,
            )
        )
    words.at = start
    moves: list[Move] = []
    after = None
    while True:
        begun = words.at
        try:
            clause = _clause(words, lot, tub, on, note, vocabulary)
        except Refused:
            words.at = begun
            if after != "," or note or not _is_remark(words):
                raise
            note = words.rest()
            break
        if isinstance(clause, HatchOut):
            if moves or words:
                raise BadInput(say("A hatching with the number of young stands in a line of its own."))
            return clause
        moves = _turned_out(moves, clause, lot, vocabulary)
        after = words.take_phrase((",", "and"))
        if after is None:
            break
    if words:
        rest = quoted(as_line(words.words[words.at :]))
        otherwise = say("{rest} was not understood after what happened; put remarks after the word note.", rest=rest)
        raise left_over(words, otherwise)
    return Record(lot, tuple(moves), on, note=note)


def _not_of_a_pack(said: Said) -> None:
    if said.pack:
        raise BadInput(
            say("Of animals in a pack only that they died, left or moved on can be said; take the pack apart first."),
            field="pack",
        )


def _is_remark(words: Words) -> bool:
    """Whether what comes after a comma, and is nothing that happened, was meant to be read by people: it names no
    number, and does not begin with a verb or a sex mistyped."""
    rest = words.words[words.at :]
    known = (*VERBS, *SEXES)
    mistyped = rest and rest[0].casefold() not in {name.split()[0] for name in known} and near(rest[0], known)
    return bool(rest) and not mistyped and not any(letter.isdigit() for word in rest for letter in word)


def _clause(
    words: Words, lot: str, tub: str, on: dt.date, note: str, vocabulary: Vocabulary
) -> tuple[Move, ...] | HatchOut:
    """One thing that happened: '3 L3 died heater'."""
    start = words.at
    said = describe(words, lot, tub, vocabulary)
    if not words:
        raise _what_happened(words, lot, said, vocabulary)
    if words.take_phrase(("into", "to tub", "to tubs", "moved into", "moved to tub", "moved to tubs")) is not None:
        _not_of_a_pack(said)
        words.take_phrase(("tub", "tubs"))
        return into_tubs(words, said, lot, vocabulary)
    if words.take_phrase(("to", "moved to")) is not None:
        to_stage = find_stage(words, lot, vocabulary)
        if to_stage is None:
            names = or_list([name for name, _ in vocabulary.stages[lot]])
            raise BadInput(
                say("Moved on to which stage of {lot}? It has {names}.", lot=lot, names=names), field="to_stage"
            )
        said = _sexes_after(words, said)
        return each_move(said, Move("next stage", 1, to_stage=to_stage), words, start, lot, vocabulary)
    phrase = words.take_phrase(VERBS)
    if phrase is not None:
        return _with_verb(words, said, VERBS[phrase], phrase, start, lot, on, note, vocabulary)
    if words.peek().casefold() in SEXES:
        return _sexed(words, said, start, lot, vocabulary)
    if words.peek().casefold() in OTHER_KEYS:
        raise BadInput(OTHER_KEYS[words.peek().casefold()])
    if (day := next_day(words)) is not None:
        raise refuse_day_inside(words, *day)
    raise BadInput(
        say(
            "{peek} is not something that happens to animals; write died, moved on, to a stage, into tubs "
            "1-10, moved to a shelf, found, missing, given away, laid 42 eggs, born, counted or fed. A lot of another "
            "start is opened in Stock (n).",
            peek=quoted(words.peek()),
        )
    )


def _what_happened(words: Words, lot: str, said: Said, vocabulary: Vocabulary) -> Ambiguous:
    shown = joined_said(said)
    ways: tuple[str, ...] = ("died", "moved on", "missing", "given away", "found")
    if bears(lot, vocabulary) and said.stage == youngest(lot, vocabulary):
        ways = ("born", *ways)
    return Ambiguous(
        say("What happened to {shown} of {lot}? Write {or_list}.", shown=shown, lot=lot, or_list=or_list(ways)),
        choices=tuple(words.replaced(words.at, words.at, way) for way in ways),
    )


def _with_verb(
    words: Words,
    said: Said,
    verb: Verb,
    phrase: str,
    start: int,
    lot: str,
    on: dt.date,
    note: str,
    vocabulary: Vocabulary,
) -> tuple[Move, ...] | HatchOut:
    if verb.reason == "sexed":
        return _sexed(words, said, start, lot, vocabulary)
    if verb.reason == "hatched":
        _not_of_a_pack(said)
        return _hatched(words, said, start, lot, on, note, vocabulary)
    move = Move(verb.reason, 1, explained=verb.explained)
    if verb.reason == "pupated":
        move = Move("next stage", 1, to_stage=_pupal(lot, phrase, vocabulary))
    elif verb.reason == "emerged":
        said.stage = said.stage or _young(lot, phrase, vocabulary)
        move = Move("next stage", 1)
        said = _sexes_after(words, said)
    elif verb.reason == "died":
        said.pack = take_pack(words) or said.pack
        cause = words.take_phrase((*CAUSES, *(f", {one}" for one in CAUSES)))
        move = replace(move, cause=CAUSES[cause.removeprefix(", ")] if cause else None)
    elif verb.reason == "found" and words.take_phrase(("miscounted before", "miscounted")):
        move = replace(move, explained=True)
    elif verb.reason == "next stage":
        said = _sexes_after(words, said)
    said.pack = take_pack(words) or said.pack
    return each_move(said, move, words, start, lot, vocabulary)


def _pupal(lot: str, phrase: str, vocabulary: Vocabulary) -> str:
    """The pupal stage of a lot: 'pupa', 'cocoon' or 'pupa/cocoon'."""
    names = [name for name, _ in vocabulary.stages[lot]]
    fits = [name for name in names if {part.strip().casefold() for part in name.split("/")} & set(PUPAL)]
    if len(fits) == 1:
        return fits[0]
    raise BadInput(
        say(
            "{lot} has no one stage for {phrase}; write 'to' and one of {or_list}.",
            lot=lot,
            phrase=quoted(phrase),
            or_list=or_list(names),
        )
    )


def _young(lot: str, phrase: str, vocabulary: Vocabulary) -> str:
    """The stage that adults emerge from: the pupal one, or where there is none the one before the first adult one."""
    names = [name for name, _ in vocabulary.stages[lot]]
    if not any(set(name.split("/")) & set(PUPAL) for name in names):
        at = next((at for at, name in enumerate(names) if name.casefold() in ADULT), 0)
        if at:
            return names[at - 1]
    return _pupal(lot, phrase, vocabulary)


def _sexes_after(words: Words, said: Said) -> Said:
    """'4 L4-6 to adult 2.2': of those that moved on, so many turned out males, females and neither yet.

    Raises:
        BadInput: they are not as many as moved on.
    """
    if said.by_sex or said.sex:
        return said
    by_sex = take_by_sex(words)
    if not by_sex:
        return said
    together = sum(number for _, number in by_sex)
    if said.count is not None and said.count != together:
        raise BadInput(
            say(
                "{sexes} are {together} animals, and {count} moved on; write all of them, males.females.unsexed.",
                sexes=strung((str(dict(by_sex).get(sex, 0)) for sex in ("male", "female", "unsexed")), "."),
                together=together,
                count=said.count,
            ),
            field="sex",
        )
    return replace(said, count=None, by_sex=by_sex)


def _turned_out(moves: Sequence[Move], clause: Sequence[Move], lot: str, vocabulary: Vocabulary) -> list[Move]:
    """The moves so far and those of one more clause.

    A clause that says a sex and no more ('4 L4-6 to adult, 2 male, 2 female') is about the animals that have just
    moved on, as far as there are so many whose sex was not said.
    """
    before = list(moves)
    unsexed = (n for n, one in enumerate(before) if one.reason == "next stage" and not (one.sex or one.to_sex))
    at = next(unsexed, None)
    sexed = [move for move in clause if move.reason == "sexed"]
    if at is None or not sexed or len(sexed) < len(clause):
        return [*before, *clause]
    moved = before[at]
    names = [name for name, _ in vocabulary.stages[lot]]
    after = moved.to_stage
    if after is None and moved.stage in names[:-1]:
        after = names[names.index(moved.stage) + 1]
    of_them = all(one.stage in (None, after) and one.sex is None and one.tub in (None, moved.tub) for one in sexed)
    left = moved.count - sum(one.count for one in sexed)
    if not of_them or left < 0:
        return [*before, *clause]
    known = [replace(moved, count=one.count, to_sex=one.to_sex, to_sure=one.to_sure) for one in sexed]
    rest = [replace(moved, count=left)] if left else []
    return [*before[:at], *known, *rest, *before[at + 1 :]]


def _hatched(
    words: Words, said: Said, start: int, lot: str, on: dt.date, note: str, vocabulary: Vocabulary
) -> tuple[Move, ...] | HatchOut:
    """'12 hatched' moves eggs on; '1 hatched 63 L1' opens an ootheca, sac or clutch."""
    words.take_phrase(("into",))
    objects = [name for name, unit in vocabulary.stages[lot] if unit == "object"]
    if is_number(words.peek()):
        animals = number_of(words.take())
        to_stage = find_stage(words, lot, vocabulary)
        if to_stage is None:
            raise BadInput(
                say("Hatched into which stage? Write: {lot} 1 hatched {animals} L1.", lot=lot, animals=animals),
                field="to_stage",
            )
        if not objects:
            raise BadInput(
                say("Eggs of {lot} are counted one by one; write: {lot} {animals} hatched.", lot=lot, animals=animals)
            )
        count = count_of(said, words, start, lot, vocabulary)
        return HatchOut(lot, count, animals, to_stage, on, stage=said.stage, tub=said.tub, note=note)
    if said.stage in objects or (objects and said.stage is None):
        raise BadInput(
            say("How many young hatched? Write: {lot} 1 {objects} hatched 63 L1.", lot=lot, objects=objects[0]),
            field="animals",
        )
    return each_move(said, Move("next stage", 1), words, start, lot, vocabulary)


def _sexed(words: Words, said: Said, start: int, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """'P08/07 female', 'P08 4 sexed male', 'P08 2.3 sexed'."""
    _not_of_a_pack(said)
    if said.by_sex:
        if any(sex == "unsexed" for sex, _ in said.by_sex):
            raise BadInput(say("Sexed animals are males or females; write them as 2.3."), field="sex")
        sure = _sure(words)
        return tuple(
            Move("sexed", number, said.stage, None, said.tub, to_sex=sex, to_sure=sure) for sex, number in said.by_sex
        )
    sex = SEXES.get(words.peek().casefold())
    if sex is None:
        raise BadInput(say("Sexed as what? Write: {lot} 4 female, or {lot} 2.3 sexed.", lot=lot), field="to_sex")
    words.take()
    return each_move(said, Move("sexed", 1, to_sex=sex, to_sure=_sure(words)), words, start, lot, vocabulary)


def _sure(words: Words) -> str:
    return "probable" if words.take_phrase(("probable", "probably")) else "confirmed"
