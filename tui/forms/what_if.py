"""The base of every what-if: fields that the ledger fills in, and below them the answer, reckoned anew at every change.

Records nothing. A field nobody touched means the ledger's own figure, to the last digit; so does an empty one. The
question is asked aside, so that typing never waits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.events import MouseScrollDown, MouseScrollUp
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input, Static

from ledger.errors import Refused
from ledger.wording import say, strung
from tui.actions import Act
from tui.aside import Aside
from tui.drawn import Picture, blocks
from tui.places.page import BACK, Page, hanging
from tui.places.pictured import PICTURE_FROM_FIELD, Pictured
from tui.plain import drawing, parts, words
from tui.tongue import tell
from tui.widgets.fields import FieldRow, FieldSpec
from tui.widgets.jot import JotInput
from tui.widgets.oneof import OneOf

PAUSE = 0.2
"""Seconds of rest after which it is reckoned anew."""
MARGIN, WIDEST = 4, 100
WHEEL = 3
"""Lines a step of the wheel moves."""

Values = Mapping[str, Any]
"""What was typed, read, by field; None where the ledger's own figure counts."""


@dataclass(frozen=True, slots=True)
class Told:
    """An answer: what it says, what it draws, and the ledger's own figures for the fields."""

    picture: Picture
    filled: Mapping[str, str]
    """Text for each field that nobody touched."""
    beside: Mapping[str, str]
    """What stands beside a field: what its figure means, or where it comes from."""


