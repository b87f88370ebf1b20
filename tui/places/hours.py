"""The keeper's own hours: a memo, in no total."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.costs.hours import time_words
from ledger.wording import say
from tui.actions import Act
from tui.forms.asking import Sure
from tui.forms.hours import HoursForm
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.costs.hours import HoursRow


class HoursPage(ListPage):
    """Time of the keeper's own, newest first."""

    WHERE = "hours"
    HELP = say(
        "A memo: shown beside what a reared adult costs, and in no total. What an hour is reckoned at is "
        "set in Settings under method."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("note_hours", "n", say("new"), say("Note time of your own.")),
        Act("take_back_hours", "x", say("take back"), say("Take back time that was noted by mistake.")),
        BACK,
    )
    COLUMNS = (
        Column(say("no."), 5, right=True),
        Column(say("day"), 11),
        Column(say("time"), 12, right=True),
        Column(say("for"), 8),
        Column(say("doing what")),
    )
    EMPTY = (say("No time was noted."), say("Press n: an hour and a half is 1:30. It is a memo and in no total."))

    def __init__(self) -> None:
        super().__init__()
        self._hours: dict[str, HoursRow] = {}

    def title_words(self) -> str:
        return say("Your own hours")

    def all_rows(self) -> list[Row]:
        self._hours = {str(row.number): row for row in self.desk.ledger.own_hours()}
        return [
            Row(key, ((key, "bold"), self.day(row.on), time_words(row.minutes), row.whom or say("all"), row.work))
            for key, row in self._hours.items()
        ]

    def sum_up(self) -> str:
        return say("{time_words}, in no total", time_words=time_words(sum(row.minutes for row in self._hours.values())))

    async def action_note_hours(self) -> None:
        """Some more."""
        await self.desk.open_form(HoursForm())

    async def action_take_back_hours(self) -> None:
        """Noted by mistake."""
        from ledger.costs.commands import DropHours

        row = self._hours.get(self.chosen or "")
        if row is not None:
            heading = say(
                "Time noted by mistake: {time_words} {work}", time_words=time_words(row.minutes), work=row.work
            ).rstrip()
            await self.desk.open_form(Sure(say("hours {number}", number=row.number), heading, DropHours(row.number)))
