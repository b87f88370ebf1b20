"""The lines of a round: a tub, its animals, when it was last seen and is due, and its marks in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from ledger.books.rounds_due import RoundTub
from ledger.days import Order
from ledger.stock.words import counted_stage, place
from ledger.wording import counted, say, strung, word
from tui.look import without_year
from tui.round_marks import TubMarks, left_to_mark, where_of
from tui.widgets.paged import Row

_SIGN = {"male": " ♂", "female": " ♀", "hermaphrodite": " ⚥"}


class Line(Row):
    """A row that is drawn when it is looked at: marks change thousands at once, and a screen shows some 20."""

    __slots__ = ("_draw",)

    _draw: Callable[[str], Row]

    def __init__(self, key: str, draw: Callable[[str], Row]) -> None:
        for name, value in (("key", key), ("also", ""), ("_draw", draw)):
            object.__setattr__(self, name, value)

    @property
    def cells(self) -> tuple[str | tuple[str, str], ...]:
        """As they are now."""
        return self._draw(self.key).cells


def row_of(
    key: str, tub: RoundTub | None, marks: TubMarks, typed: str, order: Order, done_on: dt.date | None = None
) -> Row:
    """One line; `typed`: what stands after the marks while a number is typed. Without a tub: it is no longer there.

    On a narrow screen the marks are said by the letters of their keys, and ✓ stands before what was seen on the day
    `done_on`; the sentence below the list has the words.
    """
    narrow = done_on is not None
    if tub is None:
        lot, name, stage, *_ = (*key.split("|"), "", "", "")
        return Row(
            key,
            (
                place(lot, name),
                word(stage),
                say("{stage}: no longer there", stage=word(stage)),
                "",
                "",
                marks.words(None),
                "",
            ),
        )
    where = place(tub.lot, tub.tub)
    due = without_year(tub.due_on, order)
    if tub.rests_until is not None:
        due = say("rests to {without_year}", without_year=without_year(tub.rests_until, order))
    return Row(
        key,
        (
            (say("! {where}", where=where), "bold")
            if tub.due
            else f"✓ {where}"
            if narrow and tub.last_on == done_on
            else f"  {where}",
            strung((counted_stage(tub.count, tub.stage), _SIGN.get(tub.sex, "")), ""),
            counted_stage(tub.count, tub.stage, tub.sex, tub.sure),
            without_year(tub.last_on, order) if tub.last_on else say("never"),
            (due, "$warning") if tub.due else (due, "$quiet"),
            ((marks.letters if narrow else marks.words(tub)) + typed, "bold"),
            tub.place,
        ),
    )


def to_know(tub: RoundTub | None, marks: TubMarks) -> list[str]:
    """What to know of the marks of a line before they are recorded."""
    if tub is None:
        return []
    said = [say("do not disturb")] if tub.leave_alone and marks.fed else []
    left = left_to_mark(tub, marks)
    if marks.counted is not None and marks.counted != left:
        said.append(counted(left, "but {n} is recorded", "but {n} are recorded"))
    return said


def detail_of(key: str, tub: RoundTub | None, marks: TubMarks, order: Order | None = None) -> str:
    """What a line says in full, in a sentence; with an order of days also when it was seen last and is due."""
    if tub is None:
        return say(
            "{where_of} is no longer there; backspace clears its marks ({none_}).",
            where_of=where_of(key),
            none_=marks.words(None),
        )
    known = to_know(tub, marks)
    said = say("{where_of}, {count} there", where_of=where_of(key), count=tub.count)
    quiet = say("do not disturb, looking on from outside is enough")
    if order is None:
        quiet = say("; {quiet}", quiet=quiet) if tub.leave_alone else ""
        place_said = say("{place}: ", place=tub.place) if tub.place else ""
        whole = strung((place_said, said, quiet, "."), "")
        known = [one for one in known if not tub.leave_alone or one not in quiet]
        return strung((whole, _marked(tub, marks, known))) if marks else whole
    # There is little room: what was marked comes first.
    if marks:
        said = strung((said, strung((marks.words(tub), *known), ", ")), ": ")
    due = (
        say("rests to {without_year}", without_year=without_year(tub.rests_until, order))
        if tub.rests_until is not None
        else say("due {day}", day=without_year(tub.due_on, order))
    )
    seen = say("seen {day}", day=without_year(tub.last_on, order)) if tub.last_on else say("never seen")
    alone = [say("do not disturb")] if tub.leave_alone and not known else []
    return strung((strung((said, *alone, seen, due, *([tub.place] if tub.place else [])), "; "), "."), "")


def _marked(tub: RoundTub, marks: TubMarks, known: list[str]) -> str:
    return say("Marked: {marks}.", marks=strung((marks.words(tub), *known), ", "))
