"""The one writer of movements: entries with their movements, and with them counts, earmarks and age layers.

Rows of the journal are written before the guards. Holdings are locked in the order of their ids and guarded once
more when their counts change, because another writer may have been there since the plan was made.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, bindparam, func, insert, or_, select, text, tuple_

from ledger.act import Act
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.columns import Whole
from ledger.records.later import ORIGINS, later, recall, remembers, write_one
from ledger.records.later import Later as Waiting
from ledger.records.periods import accounting_day
from ledger.stock.at_hand import AtHand, Held, at_hand, note_empty
from ledger.stock.balance import first_gap, not_enough
from ledger.stock.carrying import Work
from ledger.stock.drafts import Draft, EntryWritten, Place, ResolvedMove
from ledger.stock.holdings import HoldingKey
from ledger.stock.journal import changes_since
from ledger.stock.locks import lock
from ledger.stock.steps import BACK, RECORDED_LATE, among_late, came_back_the_same_day, check_steps
from ledger.wording import say

__all__ = [
    "Draft",
    "EntryWritten",
    "Place",
    "ResolvedMove",
    "taken_back_already",
    "what_is_later",
    "write_entries",
    "write_entry",
]


def write_entry(
    conn: Connection,
    act: Act,
    *,
    happened_on: dt.date,
    happened_from: dt.date | None = None,
    note: str = "",
    moves: Sequence[ResolvedMove],
) -> EntryWritten:
    """Write one entry: see `write_entries`."""
    return write_entries(conn, act, [Draft(happened_on, tuple(moves), happened_from, note)])[0]


def write_entries(conn: Connection, act: Act, drafts: Sequence[Draft]) -> tuple[EntryWritten, ...]:
    """Write entries of one act together; only what they leave behind has to be possible, not each by itself.

    Raises:
        NotEnough: a holding would have fewer than no animals on some day, or a sale would take animals set aside.
        PeriodClosed: their day lies in a year that was closed meanwhile.
    """
    ids = _ids(conn, [place for draft in drafts for move in draft.moves for place in (move.source, move.target)])
    drafts = [_with_ids(draft, ids) for draft in drafts]
    locked = lock(conn, _touched(drafts))
    _once_only(conn, drafts)
    written = tuple(_write_journal(conn, act, draft) for draft in drafts)
    work = Work(conn, act, locked)
    work.carry_out(drafts)
    work.write_counts()
    since = min(draft.happened_on for draft in drafts)
    after = what_is_later(conn, act, since, {was.spot.lot for was in locked.values()})
    past = after.entries and _check_later_days(conn, act, since, work.counts)
    if after.returns or among_late(conn, drafts):
        check_steps(conn, drafts, {(was.spot.lot, was.spot.stage) for was in locked.values()})
    taken_back = any(move.reverses for draft in drafts for move in draft.moves)
    work.write_layers(afresh=past or after.marks or after.mixed or taken_back)
    return written


def _touched(drafts: Iterable[Draft]) -> set[int]:
    """The holdings that drafts with ids touch."""
    places = {place for draft in drafts for move in draft.moves for place in (move.source, move.target)}
    return {place for place in places if isinstance(place, int)}


def _ids(conn: Connection, wanted: Iterable[Place | None]) -> dict[HoldingKey, int]:
    """The ids of the holdings, with new rows for those that have none yet."""
    keys = sorted({place for place in wanted if isinstance(place, HoldingKey)}, key=_key_order)
    if not keys:
        return {}
    waiting, hand = later(conn), at_hand(conn)
    if waiting is not None and hand is not None:
        return {key: _at_hand(conn, waiting, hand, key) for key in keys}
    found = _existing(conn, keys)
    missing = [key for key in keys if key not in found]
    if missing:
        # In one order for all, so that two acts never wait for each other's new rows.
        conn.execute(_NEW_HOLDING, [dict(zip(_KEY, _key_order(key), strict=True)) for key in missing])
        found |= _existing(conn, missing)
    return found


def _at_hand(conn: Connection, waiting: Waiting, hand: AtHand, key: HoldingKey) -> int:
    """The id of a holding among those in memory, which a new one joins."""
    values = _key_order(key)
    there = hand.of_lot(conn, key.lot_id)
    found = next((one.id for one in there if (one.lot, one.stage, one.sex, one.sure, one.tub) == values), None)
    if found is None:
        row: dict[str, Any] = dict(zip(_KEY, values, strict=True))
        found = waiting.keep(t.holding, {**row, "count": 0, "earmarked": 0}, known=True)
        waiting.forget(ORIGINS)
        hand.add(Held(found, *values, 0, 0))
        note_empty(conn, found)
    return found


_KEY = ("lot_id", "stage_id", "sex", "sure", "tub")
_NEW_HOLDING = text(
    "INSERT INTO holding (lot_id, stage_id, sex, sure, tub, count, earmarked) "
    "VALUES (:lot_id, :stage_id, :sex, :sure, :tub, 0, 0) ON CONFLICT DO NOTHING"
)


def _key_order(key: HoldingKey) -> tuple[int, int, str, str, str]:
    return key.lot_id, key.stage_id, key.sex, key.sure, key.tub


def _existing(conn: Connection, keys: Sequence[HoldingKey]) -> dict[HoldingKey, int]:
    if not keys:
        return {}
    columns = [t.holding.c[name] for name in _KEY]
    wanted = select(t.holding.c.id, *columns).where(tuple_(*columns).in_([_key_order(key) for key in keys]))
    return {HoldingKey(*row[1:]): row[0] for row in conn.execute(wanted)}


def _with_ids(draft: Draft, ids: dict[HoldingKey, int]) -> Draft:
    if not ids:
        return draft

    def known(place: Place | None) -> int | None:
        return ids[place] if isinstance(place, HoldingKey) else place

    return replace(
        draft,
        moves=tuple(replace(move, source=known(move.source), target=known(move.target)) for move in draft.moves),
    )


def _once_only(conn: Connection, drafts: Iterable[Draft]) -> None:
    """With the holdings locked nobody else can be taking the same movement back."""
    wanted = [move.reverses for draft in drafts for move in draft.moves if move.reverses is not None]
    if not wanted:
        return
    m = t.movement.c
    done = conn.execute(select(m.reverses).where(m.reverses.in_(wanted)).order_by(m.reverses).limit(1)).scalar()
    if done is not None:
        raise taken_back_already(done)


def taken_back_already(movement: int) -> Refused:
    """The refusal of a second reversal."""
    return Refused(
        say("Movement {movement} has been taken back already; record what is right as a new entry.", movement=movement),
        field="movement",
        facts={"movement": movement},
    )


def _write_journal(conn: Connection, act: Act, draft: Draft) -> EntryWritten:
    entry = {
        "happened_from": draft.happened_from,
        "happened_on": draft.happened_on,
        "accounting_on": draft.accounting_on or accounting_day(conn, draft.happened_on),
        "note": draft.note,
        "operation_id": act.operation,
    }
    entry_id = write_one(conn, _NEW_ENTRY, t.entry, entry, known=True)
    waiting = later(conn)
    if waiting is not None:
        _tell(conn, waiting, act, draft, late=entry["accounting_on"] != draft.happened_on)
    ids: dict[int, int] = {}
    for linked in (False, True):
        places = [i for i, move in enumerate(draft.moves) if (move.relates_to_move is not None) == linked]
        rows = [_row(entry_id, draft.moves[i], ids) for i in places]
        if waiting is not None:
            ids.update((i, waiting.keep(t.movement, row, known=True)) for i, row in zip(places, rows, strict=True))
        elif places:
            new = conn.execute(_NEW_MOVEMENTS, rows)
            ids.update(zip(places, new.scalars(), strict=True))
    return EntryWritten(entry_id, tuple(ids[i] for i in range(len(draft.moves))))


def _tell(conn: Connection, waiting: Waiting, act: Act, draft: Draft, *, late: bool) -> None:
    """Let what is remembered of the journal be asked anew where a draft matters to it; most sales matter to nothing."""
    _note_own(conn, act, draft.happened_on)
    reasons = {move.reason for move in draft.moves}
    if any(move.reverses is not None for move in draft.moves):
        waiting.forget(t.entry.name)
        waiting.forget(t.movement.name)
        return
    if late:
        waiting.forget(RECORDED_LATE)
    if reasons & BACK:
        waiting.forget(CAME_BACK)
    if reasons != {"sold"}:
        waiting.forget(ORIGINS)


_NEW_ENTRY = insert(t.entry).returning(t.entry.c.id)
_NEW_MOVEMENTS = insert(t.movement).returning(t.movement.c.id, sort_by_parameter_order=True)


def _row(entry_id: int, move: ResolvedMove, ids: dict[int, int]) -> dict[str, object]:
    return {
        "entry_id": entry_id,
        "from_holding_id": move.source,
        "to_holding_id": move.target,
        "count": move.count,
        "reason": move.reason,
        "cause": move.cause,
        "reverses": move.reverses,
        "relates_to": move.relates_to if move.relates_to_move is None else ids[move.relates_to_move],
        "value": move.value,
        "estimated": int(move.estimated),
        "explained": int(move.explained),
    }


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


def what_is_later(conn: Connection, act: Act, since: dt.date, lots: Collection[int]) -> Later:
    """Whether anything comes after what this act dates `since`."""
    bounds = {"since": since, "act": act.operation, "lots": sorted(lots)}
    if remembers(conn) and _nothing_like_it(conn, act, since, lots):
        return Later(_own_newest(conn, act) > since, marks=False, mixed=False, returns=False)
    return Later(*(bool(known) for known in conn.execute(_LATER, bounds).one()))


CAME_BACK = "animals that came back"
"""What the remembered answer rests on besides its tables."""


def _nothing_like_it(conn: Connection, act: Act, since: dt.date, lots: Collection[int]) -> bool:
    """Whether nobody else recorded anything of that day or later, nor ever a mark or a return of the lots: asked once
    for all days, and once for each lot."""

    def newest() -> dt.date | None:
        last: dt.date | None = conn.execute(_NEWEST_OF_OTHERS, {"act": act.operation}).scalar_one_or_none()
        return last

    def marked(lot: int) -> bool:
        return any(conn.execute(_EVER, {"since": dt.date.min, "act": act.operation, "lots": [lot]}).one())

    last = recall(conn, ("newest of others", act.operation), (t.entry.name,), newest)
    if last is not None and last >= since:
        return False
    return not any(_marks_and_returns(conn, lot, lambda lot=lot: marked(lot)) for lot in lots)  # type: ignore[misc]


def _marks_and_returns(conn: Connection, lot: int, ask: Callable[[], bool]) -> bool:
    return recall(conn, ("marks and returns", lot), (t.movement.name, t.observation.name, CAME_BACK), ask)


def nothing_yet(conn: Connection, lot: int) -> None:
    """Remember of a lot that is just being opened that there are neither marks nor returns of it."""
    _marks_and_returns(conn, lot, lambda: False)


def _own_newest(conn: Connection, act: Act) -> dt.date:
    """The last day of which this act itself recorded anything."""
    return _newest_own(conn, act)[0]


def _note_own(conn: Connection, act: Act, on: dt.date) -> None:
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


def _check_later_days(conn: Connection, act: Act, since: dt.date, counts: dict[int, int]) -> bool:
    """Refuse what would be below nothing later; returns whether these holdings have anything later at all."""
    changes = changes_since(conn, list(counts), since)
    gap = first_gap(counts, changes, since)
    if gap is not None:
        own = [one for one in changes if one.operation == act.operation and one.happened_on <= gap.on]
        raise not_enough(conn, gap, -sum(one.change for one in own if one.holding == gap.holding))
    return any(one.happened_on > since or one.operation > act.operation for one in changes)
