"""The marks of a round while it is walked, kept as a draft at every change: a closed terminal loses none.

Knows the drafts, but no screen.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.drafts import Drafts
from tui.reckoner import FEW
from tui.round_marks import UNMARKED, Marked, TubMarks, left_to_mark, marks_in, tub_of, usual_of, where_of
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
        self._kept_before = bool(self)
        """Whether a draft holds all but the last changes."""

    def __bool__(self) -> bool:
        return self.marked.lines > 0

    def of(self, key: str) -> TubMarks:
        """The marks of a line."""
        return self.marked.get(key, UNMARKED)

    def keep(self, at: str) -> None:
        """Remember the marks, and the row one stands at."""
        changed = self.marked.changed()
        if not self:
            self._drafts.drop(DRAFT)
        elif len(changed) > FEW or not self._kept_before or DRAFT not in self._drafts:
            kept = {key: marks.kept() for key, marks in self.marked.items() if marks}
            self._drafts.keep(DRAFT, {**kept, _TOKEN: self.token, _AT: at})
        else:
            said: dict[str, str | None] = {key: self.of(key).kept() or None for key in changed}
            self._drafts.change(DRAFT, {**said, _TOKEN: self.token, _AT: at})
        self._kept_before = bool(self)

    def another_act(self) -> None:
        """What was first saved with this token stands; the marks as they are now are another act."""
        self.token = new_token(time.time_ns())

    def forget(self) -> None:
        """No marks, and a new round."""
        self.put_again(Marked())
        self.another_act()
        self._drafts.drop(DRAFT)

    def put_again(self, marked: Marked) -> None:
        """Have these marks instead of those there are."""
        self.marked = marked
        self._kept_before = False

    def whole_shelf(self, tubs: Mapping[str, RoundTub], where: str | None = None) -> bool:
        """As `as_usual` for every tub, and what became of some animals of a tub does not keep the rest of it from being
        fed; whether there was any tub that was neither marked as fed nor as seen.

        Args:
            tubs: all lines of the round.
            where: only those that stand there.
        """
        found = [
            key
            for key, tub in tubs.items()
            if (where is None or tub.place == where) and tub.rests_until is None and not self.marked.looked_at(tub)
        ]
        for key in found:
            usual = usual_of(tubs[key])
            before = self.of(key)
            self.marked[key] = replace(before, fed=usual.fed, seen=usual.seen) if before else usual
        return bool(found)

    def as_usual(self, tubs: Mapping[str, RoundTub]) -> None:
        """Mark tubs that are due and have no mark as fed and seen, eggs and what must not be disturbed as seen.

        Args:
            tubs: all lines of the round; a tub may stand on several.
        """
        done = {tub_of(key) for key, marks in self.marked.items() if marks and key in tubs}
        found = [
            key
            for key, tub in tubs.items()
            if tub.due and tub.rests_until is None and f"{tub.lot}|{tub.tub}" not in done
        ]
        for key in found:
            self.marked[key] = usual_of(tubs[key])

    def why_line(self, tubs: Mapping[str, RoundTub]) -> str:
        """A jot line for the first count that differs from what is left, to be ended with the reason."""
        for key, marks in self.marked.items() if self.marked.counted else ():
            tub = tubs.get(key)
            off = 0 if tub is None or marks.counted is None else left_to_mark(tub, marks) - marks.counted
            if tub is not None and off:
                which = f"{tub.sure} {tub.sex}" if tub.sure == "probable" else tub.sex
                what = "missing" if off > 0 else "found"
                where = f"{tub.lot}/{tub.tub}" if tub.tub else tub.lot
                return f"{where} {abs(off)} {'' if tub.sex == 'unsexed' else f'{which} '}{tub.stage} {what} note "
        return ""

    def in_words(self, tubs: Mapping[str, RoundTub]) -> Iterator[str]:
        """The marks row by row."""
        for key, marks in self.marked.items():
            tub = tubs.get(key)
            if marks:
                said = strung((marks.words(tub), *to_know(tub, marks)), " · ")
                yield say("{where_of}: {key}", where_of=where_of(key), key=said)
