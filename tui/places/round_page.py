"""The whole round in words before it is saved: what will be recorded, and below it the marks line by line.

Of a long round this is planned, and later recorded, aside: a bar says so, Escape stops it, and Enter records nothing
that was not read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextvars import copy_context
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Protocol, cast

from ledger.act import Done
from ledger.errors import Refused
from ledger.wording import say, strung
from tui.actions import Act
from tui.places.long import LongPage, Progress, Tell
from tui.places.page import BACK, hanging
from tui.reckoner import said_before
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from ledger.stock.commands import SaveRound


class Walked(Protocol):
    """A round that was walked."""

    @property
    def long(self) -> int:
        """How many lines are marked, where they are too many to be planned or recorded between two keys."""

    @property
    def token(self) -> str:
        """Of the act of saving it."""

    def command(self) -> SaveRound:
        """All its marks as one command. Raises Refused."""

    def lines(self) -> Iterable[str]:
        """The marks line by line, in words."""

    def why_line(self) -> str:
        """The jot line that says why the first count that differs does; empty: every count agrees."""

    async def say_why(self) -> None:
        """Write that line."""

    def save(self) -> None:
        """Record everything in one act, or nothing. Raises Refused."""

    def was_saved(self) -> None:
        """Everything was recorded."""

    def not_saved(self, refusal: Refused) -> None:
        """Nothing was recorded."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A long round as it is read before it is recorded."""

    lines: tuple[str, ...]
    command: SaveRound | None = None
    """What Enter records; `None`: it cannot be."""
    why_not: Refused | None = None


class RoundPage(LongPage):
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
        self._seen: Seen | None = None
        """A long round, once it stands there to be read."""
        self._why_line = ""

    def title_words(self) -> str:
        return say("The round in words")

    def desk_acts(self) -> tuple[Act, ...]:
        # On a phone there is room for little, and Enter must be seen.
        return tuple(act for act in super().desk_acts() if act.name == "help")

    @property
    def width(self) -> int:
        return max(self.app.size.width - 4, 20)

    def read_anew(self) -> None:
        self._seen = None
        if self._round.long:
            super().read_anew()
            return
        try:
            plan = self.desk.preview(self._round.command())
        except Refused as refusal:
            said = [say("! {sentence}", sentence=refusal.sentence)]
        else:
            said = self._said(plan.sentence, plan.cautions)
        self.show(self._lines(said))

    def _said(self, sentence: str, cautions: Iterable[str]) -> list[str]:
        return [
            self.said(sentence),
            *(say("Caution: {caution}", caution=self.said(caution)) for caution in cautions),
        ]

    def _lines(self, said: Iterable[str]) -> list[str]:
        """All lines of the page, below what is said of the whole."""
        self._why_line = self._round.why_line()
        why = [say("e explains why the count differs, before the round is recorded.")] if self._why_line else []
        rows = (strung(("  ", line), "") for line in self._round.lines())
        return [*hanging((*said, *why, "", say("Row by row:")), self.width), *hanging(rows, self.width)]

    # --- a long round ------------------------------------------------------------------------------------------------

    def work(self) -> Callable[[Tell], object]:
        # A thread does not know by itself what language is spoken here.
        spoken = copy_context().run

        def look_over(tell: Tell) -> Seen:
            tell(say("looking over {lines} lines", lines=f"{self._round.long:,}"), 0, 1)
            try:
                command = self._round.command()
                sentence, cautions = self.desk.reckoner.ask(said_before, self.desk.ledger, command)
            except Refused as refusal:
                tell("", 0, 0)
                return Seen(tuple(spoken(self._lines, [say("! {sentence}", sentence=refusal.sentence)])), None, refusal)
            tell(say("writing {lines} lines", lines=f"{self._round.long:,}"), 0, 1)
            return Seen(tuple(spoken(self._lines, spoken(self._said, sentence, cautions))), command)

        return look_over

    def came(self, answer: object) -> None:
        if isinstance(answer, Done):
            self.recorded(answer)
            self._round.was_saved()
            return
        self._seen = cast("Seen", answer)
        self.show(self._seen.lines)

    def failed(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))
        if self._seen is None:
            super().failed(refusal)
            return
        self._round.not_saved(refusal)
        self.show(self._seen.lines)

    def _record_aside(self) -> None:
        """Record what stands there to be read, and nothing else."""
        if self.working or self._seen is None:
            self.desk.say(Answer(say("The round is not ready yet; nothing more is recorded meanwhile.")))
        elif self._seen.why_not is not None:
            self.desk.say(Answer(self._seen.why_not.sentence, "refused"))
        else:
            ledger, command, token, mine = self.desk.ledger, self._seen.command, self._round.token, Progress()
            leave = self.leave_of(mine)

            def save(tell: Tell) -> Done:
                tell(say("recording {lines} lines", lines=f"{self._round.long:,}"), 0, 1)
                return ledger.do(command, token=token, source="screen", before_saving=leave)

            self.begin_with(mine, save, records=True)

    # --- keys --------------------------------------------------------------------------------------------------------

    def action_say_why(self) -> None:
        """Back to the marks, with the line begun that says why a count differs."""
        if self.working:
            return
        if not self._why_line:
            self.desk.say(Answer(say("Every count of the round agrees with what is recorded.")))
            return
        self.dismiss(None)
        self.app.call_later(self._round.say_why)

    def action_record(self) -> None:
        """Record it."""
        if self._round.long or self.working:
            self._record_aside()
            return
        try:
            self._round.save()
        except Refused as refusal:
            self.desk.say(Answer(refusal.sentence, "refused"))
            return
        self.desk.left_recorded()
        self.dismiss(None)
