"""A count of the stock, line by line: what was counted is marked first, and all marks are recorded together.

Marks are kept as drafts are, also over a closed terminal; nothing is recorded before the whole is looked at.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar, cast

from ledger.act import Done
from ledger.books.commands import Counted, CountStock
from ledger.errors import Refused
from ledger.records.operations import new_token
from ledger.records.periods import period_by_year
from ledger.wording import counted, say, strung, word
from tui.actions import Act
from tui.forms.asking import Asking
from tui.places.listing import LIST_ACTS, Drawn, FindPage, ReckonedList
from tui.places.long import LongPage, Progress, Tell
from tui.places.page import BACK, hanging
from tui.reckoner import FEW, said_before
from tui.round_rows import Line
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text, whole
from tui.widgets.foot import Answer
from tui.widgets.form import Form
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.books.stock_count import ToCount
    from ledger.days import Order

WIDE = 110
APART = "|"


class CountPage(ReckonedList, FindPage):
    """Every line to count.

    Args:
        year: the accounting year it is counted for: as of its last day, or of today while it lasts.
    """

    WHERE = "count-stock"
    HELP = say(
        "Go along the shelf: y says that what is there agrees, Enter that another number was counted, "
        "and why; both go to the next line. Then ctrl-f records all of it together, what differs with its "
        "reason. * marks all the rest as agreeing. Lines you did not count stay as they are. With paper or a sheet: "
        "rearledger stock-count --format csv, filled in, brought back with --from."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "other_number",
            "enter",
            say("counted"),
            say("Say how many were counted of this line, and why it differs; goes to the next line."),
        ),
        Act("agrees", "y", say("agrees"), say("As many were counted as are recorded; goes to the next line.")),
        Act("record_count", "ctrl+f", say("record all"), say("Look at all that was counted, then record it together.")),
        Act(
            "rest_agrees",
            "asterisk",
            say("rest as usual"),
            say("Mark every line in the list that is not counted yet as agreeing; nothing is recorded by it."),
        ),
        Act("unmark", "x", say("take back"), say("Forget what was counted of this line.")),
        LIST_ACTS[0],
        BACK,
    )
    COLUMNS = (
        Column(say("lot"), 8),
        Column(say("species"), 7, above=WIDE),
        Column(say("stage"), 14),
        Column(say("sex"), 8),
        Column(say("tub"), 6),
        Column(say("recorded"), 8, right=True),
        Column(say("counted"), 8, right=True),
        Column(say("last counted"), 12, above=WIDE),
        Column(say("why")),
    )
    EMPTY = (say("There is nothing to count."), say("No animals are in stock on that day."))

    def __init__(self, year: int) -> None:
        super().__init__()
        self._year = year
        self._lines: dict[str, ToCount] = {}
        self._marked: dict[str, tuple[int, str]] = {}
        """The marks that are drawn."""

    def title_words(self) -> str:
        return say("Count of the stock")

    def desk_acts(self) -> tuple[Act, ...]:
        # What records the count must be seen, and the way back; the line it is written in is not needed here.
        return tuple(act for act in super().desk_acts() if act.name != "jot")

    @property
    def on(self) -> dt.date:
        """The day it is counted for."""
        ledger = self.desk.ledger
        return min(ledger.ask(period_by_year, self._year).last_day, ledger.today)

    @property
    def _draft(self) -> str:
        return f"{self.WHERE}:{self._year}"

    @property
    def marks(self) -> dict[str, tuple[int, str]]:
        """What was counted so far: number and reason by line."""
        found = {}
        for key, said in self.desk.drafts.get(self._draft).items():
            number, _, why = said.partition(APART)
            if number.isdigit():
                found[key] = int(number), why
        return found

    def _mark(self, key: str, said: str | None) -> None:
        self.desk.drafts.change(self._draft, {key: said})
        self._draw_marks()

    def _draw_marks(self) -> None:
        # What is in stock did not change; only the marks are drawn anew, each line where it stands.
        self._marked = self.marks
        self.rows.draw_anew()
        self._sum_up()
        self._say_detail()

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.to_count, self.on)

    def rows_of(self, answer: object) -> Sequence[Row]:
        rows: tuple[ToCount, ...] = answer  # type: ignore[assignment]
        self._lines = {f"{row.lot}/{row.stage}/{row.sex}/{row.tub}": row for row in rows}
        return self._drawn()

    def _drawn(self) -> Sequence[Row]:
        self._marked = self.marks
        return Drawn(list(self._lines), lambda key: Line(key, self._row))

    def _row(self, key: str) -> Row:
        row = self._lines[key]
        mark = self._marked.get(key)
        number: str | tuple[str, str] = ""
        if mark is not None:
            number = (
                (say("✓ {mark}", mark=mark[0]), "$success")
                if mark[0] == row.expected
                else (say("! {mark}", mark=mark[0]), "$warning")
            )
        return Row(
            key,
            (
                (row.lot, "bold"),
                row.species,
                word(row.stage),
                word(row.sex),
                row.tub,
                str(row.expected),
                number,
                self.day(row.counted_on) if row.counted_on else "",
                mark[1] if mark else "",
            ),
        )

    def sum_up(self) -> str:
        on = self.on
        marks = sum(1 for key in self._marked if key in self._lines)
        marked = say("as of {on} · {marks} of {lines} counted", on=self.day(on), marks=marks, lines=len(self._lines))
        recorded = len({row.lot for row in self._lines.values() if row.counted_on == on})
        if not recorded:
            return marked
        of = counted(recorded, "{n} lot recorded", "{n} lots recorded")
        return strung((marked, of), " · ")

    async def action_other_number(self) -> None:
        """Another number."""
        key = self.chosen
        if key is None:
            return

        async def marked(values: dict[str, Any]) -> None:
            self._mark(key, f"{values['count']}{APART}{values['reason']}")
            self.rows.action_cursor_down()

        await self.desk.open_form(CountLineForm(marked, self._lines[key], self.marks.get(key)))

    def action_agrees(self) -> None:
        """As recorded."""
        key = self.chosen
        if key is None:
            return
        row, mark = self._lines[key], self.marks.get(key)
        if mark is not None and mark[0] != row.expected:
            # It took a form to say it: one key must not forget it unseen.
            self.desk.say(
                Answer(
                    say(
                        "{lot} {stage}: {number} stands there as counted, {expected} recorded. x forgets it, Enter "
                        "changes it.",
                        lot=row.lot,
                        stage=word(row.stage),
                        number=mark[0],
                        expected=row.expected,
                    )
                )
            )
            return
        self._mark(key, f"{row.expected}{APART}")
        self.rows.action_cursor_down()

    def action_unmark(self) -> None:
        """Not counted after all."""
        if self.chosen is not None:
            self._mark(self.chosen, None)

    def action_rest_agrees(self) -> None:
        """All that is in the list and not counted yet, as recorded; what f leaves out stays as it is."""
        if self.is_narrowed:
            self.run_worker(self._listed_agree(), group="agree", exclusive=True)
        else:
            self._agree(self._lines)

    async def _listed_agree(self) -> None:
        self._agree(await self.listed(self._made))

    def _agree(self, keys: Iterable[str]) -> None:
        marks = self.marks
        rest = [key for key in keys if key not in marks and key in self._lines]
        if not rest:
            self.desk.say(Answer(say("Every line here is counted already; ctrl-f records all of it.")))
            return
        kept = self.desk.drafts.get(self._draft)
        self.desk.drafts.keep(self._draft, kept | {key: f"{self._lines[key].expected}{APART}" for key in rest})
        self._draw_marks()
        self.desk.say(
            Answer(
                counted(
                    len(rest),
                    "{n} line is marked as agreeing; x takes it back, ctrl-f records.",
                    "{n} lines are marked as agreeing; x takes one back, ctrl-f records all.",
                )
            )
        )

    async def action_record_count(self) -> None:
        """All of it."""
        marks = self.marks
        counts = [
            Counted(row.lot, row.stage, marks[key][0], marks[key][1], row.sex, row.tub)
            for key, row in self._lines.items()
            if key in marks
        ]
        if not counts:
            self.desk.say(Answer(say("Nothing was counted yet: y where the number agrees, Enter for another.")))
            return
        if len(counts) <= FEW:
            await self.desk.open_form(RecordCountForm(counts, self.on), self._recorded)
            return

        async def look_over(values: dict[str, Any]) -> None:
            command = CountStock(values["on"], tuple(counts), values["note"])
            await self.desk.open_form(LongCountPage(command, lambda: self.desk.drafts.drop(self._draft)))

        await self.desk.open_form(LongCountForm(look_over, len(counts), self.on))

    def _recorded(self, done: Done | None) -> None:
        if done is not None:
            self.desk.left_recorded()
            self.desk.drafts.drop(self._draft)
            self.read_anew()


class CountLineForm(Asking):
    """How many were counted of one line."""

    WHERE = "count-line"
    HELP = say("Nothing is recorded yet: the number stands in the list until the whole count is recorded.")

    def __init__(self, answered: Any, row: ToCount, mark: tuple[int, str] | None) -> None:
        super().__init__(answered, f"{row.lot} {row.stage} {row.sex} {row.tub}".strip())
        self._row = row
        self._mark = mark

    def heading(self) -> str:
        row = self._row
        line = strung((part for part in (row.lot, word(row.stage), word(row.sex), row.tub) if part), " ")
        return say("{line}: {expected} recorded", line=line, expected=row.expected)

    def specs(self) -> Sequence[FieldSpec]:
        from ledger.books.stock_count import FEWER, MORE

        number, why = self._mark or ("", "")
        return (
            FieldSpec("count", say("counted"), whole(say("number counted"), least=0), str(number), self._beside),
            FieldSpec(
                "reason",
                say("why it differs"),
                text("reason"),
                why,
                nothing_beside,
                hint=word("died"),
                known=(*FEWER, *MORE),
            ),
        )

    def _beside(self, count: int) -> str:
        more = count - self._row.expected
        return (
            say("as recorded")
            if not more
            else say("{number} more than recorded", number=more)
            if more > 0
            else say("{number} fewer than recorded", number=-more)
        )


def count_fields(on: dt.date, today: dt.date, order: Order) -> Sequence[FieldSpec]:
    """What is asked of a whole count: its day and a note."""
    start = "today" if on == today else on.isoformat()
    return (
        FieldSpec("on", say("counted on"), day(today, order), start, in_days),
        FieldSpec("note", say("note"), text("note", limit=500), "", nothing_beside),
    )


class RecordCountForm(Form):
    """The whole count, looked at before it is recorded."""

    WHERE = "record-count"

    def __init__(self, counts: Sequence[Counted], on: dt.date) -> None:
        super().__init__()
        self._counts = tuple(counts)
        self._on = on

    def heading(self) -> str:
        return counted(len(self._counts), "{n} line counted", "{n} lines counted")

    def specs(self) -> Sequence[FieldSpec]:
        return count_fields(self._on, self.desk.ledger.today, self.desk.order)

    def command(self, values: Mapping[str, Any]) -> CountStock:
        return CountStock(values["on"], self._counts, values["note"])


class LongCountForm(Asking):
    """The day of a count of so many lines that it is looked over on a page of its own."""

    WHERE = "long-count"
    HELP = say("Nothing is recorded yet: the whole count is looked over next.")

    def __init__(self, answered: Any, lines: int, on: dt.date) -> None:
        super().__init__(answered)
        self._lines = lines
        self._on = on

    def heading(self) -> str:
        return counted(self._lines, "{n} line counted", "{n} lines counted")

    def specs(self) -> Sequence[FieldSpec]:
        return count_fields(self._on, self.desk.ledger.today, self.desk.order)

    def said_of(self, values: Mapping[str, Any]) -> str:
        return say("Counted on {on}. Enter looks over what will be recorded.", on=values["on"].isoformat())


class LongCountPage(LongPage):
    """A count of very many lines: what it will record is worked out aside, and so is the recording.

    Args:
        command: the count.
        done: called once it is recorded.
    """

    WHERE = "long-count-page"
    WIDEST = 100
    HELP = say("What the whole count will record, in one act. Enter records it; esc goes back to the list.")
    ACTS: ClassVar[tuple[Act, ...]] = (Act("record", "enter", say("record"), say("Record the whole count.")), BACK)

    def __init__(self, command: CountStock, done: Callable[[], None]) -> None:
        super().__init__()
        self._command = command
        self._done = done
        self._token = new_token(time.time_ns())
        self._seen: tuple[str, ...] | None = None
        """What stands there to be read, once it is known."""

    def title_words(self) -> str:
        return say("The count in words")

    def work(self) -> Callable[[Tell], object]:
        ledger, command, reckoner = self.desk.ledger, self._command, self.desk.reckoner

        def look_over(tell: Tell) -> object:
            tell(say("looking over {lines} lines", lines=f"{len(command.counts):,}"), 0, 1)
            return reckoner.ask(said_before, ledger, command)

        return look_over

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            self._done()
            self.recorded(answer)
            return
        sentence, cautions = cast("tuple[str, tuple[str, ...]]", answer)
        self._seen = (sentence, *(say("Caution: {caution}", caution=caution) for caution in cautions))
        self._show_seen()

    def _show_seen(self) -> None:
        if self._seen is not None:
            self.show(hanging([self.said(line) for line in (*self._seen, "", say("Enter records it."))], self.width))

    def failed(self, refusal: Refused) -> None:
        if self._seen is None:
            super().failed(refusal)
        else:
            self.desk.say(Answer(refusal.sentence, "refused"))
            self._show_seen()

    def action_record(self) -> None:
        """Record what stands there, once."""
        if self.working or self._seen is None:
            return
        command, token, reckoner, mine = self._command, self._token, self.desk.reckoner, Progress()

        def save(tell: Tell) -> object:
            what = say("recording {lines} lines", lines=f"{len(command.counts):,}")
            tell(what, 0, 1)
            return reckoner.record(command, token=token, told=lambda: tell(what, 0, 1), leave=mine.settle)

        self.begin_with(mine, save, records=True)
