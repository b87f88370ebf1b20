"""Questions that look at the whole ledger are asked aside, so that nothing blocks typing; the answer comes back as a
value, and a refusal as its sentence. A worker never touches a widget."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual import on
from textual.timer import Timer
from textual.worker import Worker, WorkerState

from ledger.errors import Refused
from ledger.wording import say
from tui.frame import Framed
from tui.threads import forgetful

R = TypeVar("R")
BEAT = 1.0
"""Seconds from one word on how long it takes to the next."""


class Aside(Framed[R]):
    """A screen that asks one long question at a time; the newest counts."""

    HEAVY: ClassVar[bool] = True
    """Whether the question reads a journal: of a large ledger it is asked in a process of its own."""
    GIVES_WAY: ClassVar[bool] = True
    """Whether its question waits behind that of a screen gone to meanwhile."""
    TELLS_HOW_FAR: ClassVar[bool] = False
    """Whether the screen itself says how far the answer is."""
    _asked_at: float | None = None
    _beat: Timer | None = None
    _worker: Worker[object] | None = None
    """Who was asked last."""
    _meanwhile: Worker.StateChanged | None = None
    """What came while the widgets were made anew."""

    def ask_aside(self, question: Callable[[], object]) -> None:
        """Ask in a thread of its own; `told` or `refused` is called with what comes of it.

        Where it is a method of the ledger, or a function of a module with what it is given (`functools.partial`), a
        large ledger is asked in a process that Escape ends.
        """
        if self.HEAVY and self.desk.reckoner.large():
            if self.GIVES_WAY and self.can_leave and not self.is_active:
                # Told anew behind another one that is seen: it waits until it is seen itself.
                self.stop_asking()
                self._stale = True
                return
            self._go_first()
        asked = self.desk.reckoner.apart(question) if self.HEAVY else question
        self._asked_at = time.monotonic()
        if self._beat is None and not self.TELLS_HOW_FAR:
            self._beat = self.set_interval(BEAT, self._say_how_long)
        work = forgetful(asked)
        self._worker = self.run_worker(work, group="aside", exclusive=True, thread=True, exit_on_error=False)

    def _go_first(self) -> None:
        """What another screen still waits for would be answered before: it is asked anew when that is seen again."""
        for stack in self.app._screen_stacks.values():
            for other in stack:
                if other is self or not isinstance(other, Aside) or other.is_active:
                    continue
                if other.HEAVY and other.GIVES_WAY and other.can_leave and not other.redrawing:
                    other.stop_asking()

    @property
    def asking(self) -> bool:
        """Whether an answer is still to come."""
        return self._asked_at is not None

    def stop_asking(self) -> bool:
        """Want the answer no longer; says whether there was one to come. It is asked for when one comes back."""
        if not self.asking:
            return False
        self._answered_aside()
        self.workers.cancel_group(self, "aside")
        self._worker = None
        self._stale = True
        self.foot.sum_up(say("! stopped; it is reckoned anew when you come back here"))
        return True

    def _say_how_long(self) -> None:
        if self._asked_at is not None and self.is_mounted and not self.redrawing:
            self.foot.sum_up(
                say("reckoning ... {seconds} s · esc stops", seconds=f"{time.monotonic() - self._asked_at:.0f}")
            )

    def _answered_aside(self) -> None:
        self._asked_at = None
        if self._beat is not None:
            self._beat.stop()
            self._beat = None
            self.after_waiting()

    def after_waiting(self) -> None:
        """Take away what said that it takes time."""
        self.foot.sum_up("")

    def told(self, answer: object) -> None:
        """Show the answer."""
        raise NotImplementedError

    def refused(self, refusal: Refused) -> None:
        """Show why there is none."""
        raise NotImplementedError

    async def tell_anew(self) -> None:
        await super().tell_anew()
        came, self._meanwhile = self._meanwhile, None
        if came is not None:
            # Where it was not asked anew.
            self._aside(came)

    @on(Worker.StateChanged)
    def _aside(self, event: Worker.StateChanged) -> None:
        if event.worker is not self._worker or not self.is_mounted:
            # What was asked before counts no more, also when its answer was on the way already.
            return
        if self.redrawing:
            self._meanwhile = event
            return
        if event.state is WorkerState.SUCCESS:
            self._answered_aside()
            self.told(event.worker.result)
        elif event.state is WorkerState.ERROR:
            error = event.worker.error
            if not isinstance(error, Refused):
                # A fault stays a fault.
                assert error is not None
                raise error
            self._answered_aside()
            self.refused(error)
