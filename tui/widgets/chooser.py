"""Choosing one of many by typing a few letters: every action, a lot by its code, an answer to a question.

The words before the letters are typed stand in the order given; nothing is chosen until Enter.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from ledger.wording import say, strung
from tui.plain import parts, words
from tui.tongue import tell
from tui.widgets.entry import Entry
from tui.widgets.sheet import Sheet, WayBack

T = TypeVar("T")
MOST = 200
"""Most choices listed at a time; typing narrows the rest."""


@dataclass(frozen=True, slots=True)
class Choice(Generic[T]):
    """One thing to choose."""

    words: str
    value: T
    beside: str = ""
    """What stands after it: its key, or a sentence."""
    also: str = ""
    """Other words it is found by; not shown."""


class _Letters(Entry):
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "screen.step(1)", "Down", show=False),
        Binding("up", "screen.step(-1)", "Up", show=False),
    ]


def narrowed(choices: Sequence[Choice[T]], typed: str) -> list[Choice[T]]:
    """Choices that hold every typed word; those that begin with the first one come first, then
    those that hold it as a whole word."""
    asked = typed.casefold().split()
    if not asked:
        return list(choices)
    fits = [
        choice
        for choice in choices
        if all(word in f"{tell(choice.words)} {tell(choice.beside)} {tell(choice.also)}".casefold() for word in asked)
    ]
    whole = re.compile(rf"\b{re.escape(asked[0])}\b")

    def later(choice: Choice[T]) -> tuple[bool, bool]:
        said = f"{tell(choice.words)} {tell(choice.beside)} {tell(choice.also)}".casefold()
        return not tell(choice.words).casefold().startswith(asked[0]), whole.search(said) is None

    return sorted(fits, key=later)


def _said(choice: Choice[T], style: str) -> tuple[str, tuple[str, str]]:
    """A choice, and what stands beside it in a style."""
    return choice.words, (strung(("  ", choice.beside), "") if choice.beside else "", style)


class Chooser(Sheet[T]):
    """A list that narrows as one types; dismissed with the value chosen, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back", show=False)]
    AUTO_FOCUS = "_Letters"

    def __init__(self, title: str, choices: Sequence[Choice[T]]) -> None:
        super().__init__()
        self._title = title
        self._choices = tuple(choices)
        self._listed: list[Choice[T]] = []
        self._lit: int | None = None
        """The row with the mark."""

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet"):
            yield Static(words(self._title, "bold"), id="sheet-title", markup=False)
            yield _Letters(id="letters", placeholder=tell(say("type to narrow")))
            yield OptionList(compact=True, markup=False, id="choices")
            yield WayBack(say("enter takes it · esc goes back"))

    def on_mount(self) -> None:
        """Everything there is."""
        self._list("")

    @on(Input.Changed, "#letters")
    def _typed(self, event: Input.Changed) -> None:
        self._list(event.value)

    def _list(self, typed: str) -> None:
        self._listed = narrowed(self._choices, typed)
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(Option(parts(*_said(choice, "$quiet"))) for choice in self._listed[:MOST])
        self._lit = None
        options.highlighted = 0 if self._listed else None

    @on(OptionList.OptionHighlighted)
    def _light(self, event: OptionList.OptionHighlighted) -> None:
        """Quiet words on the colour of the mark could not be read."""
        options = self.query_one(OptionList)
        if event.option_index != options.highlighted:
            # Letters have narrowed the list since: it is said of one that is gone.
            return
        if self._lit is not None and self._lit < options.option_count:
            options.replace_option_prompt_at_index(self._lit, parts(*_said(self._listed[self._lit], "$quiet")))
        self._lit = event.option_index
        options.replace_option_prompt_at_index(self._lit, parts(*_said(self._listed[self._lit], "")))

    def action_step(self, step: int) -> None:
        """Move the highlight; the letters keep the keys."""
        options = self.query_one(OptionList)
        if step > 0:
            options.action_cursor_down()
        else:
            options.action_cursor_up()

    @on(Input.Submitted, "#letters")
    def _entered(self) -> None:
        at = self.query_one(OptionList).highlighted
        if at is not None and at < len(self._listed):
            self.leave(self._listed[at].value)

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        if event.option is self.query_one(OptionList).highlighted_option:
            self.leave(self._listed[event.option_index].value)
