"""Animals that merely leave, one sale after the other: written the short way where nothing can come of the long one.

The long way is `moving.write_entries`, and decides. This one knows when there is nothing to decide: while rows are
written together and holdings and layers are in memory, none of the animals set aside, none of the layers used up,
nothing recorded of a later day. Then there is nothing to lock, to look at or to play again.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act
from ledger.stock.afterwards import what_is_later
from ledger.stock.at_hand import AtHand, Held, LayerIds, at_hand, layers_at_hand
from ledger.stock.drafts import Draft, EntryWritten, ResolvedMove
from ledger.stock.journaling import write_journal
from ledger.stock.layers import Layers, first_out_of_oldest, total
from ledger.stock.steps import among_late


def write_leaving(conn: Connection, act: Act, draft: Draft) -> EntryWritten | None:
    """Write an entry with what it changes; `None`: nothing was written, and it has to be written the long way."""
    hand, kept = at_hand(conn), layers_at_hand(conn)
    if hand is None or kept is None or not draft.moves:
        return None
    leaving: dict[int, _Leaving] = {}
    for move in draft.moves:
        one = _leaving(hand, kept, move)
        if one is None or one.held.id in leaving:
            return None
        leaving[one.held.id] = one
    after = what_is_later(conn, act, draft.happened_on, {one.held.lot for one in leaving.values()})
    if after.entries or after.marks or after.mixed or after.returns or among_late(conn, (draft,)):
        return None
    written = write_journal(conn, act, draft)
    for holding, one in leaving.items():
        hand.change(one.held, one.held.count - one.count, one.held.earmarked)
        # The oldest layer gave all that left, and keeps some.
        oldest = one.left[0]
        hand.change_layer(one.numbers[oldest.entered_on, oldest.soft], oldest.count)
        kept[holding] = one.left, one.numbers
    return written


@dataclass(frozen=True, slots=True)
class _Leaving:
    """Animals that leave a holding, and the layers that are left of it."""

    held: Held
    count: int
    left: Layers
    numbers: LayerIds


def _leaving(hand: AtHand, kept: dict[int, tuple[Layers, LayerIds]], move: ResolvedMove) -> _Leaving | None:
    if move.target is not None or move.reverses is not None or move.relates_to_move is not None:
        return None
    held = hand.by_id.get(move.source) if isinstance(move.source, int) else None
    if held is None or held.earmarked or held.id not in kept:
        return None
    layers, numbers = kept[held.id]
    left = first_out_of_oldest(layers, move.count)
    if left is None or total(layers) != held.count:
        return None
    return _Leaving(held, move.count, left, numbers)
