"""The one way in which text becomes a label or a cell: literally, whatever it holds.

Brackets are never read as markup, and what could steer a terminal is replaced. Every widget here gets its words from
these functions; a test looks for those that do not.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from rich.cells import cell_len, set_cell_size
from textual.content import Content

from ledger.text import show
from tui.tongue import shown, tell


def words(text: str, style: str = "") -> Content:
    """Text for a label, a button or a heading; line feeds stay line feeds."""
    return Content.styled("\n".join(show(line) for line in tell(text).split("\n")), style)


def parts(*said: tuple[str, str] | str) -> Content:
    """Several texts, each with a style ('bold', '$accent') if given, as one label."""
    return Content("").join(words(*part) if isinstance(part, tuple) else words(part) for part in said)


def cell(text: str, width: int, *, right: bool = False) -> str:
    """Text for one field of a list, on one line and exactly so wide: cut with a sign, or filled up at its end; where it
    is a figure, before it."""
    told = shown(text).rstrip() if right else shown(text)
    used = cell_len(told)
    if used > width:
        return set_cell_size(told, width - 1) + "…"
    room = " " * (width - used)
    return room + told if right else told + room


def within(text: str, width: int, lines: int, more: str = "…") -> str:
    """A text of several lines, told, that takes so many at most: what does not fit is cut with a sign."""
    broken = [
        line
        for part in tell(text).split("\n")
        for line in textwrap.wrap(show(part), max(width, 1), break_on_hyphens=False) or [""]
    ]
    if len(broken) <= lines:
        return tell(text)
    last = broken[lines - 1][: max(width - len(more), 0)].rstrip()
    return "\n".join([*broken[: lines - 1], last + more])


def drawing(lines: Iterable[str]) -> Content:
    """Lines of a chart as one label."""
    return words("\n".join(tell(line) for line in lines))
