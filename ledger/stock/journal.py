"""Reading the stock journal: movements as events, counts on a past day, what a holding did day by day.

Reads only. Both movements of a reversed pair carry the same happened_on, so sums by that day need not tell them
apart: the pair cancels within the day.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import BigInteger, ColumnElement, Connection, Select, cast, func, or_, select, type_coerce
from sqlalchemy.types import NullType

from ledger.records import tables as t
from ledger.stock.events import Event

_BIND_LIMIT = 10_000
"""Fewer than the bind variables a statement may have on either database."""


def in_parts(ids: Iterable[int]) -> Iterator[list[int]]:
    """Ids in lists short enough for one statement."""
    ordered = sorted(set(ids))
    for start in range(0, len(ordered), _BIND_LIMIT):
        yield ordered[start : start + _BIND_LIMIT]


_FROM, _TO = t.holding.alias("source"), t.holding.alias("target")
_FROM_STAGE, _TO_STAGE = t.stage.alias("source_stage"), t.stage.alias("target_stage")
_EVENTS = (
    select(
        t.movement.c.id,
        t.movement.c.entry_id,
        # As the database has them: a journal has few days and many movements.
        type_coerce(t.entry.c.happened_on, NullType()),
        type_coerce(t.entry.c.accounting_on, NullType()),
        t.movement.c.reason,
        t.movement.c.count,
        _FROM.c.lot_id,
        _FROM_STAGE.c.position,
        t.movement.c.from_holding_id,
        _TO.c.lot_id,
        _TO_STAGE.c.position,
        t.movement.c.to_holding_id,
        t.movement.c.cause,
        t.movement.c.reverses,
        t.movement.c.relates_to,
        t.movement.c.value,
        t.sale_movement.c.sale_line_id,
        _FROM.c.tub,
        _TO.c.tub,
    )
    .join(t.entry, t.entry.c.id == t.movement.c.entry_id)
    .outerjoin(_FROM, _FROM.c.id == t.movement.c.from_holding_id)
    .outerjoin(_TO, _TO.c.id == t.movement.c.to_holding_id)
    .outerjoin(_FROM_STAGE, _FROM_STAGE.c.id == _FROM.c.stage_id)
    .outerjoin(_TO_STAGE, _TO_STAGE.c.id == _TO.c.stage_id)
    .outerjoin(t.sale_movement, t.sale_movement.c.movement_id == t.movement.c.id)
    .order_by(t.movement.c.id)
)


def in_lots(lots: Iterable[int]) -> ColumnElement[bool]:
    """Condition on `movement`: it takes from the lots or brings to them, by way of the indexes of holdings."""
    inside = select(t.holding.c.id).where(t.holding.c.lot_id.in_(sorted(set(lots))))
    return or_(t.movement.c.from_holding_id.in_(inside), t.movement.c.to_holding_id.in_(inside))


class _Ordinals(dict[Any, int]):
    """The ordinal of a day as a database has it, reckoned once."""

    def __missing__(self, stored: str | dt.date) -> int:
        day = stored if isinstance(stored, dt.date) else dt.date.fromisoformat(stored)
        return self.setdefault(stored, day.toordinal())


_READ: WeakKeyDictionary[Connection, list[Event]] = WeakKeyDictionary()


@contextmanager
def read_once(conn: Connection) -> Iterator[None]:
    """While the block lasts the whole journal is read once, however often it is asked for; nothing may be written."""
    _READ[conn] = []
    try:
        yield
    finally:
        del _READ[conn]


def events(conn: Connection, lots: Collection[int] | None = None, until: dt.date | None = None) -> list[Event]:
    """Every movement that touches the lots (all lots: None) and happened not after `until`, by number.

    Reversals and reversed movements are among them; `without_reversed` leaves them out.
    """
    if lots is not None or until is not None or conn not in _READ:
        return _read(conn, lots, until)
    _READ[conn] = _READ[conn] or _read(conn, None, None)
    return list(_READ[conn])


def _read(conn: Connection, lots: Collection[int] | None, until: dt.date | None) -> list[Event]:
    wanted = _EVENTS
    if lots is not None:
        wanted = wanted.where(in_lots(lots))
    if until is not None:
        wanted = wanted.where(t.entry.c.happened_on <= until)
    day = _Ordinals()
    return [
        Event(
            row[0],
            row[1],
            day[row[2]],
            day[row[3]],
            row[4],
            row[5],
            row[6],
            row[7],
            row[8],
            row[9],
            row[10],
            row[11],
            row[12],
            row[13],
            row[14],
            row[15],
            row[16],
            row[17] or "",
            row[18] or "",
        )
        for row in conn.execute(wanted).all()
    ]


def depths(conn: Connection) -> dict[int, int]:
    """For each lot, how many splits, merges and births lie between it and a founder."""
    return {row.id: row.depth for row in conn.execute(select(t.lot.c.id, t.lot.c.depth))}


def newest_day(conn: Connection) -> dt.date | None:
    """The last day on which anything happened in the stock; None: nothing ever did."""
    last: dt.date | None = conn.execute(
        select(t.entry.c.happened_on).order_by(t.entry.c.happened_on.desc()).limit(1)
    ).scalar_one_or_none()
    return last


def counts_on(conn: Connection, on: dt.date, holdings: Collection[int] | None = None) -> dict[int, int]:
    """How many animals each holding (or each of `holdings`) had at the end of a day, from the journal; 0 left out."""
    m, e = t.movement.c, t.entry.c
    counts: dict[int, int] = defaultdict(int)
    for column, sign in ((m.to_holding_id, 1), (m.from_holding_id, -1)):
        wanted = (
            select(column, cast(func.sum(m.count), BigInteger))
            .join(t.entry, e.id == m.entry_id)
            .where(e.happened_on <= on, column.is_not(None))
            .group_by(column)
        )
        for part in _limited(wanted, column, holdings):
            for holding, count in conn.execute(part):
                counts[holding] += sign * count
    return {holding: count for holding, count in counts.items() if count}


def _limited(wanted: Select[Any], column: ColumnElement[int], holdings: Collection[int] | None) -> list[Select[Any]]:
    if holdings is None:
        return [wanted]
    return [wanted.where(column.in_(part)) for part in in_parts(holdings)]


@dataclass(frozen=True, slots=True)
class DayChange:
    """What one operation changed in a holding on a day."""

    holding: int
    happened_on: dt.date
    operation: int
    change: int


def changes_since(conn: Connection, holdings: Collection[int], since: dt.date) -> list[DayChange]:
    """What changed in the holdings on `since` and after it, in no order."""
    m, e = t.movement.c, t.entry.c
    rows: list[DayChange] = []
    for column, sign in ((m.to_holding_id, 1), (m.from_holding_id, -1)):
        for part in in_parts(holdings):
            wanted = (
                select(column, e.happened_on, e.operation_id, m.count)
                .join(t.entry, e.id == m.entry_id)
                .where(column.in_(part), e.happened_on >= since)
            )
            rows.extend(DayChange(row[0], row[1], row[2], sign * row[3]) for row in conn.execute(wanted))
    return rows


def is_reversal_or_reversed() -> ColumnElement[bool]:
    """Condition on `movement`: one of a reversed pair."""
    back = t.movement.alias("back")
    undone = select(back.c.id).where(back.c.reverses == t.movement.c.id).exists()
    return or_(t.movement.c.reverses.is_not(None), undone)
