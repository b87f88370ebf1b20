"""Closing a year: first what is missing, then, once the year is typed, the closing itself; it cannot be undone."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from ledger.act import Done
from ledger.books.closing import SoFar, look_before_closing
from ledger.books.commands import CloseYear
from ledger.errors import BadInput, Refused
from ledger.records.operations import new_token
from ledger.wording import say
from tui.actions import Act
from tui.forms.asking import Asking
from tui.places.long import LongPage, Tell
from tui.places.page import BACK, hanging
from tui.widgets.fields import FieldSpec, day, in_days
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from ledger.act import Plan


class ClosePage(LongPage):
    """What stands in the way of closing a year, or should be looked at before.

    Args:
        year: the accounting year.
    """

    WHERE = "close-year"
    WIDEST = 100
    HELP = say(
        "What is still open in the year stands here first: unpaid, on hold, not posted, not counted. It "
        "can be closed all the same. After closing its figures stand and nothing can be recorded into "
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
        self._plan: Plan | None = None
        self._not_yet = ""

    def title_words(self) -> str:
        return say("Before closing {year}", year=self._year)

    def work(self) -> Callable[[Tell], object]:
        ledger, command = self.desk.ledger, CloseYear(self._year, self.desk.ledger.today)
        return lambda _: ledger.ask(look_before_closing, command, ledger.scene)

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            self.recorded(answer)
            return
        if isinstance(answer, SoFar):
            self.show(hanging([*self._missing(answer.missing), "", self.said(answer.sentence)], self.width))
            self._sum_up(answer.missing)
            self._not_yet = answer.sentence
            return
        plan: Plan = answer  # type: ignore[assignment]
        self._plan = plan
        lines = [
            *self._missing(plan.cautions),
            "",
            say("If it is closed:"),
            self.said(plan.sentence),
            "",
            say("It cannot be undone. Z closes it, once you have typed the year."),
        ]
        self.show(hanging(lines, self.width))
        self._sum_up(plan.cautions)

    def _missing(self, cautions: Sequence[str]) -> list[str]:
        return [self.said(say("! {caution}", caution=caution)) for caution in cautions] or [
            say("✓ Nothing is missing.")
        ]

    def _sum_up(self, cautions: Sequence[str]) -> None:
        self.foot.sum_up(
            say("{cautions} to look at", cautions=len(cautions)) if cautions else say("nothing is missing")
        )

    def failed(self, refusal: Refused) -> None:
        if self._plan is None:
            super().failed(refusal)
        else:
            self.desk.say(Answer(refusal.sentence, "refused"))
            self.came(self._plan)

    async def action_close_year(self) -> None:
        """The year is typed first."""
        if self._not_yet:
            self.desk.say(Answer(self._not_yet, "refused"))
        if self._plan is not None and not self.working:
            await self.desk.open_form(TypeYearForm(self._close, str(self._year)))

    async def _close(self, values: dict[str, Any]) -> None:
        ledger, command, token = self.desk.ledger, CloseYear(self._year, values["on"]), new_token(time.time_ns())

        def close(tell: Tell) -> object:
            from tui.verbs.watch import back_up

            tell(say("making a backup first"), 0, 1)
            back_up(ledger, "asked")
            tell(say("closing the year"), 0, 1)
            return ledger.do(command, token=token, source="screen")

        self.begin(close, records=True)


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
        if typed.strip() != self.subject:
            raise BadInput(say("Type {subject} to close it, or press esc.", subject=self.subject), field="year")
        return int(self.subject)

    def said_of(self, values: Mapping[str, Any]) -> str:
        on: dt.date = values["on"]
        return self.said(
            say("{subject} is closed on {on}, with a backup before.", subject=self.subject, on=f"{on:%Y-%m-%d}")
        )
