"""The journal of the stock as it was recorded: entries, newest first, each with what it says. Reads only."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.money import Currency
from ledger.records import tables as t
from ledger.stock.phrases import joined
from ledger.stock.story import MovementRow, movement_rows
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class EntryRow:
    """One act on the stock."""

    id: int
    """The number of the entry."""
    on: dt.date
    since: dt.date | None
    """First day of a range of days."""
    accounting_on: dt.date
    text: str
    """'P08: 3 L3 died; P08: 12 L3 moved on to cocoon'."""
    lots: tuple[str, ...]
    movements: tuple[int, ...]
    stands: bool
    """False when every movement of it was taken back, or it is itself a taking back."""
    by: str
    source: str
    """screen, command, demo or import."""
    recorded_at: str
    note: str


def entries(
    conn: Connection, currency: Currency, *, limit: int = 200, before: int | None = None
) -> tuple[EntryRow, ...]:
    """A page of entries, newest first.

    Args:
        conn: an open reading connection.
        currency: of the prices in them.
        limit: most rows.
        before: number of the last entry of the page before.
    """
    wanted = (
        select(t.entry, t.operation.c.recorded_by, t.operation.c.recorded_at, t.operation.c.source)
        .join(t.operation, t.operation.c.id == t.entry.c.operation_id)
        .order_by(t.entry.c.id.desc())
        .limit(limit)
    )
    if before is not None:
        wanted = wanted.where(t.entry.c.id < before)
    rows = conn.execute(wanted).all()
    moves: dict[int, list[MovementRow]] = defaultdict(list)
    for one in movement_rows(conn, entries=[row.id for row in rows]):
        moves[one.entry].append(one)
    return tuple(
        EntryRow(
            row.id,
            row.happened_on,
            row.happened_from,
            row.accounting_on,
            joined(_words(one, currency) + "." for one in moves[row.id]),
            tuple(dict.fromkeys(end.lot for one in moves[row.id] for end in (one.source, one.target) if end)),
            tuple(one.id for one in moves[row.id]),
            any(one.stands for one in moves[row.id]),
            row.recorded_by,
            row.source,
            row.recorded_at,
            row.note,
        )
        for row in rows
    )


def _words(one: MovementRow, currency: Currency) -> str:
    """What a movement says; one that is taken back says by which entry, a taking back says which it takes back."""
    said = one.words(currency)
    if one.reverses is not None:
        return say("Taken back (entry {entry}): {event}", entry=one.reverses_entry, event=said)
    if one.reversed_in is not None:
        return say("Taken back by entry {entry}: {event}", entry=one.reversed_in, event=said)
    return said
