"""Forms for reminders about rules: what the keeper knows of a species, and that one no longer counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.selling.commands import EndFlag, FlagSpecies
from ledger.selling.flags import KINDS
from ledger.text import clean_code
from ledger.wording import say
from tui.forms.optional import day_beside, or_none
from tui.widgets.fields import FieldSpec, day, in_days, nothing_beside, text
from tui.widgets.form import Form


class ReminderForm(Form):
    """A reminder.

    Args:
        subject: code of the species; empty: it is asked for.
    """

    WHERE = "reminder"
    HELP = say(
        "What you know of rules for a species, as you found it: it warns before a sale and is noted on "
        "the sale. It decides nothing: no reminder does not mean that it is allowed. Check your local "
        "rules."
    )

    def heading(self) -> str:
        return say("A reminder about rules for a species")

    def specs(self) -> Sequence[FieldSpec]:
        ledger, order = self.desk.ledger, self.desk.order
        codes = [row.code for row in ledger.species()]
        return (
            FieldSpec("species", say("species"), clean_code, self.subject, nothing_beside, known=codes),
            FieldSpec("kind", say("kind{reminder}", reminder=""), str, KINDS[0], choices=KINDS),
            FieldSpec(
                "text", say("what it says"), text("text", limit=500), "", nothing_beside, hint=say("in your own words")
            ),
            FieldSpec("number", say("number"), text("number", limit=80), "", nothing_beside, hint=say("of a permit")),
            FieldSpec(
                "expires_on",
                say("last day"),
                or_none(day(ledger.today, order, ahead=True)),
                "",
                day_beside,
                hint=say("of a permit"),
            ),
            FieldSpec("from_on", say("counts from"), day(ledger.today, order), "today", in_days),
        )

    def command(self, values: Mapping[str, Any]) -> FlagSpecies:
        return FlagSpecies(
            values["species"],
            values["kind"],
            values["from_on"],
            values["text"],
            values["number"],
            values["expires_on"],
        )


class EndReminderForm(Form):
    """A reminder no longer counts."""

    WHERE = "end-reminder"

    def __init__(self, number: int, said: str) -> None:
        super().__init__(str(number))
        self._said = said

    def heading(self) -> str:
        return say("{reminder} no longer counts", reminder=self._said)

    def specs(self) -> Sequence[FieldSpec]:
        return (FieldSpec("on", say("from"), day(self.desk.ledger.today, self.desk.order), "today", in_days),)

    def command(self, values: Mapping[str, Any]) -> EndFlag:
        return EndFlag(int(self.subject), values["on"])
