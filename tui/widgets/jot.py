"""The jot line on the screen: one entry, below it what will be recorded or why not, and the words that may come next.

Reads the line with `tui.jot_line`, asks the desk for the preview, and records with Enter. What was typed stays when
the line is put away.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key, Paste
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Input, Static
from textual.worker import Worker, WorkerState

from ledger.errors import Ambiguous, NotKnown, Refused, SaidDifferently
from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.look import in_one_style
from tui.plain import parts, within, words
from tui.threads import forgetful
from tui.widgets.entry import HelpAsked, HelpedEntry
from tui.widgets.jot_hint import JotHint

if TYPE_CHECKING:
    from ledger.books.changes import Consequences
    from tui.app import Desk

PAUSE = 0.12
"""Seconds of rest after which the ledger is asked what the line would record."""
AT_REST = 0.5
"""Seconds of further rest after which the ledger tries what the line would do to costs already shown."""
TRIAL = "figures"
SENT = "jot line sent"
PLACE, LINE, TOKEN = "place", "line", "token"
"""The draft of a line while it is recorded, and what is kept of it."""
MOST_PASTED = 200
"""Lines that are looked at one by one before the next key is read; of more, nobody reads what each would record."""
MOST_LINES = 6
"""Lines of what would be recorded that are shown, as in theme.tcss."""
HINT = say("enter records · tab completes · esc puts the line away, what is in it stays here")
LEFT = say("as it was left here · a letter begins anew, → writes on · ctrl-u empties it")
WRITES_ON = (" ", ",")
SHORT = 4
"""Letters of a new line up to which the one it was written over is named below."""
WAITS = say("ctrl-z takes back your last act and waits until the line is empty: ctrl-u empties it.")


class JotInput(HelpedEntry):
    """The entry itself. Its keys do what they do at once, after the letters before them and before those behind."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "record", "Record", show=False),
        Binding("escape", "put_away", "Put away", show=False),
        Binding("tab", "complete", "Complete", show=False),
        Binding("ctrl+z", "take_back", "Undo", show=False),
        Binding("down", "choose(1)", "Next choice", show=False),
        Binding("up", "choose(-1)", "Previous choice", show=False),
        Binding("ctrl+o", "list_changes", "Figures it changes", show=False),
    ]

    class Lines(Message):
        """Several lines were pasted."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    @property
    def line(self) -> JotLine:
        """The line this is the entry of."""
        return next(widget for widget in self.ancestors if isinstance(widget, JotLine))

    def action_record(self) -> None:
        self.line.record()

    def action_put_away(self) -> None:
        self.line.put_away()

    def action_complete(self) -> None:
        self.line.complete()

    def action_take_back(self) -> None:
        self.line.take_back()

    def action_choose(self, step: int) -> None:
        self.line.choose(step)

    async def action_list_changes(self) -> None:
        await self.line.list_changes()

    async def _on_key(self, event: Key) -> None:
        if event.character in WRITES_ON and self.value and len(self.selected_text) == len(self.value):
            # No line begins so: it goes on with the one that stands there marked.
            self.cursor_position = len(self.value)
        await super()._on_key(event)

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
        self._offered: tuple[str, tuple[str, ...]] = ("", ())
        """What stood in the line when tab was first pressed, and the lines that tab puts there in turn."""
        self._choices: tuple[str, ...] = ()
        self._chosen = -1
        self._timer: Timer | None = None
        self._trial: Timer | None = None
        self._left = ""
        """What was left here and stands marked in the entry, or was written over since."""
        self._tried: tuple[str, Consequences] | None = None
        """The line that was tried last, and what it would change."""

    def compose(self) -> ComposeResult:
        with Horizontal(id="jot-row"):
            yield Static(words(" › ", "bold $primary"), id="jot-sign", markup=False)
            yield JotInput(id="jot-entry", select_on_focus=False)
        yield Static(id="jot-preview", markup=False)
        yield JotHint(id="jot-hint", markup=False)

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
        """Show the line with what was last typed into it, marked, and take the keys at once."""
        self.display = True
        self.desk.learn_words()
        self._sent_before()
        self._write(self._kept)
        self.entry.cursor_position = len(self.entry.value)
        self.screen.set_focus(self.entry)
        self.post_message(self.Toggled(True))
        self._say()
        self._left = self._kept if self._kept != self.desk.offered else ""
        if self._left:
            # Written on without a look, the next line would run on from the old one.
            self.entry.select_all()
            self._hint(LEFT)

    @property
    def _kept(self) -> str:
        """What was last typed into the line of this place."""
        return self.desk.jotted.get(self._place, "")

    def _keep(self, text: str) -> None:
        self.desk.jotted[self._place] = text

    def _sent_before(self) -> None:
        """A line that was being recorded when the program was killed stands there again, as the same act."""
        sent = self.desk.drafts.get(SENT)
        if not self._token and sent.get(PLACE) == self._place and self._kept in ("", sent[LINE]):
            self._token = sent[TOKEN]
            self._keep(sent[LINE])

    @property
    def _place(self) -> str:
        screen = self.screen
        return screen.here() if hasattr(screen, "here") else ""

    def _write(self, text: str) -> None:
        """Put text into the entry without asking what it would record."""
        with self.prevent(Input.Changed):
            self.entry.value = text
        self._typed = text

    def put_away(self) -> None:
        """Hide the line; what was typed into it is kept for this place, what was only offered is not."""
        if self.entry.value == self.desk.offered:
            self._keep("")
        self.desk.offered = ""
        self.desk.keep_jotted()
        self.display = False
        self.post_message(self.Toggled(False))

    @on(Input.Changed, "#jot-entry")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        # What stands in the entry now: what was typed may have been recorded since.
        text = self.entry.value
        self._keep(text)
        if text == self._typed and not text:
            return
        if text not in (*self._choices, self._typed):
            self._choices, self._chosen, self._typed = (), -1, text
        self._rest()
        self._timer = self.set_timer(PAUSE, self._say)

    def _say(self) -> None:
        """Show what the line would record, or why it cannot."""
        from tui.jot_line import read_line

        if not self.display:
            return
        self.desk.keep_jotted()
        text = self.entry.value
        if not text.strip():
            lot = self.desk.jot_setting().vocabulary.example
            self._show(say("Write what happened, such as: {lot} 3 died", lot=lot or "P08"), "", HINT)
            return
        setting = self.desk.jot_setting()
        try:
            command = read_line(text, setting)
        except Refused as refusal:
            self._refused(refusal, text)
            return
        try:
            plan = self.desk.preview(command)
        except Refused as refusal:
            self._refused(self._in_lines(refusal, text), text)
        else:
            cautions = strung((say(" Caution: {caution}", caution=caution) for caution in plan.cautions), "")
            said = strung((plan.sentence, cautions), "")
            self._show(said, "", self._next_words(text))
            self._try_soon(text, command, said)

    # --- what it would change ----------------------------------------------------------------------------------------

    def _try_soon(self, text: str, command: object, sentence: str) -> None:
        """After a further rest, ask aside what the line would do to costs already shown."""
        from tui.consequences import to_ask

        if not to_ask(command, self.desk.ledger.today) or self.desk.reckoner.large():
            # The trial holds the ledger while it reads it: with a million movements nobody could record meanwhile.
            return
        ledger = self.desk.ledger

        def ask() -> tuple[str, str, Consequences]:
            return text, sentence, ledger.what_changes(command)

        self._trial = self.set_timer(AT_REST, lambda: self._try(ask))

    def _try(self, ask: Callable[[], object]) -> None:
        self.run_worker(forgetful(ask), group=TRIAL, exclusive=True, thread=True, exit_on_error=False)

    @on(Worker.StateChanged)
    def _was_tried(self, event: Worker.StateChanged) -> None:
        from tui.consequences import in_short

        if event.worker.group != TRIAL:
            return
        if event.state is WorkerState.ERROR:
            error = event.worker.error
            # A ledger that cannot be written, or one that has changed meanwhile: the preview says what there is to say.
            if not isinstance(error, Refused):
                assert error is not None
                raise error
        if event.state is not WorkerState.SUCCESS or not self.display:
            return
        text, sentence, found = cast("tuple[str, str, Consequences]", event.worker.result)
        if text != self.entry.value:
            return
        self._tried = (text, found)
        said = in_short(found, self.desk.ledger.currency)
        preview = within(in_one_style(sentence, self.desk.order), self.app.size.width - 3, MOST_LINES - 2)
        self.query_one("#jot-preview", Static).update(parts("   ", preview, ("\n   " + said, "$quiet")))

    async def list_changes(self) -> None:
        """Every figure the line would change, on a page of its own; the line stays as it is."""
        from tui.consequences import whole_list
        from tui.places.page import TextPage

        if self._tried is None or self._tried[0] != self.entry.value:
            if self.desk.reckoner.large():
                self._hint(say("on a ledger of this size 'rearledger try' says which figures a line changes"))
                return
            self._hint(say("what a line changes is asked for a cost, or for a day that is past; it takes a moment"))
            return
        found = self._tried[1]
        width = min(max(self.app.size.width - 4, 20), 100)
        order = self.desk.order
        lines = [in_one_style(line, order) for line in whole_list(found, self.desk.ledger.currency, width)]
        await self.desk.open_form(TextPage(say("What the line would change"), lambda: lines))

    def _in_lines(self, refusal: Refused, text: str) -> Refused:
        """The refusal with its choices as whole lines, as far as they can be put into this one."""
        from tui.jot_line import line_with

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
            self._show(refusal.sentence, "$warning", say("↓ takes: {offered}", offered=offered))
        else:
            self._show(refusal.sentence, "$warning", self._next_words(text))

    def _next_words(self, text: str) -> str:
        from tui.jot_complete import completions

        offered = completions(text, self.desk.jot_setting().vocabulary)
        if self._left and len(text) < SHORT and not self._left.startswith(text):
            return say("↑ brings back: {line}", line=self._left)
        return say("tab: {offered}", offered=strung(offered, "  ")) if offered else HINT

    def _show(self, sentence: str, style: str, hint: str) -> None:
        sign = "! " if style else "  "
        # A caution must not end in the middle as if it were whole; keys in a burst come before the line is laid out.
        width = self.size.width or self.app.size.width
        said = within(in_one_style(sentence, self.desk.order), width - len(sign) - 1, MOST_LINES)
        self.query_one("#jot-preview", Static).update(parts((f" {sign}", f"bold {style}"), (said, style)))
        self._hint(hint)

    def _hint(self, hint: str) -> None:
        self.query_one(JotHint).tell(strung(("   ", hint), ""))

    def record(self) -> None:
        """Record what the line says, or say why it cannot be; an empty line is put away."""
        from tui.jot_line import read_line

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
        # Whether it was recorded is not known to whoever is killed now; sent again, it counts once.
        self.desk.drafts.keep(SENT, {PLACE: self._place, LINE: text, TOKEN: self._token})
        try:
            done = self.desk.record(command, self._token)
        except Refused as refusal:
            if not isinstance(refusal, NotKnown):
                self.desk.drafts.drop(SENT)
            if isinstance(refusal, SaidDifferently):
                # The first line of this token stands; what is written now is another act.
                self._token = ""
            self._refused(self._in_lines(refusal, text), text)
            return
        self._rest()
        self._token = ""
        self._choices, self._chosen = (), -1
        self._left = ""
        self._keep("")
        self.desk.keep_jotted()
        self.desk.drafts.drop(SENT)
        self._write("")
        cautions = strung((say(" Caution: {caution}", caution=caution) for caution in done.cautions), "")
        self._show(
            say("Recorded. {sentence}{cautions}", sentence=done.sentence, cautions=cautions),
            "",
            say("ctrl-z takes it back · write on, or enter goes back"),
        )

    def _rest(self) -> None:
        """What was typed last needs no preview any more: it must not come over what is said now."""
        for timer in (self._timer, self._trial):
            if timer is not None:
                timer.stop()
        self._timer = self._trial = None
        self._tried = None

    def take_back(self) -> None:
        """Take back the last act; text in the line is not touched, since an entry has no undo of its own."""
        self._rest()
        if self.entry.value.strip():
            self._show(WAITS, "$warning", HINT)
            return
        try:
            done = self.desk.take_back()
        except Refused as refusal:
            self._show(refusal.sentence, "$warning", HINT)
        else:
            cautions = strung((say(" Caution: {caution}", caution=caution) for caution in done.cautions), "")
            self._show(strung((done.sentence, cautions), ""), "", say("write on, or enter goes back"))

    @on(HelpAsked)
    def _help_asked(self, event: HelpAsked) -> None:
        event.stop()
        self.desk.action_help()

    @on(JotInput.Lines)
    def _pasted(self, event: JotInput.Lines) -> None:
        from tui.jot_line import read_lines
        from tui.widgets.pasted import Pasted

        event.stop()
        lines = sum(bool(line.strip()) for line in event.text.splitlines())
        if lines > MOST_PASTED:
            said = say(
                "{lines} lines are too many at once: paste up to {most}, or bring in a sheet (_ in 7 Year).",
                lines=lines,
                most=MOST_PASTED,
            )
            self._show(said, "$warning", HINT)
            return
        self.put_away()
        self.app.push_screen(Pasted(read_lines(event.text, self.desk.jot_setting())))

    def complete(self) -> None:
        """Put the first name or word offered in place of what was begun; the next one when pressed again."""
        from tui.jot_complete import completed

        text = self.entry.value
        begun, lines = self._offered
        if text not in lines:
            begun, lines = text, completed(text, self.desk.jot_setting().vocabulary)
            self._offered = (begun, lines)
        if not lines:
            return
        self.entry.value = lines[(lines.index(text) + 1) % len(lines)] if text in lines else lines[0]
        self.entry.cursor_position = len(self.entry.value)

    @on(JotHint.Pressed)
    def _key_clicked(self, event: JotHint.Pressed) -> None:
        event.stop()
        self.screen.set_focus(self.entry)
        does: dict[str, Callable[[], object]] = {
            "enter": self.record,
            "tab": self.complete,
            "esc": self.put_away,
            "↓": lambda: self.choose(1),
            "↑": lambda: self.choose(-1),
            "z": self.take_back,
            "u": self.entry.clear,
        }
        does[event.key]()

    def choose(self, step: int) -> None:
        """Put the next choice into the entry, or what was typed before the choices came; where there is none to choose,
        up brings back the line that was left here and written over."""
        if not self._choices:
            if step < 0 and self._left and self.entry.value != self._left:
                self.entry.value = self._left
                self.entry.cursor_position = len(self.entry.value)
            return
        self._chosen = (self._chosen + 1 + step) % (len(self._choices) + 1) - 1
        self.entry.value = self._typed if self._chosen < 0 else self._choices[self._chosen]
        self.entry.cursor_position = len(self.entry.value)
