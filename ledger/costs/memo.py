"""Shared costs kept between questions of one open ledger: what was recorded since is all that is reckoned anew.

On SQLite acts are numbered in the order they are saved, so the newest act tells whether anything was recorded. On
PostgreSQL acts may be saved in another order than they are numbered; there nothing is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from threading import Lock

from sqlalchemy import Connection, select

from ledger.costs.given import Given
from ledger.costs.live import Live
from ledger.costs.result import Shared
from ledger.records import tables as t
from ledger.stock.events import Event

_NEWEST = select(t.operation.c.id, t.operation.c.token).order_by(t.operation.c.id.desc()).limit(1)


def newest_act(conn: Connection) -> tuple[int, str] | None:
    """What tells the state of the whole ledger; `None` where nothing does."""
    if conn.dialect.name != "sqlite":
        return None
    row = conn.execute(_NEWEST).one_or_none()
    return (0, "") if row is None else (row.id, row.token)


def first_change(old: Sequence[Event], new: Sequence[Event]) -> int | None:
    """The first day on which two journals in order differ; `None` when they are the same."""
    for before, after in zip(old, new, strict=False):
        if before != after:
            return min(before.accounting_on, after.accounting_on)
    longer = old if len(old) > len(new) else new
    rest = longer[min(len(old), len(new)) :]
    return rest[0].accounting_on if rest else None


class Run:
    """An open run with the journal it was last given."""

    def __init__(self, events: Sequence[Event], given: Given, until: int) -> None:
        self._events = events
        self.live = Live(events, given, until)

    def go(self, events: Sequence[Event], given: Given, until: int) -> Shared:
        """The shared costs of what is given now."""
        newest = max((event.id for event in self._events), default=0)
        since = first_change(self._events, events)
        self.live.go(events, given, until, since=since, fresh=[event for event in events if event.id > newest])
        self._events = events
        return self.live.shared()


class CostMemo:
    """What one open ledger keeps of its costs. Used by one thread at a time."""

    def __init__(self) -> None:
        self.lock = Lock()
        self.runs: dict[object, Run] = {}
        """By what the figures are reckoned by."""
        self._act: tuple[int, str] | None = None
        self._answers: dict[object, object] = {}

    def answers(self, conn: Connection) -> dict[object, object]:
        """Answers since the newest act, by question: empty again whenever something was recorded."""
        act = newest_act(conn)
        if act is None or act != self._act:
            self._answers = {}
        if act is None or self._act is None or act[0] < self._act[0]:
            self.runs = {}
        self._act = act
        return self._answers

    def share(self, question: object, events: Sequence[Event], given: Given, until: int) -> Shared:
        """Share costs, going on from what was shared for the same question before."""
        run = self.runs.pop(question, None) or Run(events, given, until)
        shared = run.go(events, given, until)
        self.runs[question] = run  # only now: a run that broke off half-way is not gone on with
        return shared
