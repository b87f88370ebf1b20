"""Rows of the stock journal: an entry with its movements, and what is remembered of the journal told of them.

Used by those who write movements only (`moving`, `leaving`); checks nothing.
"""

from __future__ import annotations

from sqlalchemy import Connection, insert

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.later import ORIGINS, later, write_one
from ledger.records.later import Later as Waiting
from ledger.records.periods import accounting_day
from ledger.stock.afterwards import CAME_BACK, note_own
from ledger.stock.drafts import Draft, EntryWritten, ResolvedMove
from ledger.stock.steps import BACK, RECORDED_LATE


def write_journal(conn: Connection, act: Act, draft: Draft) -> EntryWritten:
    """Write an entry with its movements."""
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
    linked = [i for i, move in enumerate(draft.moves) if move.relates_to_move is not None]
    if waiting is not None and not linked:
        rows = [_row(entry_id, move, {}) for move in draft.moves]
        return EntryWritten(entry_id, tuple([waiting.keep(t.movement, row, known=True) for row in rows]))
    ids: dict[int, int] = {}
    for places in ([i for i in range(len(draft.moves)) if i not in linked], linked):
        rows = [_row(entry_id, draft.moves[i], ids) for i in places]
        if waiting is not None:
            ids |= {i: waiting.keep(t.movement, row, known=True) for i, row in zip(places, rows, strict=True)}
        elif places:
            new = conn.execute(_NEW_MOVEMENTS, rows)
            ids.update(zip(places, new.scalars(), strict=True))
    return EntryWritten(entry_id, tuple(ids[i] for i in range(len(draft.moves))))


def _tell(conn: Connection, waiting: Waiting, act: Act, draft: Draft, *, late: bool) -> None:
    """Let what is remembered of the journal be asked anew where a draft matters to it; most sales matter to nothing."""
    note_own(conn, act, draft.happened_on)
    reasons = {move.reason for move in draft.moves}
    if not {move.reverses for move in draft.moves} <= _NONE:
        waiting.forget(t.entry.name)
        waiting.forget(t.movement.name)
        return
    if late:
        waiting.forget(RECORDED_LATE)
    if reasons & BACK:
        waiting.forget(CAME_BACK)
    if reasons != {"sold"}:
        waiting.forget(ORIGINS)


_NONE = frozenset((None,))
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
