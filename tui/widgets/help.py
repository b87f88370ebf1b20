"""The help of one screen: what it is for, its keys, and the jot line in a few examples. Made from the actions
themselves, so that it cannot fall behind them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Click
from textual.widgets import Static

from ledger.wording import say, strung
from tui.actions import Act
from tui.findable import grouped
from tui.plain import parts, words
from tui.tongue import tell
from tui.widgets.sheet import Sheet, WayBack

JOTS = (
    (say("P08 3 died"), say("three of lot P08 died")),
    (say("P08 12 L3 to cocoon yesterday"), say("twelve moved on, yesterday")),
    (say("P08/07 female"), say("the one in tub 07 is a female")),
    (say("P08 10 L3 into tubs 1-10"), say("one into each tub")),
    (say("P08 counted 40"), say("a count; P08 fed, P08 looked")),
    (say("feed 24.00 Ombrel"), say("money spent, and where")),
    (say("hold E03 5 for Tarn until fri"), say("promised to a buyer")),
    (say("sell E03 5 at 18.00 to Tarn paid"), say("sold, with the receipt")),
)


KEY = 9
"""Cells of the column of keys, where their names are no longer."""
IN_FIELDS = say(
    "While a field has the keys F2 goes to 2, F3 to 3, and so on; F12 (or F1) goes to 1. ? is help where a field "
    "is empty or marked, in the jot line and a list to choose from, too."
)


class HelpRow(Horizontal):
    """An action with its key; a click does it."""

    def __init__(self, act: Act, room: int) -> None:
        super().__init__(classes="help-row")
        self._act, self._room = act, room

    def compose(self) -> ComposeResult:
        key = Static(words(self._act.key_said, "bold $primary"), markup=False, classes="help-key")
        key.styles.width = self._room
        yield key
        yield Static(parts((self._act.words, "bold"), ("  ", ""), self._act.tip), markup=False, classes="help-tip")

    def on_click(self, event: Click) -> None:
        """Leave the help and do it."""
        event.stop()
        if isinstance(self.screen, Help):
            self.screen.leave(self._act)


class Help(Sheet[Act]):
    """Dismissed by Escape, Enter or the question mark; with an action that was clicked, to be done."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,question_mark", "dismiss(None)", "Back", show=False)]

    def __init__(
        self,
        title: str,
        text: str,
        acts: Sequence[Act],
        everywhere: Sequence[Act],
        places: Sequence[tuple[str, str]],
    ) -> None:
        super().__init__()
        self._heading = title
        self._text = text
        self._acts = acts
        self._everywhere = everywhere
        self._places = places

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet"):
            yield Static(words(self._heading, "bold"), id="sheet-title", markup=False)
            with VerticalScroll(id="help-text"):
                yield Static(words(self._text), markup=False)
                longest = max(cell_len(tell(act.key_said)) for act in (*self._acts, *self._everywhere))
                for group, acts in (*grouped(self._acts), (say("Everywhere"), self._everywhere)):
                    if group:
                        yield Static(words(strung(("\n", group, ":"), "")), markup=False)
                    for act in acts:
                        yield HelpRow(act, max(KEY, longest + 1))
                places = strung((f"{digit} {tell(title)}" for digit, title in self._places), "  ")
                yield Static(
                    words(say("\nPlaces: {places}. {in_fields}", places=places, in_fields=IN_FIELDS)), markup=False
                )
                yield Static(words(say("\nThe jot line (space, or ctrl-g while a field has the keys):")), markup=False)
                for line, meaning in JOTS:
                    yield Static(parts((f"  {tell(line)}", "bold"), (f"   {tell(meaning)}", "$quiet")), markup=False)
            yield WayBack(say("esc goes back"))

    def on_mount(self) -> None:
        """Arrow keys scroll the text."""
        self.query_one(VerticalScroll).focus()
