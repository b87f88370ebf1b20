"""The days from which a price counts, for leafing through the price list as it stood. Reads only."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.records.undone import stands


def price_days(conn: Connection) -> tuple[dt.date, ...]:
    """Every day from which some price counts, earliest first."""
    p = t.price.c
    return tuple(conn.execute(select(p.from_on).where(stands(p.operation_id)).distinct().order_by(p.from_on)).scalars())
