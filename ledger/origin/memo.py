"""Keeps the origins of many lots between two questions, as long as nothing they rest on has been recorded since.

Whoever keeps a memo asks each time whether anything was added: nothing was while the newest act that is not mere trade
is the same, nor while the numbers of rows of the tables origin rests on, which only ever grow, are the same. When they
have changed, origins are derived again. Nothing is written to the ledger.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection, Select, bindparam, func, select

from ledger.origin.fresh import newest_act
from ledger.origin.load import load
from ledger.origin.rules import Origin
from ledger.origin.service import derive
from ledger.records import tables as t

_WHOLE = (
    t.origin_fact,
    t.parent,
    t.exposure,
    t.exposure_end,
    t.animal_fact,
    t.lot_source,
    t.lot_fact,
    t.figure,
    t.holding,
    t.undone,
)


@dataclass(frozen=True, slots=True)
class _Known:
    act: object = None
    rows: tuple[int, ...] = ()
    by_tub: frozenset[int] = frozenset()
    """Lots in which animals are told apart by their tubs, so that moves between tubs matter."""
    origins: dict[int, Origin] = field(default_factory=dict)


class OriginMemo:
    """Origins already derived for one ledger; make one for each open ledger."""

    def __init__(self) -> None:
        self._known = _Known()

    def origins_of(self, conn: Connection, lot_ids: Iterable[int]) -> dict[int, Origin]:
        """The origin of each lot, as `service.origins_of` gives it."""
        asked = set(lot_ids)
        # Another thread may ask at the same time: what is known is replaced as a whole, never changed.
        known = self._known
        act = newest_act(conn)
        if act is None or act != known.act:
            rows = _rows(conn, known.by_tub)
            known = replace(known, act=act) if rows == known.rows else _Known(act)
            self._known = known
        missing = asked - known.origins.keys()
        if missing:
            facts = load(conn, missing, dates=False)
            found = {lot_id: one.origin for lot_id, one in derive(facts).items()}
            by_tub = known.by_tub | facts.by_tub
            known = _Known(act, _rows(conn, by_tub), by_tub, known.origins | found)
            self._known = known
        return {lot_id: known.origins[lot_id] for lot_id in asked}


def _count_rows() -> Select[Any]:
    m = t.movement.c
    source, target = t.holding.alias("source"), t.holding.alias("target")
    counts = [select(func.count()).select_from(table) for table in _WHOLE]
    counts.append(select(func.count()).select_from(t.movement).where(m.from_holding_id.is_(None)))
    counts.append(select(func.count()).select_from(t.movement).where(m.reverses.is_not(None)))
    counts.append(
        select(func.count())
        .select_from(t.movement)
        .join(source, source.c.id == m.from_holding_id)
        .join(target, target.c.id == m.to_holding_id)
        .where(source.c.lot_id.in_(bindparam("by_tub", expanding=True)), source.c.tub != target.c.tub)
    )
    return select(*(one.scalar_subquery() for one in counts))


_COUNTS = _count_rows()


def _rows(conn: Connection, by_tub: Collection[int]) -> tuple[int, ...]:
    """How many rows each table origin rests on has; of movements, those that bring in, take back or change tubs."""
    return tuple(conn.execute(_COUNTS, {"by_tub": sorted(by_tub)}).one())
