"""The regular check of the tubs: when each is next due, and the tubs in the order of the shelves. Reads only.

The days between rounds are common practice without a source, and can be set for a species.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar, cast

from sqlalchemy import Connection, func, select

from ledger.act import Scene
from ledger.records import tables as t
from ledger.selling.standing import is_set
from ledger.stock.checks import last_rounds
from ledger.stock.figures import figures, lot_facts
from ledger.stock.journal import in_parts
from ledger.stock.stock_rows import StockRow, stock_on
from ledger.stock.words import tub_order

T = TypeVar("T")
ROUND_DAYS = (3, 4)
"""Days from one round to the next where none are set for the species, in turn: two a week, about 104 a year."""


@dataclass(frozen=True, slots=True)
class NextRound:
    """When a tub was last fed or looked at, and when it is next."""

    last_on: dt.date | None
    """`None`: never."""
    due_on: dt.date
    rests_until: dt.date | None
    """The lot is left alone until that day."""

    def is_due(self, today: dt.date) -> bool:
        """Whether it waits to be looked at."""
        return self.due_on <= today and self.rests_until is None


def next_rounds(
    conn: Connection, scene: Scene, there: Iterable[StockRow], facts: Mapping[tuple[int, str], str]
) -> dict[tuple[int, str], NextRound]:
    """The next round of each tub with animals or objects, by (lot, tub); what is lent out is looked after elsewhere."""
    known = figures(conn, scene.today)
    rounds = last_rounds(conn, scene.today)
    there = tuple(there)
    seen_days = {
        (row.lot_id, row.tub): {day for where in {row.tub, ""} for day in rounds.get((row.lot_id, where), ())}
        for row in there
    }
    # Two rounds tell all there is to tell; the day they came matters to those seen less often.
    came = _came_on(conn, {lot for (lot, _), days in seen_days.items() if len(days) < 2})
    found: dict[tuple[int, str], NextRound] = {}
    for row in there:
        place = row.lot_id, row.tub
        if row.unit == "specimen" or place in found or is_set(facts.get((row.lot_id, "lent out"), "")):
            continue
        seen = seen_days[place]
        first = {came[row.lot_id]} if row.lot_id in came else set()
        rests = facts.get((row.lot_id, "rests until"), "")
        found[place] = NextRound(
            max(seen, default=None),
            _next(sorted(first | seen), known.of(row.species_id, None, "round days")),
            dt.date.fromisoformat(rests) if rests > scene.today.isoformat() else None,
        )
    return found


def _next(days: Sequence[dt.date], own: int | None) -> dt.date:
    """When the next round is due after those on some days, in order, the first being the day the animals came."""
    short, long = ROUND_DAYS
    rested = len(days) > 1 and (days[-1] - days[-2]).days >= long
    return days[-1] + dt.timedelta(days=own or (short if rested else long))


def _came_on(conn: Connection, lots: Collection[int]) -> dict[int, dt.date]:
    """By lot, the day its first animals came."""
    e = t.entry.c
    found: dict[int, dt.date] = {}
    for part in in_parts(lots):
        rows = conn.execute(
            select(t.holding.c.lot_id, func.min(e.happened_on, type_=e.happened_on.type))
            .join(t.movement, t.movement.c.to_holding_id == t.holding.c.id)
            .join(t.entry, e.id == t.movement.c.entry_id)
            .where(t.holding.c.lot_id.in_(part))
            .group_by(t.holding.c.lot_id)
        )
        found.update((row[0], row[1]) for row in rows)
    return found


@dataclass(frozen=True, slots=True)
class RoundTub:
    """The animals of one tub, stage and sex, as a round meets them."""

    lot: str
    tub: str
    """Empty: in no labelled tub."""
    stage: str
    unit: str
    """animal or object."""
    sex: str
    sure: str
    count: int
    place: str
    """Where the lot stands; empty: not said."""
    next_stage: str
    """What its animals become; empty: nothing more, or a hatching, which asks how many."""
    leave_alone: bool
    """A stage that must not be moved about, such as a prepupa."""
    last_on: dt.date | None
    due_on: dt.date
    rests_until: dt.date | None
    due: bool


def round_tubs(conn: Connection, scene: Scene) -> tuple[RoundTub, ...]:
    """Every tub in shelf order: by place, lot, tub and stage."""
    there = [row for row in stock_on(conn) if row.unit != "specimen" and row.count]
    facts = lot_facts(conn, scene.today)
    rounds = next_rounds(conn, scene, there, facts)
    known = figures(conn, scene.today)
    later: dict[tuple[int, int], str] = {}
    for stage in conn.execute(select(t.stage).where(t.stage.c.unit == "animal")):
        later[stage.species_id, stage.position - 1] = stage.name
    found = []
    alike: dict[object, Any] = {}

    def one(value: T) -> T:
        """One object for all that are alike: of thousands of tubs, held as long as they are seen, most say the same."""
        return cast(T, alike.setdefault(value, value))

    for row in there:
        now = rounds.get((row.lot_id, row.tub))
        if now is None:
            continue
        found.append(
            RoundTub(
                one(row.lot),
                one(row.tub),
                one(row.stage),
                one(row.unit),
                one(row.sex),
                one(row.sure),
                row.count,
                one(facts.get((row.lot_id, "place"), "")),
                one(later.get((row.species_id, row.position), "")) if row.unit == "animal" else "",
                known.yes(row.species_id, row.stage_id, "do not post"),
                one(now.last_on),
                one(now.due_on),
                one(now.rests_until),
                now.is_due(scene.today),
            )
        )
    position = {(row.lot, row.stage): row.position for row in there}
    return tuple(
        sorted(
            found,
            key=lambda one: (
                not one.place,
                one.place.casefold(),
                one.lot,
                tub_order(one.tub),
                position[one.lot, one.stage],
                one.sex,
                one.sure,
            ),
        )
    )
