"""How large a ledger is, as near as can be told without counting. Reads only."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from ledger.records import tables as t


def movements(conn: Connection) -> int:
    """How many movements there are: their numbers go up by one, and none is ever deleted."""
    return int(conn.execute(select(func.max(t.movement.c.id))).scalar() or 0)


def holdings(conn: Connection) -> int:
    """How many holdings there are."""
    return int(conn.execute(select(func.max(t.holding.c.id))).scalar() or 0)
