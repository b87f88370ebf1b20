"""The round: every tub on a line in the order of the shelves, marked with one key each, and all marks saved at once.

Marks are staged: they stand on the row in words, outlive a closed terminal, and nothing is recorded until the whole
round has been read through and saved in one act. Every key acts before the next is read, so that keys that come in a
burst over a lagging line mark the right tub; hence digits and arrows are actions here, too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.binding import Binding
from textual.widget import Widget
from textual.widgets import Input

from ledger.act import Done
from ledger.errors import Refused, SaidDifferently
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.drafts import Drafts
from tui.places.listing import Drawn, ListScreen, ReckonedListing
from tui.places.round_acts import MOVES, OTHERS, TAPPED
from tui.places.round_page import RoundPage
from tui.reckoner import FEW
from tui.round_marks import (
    COUNTED,
    DIED,
    MOVED,
    Marked,
    TubMarks,
    key_of,
    left_to_mark,
    round_of,
    summed_up,
    where_of,
    with_number,
)
from tui.round_number import TypedNumber
from tui.round_rows import Line, detail_of, row_of
from tui.round_walk import Walk
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, PagedList, Row
from tui.widgets.taps import Taps

if TYPE_CHECKING:
    from ledger.books.rounds_due import RoundTub
    from ledger.stock.commands import SaveRound

SOME = 10
"""Pages that are read between two keys on the way to a line far down."""
MOST = 50_000
"""Lines that can be gone to and looked through, a line of a shelf being little to hold."""
PHONE = 60
"""Below so many cells only the tub, its animals and its marks have room."""


class RoundPlace(ReckonedListing):
    """The tubs of a round."""

    NAME = "round"
    WHERE = "round"
    TITLE_WORDS = say("Round")
    HELP = say(
        "The tubs as they stand on the shelves, ! before those that are due. One key marks the tub under "
        "the cursor: d one more died, m all moved on to the next stage, f fed, v seen. A number typed right "
        "after d or m says how many (d 3), 2.1 after m the sexes of those that moved on, c and a number "
        "is a count; later = and a number changes what was marked last. * marks all the rest that is "
        "due as usual, ctrl-x finds a tub. Nothing is recorded before Enter has shown the whole round and Enter "
        "saves it, all in one act that ctrl-z takes back."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (*TAPPED, *OTHERS)
    STEPS: ClassVar[tuple[Binding, ...]] = ListScreen.STEPS[-1:]
    """Of the list's own only Enter in the field that narrows: here another row also ends a number."""
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
    LOOKS_AT = MOST
    EMPTY = (
        say("There are no tubs yet."),
        say("Open a lot with the animals you have: 3 Stock, then n. Its tubs stand here then."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._tubs: dict[str, RoundTub] = {}
        self._due = 0
        """How many lines are due."""
        self._keys: list[str] = []
        """The lines that are shown."""
        self.walk = Walk(Drafts())
        """What was marked; of the draft as soon as the screen is open."""
        self._number = TypedNumber()
        self._due_only = False
        self._wanted: int | None = None
        """Where the line stands that the cursor is on its way to."""
        self._complained = False
        self._saved = Marked()
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
        self.walk = Walk(self.desk.drafts)
        self.rows.MOST = MOST
        super().opened()
        if self.walk:
            self.desk.say(Answer(say("The round is as it was left: {marks}.", marks=summed_up(self.walk.marked))))

    def resumed(self) -> None:
        super().resumed()
        if self._number.takes_digits:
            # Whoever was elsewhere means a place with the next digit.
            self._end_number()
        self._go_there()

    def _changed(self, done: object) -> None:
        """A round that is taken back at once lies there again, to be corrected."""
        saved, self._saved = self._saved, Marked()
        back = isinstance(done, Done) and done.sentence.startswith("Taken back")
        if saved and back and not self.walk:
            self.walk.put_again(saved)
            self._keep()
        super()._changed(done)

    def question(self) -> Callable[[], object]:
        ledger, reckoner = self.desk.ledger, self.desk.reckoner
        return lambda: _by_key(reckoner.ask(ledger.round_tubs))

    def rows_of(self, answer: object) -> Sequence[Row]:
        self._tubs, self._due = cast("tuple[dict[str, RoundTub], int]", answer)
        return self._lines()

    def told(self, answer: object) -> None:
        first = not self._told_once
        here = self._here()
        super().told(answer)
        if first:
            due = next((key for key, tub in self._tubs.items() if tub.due), None)
            here = self.walk.at if self.walk.at in self._keys else due
        self._go_to(here)
        self._go_there()

    def _go_there(self) -> None:
        """Put the cursor on the first tub of the lot that was asked for, once the tubs are known."""
        lot = self.desk.round_at
        at = next((key for key in self._keys if key.startswith(f"{lot}|")), None) if lot else None
        if at is not None:
            if self._find.display:
                with self.prevent(Input.Changed):
                    self.action_whole_list()
                self._redraw()
            self._go_to(at)
            self.desk.round_at = ""

    def _redraw(self) -> None:
        """Show the lines anew without asking the ledger; the cursor stays on its line."""
        here = self._here()
        self._made = self._lines()
        ListScreen.read_anew(self)
        self._go_to(here)

    @property
    def chosen(self) -> str | None:
        # On its way to a line the cursor is on none: no mark may fall where it passes.
        return None if self._wanted is not None else super().chosen

    def _here(self) -> str | None:
        """The line the cursor is on, or on its way to."""
        return self.chosen if self._wanted is None else self._keys[self._wanted]

    def _go_to(self, key: str | None) -> None:
        """Put the cursor on a line, however far down it stands; a later one is not looked for any more."""
        self._wanted = None
        if key is None or self.chosen == key or self._find.value.strip():
            return
        if key in self._keys:
            self._wanted = self._keys.index(key)
            self._read_on()

    def _read_on(self) -> None:
        """Read on to the line that is wanted: far down, some pages between two keys."""
        for _ in range(SOME):
            if self._wanted is None or self.rows.held > self._wanted or not self.rows.more:
                break
            self.rows.read_more()
        else:
            self.call_later(self._read_on)
            return
        at, self._wanted = self._wanted, None
        if at is not None and at < self.rows.held:
            self.rows.move_cursor(row=at)

    def _lines(self) -> Sequence[Row]:
        shown = [key for key, tub in self._tubs.items() if not self._due_only or tub.due or self.walk.of(key)]
        # What is no longer there keeps its line until its marks are cleared.
        gone = [key for key in self.walk.marked if key not in self._tubs and self.walk.of(key)]
        self._keys = [*shown, *gone]
        return Drawn(self._keys, lambda key: Line(key, self._row))

    def _draw_marks(self) -> None:
        """Show many marks that changed, each line where it stands."""
        if self._find.value.strip() or self._due_only or len(self._keys) != len(self._tubs):
            # What is listed may depend on what is marked.
            self._redraw()
            return
        self.rows.draw_anew()
        self._sum_up()
        self._say_detail()

    def _row(self, key: str) -> Row:
        typed = self._number.words if key == self.chosen else ""
        done_on = self.desk.ledger.today if self.app.size.width < PHONE else None
        return row_of(key, self._tubs.get(key), self.walk.of(key), typed, self.desk.order, done_on)

    def detail(self, key: str) -> str:
        if self._number.on:
            if self._number.what == MOVED:
                return say("{where_of}: type how many moved on, or their sexes as 2.1; any other key goes on.",
                           where_of=where_of(key))  # fmt: skip
            return say("{where_of}: type how many {what}; any other key goes on.",
                       where_of=where_of(key), what=word(self._number.what))  # fmt: skip
        if self._number.which:
            return say("{where_of}: what is the number of? d died, m moved on, c count.", where_of=where_of(key))
        narrow = self.app.size.width < PHONE
        said = detail_of(key, self._tubs.get(key), self.walk.of(key), self.desk.order if narrow else None)
        if self._number.offered and not narrow:
            return strung((said, say("A number now says how many.")))
        return said

    def sum_up(self) -> str:
        return summed_up(self.walk.marked) or (
            say("{due} due of {tubs} lines", due=self._due, tubs=len(self._tubs))
            if self._due
            else say("nothing is due")
        )

    def typing(self) -> bool:
        """While a number is typed, or right after what it may be of was marked, the digits are its own."""
        return self._number.takes_digits or super().typing()

    def takes_full_stop(self) -> bool:
        return self._number.by_sex

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("digit", "point"):
            mine = self._number.takes_digits if action == "digit" else self._number.by_sex
            return mine and not super().typing()
        if action in ("row", "end_number"):
            mine = self._number.takes_digits or self._number.which
            return not super().typing() and (action == "row" or mine)
        if action == "whole_list":
            return bool(self._find.display) and not self._number.takes_digits
        if any(act.name == action for act in self.ACTS):
            return not super().typing()
        return super().check_action(action, parameters)

    # --- marking -----------------------------------------------------------------------------------------------------

    def _mark(self, change: Callable[[RoundTub, TubMarks], TubMarks], what: str = "") -> bool:
        """Change the marks of the row the cursor is on, or say why they cannot be so, and whether they are."""
        key = self.chosen
        tub = self._tubs.get(key or "")
        if self._wanted is not None or key is None or tub is None:
            if not self._told_once or self._wanted is not None:
                self._complain(say("The tubs are still being read; nothing was marked."))
            return False
        able = True
        try:
            self.walk.marked[key] = change(tub, self.walk.of(key))
        except Refused as refusal:
            able = False
            self._complain(refusal.sentence)
        else:
            if self._complained:
                self.desk.say(Answer(""))
                self._complained = False
        self._number.about(what, key)
        self._number.offered = able and what in (DIED, MOVED) and self.walk.of(key).number_of(what) > 0
        self._keep()
        self._show(key)
        return able

    def _put(self, marks: TubMarks) -> None:
        """Put marks on the row the cursor is on."""
        if self.chosen is not None:
            self.walk.marked[self.chosen] = marks
            self._keep()
            self._show(self.chosen)

    def _complain(self, sentence: str) -> None:
        self._complained = True
        self.desk.say(Answer(sentence, "refused"))

    def _keep(self) -> None:
        self.walk.keep(self.chosen or "")

    def _show(self, key: str) -> None:
        self.rows.put(self._row(key))
        self._sum_up()
        self._say_detail()

    def _end_number(self) -> None:
        number = self._number
        if number.which:
            number.which = False
            self._say_detail()
        if number.on or number.offered:
            number.end()
            if number.at in self._tubs or number.at in self.walk.marked:
                self._show(number.at)

    @on(PagedList.RowHighlighted)
    def _other_row(self) -> None:
        """A tap on another row ends a number, as the keys that go there do."""
        if self._number.at != (self.chosen or ""):
            self._end_number()
            self._number.about("", self.chosen or "")

    def _number_is_of(self, what: str) -> bool:
        """Whether the key only answers what a number is of; the number is typed then."""
        if not self._number.which:
            return False
        self._number.which, self._number.what = False, what
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
        if self.chosen is not None and self.chosen in self._tubs:
            self._number.about(COUNTED, self.chosen)
            self.action_how_many()

    def action_how_many(self) -> None:
        """Give the digits that follow to what was marked last on this row."""
        key, number = self.chosen or "", self._number
        marks = self.walk.of(key)
        if not number.what and len(marks.numbers) > 1:
            # After a look elsewhere nobody knows which of them was meant.
            number.which = True
            self._say_detail()
            return
        number.what = number.what or "".join(marks.numbers)
        if key not in self._tubs or not number.what:
            self._complain(say("First mark what a number is of: d died, m moved on, c count."))
            return
        number.begin(marks, key)
        self._show(key)

    def action_digit(self, digit: int) -> None:
        """One digit of a number; the first begins it."""
        if not self._number.on:
            self._number.begin(self.walk.of(self._number.at), self._number.at)
        self._number.digit(digit)
        self._mark_number()

    def action_point(self) -> None:
        """The number goes on by sex: 2.1 are two males and a female of those that moved on."""
        if self._number.next_sex():
            self._mark_number()

    def _mark_number(self) -> None:
        """Mark the number; where it cannot be so, the one before it stands again, and may be typed anew."""
        if not self._mark(self._number.put_on, self._number.what):
            self._number.anew()
            self._put(self._number.before)

    def action_end_number(self) -> None:
        """The number is as it stands."""
        self._end_number()

    def action_row(self, step: int) -> None:
        """Another row, before the next key is read."""
        self._wanted = None
        self._end_number()
        self._number.what = ""
        self.rows.move_cursor(row=min(max(self.rows.cursor_row + step, 0), max(self.rows.held - 1, 0)))

    def action_as_usual(self) -> None:
        """Everything that is due and has no mark was fed and seen; what must not be disturbed was seen."""
        self._end_number()
        self.walk.as_usual(self._tubs)
        self._keep()
        self._draw_marks()

    def action_whole_shelf(self) -> None:
        """The shelf the cursor is on, due or not; where all of it is marked, every shelf."""
        self._end_number()
        here = self._tubs.get(self.chosen or "")
        if here is None:
            return
        if not self.walk.whole_shelf(self._tubs, here.place):
            self.walk.whole_shelf(self._tubs)
        self._keep()
        self._draw_marks()
        self.desk.say(
            Answer(say("Marked as usual, nothing is recorded yet: {marks}.", marks=summed_up(self.walk.marked)))
        )

    def action_find(self) -> None:
        """Narrow the list, as f does elsewhere; the number that is being typed ends."""
        self._end_number()
        super().action_find()

    def action_clear(self) -> None:
        """No marks for this tub; while a number is typed, no number."""
        key = self.chosen
        self._end_number()
        if key is None:
            return
        self.walk.marked.pop(key, None)
        self._number.what = ""
        self._keep()
        if key in self._tubs:
            self._show(key)
        else:
            self._redraw()

    def action_afresh(self) -> None:
        """Clear every mark."""
        self._end_number()
        self._forget()
        self._draw_marks()
        self.desk.say(Answer(say("Every mark of the round was cleared; nothing of it was recorded.")))

    def _forget(self) -> None:
        self.walk.forget()
        self._number.what = ""

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
        if self._number.on:
            self._end_number()
            return
        self._end_number()
        if not self.walk:
            self.desk.say(Answer(say("Nothing is marked yet: d died, m moved on, f fed, v seen, * the rest as usual.")))
            return
        # What was recorded before must not be read as this round's.
        self.desk.say(Answer(""))
        await self.desk.open_form(RoundPage(self))

    def lines(self) -> Iterable[str]:
        """The marks row by row, in words."""
        return self.walk.in_words(self._tubs)

    def why_line(self) -> str:
        """The jot line that says why the first count that differs does; empty: every count agrees."""
        return self.walk.why_line(self._tubs)

    async def say_why(self) -> None:
        """Write that line."""
        await self.desk.jot_with(self.why_line())

    @property
    def long(self) -> int:
        """How many lines are marked, where they are too many to be planned or recorded between two keys."""
        return self.walk.marked.lines if self.walk.marked.lines > FEW else 0

    @property
    def token(self) -> str:
        """Of the act of saving it."""
        return self.walk.token

    def command(self) -> SaveRound:
        """The round as one command. Raises Refused."""
        return round_of(self._tubs.values(), self.walk.marked, self.desk.ledger.today)

    def save(self) -> None:
        """Record everything in one act, or nothing. Raises Refused."""
        try:
            self.desk.record(self.command(), self.walk.token)
        except Refused as refusal:
            self.not_saved(refusal)
            raise
        self.was_saved()

    def not_saved(self, refusal: Refused) -> None:
        """Nothing was recorded; where other marks stand with this token, the next try is another act."""
        if isinstance(refusal, SaidDifferently):
            self.walk.another_act()
            self._keep()

    def was_saved(self) -> None:
        """Everything was recorded: a new round begins."""
        marked = self.walk.marked
        self._forget()
        self._saved = marked
        self._redraw()


def _by_key(tubs: Iterable[RoundTub]) -> tuple[dict[str, RoundTub], int]:
    """Tubs by the key of their line, and how many are due."""
    found = {key_of(tub): tub for tub in tubs}
    return found, sum(tub.due for tub in found.values())
