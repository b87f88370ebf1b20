"""The round: every tub on a line in the order of the shelves, marked with one key each, and all marks saved at once.

Marks are staged: they stand on the row in words, outlive a closed terminal, and nothing is recorded until the whole
round has been read through and saved in one act. Every key acts before the next is read, so that keys that come in a
burst over a lagging line mark the right tub; hence digits and arrows are actions here, too.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.binding import Binding
from textual.widget import Widget

from ledger.act import Done
from ledger.errors import Refused, SaidDifferently
from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.actions import Act
from tui.places.listing import ListScreen, ReckonedListing
from tui.places.round_acts import MOVES, OTHERS, TAPPED
from tui.places.round_page import RoundPage
from tui.round_marks import (
    COUNTED,
    DIED,
    MOVED,
    TubMarks,
    key_of,
    left_to_mark,
    marks_in,
    round_of,
    summed_up,
    where_of,
    with_number,
    with_sexes,
)
from tui.round_rows import detail_of, row_of, to_know
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row
from tui.widgets.taps import Taps

if TYPE_CHECKING:
    from ledger.books.rounds_due import RoundTub

DRAFT = "round"
_TOKEN = "token"
_AT = "at"
"""The row that was marked last, kept with the marks."""
PHONE = 60
"""Below so many cells only the tub, its animals and its marks have room."""


class RoundPlace(ReckonedListing):
    """The tubs of a round."""

    NAME = "round"
    WHERE = "round"
    TITLE_WORDS = say("Round")
    HELP = say(
        "The tubs as they stand on the shelves, ! before those that are due. One key marks the tub under "
        "the cursor: d one more died, m all moved on to the next stage, f fed, v seen. A number after = "
        "changes what was marked last (d = 3), 2.1 after m = the sexes of those that moved on, c and a number "
        "is a count. * marks all the rest that is "
        "due as usual. Nothing is recorded before Enter has shown the whole round and Enter saves it, "
        "all in one act that ctrl-z takes back."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (*TAPPED, *OTHERS)
    STEPS: ClassVar[tuple[Binding, ...]] = ()
    """None of the list's own: here another row also ends a number."""
    MORE_KEYS: ClassVar[tuple[Binding, ...]] = (
        *(Binding(str(n), f"digit({n})", id=f"round.digit{n}", priority=True, show=False) for n in range(10)),
        *(Binding(key, f"row({step})", id=f"round.{key}", priority=True, show=False) for key, step in MOVES.items()),
        Binding("full_stop", "point", id="round.point", priority=True, show=False),
        Binding("escape", "end_number", id="round.end_number", priority=True, show=False),
    )
    COLUMNS = (
        Column(say("tub"), 9),
        Column(say("animals"), 13, below=PHONE),
        Column(say("animals"), 20, above=PHONE),
        Column(say("last seen"), 9, above=PHONE),
        Column(say("due"), 9, above=PHONE),
        Column(say("marked")),
        Column(say("place"), 14, above=100),
    )
    EMPTY = (
        say("There are no tubs yet."),
        say("Open a lot with the animals you have: 3 Stock, then n. Its tubs stand here then."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._tubs: dict[str, RoundTub] = {}
        self._marked: dict[str, TubMarks] = {}
        self._token = ""
        self._at = ""
        """The row that was marked last."""
        self._due_only = False
        self._what = ""
        """What a number is about: died, moved or counted; empty: nothing was marked on this row."""
        self._numbering = False
        """Whether digits belong to the row."""
        self._fresh = False
        """Whether the next digit begins the number anew."""
        self._parts: list[int] = []
        """The number as it is typed: one, or males, females and unsexed."""
        self._before = TubMarks()
        """The marks before a number was typed."""
        self._which = False
        """Whether = waits to be told what its number is of."""
        self._complained = False
        self._saved: dict[str, TubMarks] = {}
        """The marks of the round that was saved last, while nothing else was recorded since."""

    def body(self) -> Iterable[Widget]:
        yield from super().body()
        yield Taps(TAPPED, id="round-taps")

    @on(Taps.Tapped)
    async def _tapped(self, event: Taps.Tapped) -> None:
        event.stop()
        await self.run_action(f"screen.{event.name}")

    # --- what stands there -------------------------------------------------------------------------------------------

    def opened(self) -> None:
        kept = self.desk.drafts.get(DRAFT)
        self._token = kept.pop(_TOKEN, "") or new_token(time.time_ns())
        self._at = kept.pop(_AT, "")
        self._marked = marks_in(kept)
        super().opened()
        if self._marked:
            self.desk.say(Answer(say("The round is as it was left: {marks}.", marks=summed_up(self._marked))))

    def resumed(self) -> None:
        super().resumed()
        self._go_there()

    def _changed(self, done: object) -> None:
        """A round that is taken back at once lies there again, to be corrected."""
        saved, self._saved = self._saved, {}
        back = isinstance(done, Done) and done.sentence.startswith("Taken back")
        if saved and back and not any(self._marked.values()):
            self._marked = saved
            self._keep()
        super()._changed(done)

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.round_tubs

    def rows_of(self, answer: object) -> list[Row]:
        self._tubs = {key_of(tub): tub for tub in cast("tuple[RoundTub, ...]", answer)}
        return self._lines()

    def told(self, answer: object) -> None:
        first = not self._told_once
        super().told(answer)
        if first:
            due = next((at for at, tub in enumerate(self._tubs.values()) if tub.due), 0)
            keys = [row.key for row in self._made]
            self.rows.move_cursor(row=keys.index(self._at) if self._at in keys else due)
        self._go_there()

    def _go_there(self) -> None:
        """Put the cursor on the first tub of the lot that was asked for, once the tubs are known."""
        keys = [row.key for row in self._made]
        lot = self.desk.round_at
        at = next((at for at, key in enumerate(keys) if key.startswith(f"{lot}|")), None)
        if lot and at is not None:
            self.rows.move_cursor(row=at)
            self.desk.round_at = ""

    def _redraw(self) -> None:
        """Show the lines anew without asking the ledger."""
        self._made = self._lines()
        ListScreen.read_anew(self)

    def _lines(self) -> list[Row]:
        shown = [key for key, tub in self._tubs.items() if not self._due_only or tub.due or self._marked.get(key)]
        # What is no longer there keeps its line until its marks are cleared.
        gone = [key for key, marks in self._marked.items() if marks and key not in self._tubs]
        return [self._row(key) for key in (*shown, *gone)]

    def _row(self, key: str) -> Row:
        numbering = self._numbering and key == self.chosen
        by_sex = ".".join(map(str, self._parts)) if len(self._parts) > 1 else ""
        typed = f" ={'_' if self._fresh else by_sex}" if numbering else ""
        done_on = self.desk.ledger.today if self.app.size.width < PHONE else None
        return row_of(key, self._tubs.get(key), self._marked.get(key, TubMarks()), typed, self.desk.order, done_on)

    def detail(self, key: str) -> str:
        if self._numbering:
            if self._what == MOVED:
                return say("{where_of}: type how many moved on, or their sexes as 2.1; any other key goes on.",
                           where_of=where_of(key))  # fmt: skip
            return say("{where_of}: type how many {what}; any other key goes on.",
                       where_of=where_of(key), what=self._what)  # fmt: skip
        if self._which:
            return say("{where_of}: what is the number of? d died, m moved on, c count.", where_of=where_of(key))
        narrow = self.app.size.width < PHONE
        return detail_of(
            key, self._tubs.get(key), self._marked.get(key, TubMarks()), self.desk.order if narrow else None
        )

    def sum_up(self) -> str:
        due = sum(tub.due for tub in self._tubs.values())
        return summed_up(self._marked) or (
            say("{due} due of {tubs} lines", due=due, tubs=len(self._tubs)) if due else say("nothing is due")
        )

    def typing(self) -> bool:
        """While a number is typed the digits are its own."""
        return self._numbering or super().typing()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("digit", "point"):
            return self._numbering and not super().typing()
        if action in ("row", "end_number"):
            return not super().typing() and (action == "row" or self._numbering or self._which)
        if any(act.name == action for act in self.ACTS):
            return not super().typing()
        return super().check_action(action, parameters)

    # --- marking -----------------------------------------------------------------------------------------------------

    def _mark(self, change: Callable[[RoundTub, TubMarks], TubMarks], what: str = "") -> bool:
        """Change the marks of the row the cursor is on, or say why they cannot be so, and whether they are."""
        key = self.chosen
        tub = self._tubs.get(key or "")
        if key is None or tub is None:
            if not self._told_once:
                self._complain(say("The tubs are still being read; nothing was marked."))
            return False
        able = True
        try:
            self._marked[key] = change(tub, self._marked.get(key, TubMarks()))
        except Refused as refusal:
            able = False
            self._complain(refusal.sentence)
        else:
            if self._complained:
                self.desk.say(Answer(""))
                self._complained = False
        self._what = what
        self._keep()
        self._show(key)
        return able

    def _put(self, marks: TubMarks) -> None:
        """Put marks on the row the cursor is on."""
        if self.chosen is not None:
            self._marked[self.chosen] = marks
            self._keep()
            self._show(self.chosen)

    def _complain(self, sentence: str) -> None:
        self._complained = True
        self.desk.say(Answer(sentence, "refused"))

    def _keep(self) -> None:
        kept = {key: marks.kept() for key, marks in self._marked.items() if marks}
        if kept:
            self.desk.drafts.keep(DRAFT, {**kept, _TOKEN: self._token, _AT: self.chosen or ""})
        else:
            self.desk.drafts.drop(DRAFT)

    def _show(self, key: str) -> None:
        self.rows.put(self._row(key))
        self._sum_up()
        self._say_detail()

    def _end_number(self) -> None:
        if self._which:
            self._which = False
            self._say_detail()
        if self._numbering:
            self._numbering = self._fresh = False
            if self.chosen is not None:
                self._show(self.chosen)

    def _number_is_of(self, what: str) -> bool:
        """Whether the key only answers what a number is of; the number is typed then."""
        if not self._which:
            return False
        self._which, self._what = False, what
        self.action_how_many()
        return True

    def action_died(self) -> None:
        """One more died."""
        if self._number_is_of(DIED):
            return
        self._end_number()
        self._mark(lambda tub, marks: with_number(tub, marks, DIED, marks.died + 1), DIED)

    def action_moved_on(self) -> None:
        """All that are left moved on; pressed again, none did."""
        if self._number_is_of(MOVED):
            return
        self._end_number()
        tub = self._tubs.get(self.chosen or "")
        if tub is not None and not tub.next_stage:
            why = (
                say("hatching asks how many: write it in the jot line")
                if tub.unit == "object"
                else say("that is the last stage")
            )
            self._complain(say("{where_of}: {why}.", where_of=where_of(self.chosen or ""), why=why))
            return
        self._mark(lambda tub, marks: with_number(tub, marks, MOVED, marks.moved + left_to_mark(tub, marks)
                                                  if left_to_mark(tub, marks) else 0), MOVED)  # fmt: skip

    def action_fed(self) -> None:
        """Fed and seen, or no longer."""
        self._end_number()
        self._mark(lambda _, marks: replace(marks, fed=not marks.fed, seen=not marks.fed))

    def action_seen(self) -> None:
        """Seen, or no longer."""
        self._end_number()
        self._mark(lambda _, marks: replace(marks, seen=not marks.seen))

    def action_counted(self) -> None:
        """A count: the digits that follow are its number."""
        self._end_number()
        if self.chosen in self._tubs:
            self._what = COUNTED
            self.action_how_many()

    def action_how_many(self) -> None:
        """Give the digits that follow to what was marked last on this row."""
        key = self.chosen or ""
        marks = self._marked.get(key, TubMarks())
        if not self._what and len(marks.numbers) > 1:
            # After a look elsewhere nobody knows which of them was meant.
            self._which = True
            self._say_detail()
            return
        self._what = self._what or strung(marks.numbers)
        if key not in self._tubs or not self._what:
            self._complain(say("First mark what a number is of: d died, m moved on, c count."))
            return
        self._numbering = self._fresh = True
        self._before, self._parts = marks, [0]
        self._show(key)

    def action_digit(self, digit: int) -> None:
        """One digit of a number; the first begins it."""
        self._fresh = False
        self._parts[-1] = self._parts[-1] * 10 + digit
        self._number(self._parts)

    def action_point(self) -> None:
        """The number goes on by sex: 2.1 are two males and a female of those that moved on."""
        if self._what == MOVED and not self._fresh and len(self._parts) < 3:
            self._parts.append(0)
            self._number(self._parts)

    def _number(self, parts: Sequence[int]) -> None:
        """Mark the number; where it cannot be so, the one before it stands again, and may be typed anew."""
        what = self._what

        def change(tub: RoundTub, marks: TubMarks) -> TubMarks:
            return with_sexes(tub, marks, parts) if len(parts) > 1 else with_number(tub, marks, what, parts[0])

        if not self._mark(change, what):
            before = self._before
            self._fresh, self._parts = True, [0]
            self._put(before)

    def action_end_number(self) -> None:
        """The number is as it stands."""
        self._end_number()

    def action_row(self, step: int) -> None:
        """Another row, before the next key is read."""
        self._end_number()
        self._what = ""
        self.rows.move_cursor(row=min(max(self.rows.cursor_row + step, 0), max(self.rows.held - 1, 0)))

    def action_as_usual(self) -> None:
        """Everything that is due and has no mark was fed and seen; what must not be disturbed was seen."""
        self._end_number()
        self._usual(tub for tub in self._tubs.values() if tub.due)

    def action_whole_shelf(self) -> None:
        """The shelf the cursor is on, due or not; where all of it is marked, every shelf."""
        self._end_number()
        here = self._tubs.get(self.chosen or "")
        if here is None:
            return
        if not self._usual(tub for tub in self._tubs.values() if tub.place == here.place):
            self._usual(self._tubs.values())
        self.desk.say(Answer(say("Marked as usual, nothing is recorded yet: {marks}.", marks=summed_up(self._marked))))

    def _usual(self, tubs: Iterable[RoundTub]) -> bool:
        """Mark tubs without a mark as fed and seen, what must not be disturbed as seen; whether there were any."""
        done = {(tub.lot, tub.tub) for key, tub in self._tubs.items() if self._marked.get(key)}
        found = {key_of(tub): tub for tub in tubs if tub.rests_until is None and (tub.lot, tub.tub) not in done}
        for key, tub in found.items():
            self._marked[key] = TubMarks(fed=not tub.leave_alone, seen=True)
        self._keep()
        self._redraw()
        return bool(found)

    def action_clear(self) -> None:
        """No marks for this tub; while a number is typed, no number."""
        key = self.chosen
        self._end_number()
        if key is None:
            return
        self._marked.pop(key, None)
        self._what = ""
        self._keep()
        if key in self._tubs:
            self._show(key)
        else:
            self._redraw()

    def action_afresh(self) -> None:
        """Clear every mark."""
        self._end_number()
        self._forget()
        self._redraw()
        self.desk.say(Answer(say("Every mark of the round was cleared; nothing of it was recorded.")))

    def _forget(self) -> None:
        self._marked = {}
        self._what = ""
        self._token = new_token(time.time_ns())
        self.desk.drafts.drop(DRAFT)

    def action_due_only(self) -> None:
        """Only what is due or marked, or all again."""
        self._end_number()
        self._due_only = not self._due_only
        self._redraw()

    async def action_lot(self) -> None:
        """The lot of the row."""
        self._end_number()
        tub = self._tubs.get(self.chosen or "")
        if tub is not None:
            await self.desk.open_lot(tub.lot)

    # --- saving ------------------------------------------------------------------------------------------------------

    async def action_look_over(self) -> None:
        """The whole round in words; while a number is typed, the number is as it stands."""
        if self._numbering:
            self._end_number()
            return
        if not any(self._marked.values()):
            self.desk.say(Answer(say("Nothing is marked yet: d died, m moved on, f fed, v seen, * the rest as usual.")))
            return
        # What was recorded before must not be read as this round's.
        self.desk.say(Answer(""))
        await self.desk.open_form(RoundPage(self))

    def lines(self) -> list[str]:
        """The marks row by row, in words."""
        found: list[str] = []
        for key, marks in self._marked.items():
            tub = self._tubs.get(key)
            said = strung((marks.words(tub), *to_know(tub, marks)), " · ")
            found += [say("{where_of}: {key}", where_of=where_of(key), key=said)] if marks else []
        return found

    def command(self) -> object:
        """The round as one command. Raises Refused."""
        return round_of(self._tubs.values(), self._marked, self.desk.ledger.today)

    def save(self) -> None:
        """Record everything in one act, or nothing. Raises Refused."""
        marked = dict(self._marked)
        try:
            self.desk.record(self.command(), self._token)
        except SaidDifferently:
            # What was first saved with this token stands; the marks as they are now are another act.
            self._token = new_token(time.time_ns())
            self._keep()
            raise
        self._forget()
        self._saved = marked
        self._redraw()
