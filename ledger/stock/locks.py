"""Locking holdings: always in the order of their ids, so that two writers never wait for each other.

On SQLite the writer has the whole ledger already; on PostgreSQL the rows are locked until the transaction ends.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import Connection, select

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


def lock(conn: Connection, holdings: Iterable[int]) -> dict[int, Locked]:
    """Lock holdings and read them."""
    h = t.holding.c
    found: dict[int, Locked] = {}
    for part in in_parts(holdings):
        wanted = select(h.id, h.count.label("n"), h.earmarked, h.lot_id, h.stage_id, h.tub).where(h.id.in_(part))
        for row in conn.execute(wanted.order_by(h.id).with_for_update()):
            found[row.id] = Locked(row.n, row.earmarked, Spot(row.lot_id, row.stage_id, row.tub))
    return found
