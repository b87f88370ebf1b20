"""Two forms beside the usual ones: one without fields, which only shows what would be recorded, and one that records
nothing itself but asks what is needed for work that is done elsewhere (a file to be read, a folder to write into)."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping, Sequence
from typing import Any, ClassVar

from textual.widget import Widget
from textual.widgets import Button

from ledger.errors import Refused
from ledger.wording import say
from tui.actions import Act
from tui.widgets.fields import FieldSpec
from tui.widgets.form import Form


class Sure(Form):
    """What would be recorded stands there in full; Enter records it. Never for what one key takes back.

    Args:
        subject: what it is about.
        heading: the line above.
        command: what is recorded.
    """

    WHERE = "sure"
    HELP = say("What will be recorded stands there in full. Enter records it, Escape leaves all as it is.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("record"), say("Record what stands there."), in_fields=True),
        Act("put_away", "escape", say("put away"), say("Leave all as it is."), in_fields=True),
    )

    def __init__(self, subject: str, heading: str, command: object) -> None:
        super().__init__(subject)
        self._heading = heading
        self._command = command

    def heading(self) -> str:
        return self._heading

    def specs(self) -> Sequence[FieldSpec]:
        return ()

    def first_focus(self) -> Widget | None:
        return self.query_one("#button-record", Button)

    def command(self, values: Mapping[str, Any]) -> object:
        return self._command


class Asking(Form):
    """A form whose answers go to whoever opened it.

    Args:
        answered: called with what was read, once the form is gone.
        subject: what it is about.
    """

    DOES = say("Go on")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("go on"), say("Go on with what stands in the form."), in_fields=True),
        *(act for act in Form.ACTS if act.name != "record"),
    )

    def __init__(self, answered: Callable[[dict[str, Any]], Awaitable[None]], subject: str = "") -> None:
        super().__init__(subject)
        self._answer = answered

    def said_of(self, values: Mapping[str, Any]) -> str:
        """What will be done, in a sentence; may raise Refused about the fields together."""
        return ""

    def command(self, values: Mapping[str, Any]) -> object:
        raise AssertionError("nothing is recorded by this form")

    def _look(self) -> None:
        try:
            self._show(self.said_of(self.values()), "")
        except Refused:
            self._show("", "")

    def _record(self) -> None:
        if self._recorded:
            return
        wrong = [row for row in self.rows if not row.check()]
        if wrong:
            self.set_focus(wrong[0].entry)
            self._say_wrong()
            return
        try:
            values = self.values()
            self.said_of(values)
        except Refused as refusal:
            self._refused(refusal)
            return
        self._recorded = True
        self.desk.drafts.drop(self.draft_name)
        self.dismiss(None)
        self.desk.call_later(self._answer, values)
