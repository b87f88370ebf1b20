"""Jot lines about the animals of a lot: what happened to how many, and what was seen on a round.

Reads words only; which animals are meant where the words leave it open is the ledger's to say.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ledger.errors import Ambiguous, BadInput
from ledger.stock.commands import AddLot, HatchOut, Mark, Move, Record, SaveRound
from ledger.text import clean_code, quoted
from ledger.wording import say, strung, word
from tui.jot_lots import take_subject
from tui.jot_words import (
    ADULT,
    CARE,
    CAUSES,
    COUNTS,
    MARKS,
    PUPAL,
    SEXES,
    VERBS,
    Verb,
    Vocabulary,
    Words,
    find_stage,
    or_list,
    take_sex,
    take_tub,
)
from tui.jot_young import LAID, read_laid

_SEXED = re.compile(r"(\d+)\.(\d+)(?:\.(\d+))?")
_TUB_RANGE = re.compile(r"(\d+)-(\d+)")


@dataclass(slots=True)
class _Said:
    """What one clause has said of the animals so far."""

    count: int | None = None
    by_sex: tuple[tuple[str, int], ...] = ()
    """From 1.2.3: (sex, count) for each that is not nought."""
    sex: str | None = None
    stage: str | None = None
    tub: str | None = None
    estimated: bool = False


AnimalsCommand = Record | HatchOut | SaveRound | AddLot


def read_animals(words: Words, on: dt.date, note: str, vocabulary: Vocabulary) -> AnimalsCommand:
    """A line that begins with a lot, several, a range, a place or all."""
    subject = take_subject(words, vocabulary)
    assert subject is not None
    lots = subject.lots
    lot, tub = lots[0]
    start = words.at
    if len(lots) == 1 and words.take_phrase(LAID) is not None:
        return read_laid(words, (lot, tub), None, None, on, note, vocabulary)
    said = _Said() if subject.wide else _describe(words, lot, tub, vocabulary)
    if (marks := _marks(words, lots, said, note, vocabulary)) is not None:
        return SaveRound(marks, on)
    if len(lots) == 1 and words.take_phrase(LAID) is not None:
        return read_laid(words, (lot, said.tub or tub), said.count, said.stage, on, note, vocabulary)
    if len(lots) > 1 or subject.wide:
        raise BadInput(
            say("Only fed, looked, cleaned and the like take several lots in one line; write one line for each lot.")
        )
    if not words and said == _Said(tub=tub or None):
        raise BadInput(
            say(
                "What happened in {place}? Such as: {lot} 3 died, or {lot} fed.",
                place=f"{lot}/{tub}" if tub else lot,
                lot=lot,
            )
        )
    words.at = start
    moves: list[Move] = []
    while True:
        clause = _clause(words, lot, tub, on, note, vocabulary)
        if isinstance(clause, HatchOut):
            if moves or words:
                raise BadInput(say("A hatching with the number of young stands in a line of its own."))
            return clause
        moves = _turned_out(moves, clause, lot, vocabulary)
        if words.take_phrase((",", "and")) is None:
            break
    if words:
        raise BadInput(
            say(
                "{rest} was not understood after what happened; put remarks after the word note.",
                rest=quoted(words.rest()),
            )
        )
    return Record(lot, tuple(moves), on, note=note)


def _describe(words: Words, lot: str, in_tub: str, vocabulary: Vocabulary) -> _Said:
    """Number, sex, stage and tub of the animals, in any order."""
    said = _Said(tub=in_tub or None)
    while words:
        word = words.peek()
        if said.count is None and not said.by_sex and (by_sex := _take_by_sex(words)):
            said.by_sex = by_sex
        elif said.count is None and not said.by_sex and word.isascii() and word.isdigit():
            said.count = int(words.take())
        elif said.count is None and not said.by_sex and words.take_phrase(("about",)):
            said.count, said.estimated = _number(words, say("about how many")), True
        elif said.sex is None and not _is_last(words) and (sex := take_sex(words)) is not None:
            said.sex = sex
        elif said.tub is None and (tub := take_tub(words, lot, vocabulary)) is not None:
            said.tub = tub
        elif said.stage is None and (stage := find_stage(words, lot, vocabulary)) is not None:
            said.stage = stage
        else:
            break
    return said


def _take_by_sex(words: Words) -> tuple[tuple[str, int], ...]:
    """Step over 1.2.3 and return (sex, count) for each that is not nought; empty if no such word comes next."""
    counts = _SEXED.fullmatch(words.peek())
    if counts is None:
        return ()
    words.take()
    return tuple(
        (sex, int(number))
        for sex, number in zip(("male", "female", "unsexed"), counts.groups(), strict=True)
        if number and int(number)
    )


def _is_last(words: Words) -> bool:
    """Whether the next word ends its clause: 'P08/07 female' says what it is, 'female died' which one."""
    following = words.words[words.at + 1 : words.at + 2]
    sex_next = words.peek().casefold() in SEXES
    return sex_next and (not following or following[0].casefold() in (",", "and", "probable", "probably"))


def _number(words: Words, what: str) -> int:
    word = words.take()
    if not (word.isascii() and word.isdigit()):
        raise BadInput(
            say("Say {what}, as a whole number; {word} is none.", what=what, word=quoted(word))
            if word
            else say("Say {what}, as a whole number.", what=what),
            field="count",
        )
    return int(word)


def _marks(
    words: Words, lots: Sequence[tuple[str, str]], said: _Said, note: str, vocabulary: Vocabulary
) -> tuple[Mark, ...] | None:
    """Marks of a round: fed, looked, seen hard, counted 40, about 40; None when the line says something else."""
    lot, tub = lots[0]
    if said.estimated and not words:
        if len(lots) > 1:
            raise BadInput(say("Write one line for each lot that was counted."))
        return (Mark(lot, "estimated", tub, said.stage, said.count, note),)
    counting = words.take_phrase(COUNTS)
    if counting is not None:
        if len(lots) > 1:
            raise BadInput(say("Write one line for each lot that was counted."))
        if said.by_sex or said.sex:
            raise BadInput(say("A count is kept by stage, not by sex; leave the sex out."), field="sex")
        count = said.count if said.count is not None else _number(words, say("how many were counted"))
        stage = said.stage or find_stage(words, lot, vocabulary)
        _no_more(words)
        return (Mark(lot, COUNTS[counting], tub, stage, count, note),)
    done: dict[str, list[str]] = {}
    while (mark := words.take_phrase(MARKS)) is not None:
        done.setdefault(MARKS[mark], []).extend([CARE[mark]] if mark in CARE else [])
        words.take_phrase(("and", ","))
    if not done:
        return None
    kinds = list(done)
    if (said.count is not None or said.by_sex or said.sex) and kinds != ["seen hard"]:
        raise BadInput(
            say(
                "{capitalize} takes no number; write: {lot} {kinds}.",
                capitalize=kinds[0].capitalize(),
                lot=lot,
                kinds=kinds[0],
            ),
            field="count",
        )
    _no_more(words)
    return tuple(
        Mark(
            lot,
            kind,
            tub,
            said.stage,
            said.count if kind == "seen hard" else None,
            "; ".join(part for part in (*done[kind], note) if part),
        )
        for lot, tub in lots
        for kind in kinds
    )


def _no_more(words: Words) -> None:
    if words:
        raise BadInput(say("{rest} was not understood; put remarks after the word note.", rest=quoted(words.rest())))


def _clause(
    words: Words, lot: str, tub: str, on: dt.date, note: str, vocabulary: Vocabulary
) -> tuple[Move, ...] | HatchOut:
    """One thing that happened: '3 L3 died heater'."""
    start = words.at
    said = _describe(words, lot, tub, vocabulary)
    if not words:
        raise _what_happened(words, lot, said)
    if words.take_phrase(("into", "to tub", "to tubs")) is not None:
        words.take_phrase(("tub", "tubs"))
        return _into_tubs(words, said, lot, vocabulary)
    if words.take_phrase(("to",)) is not None:
        to_stage = find_stage(words, lot, vocabulary)
        if to_stage is None:
            names = or_list([name for name, _ in vocabulary.stages[lot]])
            raise BadInput(
                say("Moved on to which stage of {lot}? It has {names}.", lot=lot, names=names), field="to_stage"
            )
        said = _sexes_after(words, said)
        return _each(said, Move("next stage", 1, to_stage=to_stage), words, start, lot, vocabulary)
    phrase = words.take_phrase(VERBS)
    if phrase is not None:
        return _with_verb(words, said, VERBS[phrase], phrase, start, lot, on, note, vocabulary)
    if words.peek().casefold() in SEXES:
        return _sexed(words, said, start, lot, vocabulary)
    raise BadInput(
        say(
            "{peek} is not something that happens to animals; write died, moved on, to a stage, into tubs "
            "1-10, found, missing, given away, laid 42 eggs, counted or fed. A lot of another start is opened in "
            "Stock (n).",
            peek=quoted(words.peek()),
        )
    )


def _what_happened(words: Words, lot: str, said: _Said) -> Ambiguous:
    shown = joined_said(said)
    ways = ("died", "moved on", "missing", "given away", "found")
    return Ambiguous(
        say("What happened to {shown} of {lot}? Write {or_list}.", shown=shown, lot=lot, or_list=or_list(ways)),
        choices=tuple(words.replaced(words.at, words.at, way) for way in ways),
    )


def joined_said(said: _Said) -> str:
    """'10 L3', '2.3 adult' as it was said."""
    counts = strung((strung((str(number), word(sex))) for sex, number in said.by_sex), say(" and "))
    number = str(said.count) if said.count is not None else counts
    return strung((part for part in (number, said.sex, said.stage) if part), " ") or say("the animals")


def _with_verb(
    words: Words,
    said: _Said,
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
        return _hatched(words, said, start, lot, on, note, vocabulary)
    move = Move(verb.reason, 1, explained=verb.explained)
    if verb.reason == "pupated":
        move = Move("next stage", 1, to_stage=_pupal(lot, phrase, vocabulary))
    elif verb.reason == "emerged":
        said.stage = said.stage or _young(lot, phrase, vocabulary)
        move = Move("next stage", 1)
        said = _sexes_after(words, said)
    elif verb.reason == "died":
        cause = words.take_phrase(CAUSES)
        move = replace(move, cause=CAUSES[cause] if cause else None)
    elif verb.reason == "found" and words.take_phrase(("miscounted before", "miscounted")):
        move = replace(move, explained=True)
    elif verb.reason == "next stage":
        said = _sexes_after(words, said)
    return _each(said, move, words, start, lot, vocabulary)


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


def _sexes_after(words: Words, said: _Said) -> _Said:
    """'4 L4-6 to adult 2.2': of those that moved on, so many turned out males, females and neither yet.

    Raises:
        BadInput: they are not as many as moved on.
    """
    if said.by_sex or said.sex:
        return said
    by_sex = _take_by_sex(words)
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
    words: Words, said: _Said, start: int, lot: str, on: dt.date, note: str, vocabulary: Vocabulary
) -> tuple[Move, ...] | HatchOut:
    """'12 hatched' moves eggs on; '1 hatched 63 L1' opens an ootheca, sac or clutch."""
    words.take_phrase(("into",))
    objects = [name for name, unit in vocabulary.stages[lot] if unit == "object"]
    if words.peek().isdigit() and words.peek().isascii():
        animals = int(words.take())
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
        count = _count_of(said, words, start, lot, vocabulary)
        return HatchOut(lot, count, animals, to_stage, on, stage=said.stage, tub=said.tub, note=note)
    if said.stage in objects or (objects and said.stage is None):
        raise BadInput(
            say("How many young hatched? Write: {lot} 1 {objects} hatched 63 L1.", lot=lot, objects=objects[0]),
            field="animals",
        )
    return _each(said, Move("next stage", 1), words, start, lot, vocabulary)


def _sexed(words: Words, said: _Said, start: int, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """'P08/07 female', 'P08 4 sexed male', 'P08 2.3 sexed'."""
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
    return _each(said, Move("sexed", 1, to_sex=sex, to_sure=_sure(words)), words, start, lot, vocabulary)


def _sure(words: Words) -> str:
    return "probable" if words.take_phrase(("probable", "probably")) else "confirmed"


def _into_tubs(words: Words, said: _Said, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """'10 L3 into tubs 1-10': the same number into each; '2 into tub 07'."""
    before = words.words[words.at - 1].casefold()
    place = words.at
    label = words.take()
    if not label or label == ",":
        raise BadInput(say("Into which tub? Write: into tub 07, or into tubs 1-10."), field="to_tub")
    if said.by_sex and before != "tubs":
        name = _to_tub(words, place, label, lot, vocabulary)
        return tuple(Move("tub moved", n, said.stage, sex, said.tub, to_tub=name) for sex, n in said.by_sex)
    if said.by_sex:
        raise BadInput(say("Write the sexes for each tub: {lot} 2.1 into tub 1.", lot=lot), field="count")
    if said.count is None and vocabulary.tubs.get(lot, {}).get(said.tub or "") == 1:
        said.count = 1
    if said.count is None:
        raise BadInput(
            say("How many go into {label}? Write: {lot} 10 into tubs 1-10.", label=quoted(label), lot=lot),
            field="count",
        )
    if before == "into" and _TUB_RANGE.fullmatch(label):
        raise Ambiguous(
            say("Tubs {label}, or one tub called {label}? Say tubs or tub.", label=label),
            field="to_tub",
            choices=tuple(words.replaced(place, place, word) for word in ("tubs", "tub")),
        )
    tubs = _tub_range(label, said.count) if before == "tubs" else [label]
    names = [_to_tub(words, place, tub, lot, vocabulary) for tub in tubs]
    each, over = divmod(said.count, len(names))
    if over or not each:
        raise BadInput(
            say(
                "{count} animals do not divide evenly over {names} tubs; write a line for each number.",
                count=said.count,
                names=len(names),
            ),
            field="count",
        )
    return tuple(Move("tub moved", each, said.stage, said.sex, said.tub, to_tub=name) for name in names)


def _to_tub(words: Words, place: int, label: str, lot: str, vocabulary: Vocabulary) -> str:
    """A tub that is there, or a new one; tub 7 where there is a tub 07 is refused."""
    existing = vocabulary.tubs.get(lot, {})
    exact = [known for known in existing if known.casefold() == label.casefold()]
    if exact:
        return exact[0]
    alike = [known for known in existing if label.isdigit() and known.isdigit() and int(known) == int(label)]
    if alike:
        typed = words.words[place]
        written = "-".join(number.zfill(len(alike[0])) for number in typed.split("-")) if typed != label else alike[0]
        raise Ambiguous(
            say(
                "{lot} has a tub {alike} and no tub {label}; write {written}.",
                lot=lot,
                alike=alike[0],
                label=label,
                written=written,
            ),
            field="to_tub",
            choices=(words.replaced(place, place + 1, written),),
        )
    return clean_code(label, field="tub")


def _tub_range(label: str, count: int) -> list[str]:
    found = _TUB_RANGE.fullmatch(label)
    if found is None:
        raise BadInput(
            say("{label} is not a range of tubs; write: into tubs 1-10.", label=quoted(label)), field="to_tub"
        )
    first, last = int(found[1]), int(found[2])
    if last < first or last - first >= max(count, 1):
        raise BadInput(
            say("Tubs {label} are not a range that {count} animals can fill; check it.", label=label, count=count),
            field="to_tub",
        )
    return [str(number).zfill(len(found[1])) for number in range(first, last + 1)]


def _each(said: _Said, move: Move, words: Words, start: int, lot: str, vocabulary: Vocabulary) -> tuple[Move, ...]:
    """The move for the animals said: one, or one for each sex of 1.2.3."""
    if said.estimated:
        move = replace(move, estimated=True)
    if said.by_sex and move.reason == "next stage":
        # Of those that moved on: a sex shows when it is there, and may have been unknown before.
        moved = replace(move, stage=said.stage, tub=said.tub)
        return tuple(
            replace(moved, count=n, sex="unsexed") if sex == "unsexed" else replace(moved, count=n, to_sex=sex)
            for sex, n in said.by_sex
        )
    if said.by_sex:
        return tuple(replace(move, count=n, sex=sex, stage=said.stage, tub=said.tub) for sex, n in said.by_sex)
    count = _count_of(said, words, start, lot, vocabulary)
    return (replace(move, count=count, sex=said.sex, stage=said.stage, tub=said.tub),)


def _count_of(said: _Said, words: Words, start: int, lot: str, vocabulary: Vocabulary) -> int:
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
