"""Customers: only what a sale needs. Finds them by name while it is typed, and adds them.

The one mutable thing of selling; what a sale printed stays on the sale.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.errors import Refused
from ledger.records.tables import customer
from ledger.text import clean


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """One customer who has not been erased."""

    id: int
    name: str
    contact: str
    kind: str
    """retail or trade: which prices count."""
    note: str


def _all(conn: Connection) -> list[CustomerRow]:
    rows = conn.execute(
        select(customer.c.id, customer.c.name, customer.c.contact, customer.c.kind, customer.c.note)
        .where(customer.c.erased_on.is_(None))
        .order_by(customer.c.id)
    )
    return [CustomerRow(*row) for row in rows]


def find_customers(conn: Connection, typed: str, limit: int = 10) -> tuple[CustomerRow, ...]:
    """Customers whose name holds `typed`, whatever its case: those that begin with it first, then by name.

    The comparison is made here because a database folds the case of some alphabets only.
    """
    wanted = typed.strip().casefold()
    found = [row for row in _all(conn) if wanted in row.name.casefold()]
    found.sort(key=lambda row: (not row.name.casefold().startswith(wanted), row.name.casefold(), row.id))
    return tuple(found[:limit])


def customer_named(conn: Connection, name: str) -> CustomerRow | None:
    """The customer of exactly this name, whatever its case; the first one entered if two share it."""
    wanted = name.strip().casefold()
    return next((row for row in _all(conn) if row.name.casefold() == wanted), None)


def clean_name(name: str, field: str = "customer") -> str:
    """A customer's name fit for the records.

    Raises:
        BadInput: it holds characters no name has, or is too long.
    """
    return clean(name, limit=120, field=field)


def add_customer(conn: Connection, name: str, contact: str = "", kind: str = "retail", note: str = "") -> int:
    """Write a new customer and answer its id."""
    made = conn.execute(insert(customer).values(name=name, contact=contact, kind=kind, note=note))
    key = made.inserted_primary_key
    assert key is not None
    return int(key[0])


def find_or_add(conn: Connection, name: str) -> int:
    """The id of the customer called `name`, added as a retail customer if not known yet."""
    known = customer_named(conn, name)
    return known.id if known else add_customer(conn, name)


def check_new(conn: Connection, name: str) -> None:
    """Refuse a second customer of the same name: two people who cannot be told apart on a list get mixed up.

    Raises:
        Refused: the name is empty or taken.
    """
    if not name:
        raise Refused("A customer needs a name.", "name")
    known = customer_named(conn, name)
    if known:
        raise Refused(
            f"There is already a customer called {known.name}; add something to tell the two apart.",
            "name",
            {"customer": known.id},
        )
