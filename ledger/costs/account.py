"""The costs of a whole ledger up to a day: journals in, shared costs out.

Runs the sharing engine over the journal. Reads only.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.engine import share_given, stages_of
from ledger.costs.given import Given, Key, SharingKeys, StageFigures, with_method
from ledger.costs.keys import care_by_category, sharing_keys
from ledger.costs.load import SpreadCost, cost_lines, spread_costs
from ledger.costs.lots import Method, method_of
from ledger.costs.memo import CostMemo
from ledger.costs.result import Shared
from ledger.records import tables as t
from ledger.stock.events import Event, ordered, without_reversed
from ledger.stock.journal import depths, events


@dataclass(frozen=True, slots=True)
class CostAccount:
    """Shared costs with the lines they come from."""

    shared: Shared
    costs: tuple[SpreadCost, ...]


def account(
    conn: Connection,
    until: dt.date,
    *,
    by_stage: bool = False,
    key: Key | None = None,
    memo: CostMemo | None = None,
) -> CostAccount:
    """Share every cost accounted up to and including a day over the animals.

    Args:
        conn: an open reading connection.
        until: the last day, by accounting date.
        by_stage: whether to keep apart at which stage cost accrued.
        key: what every category is shared by from the first day on, whatever the keeper set: the figure by the other
            key. `None`: as set.
        memo: of the open ledger; only with a connection that has written nothing.
    """
    if memo is None:
        return gather(conn, until, by_stage=by_stage, key=key).account()
    with memo.lock:
        answers, question = memo.answers(conn), (until, by_stage, key)
        answer = answers.get(question)
        if not isinstance(answer, CostAccount):
            found = gather(conn, until, by_stage=by_stage, key=key)
            shared = memo.share((by_stage, key), found.journal, found.given, found.until)
            answer = CostAccount(shared, found.costs)
            answers[question] = answer
        return answer


@dataclass(frozen=True, slots=True)
class Ground:
    """All that the sharing of costs up to a day rests on, as it is recorded."""

    journal: list[Event]
    costs: list[SpreadCost]
    figures: Method
    closed: frozenset[int]
    """Last days of the closed years."""
    keys: SharingKeys
    care: dict[str, StageFigures]


def ground(conn: Connection, until: dt.date) -> Ground:
    """What was accounted up to and including a day, and the method in force."""
    closed = conn.execute(
        select(t.period.c.last_day).where(t.period.c.closed == 1, t.period.c.last_day < until)
    ).scalars()
    return Ground(
        ordered(without_reversed(events(conn), by="accounting_on"), depths(conn), by="accounting_on"),
        spread_costs(conn, until),
        method_of(conn),
        frozenset(day.toordinal() for day in closed),
        sharing_keys(conn),
        care_by_category(conn),
    )


@dataclass(frozen=True, slots=True)
class Gathered:
    """What the engine is given, read and ready: the sharing itself needs no connection any more."""

    journal: list[Event]
    given: Given
    costs: tuple[SpreadCost, ...]
    until: int
    """Ordinal of the last day."""

    def account(self) -> CostAccount:
        """Share it."""
        return CostAccount(share_given(self.journal, self.given, self.until), self.costs)


def gather(conn: Connection, until: dt.date, *, by_stage: bool = False, key: Key | None = None) -> Gathered:
    """Read all that `account` rests on; arguments as there."""
    found = ground(conn, until)
    figures, lines = found.figures, cost_lines(found.costs)
    keys = found.keys if key is None else {line.category: ((0, key),) for line in lines}
    given = Given(
        costs=with_method(lines, keys, found.care),
        lots=figures.lots,
        weights=figures.weights,
        losses=figures.losses,
        reared=figures.reared,
        specimens=frozenset(figures.specimens),
        cuts=found.closed,
        care=found.care,
        by_stage=by_stage,
        stages=stages_of(found.journal) if by_stage else 1,
        to_offspring=figures.to_offspring,
    )
    return Gathered(found.journal, given, tuple(found.costs), until.toordinal())
