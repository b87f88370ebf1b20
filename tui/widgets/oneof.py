"""A field with a few fixed answers: left and right step through them, a first letter picks one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Click, Key
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from tui.plain import parts


class OneOf(Widget, can_focus=True):
    """One of several words, all of them in sight where there is room."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Previous", show=False),
        Binding("right", "step(1)", "Next", show=False),
    ]
    value: reactive[str] = reactive("")

    class Changed(Message):
        """Another word was picked."""

        def __init__(self, field: OneOf, value: str) -> None:
            super().__init__()
            self.field = field
            self.value = value

        @property
        def control(self) -> OneOf:
            return self.field

    def __init__(self, choices: Sequence[str], value: str, id: str | None = None) -> None:
        super().__init__(id=id)
        self.choices = tuple(choices)
        self.set_reactive(OneOf.value, value if value in self.choices else self.choices[0])

    def watch_value(self) -> None:
        """Tell the form."""
        self.post_message(self.Changed(self, self.value))

    def render(self) -> Content:
        said: list[tuple[str, str]] = []
        for choice in self.choices:
            if choice == self.value:
                said.append((f"[{choice}]", "bold reverse" if self.has_focus else "bold"))
            else:
                said.append((f" {choice} ", "$quiet"))
        return parts(*said)

    def action_step(self, step: int) -> None:
        """Take the next or the previous word."""
        at = self.choices.index(self.value)
        self.value = self.choices[(at + step) % len(self.choices)]

    def on_key(self, event: Key) -> None:
        """A letter takes the next word that begins with it."""
        if not (event.character and event.character.isalnum()):
            return
        at = self.choices.index(self.value)
        turned = (*self.choices[at + 1 :], *self.choices[: at + 1])
        fits = [choice for choice in turned if choice.casefold().startswith(event.character.casefold())]
        if fits:
            self.value = fits[0]
        event.stop()

    def on_click(self, event: Click) -> None:
        """A click takes the word under it."""
        at = 0
        for choice in self.choices:
            at += len(choice) + 2
            if event.x < at:
                self.value = choice
                return
