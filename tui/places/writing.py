"""A file that takes long to write: a bar while it is written, Escape stops it, and its place is said at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from ledger.errors import Refused
from ledger.wording import say
from tui.papers import Paper, Papers, where_they_are, write_papers
from tui.places.long import LongPage, Tell
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from tui.app import Desk


class WritePage(LongPage):
    """Such a file.

    Args:
        title: what is written.
        write: writes it; told how far it is, where that is known.
        said: what to say of what came of it.
    """

    WHERE = "writing"
    HELP = say("The file is being written; its place is said when it is done. Escape stops it where that can be done.")

    def __init__(self, title: str, write: Callable[[Tell], object], said: Callable[[object], Answer]) -> None:
        super().__init__()
        self._heading = title
        self._write = write
        self._said = said
        self._begun = False

    def title_words(self) -> str:
        return self._heading

    def work(self) -> Callable[[Tell], object]:
        return self._write

    def read_anew(self) -> None:
        if not self._begun:
            self._begun = True
            self.begin(self._write, records=True)

    def came(self, answer: object) -> None:
        self.desk.say(self._said(answer))
        self.leave()

    def failed(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))
        self.leave()


async def write_into_folder(desk: Desk, title: str, papers: Sequence[Paper]) -> None:
    """Write papers, each as PDF and as text, into the keeper's folder; then say where they are."""
    await write_aside(desk, title, partial(write_papers, desk.ledger, papers, desk.papers))


async def write_aside(desk: Desk, title: str, write: Callable[[], Papers]) -> None:
    """Write papers, of a large ledger in the process of its own, as what makes them takes memory for good; then say
    where they are."""
    reckoner = desk.reckoner
    await desk.open_form(WritePage(title, lambda _: reckoner.ask(write), where_they_are))
