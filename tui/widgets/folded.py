"""A form whose seldom fields are folded away until they matter: the usual case fits a small screen without scrolling.

A folded field is one its spec calls seldom and that still holds what it began with. The last line of the fields names
what is folded; its button and a key unfold everything, and whatever is said of a folded field unfolds that one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import on
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget
from textual.widgets import Button, Input

from ledger.errors import Refused
from ledger.wording import say, strung
from tui.actions import Act
from tui.plain import words
from tui.widgets.fields import FieldRow, labelled
from tui.widgets.form import Form, SmallButton
from tui.widgets.oneof import OneOf

UNFOLD = Act(
    "unfold",
    "ctrl+y",
    say("all fields"),
    say("Show the fields that are folded away as seldom used, or fold them again."),
    in_fields=True,
)


class FoldedForm(Form):
    """Such a form."""

    ACTS: ClassVar[tuple[Act, ...]] = (*Form.ACTS[:2], UNFOLD, *Form.ACTS[2:])

    def __init__(self, subject: str = "") -> None:
        super().__init__(subject)
        self._unfolded = False
        self._meant: set[str] = set()
        """Fields something was said of."""

    def matters(self, key: str) -> bool:
        """Whether a seldom field matters as the others now stand."""
        return False

    def below_fields(self) -> Iterable[Widget]:
        yield _More()

    def opened(self) -> None:
        super().opened()
        self._fold()

    def typed(self, key: str) -> str:
        """What stands in a field."""
        return next(row.typed for row in self.rows if row.spec.key == key)

    def _fold(self) -> None:
        folded = [row for row in self.rows if not self._in_sight(row)]
        for row in self.rows:
            row.display = row not in folded
        self.query_one(_More).name_them([row.spec.label for row in folded])

    def _in_sight(self, row: FieldRow) -> bool:
        spec = row.spec
        return (
            not spec.seldom
            or self._unfolded
            or spec.key in self._meant
            or row.typed != spec.start
            or self.focused is row.entry
            or self.matters(spec.key)
        )

    @on(Input.Changed)
    @on(OneOf.Changed)
    def _fold_again(self) -> None:
        self._fold()

    def action_next_field(self) -> None:
        if not self._step(1):
            super().action_next_field()

    def action_previous_field(self) -> None:
        if not self._step(-1):
            super().action_previous_field()

    def _step(self, way: int) -> bool:
        """Go to the field beside; a row that has just unfolded has no place on the screen yet, by which Tab goes."""
        entries = [row.entry for row in self.rows if row.display]
        at = next((place for place, entry in enumerate(entries) if entry is self.focused), None)
        if at is None or not 0 <= at + way < len(entries):
            return False
        self.set_focus(entries[at + way])
        return True

    def action_unfold(self) -> None:
        """Show every field and go to the first that was folded; pressed again, fold what holds nothing."""
        before = [row for row in self.rows if not row.display]
        self._unfolded = bool(before)
        if not before:
            self._meant.clear()
            here = next((row for row in self.rows if self.focused is row.entry), None)
            if here is None or here.spec.seldom:
                self.set_focus(self.rows[0].entry)
        self._fold()
        if before:
            self.set_focus(before[0].entry)

    def action_afresh(self) -> None:
        self._unfolded = False
        self._meant.clear()
        super().action_afresh()
        self._fold()

    def _refused(self, refusal: Refused) -> None:
        self._meant.add(refusal.field or "")
        self._fold()
        super()._refused(refusal)

    @on(Button.Pressed, "#button-more")
    def _more_pressed(self, event: Button.Pressed) -> None:
        event.stop()
        self.action_unfold()


class _More(Widget):
    """The line that names what is folded away, drawn around its button."""

    def __init__(self) -> None:
        super().__init__(classes="field more")
        self._button = SmallButton(strung(("[", UNFOLD.key_said, "]"), ""), "button-more")
        self._labels: Sequence[str] = ()

    def compose(self) -> Iterable[Widget]:
        yield self._button

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return 1

    def render(self) -> Content:
        margin = self._button.styles.margin
        used = margin.left + self._button.outer_size.width + margin.right
        names = words(strung(self._labels, ", "), "$quiet")
        beside = names.truncate(max(self.size.width - used, 0), ellipsis=True)
        return labelled(say("more"), margin.left).pad_right(used - margin.left) + beside

    def name_them(self, labels: Sequence[str]) -> None:
        """Name the folded fields; the line is gone while there are none."""
        self.display = bool(labels)
        if list(labels) != list(self._labels):
            self._labels = labels
            self.refresh()
