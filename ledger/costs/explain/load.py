"""The journal of a whole ledger for an explanation, with what things in it are called. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.explain.replay import Journal
from ledger.costs.keys import care_by_category, sharing_keys
from ledger.costs.load import SpreadCost, cost_lines, method_of, spread_costs
from ledger.costs.methods import method
from ledger.records import tables as t
from ledger.stock.events import Event, ordered, without_reversed
from ledger.stock.journal import depths, events


@dataclass(frozen=True, slots=True)
class Loaded:
    """A journal with the costs its lines come from."""

    journal: Journal
    costs: tuple[SpreadCost, ...]
    stages: dict[tuple[int, int], str]
    """Name by species and position."""
    species: dict[int, str]
    """Codes, as of the lots."""
    lots: dict[int, str]

    @property
    def events(self) -> dict[int, Event]:
        """By number of the movement."""
        return {event.id: event for event in self.journal.events}


def load(conn: Connection, until: dt.date) -> Loaded:
    """Everything accounted up to and including a day."""
    costs = spread_costs(conn, until)
    figures = method_of(conn, method(conn, "brood", until) == "offspring")
    closed = conn.execute(
        select(t.period.c.last_day).where(t.period.c.closed == 1, t.period.c.last_day < until)
    ).scalars()
    journal = Journal(
        ordered(without_reversed(events(conn), by="accounting_on"), depths(conn), by="accounting_on"),
        cost_lines(costs),
        figures.lots,
        until.toordinal(),
        figures.weights,
        figures.losses,
        figures.reared,
        figures.specimens,
        [day.toordinal() for day in closed],
        figures.to_offspring,
        sharing_keys(conn),
        care_by_category(conn),
    )
    stages = {
        (row.species_id, row.position): row.name
        for row in conn.execute(select(t.stage.c.species_id, t.stage.c.position, t.stage.c.name))
    }
    codes = {row.id: row.code for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    kinds = {row.id: row.code for row in conn.execute(select(t.species.c.id, t.species.c.code))}
    return Loaded(journal, tuple(costs), stages, kinds, codes)
