"""Choosing one of many by typing a few letters: every action, a lot by its code, an answer to a question.

The words before the letters are typed stand in the order given; nothing is chosen until Enter. Letters that nothing
holds are answered in words, and what holds one of them is still there to go down to.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from ledger.wording import say, strung
from tui.plain import parts, words
from tui.tongue import tell
from tui.widgets.entry import HelpAsked, HelpedEntry
from tui.widgets.sheet import Sheet, WayBack

if TYPE_CHECKING:
    from tui.app import Desk

T = TypeVar("T")
MOST = 200
"""Most choices listed at a time; typing narrows the rest."""
LEAST = 3
"""Letters of a word that is looked for by itself where nothing holds all of them."""
KEYS = say("enter takes it · esc goes back")
PARTLY = say("Nothing is called that; these hold a word of it · ↓ goes to them · esc back")
NOTHING = say("Nothing is called that; try another word, or fewer letters · esc goes back")
HELP = say(
    "A list to choose from. Type a few letters of what you look for, words in any order; ↓ and ↑ go through what is "
    "left, enter takes it, esc goes back without. Letters taken away bring the others back."
)


@dataclass(frozen=True, slots=True)
class Choice(Generic[T]):
    """One thing to choose."""

    words: str
    value: T
    beside: str = ""
    """What stands after it: its key, or a sentence."""
    also: str = ""
    """Other words it is found by; not shown."""


class _Letters(HelpedEntry):
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


def partly(choices: Sequence[Choice[T]], typed: str) -> list[Choice[T]]:
    """Choices of which a word begins with one of those typed, of three letters and more; those that hold most of them
    first."""
    asked = [re.compile(rf"\b{re.escape(word)}") for word in typed.casefold().split() if len(word) >= LEAST]

    def held(choice: Choice[T]) -> int:
        said = f"{tell(choice.words)} {tell(choice.also)}".casefold()
        return sum(word.search(said) is not None for word in asked)

    return sorted((choice for choice in choices if held(choice)), key=held, reverse=True)


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
            yield WayBack(KEYS)

    def on_mount(self) -> None:
        """Everything there is."""
        self._list("")

    @on(Input.Changed, "#letters")
    def _typed(self, event: Input.Changed) -> None:
        self._list(event.value)

    def _list(self, typed: str) -> None:
        self._listed = narrowed(self._choices, typed)
        found = bool(self._listed)
        if not found:
            self._listed = partly(self._choices, typed)
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(Option(parts(*_said(choice, "$quiet"))) for choice in self._listed[:MOST])
        self._lit = None
        # What holds only a word of it is gone to, never taken by the Enter behind the letters.
        options.highlighted = 0 if found else None
        said, style = (KEYS, "$quiet") if found else (PARTLY if self._listed else NOTHING, "$warning")
        self.query_one(WayBack).update(words(said, style))

    @on(OptionList.OptionHighlighted)
    def _light(self, event: OptionList.OptionHighlighted) -> None:
        """Quiet words on the colour of the mark could not be read."""
        options = self.query_one(OptionList)
        # Of letters in one go each is listed before the message about the row of the first arrives.
        at = options.highlighted
        for row, style in ((self._lit, "$quiet"), (at, "")):
            if row is not None and row < options.option_count:
                options.replace_option_prompt_at_index(row, parts(*_said(self._listed[row], style)))
        self._lit = at

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

    @on(HelpAsked)
    def _help_asked(self, event: HelpAsked) -> None:
        """Help for the list, and for the screen it lies on."""
        event.stop()
        cast("Desk", self.app).help_above(self._title, HELP)
