"""Pages from which papers are written: asked for here, written in a worker, and said where they are."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.errors import Refused
from tui.aside import Aside
from tui.papers import Paper, Papers, write_papers
from tui.widgets.foot import Answer


class WritesPapers(Aside[None]):
    """A page that writes papers into the keeper's folder."""

    def write(self, papers: Sequence[Paper]) -> None:
        """Write papers, each as PDF and as text."""
        ledger, folder = self.desk.ledger, self.desk.papers
        self.ask_aside(lambda: write_papers(ledger, papers, folder))

    def told(self, answer: object) -> None:
        if isinstance(answer, Papers):
            self.desk.say(answer.answer)

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))
