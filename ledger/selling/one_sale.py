"""One sale with all that followed it: claims, what stands against posting it, its arrival, and origins stated wrongly.

Reads only; the margin is in `margin`, because it takes the sharing of all costs.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.selling.affected import AffectedRow, affected_sales
from ledger.selling.doa import ClaimRow, claims, terms_as_sold
from ledger.selling.parcels import Parcel, parcels
from ledger.selling.sale import Sale, find_sale
from ledger.selling.swapping import CameIn, came_in


@dataclass(frozen=True, slots=True)
class Arrived:
    """When a parcel arrived, as the buyer said."""

    on: dt.date
    clock: str
    """14:30, or empty."""
    note: str


@dataclass(frozen=True, slots=True)
class Waited:
    """A time in which a parcel was kept from the post."""

    from_on: dt.date
    why: str
    until: dt.date | None
    """The day it was let go, or posted; `None`: it still waits."""


@dataclass(frozen=True, slots=True)
class OneSale:
    """A sale and what followed it."""

    sale: Sale
    claims: tuple[ClaimRow, ...]
    parcel: Parcel | None
    """`None`: nothing of it waits to be posted."""
    arrived: Arrived | None
    affected: tuple[AffectedRow, ...]
    """Lines that state an origin which no longer holds as stated."""
    terms: str
    """As sold; empty: none were set."""
    waited: tuple[Waited, ...]
    """When it was kept from the post, and why."""
    came_in: tuple[CameIn, ...]
    """What came in against it by a swap."""


def one_sale(conn: Connection, number: str, today: dt.date) -> OneSale:
    """A sale with all that followed it, as it stands on a day.

    Raises:
        NotFound: there is no such sale.
    """
    sale = find_sale(conn, number)
    waiting = parcels(conn, today) if sale.waits_for_post else ()
    return OneSale(
        sale,
        claims(conn, sale=sale.number),
        next((one for one in waiting if one.number == sale.number), None),
        _arrived(conn, sale.id),
        affected_sales(conn, sale=sale.id),
        terms_as_sold(conn, sale),
        _waited(conn, sale),
        came_in(conn, sale.operation_id) if sale.channel == "swap" else (),
    )


def _arrived(conn: Connection, sale: int) -> Arrived | None:
    a = t.arrival.c
    row = conn.execute(select(a.arrived_on, a.clock, a.note).where(a.sale_id == sale, stands(a.operation_id))).first()
    return None if row is None else Arrived(*row)


def _waited(conn: Connection, sale: Sale) -> tuple[Waited, ...]:
    w = t.post_wait.c
    rows = conn.execute(select(w.from_on, w.why).where(w.sale_id == sale.id).order_by(w.id)).all()
    found: list[Waited] = []
    for row in rows:
        if found and found[-1].until is None:
            found[-1] = replace(found[-1], until=row.from_on)
        if row.why:
            found.append(Waited(row.from_on, row.why, None))
    if found and found[-1].until is None and sale.posted_on is not None:
        found[-1] = replace(found[-1], until=sale.posted_on)
    return tuple(found)
