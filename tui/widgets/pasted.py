"""Several jot lines pasted at once: each with what it would record or why not; Enter records those that can be.

Each line is an act of its own with a token of its own. A line that was refused stays listed with its reason.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from ledger.errors import Refused
from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.actions import Act
from tui.jot_line import Line, read_line
from tui.look import in_one_style
from tui.plain import parts, words
from tui.widgets.taps import Taps

if TYPE_CHECKING:
    from tui.app import Desk
    from tui.telling import Preview


def _said(plan: Preview) -> str:
    return strung((plan.sentence, *(say("Caution: {caution}", caution=caution) for caution in plan.cautions)), " ")


class Pasted(ModalScreen[int]):
    """Dismissed with the number of lines recorded."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "record", "Record", show=False),
        Binding("escape", "back", "Back", show=False),
    ]

    TAPPED: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("record"), ""),
        Act("back", "escape", say("back"), ""),
    )

    def __init__(self, lines: Sequence[Line]) -> None:
        super().__init__()
        self._lines = lines
        self._tokens: list[str] = []
        self._done: dict[int, str] = {}
        self._reasons = {at: line.refusal.sentence for at, line in enumerate(lines) if line.refusal is not None}

    @property
    def _draft(self) -> str:
        """Name their tokens are kept under: these very lines."""
        whole = "\n".join(line.text for line in self._lines)
        return f"pasted:{hashlib.sha256(whole.encode('utf-8', 'surrogatepass')).hexdigest()[:16]}"

    @property
    def desk(self) -> Desk:
        """The application."""
        return cast("Desk", self.app)

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet"):
            yield Static(
                words(say("{lines} lines were pasted", lines=len(self._lines)), "bold"), id="sheet-title", markup=False
            )
            with VerticalScroll(id="help-text"):
                for at in range(len(self._lines)):
                    yield Static(id=f"line-{at}", markup=False)
            yield Static(id="pasted-foot", markup=False)
            yield Taps(self.TAPPED)

    @on(Taps.Tapped)
    async def _tapped(self, event: Taps.Tapped) -> None:
        event.stop()
        await self.run_action(f"screen.{event.name}")

    def on_mount(self) -> None:
        """Look at every line."""
        self.query_one(VerticalScroll).focus()
        kept = self.desk.drafts.get(self._draft)
        self._tokens = [kept.get(str(at)) or new_token(time.time_ns()) for at in range(len(self._lines))]
        for at, line in enumerate(self._lines):
            if line.command is None:
                continue
            try:
                self._draw(at, _said(self.desk.preview(line.command)), "")
            except Refused as refusal:
                self._reasons[at] = refusal.sentence
        for at, reason in self._reasons.items():
            self._draw(at, reason, "$warning")
        ready = len(self._lines) - len(self._reasons)
        self._foot(
            say(
                "{ready} can be recorded, {reasons} cannot. Enter records those that can; esc records none.",
                ready=ready,
                reasons=len(self._reasons),
            )
        )

    def _draw(self, at: int, sentence: str, style: str) -> None:
        sign = "! " if style else "✓ " if at in self._done else "  "
        line = self.query_one(f"#line-{at}", Static)
        said = in_one_style(sentence, self.desk.order)
        line.update(parts((f"{sign}{self._lines[at].text}", "bold"), ("\n    ", ""), (said, style)))

    def _foot(self, text: str) -> None:
        self.query_one("#pasted-foot", Static).update(words(text, "$quiet"))

    def action_record(self) -> None:
        """Record every line that can be and was not yet, in order."""
        setting = self.desk.jot_setting()
        # Pasted again after a kill, the lines that were recorded are the same acts and count once.
        self.desk.drafts.keep(self._draft, {str(at): token for at, token in enumerate(self._tokens)})
        for at, line in enumerate(self._lines):
            if at in self._done or line.command is None:
                continue
            try:
                # Read again: an earlier line may have made the tub or the buyer that this one names.
                done = self.desk.record(read_line(line.text, setting), self._tokens[at])
            except Refused as refusal:
                self._reasons[at] = refusal.sentence
                self._draw(at, refusal.sentence, "$warning")
            else:
                self._reasons.pop(at, None)
                self._done[at] = done.sentence
                self._draw(at, done.sentence, "")
                setting = self.desk.jot_setting()
        left = len(self._lines) - len(self._done)
        self._foot(
            say(
                "{done} recorded, {left} not. esc goes back; ctrl-z there takes back the last.",
                done=len(self._done),
                left=left,
            )
        )

    def action_back(self) -> None:
        """Go back to where the lines were pasted."""
        self.desk.drafts.drop(self._draft)
        self.dismiss(len(self._done))
