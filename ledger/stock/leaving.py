"""Animals that merely leave, one sale after the other: written the short way where nothing can come of the long one.

The long way is `moving.write_entries`, and decides. This one knows when there is nothing to decide: while rows are
written together and holdings and layers are in memory, none of the animals set aside, none of the layers used up,
nothing recorded of a later day. Then there is nothing to lock, to look at or to play again.
"""

from __future__ import annotations

from sqlalchemy import Connection

from ledger.act import Act
from ledger.stock.afterwards import what_is_later
from ledger.stock.at_hand import Held, at_hand, change_count, change_layers, layers_at_hand
from ledger.stock.drafts import Draft, EntryWritten, ResolvedMove
from ledger.stock.journaling import write_journal
from ledger.stock.layers import Layers, first_out, total
from ledger.stock.steps import among_late


def write_leaving(conn: Connection, act: Act, draft: Draft) -> EntryWritten | None:
    """Write an entry with what it changes; `None`: nothing was written, and it has to be written the long way."""
    hand, kept = at_hand(conn), layers_at_hand(conn)
    if hand is None or kept is None or not draft.moves:
        return None
    there: dict[int, Held] = {}
    for move in draft.moves:
        held = hand.by_id.get(move.source) if isinstance(move.source, int) else None
        if held is None or held.id in there or not _merely_leaves(move) or held.count < move.count or held.earmarked:
            return None
        there[held.id] = held
    left: dict[int, Layers] = {}
    for held, move in zip(there.values(), draft.moves, strict=True):
        layers = kept[held.id][0] if held.id in kept else ()
        if total(layers) != held.count:
            return None
        left[held.id] = first_out(layers, move.count)[1]
        if len(left[held.id]) < len(layers):
            return None
    after = what_is_later(conn, act, draft.happened_on, {held.lot for held in there.values()})
    if after.entries or after.marks or after.mixed or after.returns or among_late(conn, [draft]):
        return None
    written = write_journal(conn, act, draft)
    for held, move in zip(there.values(), draft.moves, strict=True):
        change_count(conn, held.id, held.count - move.count, held.earmarked)
        numbers = kept[held.id][1]
        # No layer is used up: the oldest of them gave all that left.
        oldest = left[held.id][0]
        change_layers(conn, [(numbers[oldest.entered_on, oldest.soft], oldest.count)])
        kept[held.id] = left[held.id], numbers
    return written


def _merely_leaves(move: ResolvedMove) -> bool:
    return move.target is None and move.reverses is None and move.relates_to_move is None
