"""No (lot, stage) below nothing at any step of a day: what the ends of days (`balance`) cannot show.

Inside a day every (lot, stage) receives before it gives, with two exceptions: animals that come back alive on the day
they left follow the others that left, and what is recorded late of a closed year is accounted on the first open day,
in the order it happened. On such days the steps are counted, in the order of `events.ordered`. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, select

from ledger.errors import NotEnough
from ledger.records import tables as t
from ledger.records.later import recall
from ledger.records.periods import accounting_day, period_of
from ledger.stock.drafts import Draft, Place
from ledger.stock.events import Event, ordered, without_reversed
from ledger.stock.journal import depths, events
from ledger.stock.reasons import REASONS, Cost
from ledger.stock.words import animals, when
from ledger.wording import say

Cell = tuple[int, int]
"""A lot, and the position of a stage in its species' list."""


@dataclass(frozen=True, slots=True)
class Short:
    """A (lot, stage) that would have fewer than no animals at a step of a day."""

    lot: int
    stage: int
    on: int
    """Day as ordinal."""
    lacking: int
    """How many too few at the worst step of the day."""


def first_short(
    moved: Iterable[Event], depth: dict[int, int], cells: Collection[Cell], since: int, *, by: str
) -> Short | None:
    """The first day from `since` on at a step of which one of the cells would be below nothing.

    Args:
        moved: every movement of the lots of the cells, from the beginning.
        depth: see `ordered`.
        cells: those in question; the others are not looked at.
        since: ordinal, of the kind of day that `by` names.
        by: 'happened_on' or 'accounting_on'.
    """
    there: dict[Cell, int] = defaultdict(int)
    found: Short | None = None
    for event in ordered(without_reversed(moved, by=by), depth, by=by):
        on = event.accounting_on if by == "accounting_on" else event.happened_on
        if found is not None and on != found.on:
            break
        source, target = (event.from_lot, event.from_stage), (event.to_lot, event.to_stage)
        if source == target:
            continue
        if event.from_lot is not None and event.from_stage is not None:
            cell = event.from_lot, event.from_stage
            there[cell] -= event.count
            lacking = -there[cell]
            worse = found is None or ((found.lot, found.stage) == cell and lacking > found.lacking)
            if lacking > 0 and worse and on >= since and cell in cells:
                found = Short(*cell, on, lacking)
        if event.to_lot is not None and event.to_stage is not None:
            there[event.to_lot, event.to_stage] += event.count
    return found


BACK = frozenset(reason.name for reason in REASONS.values() if reason.cost is Cost.BACK)
RECORDED_LATE = "entries recorded late"
"""What the remembered answer rests on besides the table of entries."""
_RETURN, _SALE = t.movement.alias("back_again"), t.movement.alias("taken")
_CAME, _LEFT = t.entry.alias("came"), t.entry.alias("went")

came_back_the_same_day = (
    select(_RETURN.c.id)
    .join(_CAME, _CAME.c.id == _RETURN.c.entry_id)
    .join(_SALE, _SALE.c.id == _RETURN.c.relates_to)
    .join(_LEFT, _LEFT.c.id == _SALE.c.entry_id)
    .join(t.holding, t.holding.c.id == _RETURN.c.to_holding_id)
    .where(
        t.holding.c.lot_id.in_(bindparam("lots", expanding=True)),
        _RETURN.c.reason.in_(sorted(BACK)),
        _CAME.c.happened_on >= bindparam("since", type_=t.entry.c.happened_on.type),
        _LEFT.c.happened_on == _CAME.c.happened_on,
    )
    .exists()
)
"""Whether anything came back alive to `lots`, on the day it left, on `since` or after it. It asks the index of arrivals
of the lots: no condition on `reverses`, or SQLite reads the whole journal by that. A return taken back counts too."""

_RECORDED_LATE = (
    select(t.entry.c.id)
    .where(
        t.entry.c.accounting_on.in_(bindparam("days", expanding=True)),
        t.entry.c.happened_on < t.entry.c.accounting_on,
    )
    .limit(1)
)


def accounted(conn: Connection, drafts: Iterable[Draft]) -> list[dt.date]:
    """The days drafts are accounted on."""
    return [draft.accounting_on or accounting_day(conn, draft.happened_on) for draft in drafts]


