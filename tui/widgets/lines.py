"""Lines of text that may be thousands: above some hundreds only those that are looked at are drawn.

The library would lay out and draw all of a long text before its first line is seen.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from rich.cells import cell_len
from textual.geometry import Size
from textual.selection import Selection
from textual.strip import Strip
from textual.style import Style
from textual.visual import Visual
from textual.widgets import Static

from tui.plain import drawing, words
from tui.tongue import shown, tell

MANY = 400
"""Lines from which on each is drawn by itself (so many take the library some 20 ms)."""


class Lines(Static):
    """Such a text, line by line; a line that is wider than the screen is broken."""

    _given: tuple[str, ...] = ()
    """All its lines, where there are many."""
    _instead: object = None
    """What the library holds in their place."""
    _broken: tuple[int, list[str]] = 0, []
    """The lines at a width."""

    def show(self, lines: Iterable[str]) -> None:
        """Show lines of text as they are."""
        given = tuple(lines)
        self._broken = 0, []
        if len(given) <= MANY:
            self._given = ()
            self.update(drawing(given))
        else:
            self._given = tuple(shown(part) for line in given for part in tell(line).split("\n"))
            self.update(words(""))
            self._instead = self.content

    @property
    def _by_line(self) -> bool:
        """Whether its lines are drawn one by one; not once anything else is shown."""
        return bool(self._given) and self.content is self._instead

    def _at(self, width: int) -> list[str]:
        if self._broken[0] != width:
            # One character takes two cells at most.
            fits = (len(line) * 2 <= width or cell_len(line) <= width for line in self._given)
            self._broken = (
                width,
                [
                    part
                    for line, short in zip(self._given, fits, strict=True)
                    for part in ((line,) if short else textwrap.wrap(line, width) or ("",))
                ],
            )
        return self._broken[1]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many as there are."""
        if not self._by_line or not width:
            return super().get_content_height(container, viewport, width)
        return len(self._at(width))

    def render_line(self, y: int) -> Strip:
        """One line, when it is looked at."""
        if not self._by_line:
            return super().render_line(y)
        lines = self._at(self.size.width)
        line = words(lines[y] if y < len(lines) else "")
        selected = self.text_selection and self.text_selection.get_span(y)
        if selected:
            start, end = selected
            looks = Style.from_styles(self.screen.get_component_styles("screen--selection"))
            line = line.stylize(looks, start, None if end < 0 else end)
        (strip, *_) = Visual.to_strips(self, line, self.size.width, 1, self.visual_style, apply_selection=False)
        return strip.apply_offsets(0, y)

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        """What was marked of it to be copied."""
        if not self._by_line:
            return super().get_selection(selection)
        return selection.extract("\n".join(self._at(self.size.width))), "\n"
