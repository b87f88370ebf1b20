"""Holdings and age layers in memory, while rows are written together: read once, changed here, written at the end.

Only where nobody else can write meanwhile (SQLite, in a block of `records.later`). A statement of anybody else that
reads or changes these tables comes after what waits, and what is in memory is read anew when it changed something.
"""

from __future__ import annotations

import datetime as dt
from bisect import insort
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, bindparam, select, update

from ledger.records import tables as t
from ledger.records.columns import Whole
from ledger.records.later import Later, later
from ledger.stock.layers import Layers

_HOLDING = t.holding.c
_OF_LOT = (
    select(
        _HOLDING.id,
        _HOLDING.lot_id,
        _HOLDING.stage_id,
        _HOLDING.sex,
        _HOLDING.sure,
        _HOLDING.tub,
        _HOLDING.count.label("now"),
        _HOLDING.earmarked,
    )
    .where(_HOLDING.lot_id == bindparam("lot"))
    .order_by(_HOLDING.stage_id, _HOLDING.sex, _HOLDING.sure, _HOLDING.tub)
)
_COUNT = (
    update(t.holding)
    .where(_HOLDING.id == bindparam("which"))
    .values(count=bindparam("now", type_=Whole()), earmarked=bindparam("aside", type_=Whole()))
)
_LAYER = update(t.layer).where(t.layer.c.id == bindparam("which")).values(count=bindparam("now", type_=Whole()))
LayerIds = dict[tuple[dt.date, bool], int]
"""Numbers of the layers of a holding, by the day they entered their stage and whether they are soft."""


@dataclass(slots=True)
class Held:
    """One holding, as it stands with everything recorded so far."""

    id: int
    lot: int
    stage: int
    sex: str
    sure: str
    tub: str
    count: int
    earmarked: int

    @property
    def key(self) -> tuple[int, int, str, str, str]:
        """What makes it one."""
        return self.lot, self.stage, self.sex, self.sure, self.tub


@dataclass(slots=True)
class AtHand:
    """Holdings by lot and by number."""

    waiting: Later
    """Where what changes waits to be written."""
    lots: dict[int, list[Held]] = field(default_factory=dict)
    by_id: dict[int, Held] = field(default_factory=dict)
    _by_key: dict[tuple[int, int, str, str, str], Held] = field(default_factory=dict)
    _new: dict[int, dict[str, Any]] = field(default_factory=dict)
    """Rows of holdings that wait themselves."""
    _new_since: int = -1

    def of_lot(self, conn: Connection, lot: int) -> list[Held]:
        """Every holding of a lot, empty ones too."""
        if lot not in self.lots:
            self.lots[lot] = [Held(*row) for row in conn.execute(_OF_LOT, {"lot": lot})]
            for held in self.lots[lot]:
                self.by_id[held.id] = self._by_key[held.key] = held
        return self.lots[lot]

    def add(self, held: Held) -> None:
        """Add a new one, of a lot that is in memory."""
        insort(self.lots[held.lot], held, key=lambda one: (one.stage, one.sex, one.sure, one.tub))
        self.by_id[held.id] = self._by_key[held.key] = held

    def at(self, conn: Connection, key: tuple[int, int, str, str, str]) -> Held | None:
        """The holding of a lot, stage, sex, sureness and tub, if there is one."""
        self.of_lot(conn, key[0])
        return self._by_key.get(key)

    def open(self, row: dict[str, Any]) -> Held:
        """A new holding, empty, of a lot that is in memory. Args: lot, stage, sex, how sure and tub as columns."""
        row |= {"count": 0, "earmarked": 0}
        if self._new_since != self.waiting.times:
            self._new.clear()
            self._new_since = self.waiting.times
        # Where it is written with this row, `times` has risen, and nothing here counts as new any more.
        number = self.waiting.keep(t.holding, row, known=True)
        self._new[number] = row
        held = Held(number, row["lot_id"], row["stage_id"], row["sex"], row["sure"], row["tub"], 0, 0)
        self.add(held)
        return held

    def change(self, held: Held, count: int, earmarked: int) -> None:
        """Note the new count of a holding, to be written later."""
        held.count, held.earmarked = count, earmarked
        row = self._new.get(held.id) if self._new_since == self.waiting.times else None
        if row is not None:
            row["count"], row["earmarked"] = count, earmarked
            return
        self.waiting.put_off(_COUNT, held.id, {"which": held.id, "now": count, "aside": earmarked})

    def change_layer(self, number: int, count: int) -> None:
        """Note the new count of a layer, to be written later."""
        self.waiting.put_off(_LAYER, number, {"which": number, "now": count})


def _waiting(conn: Connection) -> Later | None:
    waiting = later(conn)
    return waiting if waiting is not None and waiting.alone else None


def at_hand(conn: Connection) -> AtHand | None:
    """The holdings in memory; None: each is read when asked for."""
    waiting = _waiting(conn)
    if waiting is None:
        return None
    return waiting.recall("holdings at hand", (t.holding.name,), lambda: AtHand(waiting))


def change_count(conn: Connection, holding: int, count: int, earmarked: int) -> bool:
    """Note the new count of a holding in memory, to be written later; answers whether it is in memory."""
    hand = at_hand(conn)
    held = None if hand is None else hand.by_id.get(holding)
    if hand is None or held is None:
        return False
    hand.change(held, count, earmarked)
    return True


def layers_at_hand(conn: Connection) -> dict[int, tuple[Layers, LayerIds]] | None:
    """The age layers in memory, by holding; None: they are read when asked for."""
    waiting = _waiting(conn)
    return None if waiting is None else waiting.recall("layers at hand", (t.layer.name,), dict)


def note_empty(conn: Connection, holding: int) -> None:
    """Note that a new holding has no layers yet."""
    hand = layers_at_hand(conn)
    if hand is not None:
        hand[holding] = (), {}


def new_layers(conn: Connection, rows: list[dict[str, Any]]) -> bool:
    """Keep new layers back, where they are in memory; answers whether they are."""
    waiting, hand = _waiting(conn), layers_at_hand(conn)
    if waiting is None or hand is None or any(row["holding_id"] not in hand for row in rows):
        return False
    for row in rows:
        _, numbers = hand[row["holding_id"]]
        numbers[row["entered_on"], not row["hard"]] = waiting.keep(t.layer, row, known=True)
    return True


def change_layers(conn: Connection, changed: Iterable[tuple[int, int]]) -> None:
    """Write new counts of layers (their numbers and counts), at once or with others."""
    hand = at_hand(conn)
    if hand is None:
        conn.execute(_LAYER, [{"which": which, "now": now} for which, now in changed])
        return
    for which, now in changed:
        hand.change_layer(which, now)