def among_late(conn: Connection, drafts: Sequence[Draft]) -> bool:
    """Whether drafts share the day they are accounted on with what is recorded late of a closed year."""
    days = set(accounted(conn, drafts))
    if days != {draft.happened_on for draft in drafts}:
        return True
    firsts = [on for on in days if period_of(conn, on).first_day == on]
    if not firsts:
        return False

    def ask() -> bool:
        return conn.execute(_RECORDED_LATE, {"days": firsts}).first() is not None

    return recall(conn, ("recorded late", *firsts), (t.entry.name, RECORDED_LATE), ask)


def check_steps(
    conn: Connection,
    drafts: Sequence[Draft],
    touched: Collection[tuple[int, int]],
    planned: Sequence[Event] = (),
) -> None:
    """Refuse what would leave a (lot, stage) below nothing at a step of a day.

    Args:
        conn: where the journal is.
        drafts: the entries in question.
        touched: the lots and stages, by number, that they touch.
        planned: their movements, if they are not written yet.

    Raises:
        NotEnough: it would, and on which day.
    """
    position = _positions(conn)
    cells = {(lot, position[stage]) for lot, stage in touched}
    moved = [*events(conn, {lot for lot, _ in cells}), *planned]
    depth = depths(conn)
    since = min(draft.happened_on for draft in drafts).toordinal()
    short = first_short(moved, depth, cells, since, by="happened_on")
    if short is not None:
        raise _too_few(conn, short, late=False)
    since = min(accounted(conn, drafts)).toordinal()
    short = first_short(moved, depth, cells, since, by="accounting_on")
    if short is not None:
        late = any(event.accounting_on == short.on != event.happened_on for event in moved)
        raise _too_few(conn, short, late=late)


def planned_events(conn: Connection, drafts: Sequence[Draft], spots: Mapping[Place, tuple[int, int]]) -> list[Event]:
    """Movements of drafts as they would be in the journal, after all that are there."""
    position = _positions(conn)
    ends: dict[Place | None, tuple[int | None, int | None]] = {None: (None, None)}
    ends |= {place: (lot, position[stage]) for place, (lot, stage) in spots.items()}
    days = accounted(conn, drafts)
    made: list[Event] = []
    for number, (draft, on) in enumerate(zip(drafts, days, strict=True)):
        for move in draft.moves:
            made.append(
                Event(
                    _AFTER_ALL + len(made),
                    _AFTER_ALL + number,
                    draft.happened_on.toordinal(),
                    on.toordinal(),
                    move.reason,
                    move.count,
                    from_lot=ends[move.source][0],
                    from_stage=ends[move.source][1],
                    to_lot=ends[move.target][0],
                    to_stage=ends[move.target][1],
                    reverses=move.reverses,
                    relates_to=move.relates_to,
                )
            )
    return made


_AFTER_ALL = 1 << 62
"""Higher than any number of an entry or movement."""


def _positions(conn: Connection) -> dict[int, int]:
    return {row[0]: row[1] for row in conn.execute(select(t.stage.c.id, t.stage.c.position))}


def _too_few(conn: Connection, short: Short, *, late: bool) -> NotEnough:
    wanted = (
        select(t.lot.c.code, t.stage.c.name)
        .join(t.stage, t.stage.c.species_id == t.lot.c.species_id)
        .where(t.lot.c.id == short.lot, t.stage.c.position == short.stage)
    )
    lot, stage = conn.execute(wanted).one()
    on = dt.date.fromordinal(short.on)
    some, day = animals(short.lacking, stage), when(on)
    if late:
        sentence = say(
            "{lot}: {some} too few on {day}, where the books take up what is recorded late of a closed year; choose a "
            "day of the open year or a smaller number.",
            lot=lot,
            some=some,
            day=day,
        )
    else:
        sentence = say(
            "{lot}: {some} too few on {day} for what left and came back alive that same day; choose a later day or a "
            "smaller number, or record more as found at count first.",
            lot=lot,
            some=some,
            day=day,
        )
    return NotEnough(sentence, field="count", facts={"lot": lot, "stage": stage, "date": on, "lacking": short.lacking})
