"""Age layers in the records: read, written, and rebuilt from the journal where the past was touched.

The order of acts inside a day is the order of their operations, and of one operation its marks before its entries.
Layers are a cache: what is rebuilt here must be what was kept up entry by entry.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, delete, insert, or_, select

from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.at_hand import LayerIds, change_layers, layers_at_hand, new_layers
from ledger.stock.journal import in_parts
from ledger.stock.layers import Act, Flow, Layer, SeenHard, State, play_day, together
from ledger.stock.locks import Spot, joined_lots, lock


def layers_of(conn: Connection, holdings: Iterable[int]) -> State:
    """The layers of holdings as they are kept."""
    return _read(conn, holdings)[0]


def layers_on(conn: Connection, holdings: Iterable[int], on: dt.date) -> State:
    """The layers holdings had at the end of a past day, from the journal."""
    wanted = set(holdings)
    then = replay(conn, _universe(conn, wanted), until=on)
    return {holding: then.get(holding, ()) for holding in wanted}


_Ids = dict[tuple[int, dt.date, bool], int]
_KEPT = select(t.layer.c.id, t.layer.c.holding_id, t.layer.c.entered_on, t.layer.c.hard, t.layer.c.count).where(
    t.layer.c.holding_id.in_(bindparam("wanted", expanding=True))
)


def _read(conn: Connection, holdings: Iterable[int]) -> tuple[State, _Ids]:
    state: State = {}
    ids: _Ids = {}
    hand = layers_at_hand(conn)
    if hand is not None:
        # Not as a difference from all keys in memory, which goes through every one of them.
        missing = []
        for holding in sorted(set(holdings)):
            if holding in hand:
                state[holding], numbers = hand[holding]
                ids.update([((holding, *which), number) for which, number in numbers.items()])
            else:
                missing.append(holding)
        holdings = missing
    read_now = sorted(holdings)
    for part in in_parts(read_now):
        state.update((holding, ()) for holding in part)
        found: dict[int, list[Layer]] = defaultdict(list)
        for number, holding, entered_on, hard, count in conn.execute(_KEPT, {"wanted": part}):
            found[holding].append(Layer(entered_on, not hard, count))
            ids[holding, entered_on, not hard] = number
        state.update((holding, together(layers)) for holding, layers in found.items())
    if hand is not None and read_now:
        by_holding: dict[int, LayerIds] = {holding: {} for holding in read_now}
        for (holding, entered_on, soft), number in ids.items():
            if holding in by_holding:
                by_holding[holding][entered_on, soft] = number
        hand.update((holding, (state[holding], by_holding[holding])) for holding in read_now)
    return state, ids


@dataclass(slots=True)
class KeptLayers:
    """The layers of some holdings, to be changed and written back."""

    conn: Connection
    state: State
    _before: State
    _ids: _Ids

    @classmethod
    def read(cls, conn: Connection, holdings: Iterable[int]) -> KeptLayers:
        """Read them; the holdings must be locked."""
        state, ids = _read(conn, holdings)
        return cls(conn, state, dict(state), ids)

    def write(self) -> None:
        """Write what changed, and nothing else."""
        gone: list[int] = []
        changed: list[tuple[int, int]] = []
        new: list[dict[str, Any]] = []
        for holding, layers in self.state.items():
            before = {(layer.entered_on, layer.soft): layer.count for layer in self._before.get(holding, ())}
            for layer in layers:
                kept = before.pop((layer.entered_on, layer.soft), None)
                if kept is None:
                    row = {"entered_on": layer.entered_on, "hard": int(not layer.soft), "count": layer.count}
                    new.append({"holding_id": holding, **row})
                elif kept != layer.count:
                    which = self._ids[holding, layer.entered_on, layer.soft]
                    changed.append((which, layer.count))
            gone.extend(self._ids[holding, day, soft] for day, soft in before)
        if gone:
            self.conn.execute(delete(t.layer).where(t.layer.c.id.in_(gone)))
        if changed:
            change_layers(self.conn, changed)
        if new and not new_layers(self.conn, new):
            self.conn.execute(insert(t.layer), new)
        self._remember()

    def _remember(self) -> None:
        hand = layers_at_hand(self.conn)
        if hand is not None:
            hand.update((one, (layers, hand[one][1])) for one, layers in self.state.items() if one in hand)


def rebuild_layers(conn: Connection, holdings: Iterable[int]) -> None:
    """Replay the journal of the holdings, and of all they exchange animals of one stage with, and keep the result."""
    universe = _universe(conn, holdings)
    lock(conn, universe)
    kept = KeptLayers.read(conn, universe)
    kept.state = dict.fromkeys(universe, ()) | replay(conn, universe)
    kept.write()


def _universe(conn: Connection, holdings: Iterable[int]) -> dict[int, Spot]:
    """Every holding of the same stages in the lots joined to theirs by splits and merges."""
    h = t.holding.c
    start = conn.execute(select(h.lot_id, h.stage_id).where(h.id.in_(sorted(set(holdings))))).all()
    found: dict[int, Spot] = {}
    for part in in_parts(joined_lots(conn, {row.lot_id for row in start})):
        wanted = select(h.id, h.lot_id, h.stage_id, h.tub).where(
            h.lot_id.in_(part), h.stage_id.in_({row.stage_id for row in start})
        )
        found.update((row.id, Spot(row.lot_id, row.stage_id, row.tub)) for row in conn.execute(wanted))
    return found


def replay(conn: Connection, universe: Mapping[int, Spot], until: dt.date | None = None) -> State:
    """The layers of holdings from the journal alone, to the end of a day if one is given; `universe` must be closed
    under moves inside a stage."""
    acts: dict[dt.date, list[tuple[tuple[int, int, int], Act]]] = defaultdict(list)
    for day, order, flows in _entries(conn, universe):
        acts[day].append((order, flows))
    for day, order, mark in _marks(conn, universe):
        acts[day].append((order, mark))
    state: State = {}
    for day in sorted(acts):
        if until is not None and day > until:
            break
        play_day(state, [act for _, act in sorted(acts[day], key=lambda one: one[0])])
    return {holding: layers for holding, layers in state.items() if layers}


def _entries(
    conn: Connection, universe: Mapping[int, Spot]
) -> Iterable[tuple[dt.date, tuple[int, int, int], list[Flow]]]:
    """Entries that touch the holdings, without reversed pairs: (day, order in it, flows)."""
    m, e = t.movement.c, t.entry.c
    rows: dict[int, Any] = {}
    for part in in_parts(universe):
        wanted = (
            select(
                m.id,
                m.entry_id,
                e.happened_on,
                e.operation_id,
                m.count.label("n"),
                m.from_holding_id,
                m.to_holding_id,
                m.reverses,
            )
            .join(t.entry, e.id == m.entry_id)
            .where(or_(m.from_holding_id.in_(part), m.to_holding_id.in_(part)))
        )
        rows.update((row.id, row) for row in conn.execute(wanted))
    undone = {row.reverses for row in rows.values()}
    entries: dict[int, list[Flow]] = defaultdict(list)
    orders: dict[int, tuple[dt.date, tuple[int, int, int]]] = {}
    for number in sorted(rows):
        row = rows[number]
        if row.reverses is not None or number in undone:
            continue
        flow = flow_of(universe, row.from_holding_id, row.to_holding_id, row.n, row.happened_on)
        entries[row.entry_id].append(flow)
        orders[row.entry_id] = (row.happened_on, (row.operation_id, 1, row.entry_id))
    return ((*orders[entry], flows) for entry, flows in entries.items())


def flow_of(places: Mapping[int, Spot], source: int | None, target: int | None, count: int, on: dt.date) -> Flow:
    """A movement as the layers see it; holdings that are not in `places` count as outside."""
    came = places.get(source) if source is not None else None
    went = places.get(target) if target is not None else None
    return Flow(
        count,
        source if came else None,
        target if went else None,
        on,
        keeps_age=came is not None and went is not None and came.stage == went.stage,
        in_proportion=came is not None and went is not None and came.lot != went.lot,
    )


def _marks(conn: Connection, universe: Mapping[int, Spot]) -> Iterable[tuple[dt.date, tuple[int, int, int], SeenHard]]:
    o = t.observation.c
    for part in in_parts(spot.lot for spot in universe.values()):
        wanted = select(o.id, o.operation_id, o.happened_on, o.lot_id, o.stage_id, o.tub).where(
            o.lot_id.in_(part), o.kind == "seen hard", stands(o.operation_id)
        )
        for row in conn.execute(wanted):
            meant = marked(universe, row.lot_id, row.stage_id, row.tub)
            yield row.happened_on, (row.operation_id, 0, row.id), SeenHard(meant)


def marked(universe: Mapping[int, Spot], lot_id: int, stage_id: int, tub: str) -> tuple[int, ...]:
    """The holdings a mark of a lot, stage and tub is about; an empty tub means all of the stage."""
    return tuple(
        holding
        for holding, spot in sorted(universe.items())
        if spot.lot == lot_id and spot.stage == stage_id and tub in ("", spot.tub)
    )
