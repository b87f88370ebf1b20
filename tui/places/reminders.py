"""Reminders about rules for species, as the keeper entered them; they warn before a sale and decide nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.wording import say, word
from tui.actions import Act
from tui.forms.reminders import EndReminderForm, ReminderForm
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.selling.flags import FlagRow


class RemindersPage(ListPage):
    """Those in force first."""

    WHERE = "reminders"
    HELP = say(
        "What you know of rules for a species: protected, invasive, a permit with its number and last "
        "day, a limit of the post. They are yours, warn before a sale and decide nothing; check your "
        "local rules."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("new_reminder", "n", say("new"), say("Enter a reminder for a species.")),
        Act("end", "Z", say("close"), say("The reminder of this row no longer counts from a day on.")),
        BACK,
    )
    COLUMNS = (
        Column(say("species"), 7),
        Column(say("kind{reminder}", reminder=""), 10),
        Column(say("number"), 14),
        Column(say("what it says")),
        Column(say("last day"), 11),
        Column(say("state"), 9),
    )
    EMPTY = (
        say("No reminder was entered."),
        say("Press n. No reminder does not mean that it is allowed: check your local rules."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._flags: dict[str, FlagRow] = {}

    def title_words(self) -> str:
        return say("Reminders about rules")

    def all_rows(self) -> list[Row]:
        today = self.desk.ledger.today
        rows = sorted(self.desk.ledger.flags(), key=lambda row: (not row.counts_on(today), row.species, row.id))
        self._flags = {str(row.id): row for row in rows}
        return [
            Row(
                str(row.id),
                (
                    (row.species, "bold"),
                    word(row.kind),
                    row.number,
                    row.text,
                    self.day(row.expires_on) if row.expires_on else "",
                    self._state(row),
                ),
            )
            for row in rows
        ]

    def _state(self, row: FlagRow) -> tuple[str, str]:
        today = self.desk.ledger.today
        if row.ended_on is not None and row.ended_on <= today:
            return say("ended"), "$quiet"
        if row.from_on > today:
            return say("later"), "$quiet"
        return (say("! expired"), "$warning") if row.expired(today) else (say("counts"), "")

    def detail(self, key: str) -> str:
        row = self._flags[key]
        ended = say(", ended {ended_on}", ended_on=self.day(row.ended_on)) if row.ended_on else ""
        return say(
            "{species}: {words}, from {from_on}{ended}. {text}",
            species=row.species,
            words=row.words,
            from_on=self.day(row.from_on),
            ended=ended,
            text=row.text,
        ).rstrip()

    def remark(self) -> str:
        return say("Entered by you, and no finding of what is legal; check your local rules.") if self._flags else ""

    def sum_up(self) -> str:
        counting = sum(row.counts_on(self.desk.ledger.today) for row in self._flags.values())
        return say("{counting} in force", counting=counting)

    async def action_new_reminder(self) -> None:
        """A new one."""
        await self.desk.open_form(ReminderForm())

    async def action_end(self) -> None:
        """It ends."""
        row = self._flags.get(self.chosen or "")
        if row is None:
            return
        if row.ended_on is not None:
            self.desk.say(Answer(say("That reminder ended on {day} already.", day=self.day(row.ended_on))))
        else:
            await self.desk.open_form(
                EndReminderForm(row.id, say("{species}: {words}", species=row.species, words=row.words))
            )
