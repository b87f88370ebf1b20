"""A page over long work done aside: a bar shows how far it is, Escape stops it.

Work that records is never left behind unseen: Escape asks it to stop and the page waits for what came of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

from textual.timer import Timer
from textual.widgets import Static

from ledger.act import Done
from ledger.errors import Refused
from ledger.wording import capital, say, strung
from tui.charts import progress
from tui.places.page import ReckonedPage
from tui.plain import drawing

BEAT, BAR = 0.1, 40
"""Seconds from one look at how far it is to the next, and the cells of the bar."""

Tell = Callable[[str, int, int], None]
"""Told what is being done, how much of it is done, and of how much (0: not known). Raises Refused to stop it."""


@dataclass(slots=True)
class Progress:
    """How far one piece of work is; whoever does it looks here whether it is still wanted."""

    what: str = ""
    done: int = 0
    total: int = 0
    stopped: bool = False
    settled: bool = False
    """It is being saved: it can no longer be stopped."""
    _turn: Lock = field(default_factory=Lock)
    """Held by whoever stops it or settles it: only one of the two ever happens."""

    def stop(self) -> bool:
        """Want it no longer; says whether it will indeed not be done."""
        with self._turn:
            self.stopped = self.stopped or not self.settled
        return self.stopped

    def settle(self) -> None:
        """From here on it is saved, whatever is asked. Raises Refused when it is no longer wanted."""
        with self._turn:
            if self.stopped:
                raise Refused(say("It was stopped before it was done."))
            self.settled = True

    def tell(self, what: str, done: int, total: int) -> None:
        """Note how far it is. Raises Refused when it is no longer wanted."""
        if self.stopped:
            raise Refused(say("It was stopped before it was done."))
        self.what, self.done, self.total = what, done, total

    @property
    def share(self) -> float:
        """Of the work that is known."""
        return min(self.done / self.total, 1.0) if self.total else 0.0

    @property
    def words(self) -> str:
        """'Trying 40 of 120', 'Reading 1,200 rows'."""
        if not self.what:
            return say("Beginning")
        of = (
            say(" {done} of {total}", done=f"{self.done:,}", total=f"{self.total:,}")
            if self.total > 1
            else ""
            if self.total
            else say(" {done} rows", done=f"{self.done:,}")
        )
        return strung((capital(self.what), of), "")


class LongPage(ReckonedPage):
    """Such a page. A subclass gives `work`, `came` and `stopped`."""

    def __init__(self) -> None:
        super().__init__()
        self._progress = Progress()
        self._beat: Timer | None = None
        self._records = False

    def work(self) -> Callable[[Tell], object]:
        """What is done first, when the page opens."""
        raise NotImplementedError

    def came(self, answer: object) -> None:
        """Show what came of it."""
        raise NotImplementedError

    def failed(self, refusal: Refused) -> None:
        """Show why nothing came of it."""
        super().refused(refusal)

    def recorded(self, done: Done) -> None:
        """Tell every screen what was recorded, and leave without asking anything anew."""
        self._records = True
        self.desk.announce(done)
        self.desk.left_recorded()
        self.leave()

    @property
    def can_leave(self) -> bool:
        return not self.working

    @property
    def working(self) -> bool:
        """Whether work is going on."""
        return self._beat is not None

    def read_anew(self) -> None:
        if not self._records:
            self.begin(self.work())

    def begin(self, work: Callable[[Tell], object], *, records: bool = False) -> None:
        """Do a piece of work aside; `records`: it may write into the ledger."""
        self.begin_with(Progress(), work, records=records)

    def begin_with(self, mine: Progress, work: Callable[[Tell], object], *, records: bool = False) -> None:
        """Do a piece of work aside that itself says when it can no longer be stopped."""
        self._progress.stop()
        self._progress = mine
        self._records = records
        self._show_progress()
        if self._beat is None:
            self._beat = self.set_interval(BEAT, self._show_progress)
        self.ask_aside(lambda: work(mine.tell))

    def leave_of(self, mine: Progress) -> Callable[[], None]:
        """What is called before such work is saved in a thread: from then on it cannot be stopped, and what a process
        reads just now does not stand in its way."""
        reckoner = self.desk.reckoner

        def leave() -> None:
            mine.settle()
            reckoner.give_way()

        return leave

    def told(self, answer: object) -> None:
        self._end()
        self.came(answer)

    def refused(self, refusal: Refused) -> None:
        self._end()
        self.failed(refusal)

    def action_back(self) -> None:
        """Stop what is being done. Work that records is waited for, so that nothing is recorded unseen."""
        stopped = self._progress.stop()
        if self._records:
            self.foot.sum_up(say("stopping ...") if stopped else say("it is being saved and can no longer be stopped"))
        else:
            super().action_back()

    def _end(self) -> None:
        self._records = False
        if self._beat is not None:
            self._beat.stop()
            self._beat = None
        self.foot.sum_up("")

    def _show_progress(self) -> None:
        now = self._progress
        if now.stopped or self.redrawing:
            return
        bar = progress(now.share, width=min(BAR, self.width - 6), signs=self.desk.signs)
        how_far = (
            say("{words} ...", words=now.words) if now.settled else say("{words} ... Escape stops it.", words=now.words)
        )
        lines = [how_far, "", *([bar] if now.total > 1 else [])]
        self.query_one("#page-text", Static).update(drawing(lines))
