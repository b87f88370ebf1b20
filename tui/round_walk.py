"""The marks of a round while it is walked, kept as a draft at every change: a closed terminal loses none.

Knows the drafts, but no screen.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.drafts import Drafts
from tui.round_marks import TubMarks, key_of, left_to_mark, marks_in, where_of
from tui.round_rows import to_know

if TYPE_CHECKING:
    from ledger.books.rounds_due import RoundTub

DRAFT = "round"
_TOKEN = "token"
_AT = "at"
"""The row that was marked last, kept with the marks."""


class Walk:
    """One round.

    Args:
        drafts: where it is kept.
    """

    def __init__(self, drafts: Drafts) -> None:
        self._drafts = drafts
        kept = drafts.get(DRAFT)
        self.token = kept.pop(_TOKEN, "") or new_token(time.time_ns())
        self.at = kept.pop(_AT, "")
        """The row that was marked last."""
        self.marked = marks_in(kept)
        """What was put down, by line."""

    def __bool__(self) -> bool:
        return any(self.marked.values())

    def of(self, key: str) -> TubMarks:
        """The marks of a line."""
        return self.marked.get(key, TubMarks())

    def keep(self, at: str) -> None:
        """Remember the marks, and the row one stands at."""
        kept = {key: marks.kept() for key, marks in self.marked.items() if marks}
        if kept:
            self._drafts.keep(DRAFT, {**kept, _TOKEN: self.token, _AT: at})
        else:
            self._drafts.drop(DRAFT)

    def another_act(self) -> None:
        """What was first saved with this token stands; the marks as they are now are another act."""
        self.token = new_token(time.time_ns())

    def forget(self) -> None:
        """No marks, and a new round."""
        self.marked = {}
        self.another_act()
        self._drafts.drop(DRAFT)

    def whole_shelf(self, every: Iterable[RoundTub], tubs: Iterable[RoundTub]) -> bool:
        """As `as_usual`, and what became of some animals of a tub does not keep the rest of it from being fed; whether
        there was any tub that was neither marked as fed nor as seen."""
        looked_at = {
            (tub.lot, tub.tub) for tub in every if self.of(key_of(tub)).fed or self.of(key_of(tub)).seen
        }  # fmt: skip
        found = [tub for tub in tubs if tub.rests_until is None and (tub.lot, tub.tub) not in looked_at]
        for tub in found:
            self.marked[key_of(tub)] = replace(self.of(key_of(tub)), fed=not tub.leave_alone, seen=True)
        return bool(found)

    def as_usual(self, every: Iterable[RoundTub], tubs: Iterable[RoundTub]) -> bool:
        """Mark tubs without a mark as fed and seen, what must not be disturbed as seen; whether there were any.

        Args:
            every: all lines of the round; a tub may stand on several.
            tubs: those that may be marked.
        """
        done = {(tub.lot, tub.tub) for tub in every if self.marked.get(key_of(tub))}
        found = {key_of(tub): tub for tub in tubs if tub.rests_until is None and (tub.lot, tub.tub) not in done}
        for key, tub in found.items():
            self.marked[key] = TubMarks(fed=not tub.leave_alone, seen=True)
        return bool(found)

    def why_line(self, tubs: dict[str, RoundTub]) -> str:
        """A jot line for the first count that differs from what is left, to be ended with the reason."""
        for key, marks in self.marked.items():
            tub = tubs.get(key)
            off = 0 if tub is None or marks.counted is None else left_to_mark(tub, marks) - marks.counted
            if tub is not None and off:
                which = f"{tub.sure} {tub.sex}" if tub.sure == "probable" else tub.sex
                what = "missing" if off > 0 else "found"
                where = f"{tub.lot}/{tub.tub}" if tub.tub else tub.lot
                return f"{where} {abs(off)} {'' if tub.sex == 'unsexed' else f'{which} '}{tub.stage} {what} note "
        return ""

    def in_words(self, tubs: dict[str, RoundTub]) -> list[str]:
        """The marks row by row."""
        found: list[str] = []
        for key, marks in self.marked.items():
            tub = tubs.get(key)
            said = strung((marks.words(tub), *to_know(tub, marks)), " · ")
            found += [say("{where_of}: {key}", where_of=where_of(key), key=said)] if marks else []
        return found
