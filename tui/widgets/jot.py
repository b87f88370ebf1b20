"""The jot line on the screen: one entry, below it what will be recorded or why not, and the words that may come next.

Reads the line with `tui.jot_line`, asks the desk for the preview, and records with Enter. What was typed stays when
the line is put away.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Paste
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Input, Static

from ledger.errors import Ambiguous, Refused, SaidDifferently
from ledger.records.operations import new_token
from tui.jot_complete import completions
from tui.jot_line import line_with, read_line, read_lines
from tui.plain import parts, words
from tui.widgets.pasted import Pasted

if TYPE_CHECKING:
    from tui.app import Desk

PAUSE = 0.12
"""Seconds of rest after which the ledger is asked what the line would record."""
HINT = "enter records · tab completes · esc puts the line away, what is in it stays"


class JotInput(Input):
    """The entry itself. Its keys work in the order they were typed, after the letters before them."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "record", "Record", show=False),
        Binding("escape", "put_away", "Put away", show=False),
        Binding("tab", "complete", "Complete", show=False),
        Binding("down", "choose(1)", "Next choice", show=False),
        Binding("up", "choose(-1)", "Previous choice", show=False),
    ]

    class Key(Message):
        """One of the keys of the line."""

        def __init__(self, name: str, step: int = 0) -> None:
            super().__init__()
            self.name = name
            self.step = step

    class Lines(Message):
        """Several lines were pasted."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def action_record(self) -> None:
        self.post_message(self.Key("record"))

    def action_put_away(self) -> None:
        self.post_message(self.Key("put away"))

    def action_complete(self) -> None:
        self.post_message(self.Key("complete"))

    def action_choose(self, step: int) -> None:
        self.post_message(self.Key("choose", step))

    def _on_paste(self, event: Paste) -> None:
        lines = [line for line in event.text.splitlines() if line.strip()]
        if len(lines) > 1:
            self.post_message(self.Lines(event.text))
            event.stop()
            event.prevent_default()
            return
        super()._on_paste(event)


class JotLine(Vertical):
    """Entry, preview and hint; hidden until it is opened."""

    class Toggled(Message):
        """The line was opened or put away."""

        def __init__(self, is_open: bool) -> None:
            super().__init__()
            self.is_open = is_open

    def __init__(self) -> None:
        super().__init__(id="jot")
        self._token = ""
        self._typed = ""
        self._choices: tuple[str, ...] = ()
        self._chosen = -1
        self._timer: Timer | None = None

    def compose(self) -> ComposeResult:
        with Horizontal(id="jot-row"):
            yield Static(words(" › ", "bold $primary"), id="jot-sign", markup=False)
            yield JotInput(id="jot-entry", compact=True, select_on_focus=False)
        yield Static(id="jot-preview", markup=False)
        yield Static(id="jot-hint", markup=False)

    def on_mount(self) -> None:
        """Out of sight at first."""
        self.display = False

    @property
    def desk(self) -> Desk:
        """The application."""
        return cast("Desk", self.app)

    @property
    def entry(self) -> JotInput:
        """The entry."""
        return self.query_one(JotInput)

    def open(self) -> None:
        """Show the line with what was last typed into it and take the keys at once."""
        self.display = True
        self.desk.learn_words()
        self._write(self.desk.jotted)
        self.entry.cursor_position = len(self.entry.value)
        self.screen.set_focus(self.entry)
        self.post_message(self.Toggled(True))
        self._say()

    def _write(self, text: str) -> None:
        """Put text into the entry without asking what it would record."""
        with self.prevent(Input.Changed):
            self.entry.value = text
        self._typed = text

    def put_away(self) -> None:
        """Hide the line; what stands in it is kept."""
        self.display = False
        self.post_message(self.Toggled(False))

    @on(Input.Changed, "#jot-entry")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.desk.jotted = event.value
        if event.value not in (*self._choices, self._typed):
            self._choices, self._chosen, self._typed = (), -1, event.value
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(PAUSE, self._say)

    def _say(self) -> None:
        """Show what the line would record, or why it cannot."""
        if not self.display:
            return
        text = self.entry.value
        if not text.strip():
            lot = self.desk.jot_setting().vocabulary.example
            self._show(f"Write what happened, such as: {lot or 'P08'} 3 died", "", HINT)
            return
        setting = self.desk.jot_setting()
        try:
            command = read_line(text, setting)
        except Refused as refusal:
            self._refused(refusal, text)
            return
        try:
            plan = self.desk.ledger.preview(command)
        except Refused as refusal:
            self._refused(self._in_lines(refusal, text), text)
        else:
            cautions = "".join(f" Caution: {caution}" for caution in plan.cautions)
            self._show(plan.sentence + cautions, "", self._next_words(text))

    def _in_lines(self, refusal: Refused, text: str) -> Refused:
        """The refusal with its choices as whole lines, as far as they can be put into this one."""
        if not isinstance(refusal, Ambiguous):
            return refusal
        setting = self.desk.jot_setting()
        lines = tuple(line for choice in refusal.choices if (line := line_with(text, choice, setting)))
        return Ambiguous(refusal.sentence, refusal.field, refusal.facts, choices=lines)

    def _refused(self, refusal: Refused, text: str) -> None:
        if isinstance(refusal, Ambiguous) and refusal.choices and not self._choices:
            self._choices, self._chosen = refusal.choices, -1
        if self._choices:
            offered = "   ".join(self._choices[:4])
            self._show(refusal.sentence, "$warning", f"↓ takes: {offered}")
        else:
            self._show(refusal.sentence, "$warning", self._next_words(text))

    def _next_words(self, text: str) -> str:
        offered = completions(text, self.desk.jot_setting().vocabulary)
        return f"tab: {'  '.join(offered)}" if offered else HINT

    def _show(self, sentence: str, style: str, hint: str) -> None:
        sign = "! " if style else "  "
        self.query_one("#jot-preview", Static).update(parts((f" {sign}", f"bold {style}"), (sentence, style)))
        self.query_one("#jot-hint", Static).update(words(f"   {hint}", "$quiet"))

    @on(JotInput.Key)
    def _key(self, event: JotInput.Key) -> None:
        event.stop()
        if event.name == "record":
            self._record()
        elif event.name == "put away":
            self.put_away()
        elif event.name == "complete":
            self._complete()
        else:
            self._choose(event.step)

    def _record(self) -> None:
        text = self.entry.value
        if not text.strip():
            self.put_away()
            return
        self._token = self._token or new_token(time.time_ns())
        try:
            command = read_line(text, self.desk.jot_setting())
        except Refused as refusal:
            self._refused(refusal, text)
            return
        try:
            done = self.desk.record(command, self._token)
        except Refused as refusal:
            if isinstance(refusal, SaidDifferently):
                # The first line of this token stands; what is written now is another act.
                self._token = ""
            self._refused(self._in_lines(refusal, text), text)
            return
        self._token = ""
        self._choices, self._chosen = (), -1
        self.desk.jotted = ""
        self._write("")
        cautions = "".join(f" Caution: {caution}" for caution in done.cautions)
        self._show(f"Recorded. {done.sentence}{cautions}", "", "write on, or enter goes back; there ctrl-z undoes it")

    @on(JotInput.Lines)
    def _pasted(self, event: JotInput.Lines) -> None:
        event.stop()
        self.put_away()
        self.app.push_screen(Pasted(read_lines(event.text, self.desk.jot_setting())))

    def _complete(self) -> None:
        """Put the first word offered in place of the one that was begun."""
        text = self.entry.value
        offered = completions(text, self.desk.jot_setting().vocabulary)
        if not offered:
            return
        begun = "" if not text or text[-1].isspace() else text.split()[-1]
        self.entry.value = f"{text[: len(text) - len(begun)]}{offered[0]} "
        self.entry.cursor_position = len(self.entry.value)

    def _choose(self, step: int) -> None:
        """Put the next choice into the entry, or what was typed before the choices came."""
        if not self._choices:
            return
        self._chosen = (self._chosen + 1 + step) % (len(self._choices) + 1) - 1
        self.entry.value = self._typed if self._chosen < 0 else self._choices[self._chosen]
        self.entry.cursor_position = len(self.entry.value)
