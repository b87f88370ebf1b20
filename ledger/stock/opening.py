"""Writing the row of a new lot, with its dated facts and the lots it is made from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import IntegrityError

from ledger.act import Act
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.later import later, recall, remembers, write_one
from ledger.stock.afterwards import nothing_yet
from ledger.stock.at_hand import at_hand
from ledger.stock.naming import known_as
from ledger.text import clean_code
from ledger.wording import say, word


@dataclass(frozen=True, slots=True)
class NewLot:
    """A lot to be opened, with what is said of it."""

    code: str
    species_id: int
    started_from: dt.date
    started_on: dt.date
    line: str
    note: str
    depth: int
    """One more than that of the deepest lot it comes from; a founder has 0."""
    facts: tuple[tuple[str, str], ...]
    """(fact, value), from the day it opens."""
    sources: tuple[tuple[int, str], ...] = ()
    """(lot, 'split', 'merged' or 'harvested')."""


def free_code(conn: Connection, typed: str, field: str = "code") -> str:
    """The code of a lot that is not there yet.

    Raises:
        BadInput: it can be no code.
        Refused: a lot has it already.
    """
    code = clean_code(typed, field=field)
    if remembers(conn):
        known = code in _codes(conn)
    else:
        known = conn.execute(select(t.lot.c.id).where(t.lot.c.code == code)).scalar() is not None
    if known:
        raise taken("lot", code, field)
    return code


def _codes(conn: Connection) -> set[str]:
    """The codes of all lots: read once for a sheet of ten thousand."""
    return recall(conn, "codes", (t.lot.name,), lambda: set(conn.execute(select(t.lot.c.code)).scalars()))


def taken(what: str, code: str, field: str = "code") -> Refused:
    """The refusal of a code that is in use."""
    return Refused(
        say("There is a {what} {code} already; choose another code.", what=word(what), code=code),
        field=field,
        facts={"code": code},
    )


def insert_coded(conn: Connection, table: Table, row: Mapping[str, Any], what: str) -> int:
    """Insert a row with a code of its own; returns its id.

    Raises:
        Refused: somebody took the code since the plan was made.
    """
    try:
        with conn.begin_nested():
            new: int = conn.execute(insert(table).values(row).returning(table.c.id)).scalar_one()
    except IntegrityError:
        if conn.execute(select(table.c.id).where(table.c.code == row["code"])).scalar() is None:
            raise
        raise taken(what, row["code"]) from None
    return new


def open_lot(conn: Connection, act: Act, new: NewLot, on: dt.date) -> int:
    """Write a lot, its facts from `on` and its sources; returns its id."""
    row = {
        "code": new.code,
        "species_id": new.species_id,
        "started_from": new.started_from,
        "started_on": new.started_on,
        "line": new.line,
        "note": new.note,
        "depth": new.depth,
        "operation_id": act.operation,
    }
    lot_id = _keep(conn, row) if remembers(conn) else insert_coded(conn, t.lot, row, "lot")
    common = {"lot_id": lot_id, "operation_id": act.operation}
    for fact, value in new.facts:
        write_one(conn, _NEW_FACT, t.lot_fact, {"fact": fact, "value": value, "from_on": on, **common})
    if new.sources:
        conn.execute(insert(t.lot_source), [{"source_id": lot, "how": how, **common} for lot, how in new.sources])
    return lot_id


def _keep(conn: Connection, row: dict[str, Any]) -> int:
    """Keep a new lot back, where nobody else can take its code meanwhile; it holds nothing yet."""
    waiting, hand = later(conn), at_hand(conn)
    assert waiting is not None
    assert hand is not None
    if row["code"] in _codes(conn):
        raise taken("lot", row["code"])
    _codes(conn).add(row["code"])
    waiting.forget(known_as(row["code"]))
    number = waiting.keep(t.lot, row, known=True)
    hand.lots[number] = []
    nothing_yet(conn, number)
    return number


_NEW_FACT = insert(t.lot_fact).returning(t.lot_fact.c.id)
