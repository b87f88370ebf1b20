"""Locking holdings: always in the order of their ids, so that two writers never wait for each other.

On SQLite the writer has the whole ledger already. On PostgreSQL the rows are locked until the transaction ends, and
with them, at once, all holdings of the lots joined to theirs by splits and merges: age layers may have to be replayed over
all of those, and locking them later would be out of order.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, or_, select

from ledger.records import tables as t
from ledger.stock.journal import in_parts


class Spot(NamedTuple):
    """Where a holding is; this never changes."""

    lot: int
    stage: int
    tub: str


@dataclass(frozen=True, slots=True)
class Locked:
    """A holding nobody else can change until the transaction ends."""

    count: int
    earmarked: int
    spot: Spot


_HOLDING = t.holding.c
_LOCK = (
    select(
        _HOLDING.id,
        _HOLDING.count.label("n"),
        _HOLDING.earmarked,
        _HOLDING.lot_id,
        _HOLDING.stage_id,
        _HOLDING.tub,
    )
    .where(_HOLDING.id.in_(bindparam("wanted", expanding=True)))
    .order_by(_HOLDING.id)
    .with_for_update()
)


def lock(conn: Connection, holdings: Iterable[int]) -> dict[int, Locked]:
    """Lock holdings, and what may have to change with them, and read the ones asked for."""
    asked = set(holdings)
    wanted = asked if conn.dialect.name == "sqlite" else asked | _family(conn, asked)
    found: dict[int, Locked] = {}
    for part in in_parts(sorted(wanted)):
        for row in conn.execute(_LOCK, {"wanted": part}):
            if row.id in asked:
                found[row.id] = Locked(row.n, row.earmarked, Spot(row.lot_id, row.stage_id, row.tub))
    return found


def _family(conn: Connection, holdings: set[int]) -> set[int]:
    """Every holding of the lots of these holdings and of the lots joined to them."""
    lots: set[int] = set()
    for part in in_parts(holdings):
        lots.update(conn.execute(select(_HOLDING.lot_id).where(_HOLDING.id.in_(part)).distinct()).scalars())
    family: set[int] = set()
    for part in in_parts(joined_lots(conn, lots)):
        family.update(conn.execute(select(_HOLDING.id).where(_HOLDING.lot_id.in_(part))).scalars())
    return family


def joined_lots(conn: Connection, lots: Iterable[int]) -> set[int]:
    """The lots, and all that splits and merges joined to them."""
    source = t.lot_source.c
    known = frontier = set(lots)
    while frontier:
        ids = sorted(frontier)
        near = conn.execute(
            select(source.lot_id, source.source_id).where(
                source.how != "harvested", or_(source.lot_id.in_(ids), source.source_id.in_(ids))
            )
        )
        frontier = {lot for row in near for lot in row} - known
        known = known | frontier
    return known