class WhatIf(Pictured[None], Page, Aside[None]):
    """Fields above, the answer below."""

    STEPS = (
        Binding("pagedown", "leaf(1)", "", show=False, priority=True, id="whatif.pagedown"),
        Binding("pageup", "leaf(-1)", "", show=False, priority=True, id="whatif.pageup"),
    )
    """Keys that move the answer while a field has the keys."""
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("next_field", "tab", say("next"), say("Go to the next field."), in_fields=True),
        Act("previous_field", "shift+tab", say("before"), say("Go to the field before."), shown=False, in_fields=True),
        Act(
            "afresh",
            "ctrl+r",
            say("start afresh"),
            say("Put the ledger's own figures back into the fields."),
            in_fields=True,
        ),
        PICTURE_FROM_FIELD,
        BACK,
    )

    def __init__(self) -> None:
        super().__init__()
        self._filled: dict[str, str] = {}
        """What the ledger put into each field."""
        self._asked: Values = {}
        self._timer: Timer | None = None

    # --- what a panel says of itself ---------------------------------------------------------------------------------

    def specs(self) -> Sequence[FieldSpec]:
        """The fields, in order."""
        raise NotImplementedError

    def question(self, values: Values) -> Callable[[], Told]:
        """What is asked aside."""
        raise NotImplementedError

    # --- drawing -----------------------------------------------------------------------------------------------------

    def desk_acts(self) -> tuple[Act, ...]:
        return tuple(act for act in self.desk.ACTS if act.in_fields)

    def body(self) -> Iterable[Widget]:
        yield Static(words(self.title_words(), "bold"), markup=False, classes="line")
        yield VerticalScroll(
            *(FieldRow(spec, spec.start, self.desk.order) for spec in self.specs()), classes="whatif", can_focus=False
        )
        yield VerticalScroll(
            Static(words(say("Reckoning ..."), "$quiet"), id="whatif-text", markup=False),
            id="whatif-answer",
            classes="body",
        )

    @property
    def rows(self) -> list[FieldRow]:
        """The fields as drawn."""
        return list(self.query(FieldRow))

    def first_focus(self) -> Widget | None:
        return self.rows[0].entry

    def opened(self) -> None:
        super().opened()
        self._reckon()

    async def tell_anew(self) -> None:
        typed = {row.spec.key: row.typed for row in self.rows if not self._untouched(row)}
        await super().tell_anew()
        for row in self.rows:
            if row.spec.key in typed:
                self._fill(row, typed[row.spec.key])

    def read_anew(self) -> None:
        self._reckon()

    # --- while it is filled in ---------------------------------------------------------------------------------------

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        if not isinstance(event.control, JotInput):
            self._soon()

    @on(OneOf.Changed)
    def _picked(self) -> None:
        """The ledger has other figures for another stage: what nobody touched makes room for them."""
        for row in self.rows:
            if not row.spec.choices and row.typed == self._filled.get(row.spec.key):
                self._fill(row, "")
        self._soon()

    def _soon(self) -> None:
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(PAUSE, self._reckon)

    def _untouched(self, row: FieldRow) -> bool:
        return not row.spec.choices and row.typed.strip() in ("", self._filled.get(row.spec.key, ""))

    def _reckon(self) -> None:
        values: dict[str, Any] = {}
        for row in self.rows:
            if self._untouched(row):
                values[row.spec.key] = None
                continue
            try:
                values[row.spec.key] = row.read()
            except Refused as refusal:
                row.say(refusal.sentence, wrong=True)
                return
        self.foot.sum_up(say("reckoning ..."))
        self._asked = values
        question = self.question(values)

        def ask() -> Told | Refused:
            try:
                return question()
            except Refused as refusal:
                # While one types, a refusal is an answer like another.
                return refusal

        self.ask_aside(ask)

    def told(self, answer: object) -> None:
        if isinstance(answer, Refused):
            self.refused(answer)
            return
        assert isinstance(answer, Told)
        self.foot.sum_up("")
        for row in self.rows:
            key = row.spec.key
            # What a keeper gave comes back in the answer, and is not the ledger's own.
            own = tell(answer.filled.get(key, "")) if self._asked.get(key) is None and key in answer.filled else None
            if own is not None:
                if self._untouched(row) and not (row.typed == "" and self._filled.get(key) and row.entry.has_focus):
                    self._fill(row, own)
                self._filled[key] = own
            row.say(self._beside(row, answer))
        self.picture = answer.picture
        width = max(34, min(self.app.size.width - MARGIN, WIDEST))
        # The answer first: on a small screen what it rests on lies below the fold.
        answered, *rests_on = map(self.said, answer.picture.said)
        lines = [
            *hanging([answered], width),
            "",
            *blocks(answer.picture.parts, width, self.desk.signs),
            "",
            *hanging(rests_on, width),
        ]
        self.query_one("#whatif-text", Static).update(drawing(lines))

    def _beside(self, row: FieldRow, answer: Told) -> str:
        own = self._filled.get(row.spec.key)
        changed = own is not None and not self._untouched(row)
        said = answer.beside.get(row.spec.key, row.spec.hint)
        return strung((part for part in (say("ledger: {own}", own=own) if changed else "", said) if part), " · ")

    def _fill(self, row: FieldRow, text: str) -> None:
        with self.prevent(Input.Changed):
            row.entry.value = text
            if isinstance(row.entry, Input):
                row.entry.cursor_position = len(text)

    def refused(self, refusal: Refused) -> None:
        self.foot.sum_up("")
        self.picture = None
        self.query_one("#whatif-text", Static).update(
            parts((say("! {sentence}", sentence=self.said(refusal.sentence)), "$warning"))
        )
        for row in self.rows:
            if row.spec.key == refusal.field:
                row.say(refusal.sentence, wrong=True)
            else:
                row.hint()

    # --- its actions -------------------------------------------------------------------------------------------------

    def action_next_field(self) -> None:
        """Go to the next field before the next key is read."""
        self.focus_next()

    def action_previous_field(self) -> None:
        """Go to the field before."""
        self.focus_previous()

    def action_leaf(self, pages: int) -> None:
        """Move the answer by a page."""
        self._answer.scroll_relative(y=pages * max(1, self._answer.size.height - 1), animate=False)

    @property
    def _answer(self) -> VerticalScroll:
        return self.query_one("#whatif-answer", VerticalScroll)

    @on(MouseScrollDown)
    def _wheel_down(self, event: MouseScrollDown) -> None:
        """Over the fields, which do not move, the wheel is meant for the answer."""
        self._answer.scroll_relative(y=WHEEL, animate=False)

    @on(MouseScrollUp)
    def _wheel_up(self, event: MouseScrollUp) -> None:
        self._answer.scroll_relative(y=-WHEEL, animate=False)

    def action_afresh(self) -> None:
        """The ledger's own figures."""
        for row in self.rows:
            if not row.spec.choices:
                self._fill(row, "")
        self._filled.clear()
        self._reckon()
