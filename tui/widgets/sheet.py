"""A sheet over a screen: what the help and every choosing lie on. It closes by a click beside it or on its last line,
as by Escape."""

from __future__ import annotations

from typing import TypeVar

from textual.events import Click
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.plain import words

T = TypeVar("T")


class Sheet(ModalScreen[T | None]):
    """Dismissed with None by a click beside it."""

    def on_click(self, event: Click) -> None:
        """Whatever lies beside the sheet is what it lies on."""
        if not self.query_one("#sheet").region.contains_point(event.screen_offset):
            self.leave(None)

    def leave(self, result: T | None) -> None:
        """Dismiss the sheet, once: the library would let a second click in a burst pop what lies below it."""
        if self.is_current:
            self.dismiss(result)


class WayBack(Static):
    """The last line of a sheet: says the keys, and a click goes back."""

    def __init__(self, said: str) -> None:
        super().__init__(words(said, "$quiet"), markup=False)

    def on_click(self, event: Click) -> None:
        """Go back."""
        event.stop()
        if isinstance(self.screen, Sheet):
            self.screen.leave(None)
