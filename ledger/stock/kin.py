"""What ties a lot to others, for its story: who was with whom, who laid it, which lots its animals laid. Reads only.

What follows from it for the origin is decided in `ledger.origin`.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, func, or_, select

from ledger.records import tables as t
from ledger.stock.naming import LotRef, find_lot
from ledger.stock.words import place
from ledger.wording import listed, say


@dataclass(frozen=True, slots=True)
class Tie:
    """One thing said of a lot and another."""

    on: dt.date
    words: str
    by: str
    recorded_at: str


@dataclass(frozen=True, slots=True)
class _Parent:
    """A parent as it was named last of a lot."""

    child: str
    role: str
    lot: str
    tub: str
    laid_on: dt.date | None
    started_on: dt.date
    by: str
    recorded_at: str

    @property
    def day(self) -> dt.date:
        """The day the child was laid, else the day it began."""
        return self.laid_on or self.started_on


def ties(conn: Connection, lot: LotRef) -> list[Tie]:
    """Pairs put together and parted, the parents of the lot, and its young."""
    return [*_pairs(conn, lot), *_parents(conn, lot), *_young(conn, lot)]


def _pairs(conn: Connection, lot: LotRef) -> list[Tie]:
    e, end = t.exposure.c, t.exposure_end.c
    female, male = t.lot.alias("female"), t.lot.alias("male")
    said, parted = t.operation.alias("said"), t.operation.alias("parted")
    rows = conn.execute(
        select(
            e.from_on,
            e.to_on,
            female.c.code,
            e.female_tub,
            male.c.code,
            e.male_tub,
            e.witnessed,
            end.to_on,
            said.c.recorded_by,
            said.c.recorded_at,
            parted.c.recorded_by,
            parted.c.recorded_at,
        )
        .join(female, female.c.id == e.female_lot_id)
        .join(male, male.c.id == e.male_lot_id)
        .join(said, said.c.id == e.operation_id)
        .outerjoin(t.exposure_end, end.exposure_id == e.id)
        .outerjoin(parted, parted.c.id == end.operation_id)
        .where(or_(e.female_lot_id == lot.id, e.male_lot_id == lot.id))
        .order_by(e.id)
    )
    found: list[Tie] = []
    for from_on, to_on, f_lot, f_tub, m_lot, m_tub, seen, ended, by, at, end_by, end_at in rows:
        pair = {"female": place(f_lot, f_tub), "male": place(m_lot, m_tub)}
        if (f_lot, f_tub) == (m_lot, m_tub):
            whole = say("females and males of {lot}", lot=pair["female"])
            both = say("{pair} together, mating seen", pair=whole) if seen else say("{pair} together", pair=whole)
            found.append(Tie(from_on, both, by, at))
            if (over := ended or to_on) is not None:
                found.append(Tie(over, say("{pair} parted", pair=whole), end_by or by, end_at or at))
            continue
        words = say("{female} together with {male}, mating seen", **pair) if seen else None
        found.append(Tie(from_on, words or say("{female} together with {male}", **pair), by, at))
        if (over := ended or to_on) is not None:
            found.append(Tie(over, say("{female} and {male} parted", **pair), end_by or by, end_at or at))
    return found


def _named(conn: Connection, column: ColumnElement[int], lot: LotRef) -> list[_Parent]:
    p = t.parent.c
    last = select(p.lot_id, func.max(p.operation_id).label("act")).group_by(p.lot_id).subquery()
    child, parent = t.lot.alias("child"), t.lot.alias("parent_lot")
    rows = conn.execute(
        select(
            child.c.code,
            p.role,
            parent.c.code,
            p.parent_tub,
            p.laid_on,
            child.c.started_on,
            t.operation.c.recorded_by,
            t.operation.c.recorded_at,
        )
        .join(last, (last.c.lot_id == p.lot_id) & (last.c.act == p.operation_id))
        .join(child, child.c.id == p.lot_id)
        .join(parent, parent.c.id == p.parent_lot_id)
        .join(t.operation, t.operation.c.id == p.operation_id)
        .where(column == lot.id)
        .order_by(child.c.started_on, child.c.code, p.id)
    )
    return [_Parent(*row) for row in rows]


def _parents(conn: Connection, lot: LotRef) -> list[Tie]:
    found: list[Tie] = []
    rows = _named(conn, t.parent.c.lot_id, lot)
    for role in dict.fromkeys(one.role for one in rows):
        of = [one for one in rows if one.role == role]
        names = listed([place(one.lot, one.tub) for one in of])
        words = say("laid by {mothers}", mothers=names)
        if role == "father":
            words = say("father stated: {fathers}", fathers=names)
        found.append(Tie(of[0].day, words, of[0].by, of[0].recorded_at))
    return found


def _young(conn: Connection, lot: LotRef) -> list[Tie]:
    found: list[Tie] = []
    rows = _named(conn, t.parent.c.parent_lot_id, lot)
    for code in dict.fromkeys(one.child for one in rows):
        of = [one for one in rows if one.child == code]
        tubs = dict.fromkeys(place(lot.code, one.tub) for one in of if one.tub)
        words = (
            say("young: {lot}, of {tubs}", lot=code, tubs=listed([*tubs])) if tubs else say("young: {lot}", lot=code)
        )
        found.append(Tie(of[0].day, words, of[0].by, of[0].recorded_at))
    return found


def young_of(conn: Connection, lot: str) -> tuple[str, ...]:
    """Codes of the lots that animals of a lot are named as parents of, oldest first. Raises NotFound."""
    return tuple(dict.fromkeys(one.child for one in _named(conn, t.parent.c.parent_lot_id, find_lot(conn, lot))))
