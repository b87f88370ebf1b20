"""Actions to be tapped: each with its key before it, over as many lines as the width asks for.

For a screen that is worked with one hand, or by touch over SSH: the same words are the legend of its keys.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from textual.content import Content
from textual.events import Click
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from tui.actions import Act
from tui.plain import parts
from tui.tongue import tell


class Taps(Widget):
    """Words that can be clicked."""

    class Tapped(Message):
        """An action was chosen."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    def __init__(self, acts: Sequence[Act], id: str | None = None) -> None:
        super().__init__(id=id, classes="taps")
        self._acts = tuple(acts)

    def lines(self, width: int) -> list[list[tuple[int, Act]]]:
        """The actions of each line with the cell each begins at."""
        found: list[list[tuple[int, Act]]] = [[]]
        at = 0
        for act in self._acts:
            wide = _wide(act)
            if found[-1] and at + wide > width:
                found.append([])
                at = 0
            found[-1].append((at, act))
            at += wide
        return found

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self.lines(width))

    def render(self) -> Content:
        said: list[tuple[str, str]] = []
        for number, line in enumerate(self.lines(self.size.width)):
            said += [("\n", "")] if number else []
            for _, act in line:
                said += [(f" {tell(act.key_said)}", "bold $primary"), (f" {tell(act.words)} ", "$foreground")]
        return parts(*said)

    def on_click(self, event: Click) -> None:
        """Choose what was clicked."""
        lines = self.lines(self.size.width)
        if event.y < len(lines):
            for at, act in lines[event.y]:
                if at <= event.x < at + _wide(act):
                    self.post_message(self.Tapped(act.name))


def _wide(act: Act) -> int:
    return cell_len(tell(act.key_said)) + cell_len(tell(act.words)) + 3
