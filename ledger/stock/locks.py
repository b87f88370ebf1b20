"""Locking holdings: always in the order of their ids, so that two writers never wait for each other.

On SQLite the writer has the whole ledger already. On PostgreSQL the rows are locked until the transaction ends, and
with them, at once, all holdings of the lots joined to theirs by splits and merges: age layers may have to be replayed
over all of those, and locking them later would be out of order.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Connection, Select, bindparam, case, or_, select

from ledger.records import tables as t
from ledger.stock.at_hand import at_hand
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


_HOLDING, _SOURCE = t.holding.c, t.lot_source.c
_COLUMNS = (
    _HOLDING.id,
    _HOLDING.count.label("n"),
    _HOLDING.earmarked,
    _HOLDING.lot_id,
    _HOLDING.stage_id,
    _HOLDING.tub,
)
_WANTED = _HOLDING.id.in_(bindparam("wanted", expanding=True))
_READ = select(*_COLUMNS).where(_WANTED).order_by(_HOLDING.id)


def _lock_with_family() -> Select[Any]:
    """Locks holdings together with every holding of their lots and of the lots joined to those."""
    family = select(_HOLDING.lot_id.label("lot")).where(_WANTED).cte("family", recursive=True)
    other_end = case((_SOURCE.lot_id == family.c.lot, _SOURCE.source_id), else_=_SOURCE.lot_id)
    family = family.union(
        select(other_end)
        .join(family, or_(_SOURCE.lot_id == family.c.lot, _SOURCE.source_id == family.c.lot))
        .where(_SOURCE.how != "harvested")
    )
    lots = select(family.c.lot)
    return select(*_COLUMNS).where(_HOLDING.lot_id.in_(lots)).order_by(_HOLDING.id).with_for_update(of=t.holding)


_LOCK = _lock_with_family()


def lock(conn: Connection, holdings: Iterable[int]) -> dict[int, Locked]:
    """Lock holdings, and what may have to change with them, and read the ones asked for."""
    asked = set(holdings)
    found: dict[int, Locked] = {}
    if not asked:
        return found
    hand = at_hand(conn)
    if hand is not None and asked <= hand.by_id.keys():
        here = [hand.by_id[number] for number in sorted(asked)]
        return {held.id: Locked(held.count, held.earmarked, Spot(held.lot, held.stage, held.tub)) for held in here}
    if conn.dialect.name == "sqlite":
        parts = ((_READ, part) for part in in_parts(asked))
    else:
        parts = ((_LOCK, one) for one in [sorted(asked)])
    for statement, part in parts:
        for row in conn.execute(statement, {"wanted": part}):
            if row.id in asked:
                found[row.id] = Locked(row.n, row.earmarked, Spot(row.lot_id, row.stage_id, row.tub))
    return found


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
