"""The costs of a whole ledger up to a day: journals in, shared costs out.

Runs the sharing engine over the journal. Reads only.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.engine import share
from ledger.costs.load import SpreadCost, cost_lines, method_of, spread_costs
from ledger.costs.result import Shared
from ledger.costs.spending import method
from ledger.records import tables as t
from ledger.stock.events import ordered, without_reversed
from ledger.stock.journal import depths, events


@dataclass(frozen=True, slots=True)
class CostAccount:
    """Shared costs with the lines they come from."""

    shared: Shared
    costs: tuple[SpreadCost, ...]


def account(conn: Connection, until: dt.date, *, by_stage: bool = False) -> CostAccount:
    """Share every cost accounted up to and including a day over the animals.

    Args:
        conn: an open reading connection.
        until: the last day, by accounting date.
        by_stage: whether to keep apart at which stage cost accrued.
    """
    journal = ordered(without_reversed(events(conn), by="accounting_on"), depths(conn), by="accounting_on")
    costs = spread_costs(conn, until)
    figures = method_of(conn, method(conn, "brood", until) == "offspring")
    closed = conn.execute(
        select(t.period.c.last_day).where(t.period.c.closed == 1, t.period.c.last_day < until)
    ).scalars()
    shared = share(
        journal,
        cost_lines(costs),
        figures.lots,
        until.toordinal(),
        weights=figures.weights,
        losses=figures.losses,
        reared=figures.reared,
        specimens=figures.specimens,
        cuts=[day.toordinal() for day in closed],
        by_stage=by_stage,
        to_offspring=figures.to_offspring,
    )
    return CostAccount(shared, tuple(costs))
