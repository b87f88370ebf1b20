"""What is known that comes after what an act dates: the writers of movements ask before they leave the past alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, func, or_, select

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.columns import Whole
from ledger.records.later import recall, remembers
from ledger.stock.steps import came_back_the_same_day


@dataclass(frozen=True, slots=True)
class Later:
    """What is known that comes after what an act dates: dated later, or of that day by an act begun after it."""

    entries: bool
    """Any entry of the ledger."""
    marks: bool
    """A mark of the lots that changes age layers."""
    mixed: bool
    """After the first act of that very day something of an earlier day was recorded, or anything taken back, so that
    the acts of the day may no longer be possible one after the other."""
    returns: bool
    """Animals that came back alive to the lots on the day they had left, perhaps by this act itself."""


_NOTHING = Later(entries=False, marks=False, mixed=False, returns=False)
_ONLY_OWN = Later(entries=True, marks=False, mixed=False, returns=False)


def what_is_later(conn: Connection, act: Act, since: dt.date, lots: Collection[int]) -> Later:
    """Whether anything comes after what this act dates `since`."""
    if remembers(conn) and _nothing_like_it(conn, act, since, lots):
        return _ONLY_OWN if _own_newest(conn, act) > since else _NOTHING
    bounds = {"since": since, "act": act.operation, "lots": sorted(lots)}
    return Later(*(bool(known) for known in conn.execute(_LATER, bounds).one()))


CAME_BACK = "animals that came back"
"""What the remembered answer rests on besides its tables."""


def _nothing_like_it(conn: Connection, act: Act, since: dt.date, lots: Collection[int]) -> bool:
    """Whether nobody else recorded anything of that day or later, nor ever a mark or a return of the lots: asked once
    for all days, and once for each lot."""

    def ask() -> dt.date | None:
        last: dt.date | None = conn.execute(_NEWEST_OF_OTHERS, {"act": act.operation}).scalar_one_or_none()
        return last

    newest = recall(conn, ("newest of others", act.operation), (t.entry.name,), ask)
    if newest is not None and newest >= since:
        return False
    return True not in [_marks_and_returns(conn, act, lot) for lot in lots]


_MARKS_REST_ON = (t.movement.name, t.observation.name, CAME_BACK)


def _marks_and_returns(conn: Connection, act: Act, lot: int) -> bool:
    def ask() -> bool:
        return any(conn.execute(_EVER, {"since": dt.date.min, "act": act.operation, "lots": [lot]}).one())

    return recall(conn, ("marks and returns", lot), _MARKS_REST_ON, ask)


def nothing_yet(conn: Connection, lot: int) -> None:
    """Remember of a lot that is just being opened that there are neither marks nor returns of it."""
    recall(conn, ("marks and returns", lot), _MARKS_REST_ON, lambda: False)


def _own_newest(conn: Connection, act: Act) -> dt.date:
    """The last day of which this act itself recorded anything."""
    return _newest_own(conn, act)[0]


def note_own(conn: Connection, act: Act, on: dt.date) -> None:
    """Note that this act itself recorded something of a day."""
    newest = _newest_own(conn, act)
    newest[0] = max(newest[0], on)


def _newest_own(conn: Connection, act: Act) -> list[dt.date]:
    """That day in a list of its own, to be kept up to date; asked anew once what was remembered was forgotten."""

    def ask() -> list[dt.date]:
        return [conn.execute(_NEWEST_OWN, {"act": act.operation}).scalar_one() or dt.date.min]

    return recall(conn, ("newest of its own", act.operation), (), ask)


_SINCE, _ACT = bindparam("since", type_=t.entry.c.happened_on.type), bindparam("act", type_=Whole())
_SAME_DAY = t.entry.alias("same_day")
_ENTRIES = (
    select(t.entry.c.id)
    .where(t.entry.c.happened_on >= _SINCE, or_(t.entry.c.happened_on > _SINCE, t.entry.c.operation_id > _ACT))
    .exists()
)
_MARKS = (
    select(t.observation.c.id)
    .where(
        t.observation.c.lot_id.in_(bindparam("lots", expanding=True)),
        t.observation.c.happened_on >= _SINCE,
        t.observation.c.kind == "seen hard",
        or_(t.observation.c.happened_on > _SINCE, t.observation.c.operation_id > _ACT),
    )
    .exists()
)
_MIXED = (
    select(t.entry.c.id)
    .where(
        t.entry.c.operation_id
        >= select(func.min(_SAME_DAY.c.operation_id))
        .where(_SAME_DAY.c.happened_on == _SINCE, _SAME_DAY.c.operation_id != _ACT)
        .scalar_subquery(),
        t.entry.c.operation_id != _ACT,
        or_(
            t.entry.c.happened_on < _SINCE,
            select(t.movement.c.id)
            .where(t.movement.c.entry_id == t.entry.c.id, t.movement.c.reverses.is_not(None))
            .exists(),
        ),
    )
    .exists()
)
_LATER = select(_ENTRIES, _MARKS, _MIXED, came_back_the_same_day)
_EVER = select(_MARKS, came_back_the_same_day)
_NEWEST_OF_OTHERS = (
    select(t.entry.c.happened_on).where(t.entry.c.operation_id != _ACT).order_by(t.entry.c.happened_on.desc()).limit(1)
)
_NEWEST_OWN = select(func.max(t.entry.c.happened_on, type_=t.entry.c.happened_on.type)).where(
    t.entry.c.operation_id == _ACT
)
