"""What one animal costs a day, as things stand: what stops if it is sold now, and what goes on without it.

Feed, substrate and whatever else is used up stops; shared heat, racks and other lasting things go on. Shared by care
weights among the animals they are for, over the last thirty days (common practice, no source). Reads only.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.account import account
from ledger.costs.listing import USUAL_CATEGORIES
from ledger.costs.load import SpreadCost
from ledger.records import tables as t

DAYS = 30
"""Looked back, to say what a day costs."""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """Minor units for one animal and day."""

    stops: float
    goes_on: float
    stopping: tuple[str, ...]
    """Categories that stop."""


def upkeep(conn: Connection, on: dt.date, lot_id: int, stage: int) -> Upkeep:
    """What an animal of a lot and stage costs a day.

    Args:
        conn: an open reading connection.
        on: the day.
        lot_id: the lot.
        stage: position of the stage.
    """
    costs = account(conn, on)
    species = {row.id: row.species_id for row in conn.execute(select(t.lot.c.id, t.lot.c.species_id))}
    own = next((one for one in costs.shared.buckets if (one.lot, one.stage) == (lot_id, stage) and one.count), None)
    if own is None:
        return Upkeep(0.0, 0.0, ())
    stops = goes_on = 0.0
    named: list[str] = []
    last = on.toordinal()
    for cost in costs.costs:
        if not _is_for(cost, lot_id, species[lot_id]):
            continue
        used = _used(cost, last - DAYS + 1, last) / DAYS
        carried = sum(
            one.units for one in costs.shared.buckets if one.count and _is_for(cost, one.lot, species[one.lot])
        )
        if not used or not carried:
            continue
        each = used * own.units / own.count / carried
        if stops_with_it(cost.kind, cost.category):
            stops += each
            named.append(cost.category)
        else:
            goes_on += each
    return Upkeep(stops, goes_on, tuple(dict.fromkeys(named)))


def a_day(monthly: float) -> float:
    """What a cost a month is a day; twelve months are 365 days."""
    return monthly * 12 / 365


def a_month(daily: float) -> float:
    """What a cost a day is a month."""
    return daily * 365 / 12


def stops_with_it(kind: str, category: str) -> bool:
    """Whether a cost is not spent without the animals: things used up, but not the heat and rent of the room."""
    return kind == "used up" and USUAL_CATEGORIES.get(category) != "overhead"


def _is_for(cost: SpreadCost, lot: int, species: int) -> bool:
    scope = cost.scope
    if scope.kind == "all":
        return True
    return (scope.kind == "species" and species in scope.ids) or (scope.kind == "lots" and lot in scope.ids)


def _used(cost: SpreadCost, first: int, last: int) -> float:
    """Minor units used up from one day to another."""
    total = 0.0
    for part in cost.spread.parts:
        days = min(part.last, last) - max(part.first, first) + 1
        if days > 0:
            total += part.amount * days / (part.last - part.first + 1)
    return total
