"""The last line of the jot line: what its keys do; a click on what is said of a key presses it."""

from __future__ import annotations

from rich.cells import cell_len
from textual.events import Click
from textual.message import Message
from textual.widgets import Static

from tui.plain import words

KEYS = ("enter", "tab", "esc", "↓", "↑", "z", "u")
"""Ends of the words that name a key, ctrl-z and ctrl-u among them, alike in every language."""
BETWEEN = " · "


class JotHint(Static):
    """Parts with a dot between them, each about one key."""

    class Pressed(Message):
        """One of the keys was clicked."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    def tell(self, hint: str) -> None:
        """Show a hint."""
        self._told = words(hint).plain
        self.update(words(hint, "$quiet"))

    _told = ""

    def on_click(self, event: Click) -> None:
        """Press the key that is told of where it was clicked."""
        end = 0
        for part in self._told.split(BETWEEN):
            end += cell_len(part + BETWEEN)
            if event.x < end:
                told = (word.rstrip(":").rpartition("-")[2].casefold() for word in part.split())
                key = next((word for word in told if word in KEYS), None)
                if key is not None:
                    self.post_message(self.Pressed(key))
                return
