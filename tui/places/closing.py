"""Closing a year: first what is missing, then, once the year is typed, the closing itself; it cannot be undone."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar, cast

from ledger.act import Done
from ledger.books.commands import CloseYear
from ledger.books.missing import BeforeClosing, not_over
from ledger.errors import BadInput, Refused
from ledger.records.operations import new_token
from ledger.records.periods import period_by_year, year_names
from ledger.wording import counted, listed, say, strung
from tui.actions import Act
from tui.forms.asking import Asking
from tui.places.leaf import year_name
from tui.places.long import LongPage, Progress, Tell
from tui.places.page import BACK, hanging
from tui.widgets.fields import FieldSpec, day, in_days
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from ledger.books.closing import ClosePlan
    from ledger.ledger import Ledger

TO_DO = {
    "results": say("7 Year, ctrl-k proves which rows differ."),
    "unpaid sales": say("4 Sales, f and unpaid finds them; p records what was paid."),
    "not posted": say("4 Sales, i lists the parcels; o says that one was posted."),
    "unpaid costs": say("5 Costs, f and unpaid finds them; p records what was paid."),
    "holds": say("4 Sales, H lists the holds; X releases one, s sells what it holds."),
    "deposits": say("4 Sales, B lists what is owed; X decides on a deposit."),
    "not counted": say("7 Year, c counts the stock line by line."),
    "counted early": say("7 Year, c counts the stock line by line."),
    "counts left": say("7 Year, c counts them again and records the difference with its reason."),
    "no animals": say(
        "On some days nothing was alive that such a cost is for. It may stay: it stands by itself in the "
        "income. If it was for others, 5 Costs, x takes it back, to be recorded for them."
    ),
    "short": say("1 Due lists them, with what to do."),
    "twice": say("Two equal purchases may both be right; if not, 5 Costs, x takes one of them back."),
}
"""What to do about each kind of what is missing, and the keys for it."""


def closing_look(ledger: Ledger, year: int) -> ClosePlan | BeforeClosing:
    """What stands in the way of closing a year: with how it would be closed, once it is over.

    Raises:
        BadInput: there is no such year.
    """
    lasts = ledger.today <= ledger.ask(period_by_year, year).last_day
    return ledger.before_closing(year) if lasts else cast("ClosePlan", ledger.preview(CloseYear(year, ledger.today)))


class ClosePage(LongPage):
    """What stands in the way of closing a year, or should be looked at before.

    Args:
        year: the accounting year.
    """

    WHERE = "close-year"
    WIDEST = 100
    HELP = say(
        "What is still open in the year stands here first, with what to do: unpaid, on hold, not posted, not "
        "counted. It can be looked at on any day; only the closing waits until the year is over, and it can "
        "be closed all the same. After closing its figures stand and nothing can be recorded into "
        "it; what is found later counts in the next year. Closing cannot be undone, so the year has to "
        "be typed."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "close_year",
            "Z",
            say("close"),
            say("Close the year: from then on its figures stand. It cannot be undone."),
        ),
        BACK,
    )

    def __init__(self, year: int) -> None:
        super().__init__()
        self._year = year
        self._plan: ClosePlan | None = None

    def title_words(self) -> str:
        return say("Before closing {year}", year=year_name(self.desk.ledger, self._year))

    def work(self) -> Callable[[Tell], object]:
        look, reckoner = partial(closing_look, self.desk.ledger, self._year), self.desk.reckoner
        return lambda _: reckoner.ask(look)

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            # What was missing was looked at before; the answer says what was done.
            self.recorded(replace(answer, cautions=()))
            return
        found: ClosePlan | BeforeClosing = answer  # type: ignore[assignment]
        missing = [
            line
            for one in found.missing
            for line in (self.said(say("! {caution}", caution=one.sentence)), strung(("  ", TO_DO[one.kind]), ""))
        ] or [say("✓ Nothing is missing.")]
        if isinstance(found, BeforeClosing):
            lines = [*missing, "", self.said(not_over(found.period))]
        else:
            self._plan = found
            lines = [
                *missing,
                "",
                say("If it is closed:"),
                self.said(found.sentence),
                "",
                say("It cannot be undone. Z closes it, once you have typed the year."),
            ]
        self.show(hanging(lines, self.width))
        many = len(found.missing)
        self.foot.sum_up(say("{cautions} to look at", cautions=many) if many else say("nothing is missing"))

    def failed(self, refusal: Refused) -> None:
        if self._plan is None:
            super().failed(refusal)
        else:
            self.desk.say(Answer(refusal.sentence, "refused"))
            self.came(self._plan)

    async def action_close_year(self) -> None:
        """The year is typed first."""
        if self.working:
            return
        period = self.desk.ledger.ask(period_by_year, self._year)
        if self._plan is None and not period.closed:
            self.desk.say(Answer(not_over(period), "refused"))
        elif self._plan is not None:
            await self.desk.open_form(TypeYearForm(self._close, period.name))

    async def _close(self, values: dict[str, Any]) -> None:
        assert self._plan is not None
        ledger, reckoner = self.desk.ledger, self.desk.reckoner
        command, token = CloseYear(self._year, values["on"]), new_token(time.time_ns())
        mine, years = Progress(), ledger.ask(year_names, self._plan.years)

        def close(tell: Tell) -> object:
            from tui.verbs.watch import back_up

            tell(say("making a backup first"), 0, 1)
            made = back_up(ledger, "closing")
            tell(say("closing the year"), 0, 1)
            # Escape is heard until all is written; it cannot be undone once it is saved.
            done = reckoner.record(command, token=token, told=lambda: mine.tell(mine.what, 0, 1), leave=mine.settle)
            # Its figures stood on the page; where the ledger is as it was has to fit beside what happened.
            return done if made is None else replace(done, sentence=_closed(years, made.path.name))

        self.begin_with(mine, close, records=True)


def _closed(years: Sequence[str], backup: str) -> str:
    return counted(
        len(years),
        "{years} is closed, and its figures stand. The ledger as it was is backup {name}; 9 Settings, backups says "
        "where they lie.",
        "{years} are closed, and their figures stand. The ledger as it was is backup {name}; 9 Settings, backups says "
        "where they lie.",
        years=listed(years),
        name=backup,
    )


class TypeYearForm(Asking):
    """The year, typed by whoever means it."""

    WHERE = "type-year"
    DOES = say("Close the year")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("record"), say("Close the year that was typed."), in_fields=True),
        *(act for act in Asking.ACTS if act.name != "record"),
    )
    HELP = say("Type the year to close it. A backup is made before. Closing cannot be undone.")

    def heading(self) -> str:
        return say("Close {subject}: from then on its figures stand; it cannot be undone", subject=self.subject)

    def specs(self) -> Sequence[FieldSpec]:
        today, order = self.desk.ledger.today, self.desk.order
        return (
            FieldSpec(
                "year",
                say("type the year"),
                self._same,
                "",
                lambda _: "",
                hint=say("{subject}, to close it", subject=self.subject),
            ),
            FieldSpec("on", say("closed on"), day(today, order), "today", in_days),
        )

    def _same(self, typed: str) -> int:
        # '2026-27' is known by the calendar year it begins in, too.
        number = self.subject.partition("-")[0]
        if typed.strip() not in (self.subject, number):
            raise BadInput(say("Type {subject} to close it, or press esc.", subject=self.subject), field="year")
        return int(number)

    def said_of(self, values: Mapping[str, Any]) -> str:
        on: dt.date = values["on"]
        return self.said(
            say("{subject} is closed on {on}, with a backup before.", subject=self.subject, on=f"{on:%Y-%m-%d}")
        )
