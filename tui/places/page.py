"""A page about one thing, on top of a place: text that scrolls and can be copied, or anything a subclass draws."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable
from typing import Any, ClassVar, TypeVar

from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from ledger.errors import Refused
from ledger.wording import say
from tui.actions import Act
from tui.aside import Aside
from tui.frame import Framed
from tui.plain import words
from tui.tongue import tell
from tui.widgets.foot import Answer
from tui.widgets.lines import Lines

T = TypeVar("T")
MARGIN = 4
BACK = Act("back", "escape", say("back"), say("Go back to where you came from."), in_fields=True)


def hanging(lines: Iterable[str], width: int) -> list[str]:
    """Lines broken at `width`, what is carried over set in by two more spaces than the line itself."""
    broken: list[str] = []
    for line in map(tell, lines):
        indent = line[: len(line) - len(line.lstrip())]
        parts = textwrap.wrap(line.strip(), width, initial_indent=indent, subsequent_indent=f"{indent}  ")
        broken += parts or [""]
    return broken


class Page(Framed[None]):
    """A page; Escape goes back."""

    ACTS: ClassVar[tuple[Act, ...]] = (BACK,)

    _over = False
    """It has nothing more to show, and leaves once it is in front."""

    def leave(self) -> None:
        """Leave by itself; where another screen is in front of it, when it would be seen again."""
        if self.is_active:
            self.dismiss(None)
        else:
            self._over = True

    def resumed(self) -> None:
        if self._over:
            self.dismiss(None)
        else:
            super().resumed()

    def action_back(self) -> None:
        """Leave the page; what was answered on it is not said again where it came from."""
        self.desk.forget_answer()
        self.dismiss(None)


class ScrolledPage(Page):
    """A page of text under its title; a subclass gives `read_anew`, which ends in `show`."""

    WAITING: ClassVar[str] = ""
    """What stands there until the text is known."""

    def body(self) -> Iterable[Widget]:
        yield Static(words(self.title_words(), "bold"), id="page-title", markup=False, classes="line")
        yield VerticalScroll(Lines(words(self.WAITING, "$quiet"), id="page-text", markup=False), classes="body")

    def first_focus(self) -> Widget | None:
        return self.query_one(VerticalScroll)

    def opened(self) -> None:
        super().opened()
        self.read_anew()

    def show(self, lines: Iterable[str]) -> None:
        """Show lines of text as they are."""
        self.query_one("#page-text", Lines).show(lines)


class ReckonedPage(ScrolledPage, Aside[None]):
    """A page whose text takes a look at the whole ledger. A subclass gives `question` and `told`."""

    WAITING = say("Reckoning ...")
    LEAST: ClassVar[int] = 34
    WIDEST: ClassVar[int] = 110
    """Cells a line takes, however narrow or wide the terminal."""

    def question(self) -> Callable[[], object]:
        """What is asked of the ledger, in a thread or a process of its own (see `Aside.ask_aside`)."""
        raise NotImplementedError

    def read_anew(self) -> None:
        self.ask_aside(self.question())

    def refused(self, refusal: Refused) -> None:
        self.query_one("#page-text", Static).update(words(say("! {sentence}", sentence=refusal.sentence), "$warning"))

    @property
    def width(self) -> int:
        """Cells a line of it may take."""
        return max(self.LEAST, min(self.app.size.width - MARGIN, self.WIDEST))


class AskedPage(ReckonedPage):
    """Lines of text about what a look at the whole ledger gave.

    Args:
        title: what it is.
        question: what is asked of the ledger.
        lines: the lines of the answer.
    """

    WHERE = "asked"
    HELP = say("The arrow keys scroll. While it is reckoned, esc goes back and stops it.")

    def __init__(self, title: str, question: Callable[[], T], lines: Callable[[T], Iterable[str]]) -> None:
        super().__init__()
        self._heading = title
        self._question = question
        self._told: Callable[[Any], Iterable[str]] = lines

    def title_words(self) -> str:
        return self._heading

    def question(self) -> Callable[[], object]:
        return self._question

    def told(self, answer: object) -> None:
        self.show(hanging(self._told(answer), self.width))


class TextPage(ScrolledPage):
    """Plain text, such as a receipt.

    Args:
        title: what it is.
        lines: gives its lines; asked again after something was recorded.
    """

    WHERE = "text"
    HELP = say("Text as it would be printed. The arrow keys scroll; it can be copied into a message.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        BACK,
        Act("copy", "quotation_mark", say("copy"), say("Copy the whole text to the clipboard.")),
    )

    def __init__(self, title: str, lines: Callable[[], Iterable[str]]) -> None:
        super().__init__()
        self._heading = title
        self._ask = lines
        self._lines: list[str] = []

    def title_words(self) -> str:
        return self._heading

    def read_anew(self) -> None:
        self._lines = list(self._ask())
        width = max(self.app.size.width - 4, 20)
        self.show(hanging(self._lines, width))

    def action_copy(self) -> None:
        """Copy through the terminal (OSC 52), which also works over SSH where the terminal allows it."""
        self.app.copy_to_clipboard("\n".join(self._lines))
        self.desk.say(Answer(say("Copied {lines} lines, if your terminal allows it.", lines=len(self._lines))))
