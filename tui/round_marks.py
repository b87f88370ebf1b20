"""The marks of a round while it is walked: what was put down for each tub, in words, and the one command they become.

A mark is nothing recorded yet. Marks are kept as words, so that a draft of them can be read again after the terminal
was closed. Knows neither the screen nor the ledger.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from ledger.errors import BadInput
from ledger.stock.commands import Mark, Move, Record, SaveRound
from ledger.stock.words import SEXES, place, sex_words, stage_words
from ledger.wording import counted, say, strung, word

if TYPE_CHECKING:
    from ledger.books.rounds_due import RoundTub

DIED, MOVED, COUNTED = "died", "moved", "counted"
MOST = 9_999
_WORDS = re.compile(r"(?:(\d+) (died|moved|counted)(?: (\d+)\.(\d+)\.)?)|fed|seen")


@dataclass(frozen=True, slots=True)
class TubMarks:
    """What was put down for the animals of one line."""

    died: int = 0
    moved: int = 0
    fed: bool = False
    seen: bool = False
    counted: int | None = None
    males: int = 0
    females: int = 0
    """Of those that moved on, so many turned out to be of a sex."""

    def __bool__(self) -> bool:
        return bool(
            self.fed or self.seen or self.died or self.moved or self.counted is not None or self.males or self.females
        )

    def numbered(self, what: str, number: int) -> TubMarks:
        """With one number set; of those that moved on no sex is said then."""
        if what == COUNTED:
            return replace(self, counted=number)
        return replace(self, died=number) if what == DIED else replace(self, moved=number, males=0, females=0)

    def number_of(self, what: str) -> int:
        """One of the numbers."""
        return {DIED: self.died, MOVED: self.moved, COUNTED: self.counted or 0}[what]

    @property
    def numbers(self) -> tuple[str, ...]:
        """Which numbers stand there."""
        there = {DIED: self.died, MOVED: self.moved, COUNTED: self.counted is not None}
        return tuple(what for what, stands in there.items() if stands)

    @property
    def sexes(self) -> str:
        """Of those that moved on, as 1.2.3; empty while no sex was said."""
        if not self.males + self.females:
            return ""
        return f"{self.males}.{self.females}.{self.moved - self.males - self.females}"

    @lru_cache(maxsize=1024)  # noqa: B019 - a value; marks of thousands of tubs are mostly alike
    def kept(self) -> str:
        """As it is kept in a draft: '2 died, 12 moved, fed'."""
        said = [f"{self.died} {DIED}"] if self.died else []
        said += [f"{self.moved} {MOVED} {self.sexes}".rstrip()] if self.moved else []
        said += [f"{self.counted} {COUNTED}"] if self.counted is not None else []
        return ", ".join([*said, *(["fed"] if self.fed else []), *(["seen"] if self.seen else [])])

    @classmethod
    @lru_cache(maxsize=1024)
    def read(cls, text: str) -> TubMarks:
        """What `kept` wrote; anything else is passed over."""
        marks = cls()
        for found in _WORDS.finditer(text):
            if found[2]:
                marks = marks.numbered(found[2], min(int(found[1]), MOST))
                if found[3] and int(found[3]) + int(found[4]) <= marks.moved:
                    marks = replace(marks, males=int(found[3]), females=int(found[4]))
            else:
                marks = replace(marks, fed=marks.fed or found[0] == "fed", seen=marks.seen or found[0] == "seen")
        return marks

    def words(self, tub: RoundTub | None) -> str:
        """As it stands on the row: '2 died · 12 → pupa · fed'; what was fed was seen, unless it says otherwise."""
        to = strung(("→", short_stage(word(tub.next_stage)))) if tub is not None and tub.next_stage else say("moved")
        said = [say("{died} died", died=self.died)] if self.died else []
        said += [strung(part for part in (str(self.moved), to, self.sexes) if part)] if self.moved else []
        said += [say("{counted} counted", counted=self.counted)] if self.counted is not None else []
        if self.fed:
            said.append(say("fed") if self.seen else say("fed unseen"))
        elif self.seen:
            said.append(say("seen"))
        return strung(said, " · ")

    @property
    def letters(self) -> str:
        """As it stands on a narrow row, by the letters of the keys: 'd2 m12 f'."""
        said = [f"d{self.died}"] if self.died else []
        said += [f"m{self.moved}"] if self.moved else []
        said += [f"c{self.counted}"] if self.counted is not None else []
        said += ["f" if self.seen else "f-v"] if self.fed else ["v"] if self.seen else []
        return " ".join(said)


def short_stage(name: str) -> str:
    """'L4-6' of 'L4-6 nymph': the number says which stage it is."""
    first = name.split()[0] if name.split() else name
    return first if any(letter.isdigit() for letter in first) else name


def key_of(tub: RoundTub) -> str:
    """What a line is known by: lot, tub, stage and sex."""
    return "|".join((tub.lot, tub.tub, tub.stage, tub.sex, tub.sure))


def where_of(key: str) -> str:
    """'P08/07 L3', 'E04 adult female', of the key of a line."""
    lot, tub, stage, sex, sure = (*key.split("|"), "", "", "", "", "")[:5]
    of = sex_words(sex, sure) if sex in SEXES else ""
    return strung((part for part in (place(lot, tub), word(stage) if stage else "", of) if part), " ")


def tub_of(key: str) -> str:
    """Lot and tub of the key of a line; the tub may stand on several."""
    lot, _, rest = key.partition("|")
    return f"{lot}|{rest.partition('|')[0]}"


UNMARKED = TubMarks()
AS_USUAL = {alone: TubMarks(fed=not alone, seen=True) for alone in (False, True)}
"""The marks of a line where nothing was out of the ordinary, by whether it is only looked at."""


def usual_of(tub: RoundTub) -> TubMarks:
    """Of a line: eggs eat nothing, and some stages must be left alone; these are only looked at."""
    return AS_USUAL[tub.leave_alone or tub.unit != "animal"]


class Marked(MutableMapping[str, TubMarks]):
    """What was put down, by line. How many marks there are of each kind is counted as they change, and which lines
    changed is remembered until it is asked for.

    Args:
        marks: what was put down before.
    """

    def __init__(self, marks: Mapping[str, TubMarks] | None = None) -> None:
        self._marks: dict[str, TubMarks] = {}
        self.lines = self.died = self.moved = 0
        # A tub may stand on several lines, by stage and sex; it is fed and seen once, a stage of it counted once.
        self._fed: Counter[str] = Counter()
        self._seen: Counter[str] = Counter()
        self._touched: Counter[str] = Counter()
        self._counted: Counter[str] = Counter()
        self._stages: Counter[str] = Counter()
        self._changed: dict[str, None] = {}
        for key, one in (marks or {}).items():
            self[key] = one
        self._changed.clear()

    def __getitem__(self, key: str) -> TubMarks:
        return self._marks[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._marks)

    def __len__(self) -> int:
        return len(self._marks)

    def __setitem__(self, key: str, marks: TubMarks) -> None:
        before = self._marks.get(key, UNMARKED)
        self._marks[key] = marks
        self._count(key, before, marks)

    def __delitem__(self, key: str) -> None:
        self._count(key, self._marks.pop(key), UNMARKED)

    def _count(self, key: str, before: TubMarks, after: TubMarks) -> None:
        self._changed[key] = None
        self.lines += bool(after) - bool(before)
        self.died += after.died - before.died
        self.moved += after.moved - before.moved
        looked_at, touched = before.counted is not None, bool(before.died or before.moved)
        tub, stage = tub_of(key), "|".join(key.split("|")[:3])
        for those, name, more in (
            (self._fed, tub, after.fed - before.fed),
            (self._seen, tub, after.seen - before.seen),
            (self._touched, tub, bool(after.died or after.moved) - touched),
            (self._counted, tub, (after.counted is not None) - looked_at),
            (self._stages, stage, (after.counted is not None) - looked_at),
        ):
            if more:
                those[name] += more
                if not those[name]:
                    del those[name]

    @property
    def counted(self) -> int:
        """How many stages of tubs were counted."""
        return len(self._stages)

    @property
    def fed(self) -> int:
        """How many tubs were fed."""
        return len(self._fed)

    @property
    def seen(self) -> int:
        """How many tubs were seen; as `round_of` has it, what died or moved on was found by looking there."""
        touched = self._touched.keys() - self._fed.keys() - self._counted.keys()
        return len(self._seen.keys() | touched)

    def looked_at(self, tub: RoundTub) -> bool:
        """Whether a tub was fed or seen, on any of its lines."""
        name = f"{tub.lot}|{tub.tub}"
        return name in self._fed or name in self._seen

    def changed(self) -> Sequence[str]:
        """The lines that changed since this was asked last."""
        changed = tuple(self._changed)
        self._changed.clear()
        return changed


def left_to_mark(tub: RoundTub, marks: TubMarks) -> int:
    """How many of a line are neither marked as dead nor as moved on."""
    return tub.count - marks.died - marks.moved


def with_number(tub: RoundTub, marks: TubMarks, what: str, number: int) -> TubMarks:
    """The marks with one number set.

    Raises:
        BadInput: there are not so many.
    """
    if what == COUNTED:
        return marks.numbered(COUNTED, min(number, MOST))
    other = marks.moved if what == DIED else marks.died
    if number + other > tub.count:
        rest = (
            (say(" beside {other} moved on", other=other) if what == DIED else say(" beside {other} died", other=other))
            if other
            else ""
        )
        raise BadInput(
            counted(
                tub.count,
                "{place}: only {n} {stage} is there{rest}, not {number}.",
                "{place}: only {n} {stage} are there{rest}, not {number}.",
                place=place(tub.lot, tub.tub),
                stage=stage_words(tub.stage, tub.count),
                rest=rest,
                number=number,
            ),
            field="count",
        )
    return marks.numbered(what, number)


def with_sexes(tub: RoundTub, marks: TubMarks, parts: Sequence[int]) -> TubMarks:
    """The marks with those that moved on said by sex: males, females and, if said, those of neither yet.

    Raises:
        BadInput: there are not so many, or their sex is known already.
    """
    if tub.sex != "unsexed" or tub.unit != "animal":
        raise BadInput(
            say("{tub}: their sex is recorded already; give their number alone.", tub=where_of(key_of(tub))),
            field="sex",
        )
    males, females = (*parts, 0, 0)[:2]
    return replace(with_number(tub, marks, MOVED, sum(parts)), males=males, females=females)


def round_of(tubs: Iterable[RoundTub], marked: Mapping[str, TubMarks], on: dt.date) -> SaveRound:
    """One command for everything that was put down.

    Raises:
        BadInput: a marked line is no longer there, has fewer animals than are marked, or a count says too little.
    """
    by_key = {key_of(tub): tub for tub in tubs}
    seen: dict[tuple[str, str, str], None] = {}
    handled: dict[tuple[str, str], None] = {}
    counts: dict[tuple[str, str, str], list[int | None]] = defaultdict(list)
    moves: dict[str, list[Move]] = defaultdict(list)
    for key, marks in marked.items():
        if not marks:
            continue
        tub = by_key.get(key)
        if tub is None:
            raise BadInput(
                say(
                    "{where_of} is no longer there; clear its marks ({none_}).",
                    where_of=where_of(key),
                    none_=marks.words(None),
                ),
                field="marks",
            )
        with_number(tub, marks, DIED, marks.died)
        seen |= {
            (tub.lot, tub.tub, kind): None for kind, on_it in (("fed", marks.fed), ("looked", marks.seen)) if on_it
        }
        if marks.died or marks.moved:
            handled[tub.lot, tub.tub] = None
        sex = f"{tub.sure} {tub.sex}".strip()
        if marks.died:
            moves[tub.lot].append(Move("died", marks.died, tub.stage, sex, tub.tub))
        moved = Move("next stage", marks.moved, tub.stage, sex, tub.tub, tub.next_stage)
        for to_sex, number in (
            ("male", marks.males),
            ("female", marks.females),
            (None, marks.moved - marks.males - marks.females),
        ):
            if number:
                moves[tub.lot].append(replace(moved, count=number, to_sex=to_sex))
    for tub in by_key.values():
        counts[tub.lot, tub.tub, tub.stage].append(marked.get(key_of(tub), UNMARKED).counted)
    # What died or moved on was found by looking there; fed or counted says so already.
    checked = {(lot, tub) for lot, tub, _ in seen} | {
        (lot, tub) for (lot, tub, _), numbers in counts.items() if any(number is not None for number in numbers)
    }
    seen |= {(lot, tub, "looked"): None for lot, tub in handled if (lot, tub) not in checked}
    made = [Mark(lot, kind, tub) for lot, tub, kind in seen]
    for (lot, tub_name, stage), numbers in counts.items():
        said = [number for number in numbers if number is not None]
        if said and len(said) < len(numbers):
            raise BadInput(
                say(
                    "{place} {stage} stands on {numbers} lines, by sex; count each of them or none.",
                    place=place(lot, tub_name),
                    stage=word(stage),
                    numbers=len(numbers),
                ),
                field="marks",
            )
        if said:
            made.append(Mark(lot, "counted", tub_name, stage, sum(said)))
    records = tuple(Record(lot, tuple(done), on) for lot, done in moves.items())
    return SaveRound(tuple(made), on, records)


def marks_in(kept: Mapping[str, str]) -> Marked:
    """The marks in a draft of a round, by line; what else is kept with them is passed over."""
    return Marked({key: marks for key, text in kept.items() if "|" in key and (marks := TubMarks.read(text))})


def summed_up(marks: Mapping[str, TubMarks]) -> str:
    """'12 marked: 3 died, 5 moved on, 12 tubs fed', for the foot, in the numbers the round will be recorded with;
    empty while nothing is."""
    marked = marks if isinstance(marks, Marked) else Marked(marks)
    if not marked.lines:
        return ""
    numbers = ((marked.died, say("died")), (marked.moved, say("moved on")), (marked.counted, say("counted")))
    said = [strung((str(n), what)) for n, what in numbers if n]
    fed, seen = marked.fed, marked.seen
    said += [counted(fed, "{n} tub fed", "{n} tubs fed")] if fed else []
    if seen:
        said.append(say("{n} seen", n=seen) if fed else counted(seen, "{n} tub seen", "{n} tubs seen"))
    return say("{rows} marked: {marks}", rows=marked.lines, marks=strung(said, ", "))
