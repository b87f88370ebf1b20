"""Where the animals of a lot come from, as the books keep them apart: raised here, bought in, or here at the start.

Many tax rules treat animals raised and animals bought to be sold again differently, so no line mixes them. A lot made
by splitting or merging takes its source from the lots it was made of. Nothing is said of origin: see `origin`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS

RAISED = "raised here"
BOUGHT = "bought in"
AT_START = "here at the start"
LENT = "on loan to us"

_BY_BOOKS = {"bought": BOUGHT, "opening": AT_START, "not owned": LENT}
_FIRST_OF = (LENT, BOUGHT, AT_START, RAISED)
"""A lot with animals of several sources counts as the first of these."""


def sources(conn: Connection, journal: Iterable[Event], until: int) -> dict[int, str]:
    """The source of every lot.

    Args:
        conn: an open reading connection.
        journal: movements without those taken back, by accounting_on.
        until: ordinal of the last day; later arrivals change nothing.
    """
    found: dict[int, set[str]] = defaultdict(set)
    for event in journal:
        arrives = event.from_lot is None and event.reverses is None and event.accounting_on <= until
        if arrives and event.to_lot is not None:
            found[event.to_lot].add(_BY_BOOKS.get(REASONS[event.reason].books, RAISED))
    made_of: dict[int, list[int]] = defaultdict(list)
    for row in conn.execute(
        select(t.lot_source.c.lot_id, t.lot_source.c.source_id).where(t.lot_source.c.how != "harvested")
    ):
        made_of[row.lot_id].append(row.source_id)
    result = {}
    # A source is always less deep than what was made of it.
    for lot_id in conn.execute(select(t.lot.c.id).order_by(t.lot.c.depth, t.lot.c.id)).scalars():
        for source in made_of[lot_id]:
            found[lot_id] |= found[source]
        result[lot_id] = next((one for one in _FIRST_OF if one in found[lot_id]), RAISED)
    return result
