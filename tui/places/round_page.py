"""The whole round in words before it is saved: what will be recorded, and below it the marks line by line."""

from __future__ import annotations

from typing import ClassVar, Protocol

from ledger.errors import Refused
from ledger.wording import say, strung
from tui.actions import Act
from tui.places.page import BACK, ScrolledPage, hanging
from tui.widgets.foot import Answer


class Walked(Protocol):
    """A round that was walked."""

    def command(self) -> object:
        """All its marks as one command. Raises Refused."""

    def lines(self) -> list[str]:
        """The marks line by line, in words."""

    def why_line(self) -> str:
        """The jot line that says why the first count that differs does; empty: every count agrees."""

    async def say_why(self) -> None:
        """Write that line."""

    def save(self) -> None:
        """Record everything in one act, or nothing. Raises Refused."""


class RoundPage(ScrolledPage):
    """The whole round in words before it is saved."""

    WHERE = "look-over"
    HELP = say("What the marks of the round will record, all in one act. Enter records it; esc goes back to the marks.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("record"), say("Record the whole round, or hear in a sentence why it cannot be.")),
        Act(
            "say_why",
            "e",
            say("explain"),
            say("Say why a count differs from what is recorded, in a line that is begun already."),
            shown=False,
        ),
        BACK,
    )

    def __init__(self, walked: Walked) -> None:
        super().__init__()
        self._round = walked

    def title_words(self) -> str:
        return say("The round in words")

    def desk_acts(self) -> tuple[Act, ...]:
        # On a phone there is room for little, and Enter must be seen.
        return tuple(act for act in super().desk_acts() if act.name == "help")

    def read_anew(self) -> None:
        try:
            plan = self.desk.preview(self._round.command())
        except Refused as refusal:
            said = [say("! {sentence}", sentence=refusal.sentence)]
        else:
            said = [
                self.said(plan.sentence),
                *(say("Caution: {caution}", caution=self.said(caution)) for caution in plan.cautions),
            ]
        if self._round.why_line():
            said.append(say("e explains why the count differs, before the round is recorded."))
        lines = [*said, "", say("Row by row:"), *(strung(("  ", line), "") for line in self._round.lines())]
        self.show(hanging(lines, max(self.app.size.width - 4, 20)))

    def action_say_why(self) -> None:
        """Back to the marks, with the line begun that says why a count differs."""
        if not self._round.why_line():
            self.desk.say(Answer(say("Every count of the round agrees with what is recorded.")))
            return
        self.dismiss(None)
        self.app.call_later(self._round.say_why)

    def action_record(self) -> None:
        """Record it."""
        try:
            self._round.save()
        except Refused as refusal:
            self.desk.say(Answer(refusal.sentence, "refused"))
            return
        self.dismiss(None)
