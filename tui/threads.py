"""Work done in a thread, as the library does it, without what it keeps."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from typing import TypeVar, cast

from textual.worker import active_worker

T = TypeVar("T")


def forgetful(work: Callable[[], T]) -> Callable[[], T]:
    """Work for a thread that forgets afterwards for whom it was: the library notes that in the thread for good, and
    while a thread idles it would keep a screen that has gone, with all its widgets."""

    def done() -> T:
        try:
            return work()
        finally:
            cast("ContextVar[object]", active_worker).set(None)

    return done
