"""Questions that look at the whole ledger are asked aside, so that nothing blocks typing; the answer comes back as a
value, and a refusal as its sentence. A worker never touches a widget."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from textual import on
from textual.worker import Worker, WorkerState

from ledger.errors import Refused
from tui.frame import Framed

R = TypeVar("R")


class Aside(Framed[R]):
    """A screen that asks one long question at a time; the newest counts."""

    def ask_aside(self, question: Callable[[], object]) -> None:
        """Ask in a thread of its own; `told` or `refused` is called with what comes of it."""
        self.run_worker(question, group="aside", exclusive=True, thread=True, exit_on_error=False)

    def told(self, answer: object) -> None:
        """Show the answer."""
        raise NotImplementedError

    def refused(self, refusal: Refused) -> None:
        """Show why there is none."""
        raise NotImplementedError

    @on(Worker.StateChanged)
    def _aside(self, event: Worker.StateChanged) -> None:
        if event.worker.group != "aside" or not self.is_mounted:
            return
        if event.state is WorkerState.SUCCESS:
            self.told(event.worker.result)
        elif event.state is WorkerState.ERROR:
            error = event.worker.error
            if not isinstance(error, Refused):
                # A fault stays a fault.
                assert error is not None
                raise error
            self.refused(error)
