"""The one writer of movements: entries with their movements, and with them counts, earmarks and age layers.

Rows of the journal are written before the guards. Holdings are locked in the order of their ids and guarded once
more when their counts change, because another writer may have been there since the plan was made.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, select, text, tuple_

from ledger.act import Act
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.records.later import ORIGINS, later
from ledger.records.later import Later as Waiting
from ledger.stock.afterwards import what_is_later
from ledger.stock.at_hand import AtHand, at_hand, note_empty
from ledger.stock.balance import first_gap, not_enough
from ledger.stock.carrying import Work
from ledger.stock.drafts import Draft, EntryWritten, Place, ResolvedMove
from ledger.stock.holdings import HoldingKey
from ledger.stock.journal import changes_since
from ledger.stock.journaling import write_journal
from ledger.stock.leaving import write_leaving
from ledger.stock.locks import lock
from ledger.stock.steps import among_late, check_steps
from ledger.wording import say

__all__ = [
    "Draft",
    "EntryWritten",
    "Place",
    "ResolvedMove",
    "taken_back_already",
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
    accounting_on: dt.date | None = None,
    moves: Sequence[ResolvedMove],
) -> EntryWritten:
    """Write one entry: see `write_entries`."""
    return write_entries(conn, act, [Draft(happened_on, tuple(moves), happened_from, note, accounting_on)])[0]


def write_entries(conn: Connection, act: Act, drafts: Sequence[Draft]) -> tuple[EntryWritten, ...]:
    """Write entries of one act together; only what they leave behind has to be possible, not each by itself.

    Raises:
        NotEnough: a holding would have fewer than no animals on some day, or a sale would take animals set aside.
        PeriodClosed: their day lies in a year that was closed meanwhile.
    """
    if len(drafts) == 1 and (leaving := write_leaving(conn, act, drafts[0])) is not None:
        return (leaving,)
    ids = _ids(conn, [place for draft in drafts for move in draft.moves for place in (move.source, move.target)])
    drafts = [_with_ids(draft, ids) for draft in drafts]
    locked = lock(conn, _touched(drafts))
    _once_only(conn, drafts)
    written = tuple(write_journal(conn, act, draft) for draft in drafts)
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
    keys = sorted({place for place in wanted if isinstance(place, HoldingKey)})
    if not keys:
        return {}
    waiting, hand = later(conn), at_hand(conn)
    if waiting is not None and hand is not None:
        return {key: _at_hand(conn, waiting, hand, key) for key in keys}
    found = _existing(conn, keys)
    missing = [key for key in keys if key not in found]
    if missing:
        # In one order for all, so that two acts never wait for each other's new rows.
        conn.execute(_NEW_HOLDING, [key._asdict() for key in missing])
        found |= _existing(conn, missing)
    return found


def _at_hand(conn: Connection, waiting: Waiting, hand: AtHand, key: HoldingKey) -> int:
    """The id of a holding among those in memory, which a new one joins."""
    held = hand.at(conn, key)
    if held is None:
        held = hand.open(key._asdict())
        waiting.forget(ORIGINS)
        note_empty(conn, held.id)
    return held.id


_NEW_HOLDING = text(
    "INSERT INTO holding (lot_id, stage_id, sex, sure, tub, count, earmarked) "
    "VALUES (:lot_id, :stage_id, :sex, :sure, :tub, 0, 0) ON CONFLICT DO NOTHING"
)


def _existing(conn: Connection, keys: Sequence[HoldingKey]) -> dict[HoldingKey, int]:
    if not keys:
        return {}
    columns = [t.holding.c[name] for name in HoldingKey._fields]
    wanted = select(t.holding.c.id, *columns).where(tuple_(*columns).in_([tuple(key) for key in keys]))
    return {HoldingKey(*row[1:]): row[0] for row in conn.execute(wanted)}


def _with_ids(draft: Draft, ids: dict[HoldingKey, int]) -> Draft:
    if not ids:
        return draft

    def known(place: Place | None) -> int | None:
        return ids[place] if isinstance(place, HoldingKey) else place

    moves = [move._replace(source=known(move.source), target=known(move.target)) for move in draft.moves]
    return draft._replace(moves=tuple(moves))


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


def _check_later_days(conn: Connection, act: Act, since: dt.date, counts: dict[int, int]) -> bool:
    """Refuse what would be below nothing later; returns whether these holdings have anything later at all."""
    changes = changes_since(conn, list(counts), since)
    gap = first_gap(counts, changes, since)
    if gap is not None:
        own = [one for one in changes if one.operation == act.operation and one.happened_on <= gap.on]
        raise not_enough(conn, gap, -sum(one.change for one in own if one.holding == gap.holding))
    return any(one.happened_on > since or one.operation > act.operation for one in changes)
