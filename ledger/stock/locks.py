"""Locking holdings: always in the order of their ids, so that two writers never wait for each other.

On SQLite the writer has the whole ledger already; on PostgreSQL the rows are locked until the transaction ends.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

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
    """Lock holdings and read them."""
    found: dict[int, Locked] = {}
    for part in in_parts(holdings):
        for row in conn.execute(_LOCK, {"wanted": part}):
            found[row.id] = Locked(row.n, row.earmarked, Spot(row.lot_id, row.stage_id, row.tub))
    return found
