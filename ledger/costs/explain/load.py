"""The journal of a whole ledger for an explanation, with what things in it are called. Reads only."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.account import ground
from ledger.costs.explain.replay import Journal
from ledger.costs.load import SpreadCost, cost_lines
from ledger.records import tables as t
from ledger.stock.events import Event


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
    found = ground(conn, until)
    figures = found.figures
    journal = Journal(
        found.journal,
        cost_lines(found.costs),
        figures.lots,
        until.toordinal(),
        figures.weights,
        figures.losses,
        figures.reared,
        figures.specimens,
        sorted(found.closed),
        figures.to_offspring,
        found.keys,
        found.care,
    )
    stages = {
        (row.species_id, row.position): row.name
        for row in conn.execute(select(t.stage.c.species_id, t.stage.c.position, t.stage.c.name))
    }
    codes = {row.id: row.code for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    kinds = {row.id: row.code for row in conn.execute(select(t.species.c.id, t.species.c.code))}
    return Loaded(journal, tuple(found.costs), stages, kinds, codes)
