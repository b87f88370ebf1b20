"""One sale with all that followed it: claims, what stands against posting it, its arrival, and origins stated wrongly.

Reads only; the margin is in `margin`, because it takes the sharing of all costs.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.selling.affected import AffectedRow, affected_sales
from ledger.selling.doa import ClaimRow, claims, terms_as_sold
from ledger.selling.parcels import Parcel, parcels
from ledger.selling.sale import Sale, find_sale


@dataclass(frozen=True, slots=True)
class Arrived:
    """When a parcel arrived, as the buyer said."""

    on: dt.date
    clock: str
    """14:30, or empty."""
    note: str


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
    )


def _arrived(conn: Connection, sale: int) -> Arrived | None:
    a = t.arrival.c
    row = conn.execute(select(a.arrived_on, a.clock, a.note).where(a.sale_id == sale)).one_or_none()
    return None if row is None else Arrived(*row)
