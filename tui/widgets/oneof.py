"""A field with a few fixed answers: left and right step through them, the first letters pick one."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Click, Key
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from tui.plain import parts
from tui.tongue import word
from tui.widgets.entry import HelpAsked

TOGETHER = 1.0
"""Seconds within which letters belong to one word."""


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
        self._typed = ""
        self._typed_at = 0.0
        self.set_reactive(OneOf.value, value if value in self.choices else self.choices[0])

    def watch_value(self) -> None:
        """Tell the form."""
        self.post_message(self.Changed(self, self.value))

    def lines(self, width: int) -> list[list[str]]:
        """The words in as many lines as they need; none is broken in two."""
        lines: list[list[str]] = [[]]
        left = width
        for choice in self.choices:
            if cell_len(word(choice)) + 2 > left and lines[-1]:
                lines.append([])
                left = width
            lines[-1].append(choice)
            left -= cell_len(word(choice)) + 2
        return lines

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the words need."""
        return len(self.lines(width))

    def render(self) -> Content:
        said: list[tuple[str, str]] = []
        for at, line in enumerate(self.lines(self.size.width)):
            said += [("\n", "")] if at else []
            for choice in line:
                if choice == self.value:
                    said.append((f"[{word(choice)}]", "bold reverse" if self.has_focus else "bold"))
                else:
                    said.append((f" {word(choice)} ", "$quiet"))
        return parts(*said)

    def action_step(self, step: int) -> None:
        """Take the next or the previous word."""
        at = self.choices.index(self.value)
        self.value = self.choices[(at + step) % len(self.choices)]

    def on_key(self, event: Key) -> None:
        """A letter takes the next word that begins with it; letters typed in one go, the word that begins with them."""
        if event.character == "?":
            event.stop()
            self.post_message(HelpAsked())
        if not (event.character and event.character.isalnum()):
            return
        event.stop()
        now = time.monotonic()
        self._typed = (self._typed if now - self._typed_at < TOGETHER else "") + event.character.casefold()
        self._typed_at = now
        whole = [choice for choice in self.choices if word(choice).casefold().startswith(self._typed)]
        if len(self._typed) > 1 and whole:
            self.value = whole[0]
            return
        self._typed = event.character.casefold()
        at = self.choices.index(self.value)
        turned = (*self.choices[at + 1 :], *self.choices[: at + 1])
        fits = [choice for choice in turned if word(choice).casefold().startswith(event.character.casefold())]
        if fits:
            self.value = fits[0]

    def on_click(self, event: Click) -> None:
        """A click takes the word under it."""
        at, lines = 0, self.lines(self.size.width)
        for choice in lines[event.y] if event.y < len(lines) else []:
            at += cell_len(word(choice)) + 2
            if event.x < at:
                self.value = choice
                return
