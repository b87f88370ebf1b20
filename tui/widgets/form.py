"""The base of every form: fields with a sentence beside each, what will be recorded below them, and one way to record.

A form keeps what is typed until it is recorded, also over a closed terminal. Its token is made when it opens, so that
it records once however often Enter is pressed. Recording is synchronous: one call to the ledger, then the answer.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.reactive import reactive
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Button, Input, Static

from ledger.act import Done
from ledger.errors import Refused, SaidDifferently
from ledger.records.operations import new_token
from ledger.wording import say, strung
from tui.actions import Act
from tui.frame import Framed
from tui.plain import parts, within, words
from tui.widgets.entry import HelpAsked
from tui.widgets.fields import FieldRow, FieldSpec
from tui.widgets.jot import JotInput
from tui.widgets.oneof import OneOf
from tui.widgets.paged import LOW

PAUSE = 0.25
"""Seconds of rest after which the ledger is asked what the form would record."""
LOW_PREVIEW = 2
"""Lines of what would be recorded on a low screen, as the style sheet has it."""
TOKEN = "token"


class Form(Framed[Done | None]):
    """A form about one subject; dismissed with what was recorded, or None when it was put away.

    Args:
        subject: what it is about (a lot's code), part of the name its draft is kept under.
    """

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("record", "enter", say("record"), say("Record what stands in the form."), in_fields=True),
        Act("next_field", "tab", say("next"), say("Go to the next field."), in_fields=True),
        Act("previous_field", "shift+tab", say("before"), say("Go to the field before."), shown=False, in_fields=True),
        Act(
            "put_away",
            "escape",
            say("put away"),
            say("Put the form away; what is typed is kept for next time."),
            in_fields=True,
        ),
        Act("afresh", "ctrl+r", say("start afresh"), say("Forget what is typed and begin again."), in_fields=True),
    )
    HELP: ClassVar[str] = say("Fill in the fields; what will be recorded stands below them in full. Enter records it.")
    DOES: ClassVar[str] = say("Record")
    """What its button says."""

    def __init__(self, subject: str = "") -> None:
        super().__init__()
        self.subject = subject
        self._token = ""
        self._rows: list[FieldRow] = []
        self._recorded = False
        self._records = False
        """Just now."""
        self._gone = False
        self._asked = False
        self._timer: Timer | None = None

    # --- what a form says of itself ----------------------------------------------------------------------------------

    def heading(self) -> str:
        """What the form is about, in a line."""
        raise NotImplementedError

    def specs(self) -> Sequence[FieldSpec]:
        """The fields, in order."""
        raise NotImplementedError

    def command(self, values: Mapping[str, Any]) -> object:
        """The command for what was read, by field; may raise Refused about the fields together."""
        raise NotImplementedError

    def also(self, plan: Any) -> Sequence[str]:
        """Lines to show below what will be recorded, from what the ledger planned."""
        return ()

    def explained(self, refusal: Refused) -> Refused:
        """A refusal of the ledger in the terms of this form: which of its fields it is about, what to write there."""
        return refusal

    def title_words(self) -> str:
        """In its help: what it is about, in the line that stands above its fields."""
        return self.heading()

    # --- drawing -----------------------------------------------------------------------------------------------------

    def desk_acts(self) -> tuple[Act, ...]:
        return tuple(act for act in self.desk.ACTS if act.in_fields or act.name == "help")

    @property
    def draft_name(self) -> str:
        """Name its draft is kept under."""
        return f"{self.WHERE}:{self.subject}"

    def body(self) -> Iterable[Widget]:
        self.desk.learn_words()
        kept = self.desk.drafts.get(self.draft_name)
        self._token = kept.pop(TOKEN, "") or new_token(time.time_ns())
        self._rows = [FieldRow(spec, kept.get(spec.key, spec.start), self.desk.order) for spec in self.specs()]
        heading = strung((self.heading(), say(" (as it was left)") if kept else ""), "")
        yield Static(words(heading), id="form-title", markup=False)
        yield _Fields(*self._rows, *self.below_fields(), classes="fields", can_focus=False)
        yield Static(id="form-preview", markup=False)
        yield _Buttons(self.DOES)

    def below_fields(self) -> Iterable[Widget]:
        """What stands below the last field and scrolls with them."""
        return ()

    @property
    def rows(self) -> list[FieldRow]:
        """The fields as drawn."""
        return self._rows

    def first_focus(self) -> Widget | None:
        wrong = [row for row in self.rows if row.wrong]
        return (wrong or self.rows)[0].entry if self.rows else None

    def opened(self) -> None:
        super().opened()
        # Its fields are there first, and take the keys that were typed meanwhile.
        self.call_after_refresh(self._look_if_there)

    def read_anew(self) -> None:
        """What was recorded meanwhile may change what this form would do; unless it was this form."""
        if not self._records:
            self._look()

    # --- while it is filled in ---------------------------------------------------------------------------------------

    @on(Input.Changed)
    @on(OneOf.Changed)
    def _typed(self, event: Input.Changed | OneOf.Changed) -> None:
        if isinstance(event.control, JotInput):
            return
        for row in self.rows:
            if row.entry is event.control:
                row.typed_on()
        typed = {row.spec.key: row.typed for row in self.rows}
        if any(row.typed != row.spec.start for row in self.rows):
            self.desk.drafts.keep(self.draft_name, {**typed, TOKEN: self._token})
        else:
            self.desk.drafts.drop(self.draft_name)
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(PAUSE, self._look)

    @on(Input.Blurred)
    def _left(self, event: Input.Blurred) -> None:
        for row in self.rows:
            if row.entry is event.input:
                row.check()

    def values(self) -> dict[str, Any]:
        """Every field read. Raises Refused for the first that cannot be."""
        return {row.spec.key: row.read() for row in self.rows}

    def _look_if_there(self) -> None:
        """As `_look`, unless what was typed meanwhile has closed the form."""
        if self.is_attached and self.query("#form-preview"):
            self._look()

    def _look(self) -> None:
        """Say what would be recorded, once every field can be read."""
        try:
            values = self.values()
        except Refused:
            self._show("", "")
            return
        try:
            plan = self.desk.preview(self.command(values))
        except Refused as refusal:
            self._show(self.explained(refusal).sentence, "$warning")
        else:
            said = strung(
                (plan.sentence, *(say("Caution: {caution}", caution=caution) for caution in plan.cautions)), " "
            )
            self._show(said, "", self.also(plan.plan))

    def _show(self, sentence: str, style: str, also: Sequence[str] = ()) -> None:
        sign = ("! ", f"bold {style}") if style else ("", "")
        more = "".join(f"\n{self.said(line)}" for line in also)
        said = self.said(sentence)
        if self.app.size.height < LOW:
            said, more = within(said, self.app.size.width - 2 - len(sign[0]), LOW_PREVIEW, self.desk.signs.more), ""
        self.query_one("#form-preview", Static).update(parts(sign, (said, style or "bold"), more))

    @property
    def can_leave(self) -> bool:
        return not (self._asked or self._recorded)

    # --- its actions -------------------------------------------------------------------------------------------------

    def action_next_field(self) -> None:
        """Go to the next field before the next key is read."""
        self.focus_next()

    def action_previous_field(self) -> None:
        """Go to the field before."""
        self.focus_previous()

    def action_put_away(self) -> None:
        """Leave; the draft stays. Pressed twice, or right after Enter, the form is leaving already."""
        if self._asked or self._recorded or self._gone or not self.is_current:
            return
        self._gone = True
        self.dismiss(None)

    def action_afresh(self) -> None:
        """Every field as it was when the form was first opened, and a new act."""
        self._token = new_token(time.time_ns())
        self.query_one("#form-title", Static).update(words(self.heading()))
        for row in self.rows:
            row.entry.value = row.spec.start
            row.hint()
        self.desk.drafts.drop(self.draft_name)
        first = self.first_focus()
        self.set_focus(first)
        if isinstance(first, Input):
            # As when it was opened: letters take the place of all that stands there, not of what was marked before.
            first.select_all()

    def action_record(self) -> None:
        """Record, once every field has taken the letters that were typed before Enter."""
        if isinstance(self.focused, Button):
            self.focused.press()
            return
        self._asked = True
        self._when_ready(self.rows)

    def _when_ready(self, rows: Sequence[FieldRow]) -> None:
        """Record when each of the rows, one after the other, has worked off the keys handed to it."""
        if rows:
            rows[0].entry.call_later(self._when_ready, rows[1:])
        else:
            self._asked = False
            self._record()

    def _record(self) -> None:
        if self._recorded:
            return
        # What a word means is asked of the ledger once; what is recorded must rest on what it means by now.
        self.desk.learn_words()
        wrong = [row for row in self.rows if not row.check()]
        if wrong:
            self.set_focus(wrong[0].entry)
            return
        self._records = True
        try:
            done = self.desk.record(self.command(self.values()), self._token)
        except Refused as refusal:
            self._refused(self.explained(refusal))
            return
        finally:
            self._records = False
        self._recorded = True
        self.desk.drafts.drop(self.draft_name)
        self.desk.recorded_form = (self.draft_name, {row.spec.key: row.typed for row in self.rows})
        if not self._gone:
            self.dismiss(done)

    def _refused(self, refusal: Refused) -> None:
        """Say why beside the field it is about, or at the foot of the form; everything typed stays."""
        if isinstance(refusal, SaidDifferently):
            # What was first sent with this token stands; the form as it is now is another act.
            self._token = new_token(time.time_ns())
        self._show(refusal.sentence, "$warning")
        for row in self.rows:
            if row.spec.key == refusal.field:
                row.say(refusal.sentence, wrong=True)
                self.set_focus(row.entry)

    @on(HelpAsked)
    def _help_asked(self, event: HelpAsked) -> None:
        event.stop()
        self.desk.action_help()

    @on(Button.Pressed, "#button-record")
    def _record_pressed(self) -> None:
        self._record()

    @on(Button.Pressed, "#button-away")
    def _away_pressed(self) -> None:
        self.action_put_away()


class SmallButton(Button):
    """A button of one line, with the classes that the library would give it one by one, looking for its styles each
    time."""

    compact = reactive(True, toggle_class="-textual-compact")

    def __init__(self, said: str, id: str) -> None:
        super().__init__(words(said), compact=True, id=id, classes="-style-default -textual-compact")


class _Fields(VerticalScroll):
    """The rows, scrolling when there are more than fit."""

    def on_resize(self) -> None:
        """A long sentence below takes room from the fields: the one that is typed in stays in sight."""
        focused = self.screen.focused
        if focused is not None and self in focused.ancestors:
            self.call_after_refresh(focused.scroll_visible, animate=False)


class _Buttons(Horizontal):
    def __init__(self, does: str) -> None:
        super().__init__(id="form-buttons")
        self._does = does

    def compose(self) -> ComposeResult:
        yield SmallButton(strung(("[", self._does, "]"), ""), "button-record")
        yield SmallButton(say("[Put away]"), "button-away")
