"""Reads the journal into what stage times and the outlook learn from: each lot family's stays, and dated intervals of
animals that have a tub of their own.

Lots joined by splits and merges are one family: an animal that changed lots stayed in its stage all along. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import Refused
from ledger.rearing.cohort import lot_flows
from ledger.rearing.spells import Spell, spells
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.events import Event, without_reversed
from ledger.stock.journal import events, in_parts
from ledger.stock.naming import StageRef, stages
from ledger.stock.reasons import REASONS, Survival


@dataclass(frozen=True, slots=True)
class Learned:
    """What the lots of a species have told by a day."""

    states: tuple[str, ...]
    """Names of the young stages of animals, in order."""
    ladder: tuple[StageRef, ...]
    stays: tuple[tuple[Spell, ...], ...]
    """Of each family of lots that tells anything."""
    families: tuple[tuple[int, ...], ...]
    """Lots of each."""
    faults: tuple[str, ...]
    """Sentences on lots that cannot be read."""
    journal: tuple[Event, ...]
    """Movements of the species' lots up to the day, without reversed ones."""


def learned(conn: Connection, species_id: int, on: dt.date, until: int | None = None) -> Learned:
    """Stays of every lot of a species up to and including a day, in the stages before the reared one.

    Args:
        conn: an open reading connection.
        species_id: the species.
        on: last day looked at.
        until: position of another stage to stop at than the reared one.
    """
    ladder = stages(conn, species_id)
    reared = next(stage.position for stage in ladder if stage.reared) if until is None else until
    rows = conn.execute(select(t.lot).where(t.lot.c.species_id == species_id).order_by(t.lot.c.id)).all()
    starts = {row.id: row.started_from for row in rows}
    journal = without_reversed(events(conn, set(starts), on), by="happened_on") if starts else []
    stays: list[tuple[Spell, ...]] = []
    families: list[tuple[int, ...]] = []
    faults: list[str] = []
    by_lot: dict[int, list[Event]] = defaultdict(list)
    for event in journal:
        for lot in {event.from_lot, event.to_lot} - {None}:
            assert lot is not None
            by_lot[lot].append(event)
    states: tuple[str, ...] = tuple(stage.name for stage in ladder[:reared] if stage.unit == "animal")
    looks = _looked(conn, starts, on)
    for family in _families(conn, starts):
        own = {event.id: event for lot in family for event in by_lot[lot]}
        if not own:
            continue
        clock = min(starts[lot] for lot in family).toordinal()
        try:
            history = lot_flows(own.values(), family, clock, ladder, reared, on.toordinal())
        except Refused as refused:
            faults.append(refused.sentence)
            continue
        found = spells(history, {day - clock for lot in family for day in looks.get(lot, ())})
        if found:
            stays.append(found)
            families.append(family)
    return Learned(states, ladder, tuple(stays), tuple(families), tuple(faults), tuple(journal))


def _looked(conn: Connection, lots: Collection[int], on: dt.date) -> dict[int, set[int]]:
    """Days (ordinals) on which each lot was looked at or counted."""
    o = t.observation.c
    found: dict[int, set[int]] = defaultdict(set)
    for part in in_parts(lots):
        wanted = select(o.lot_id, o.happened_on).where(
            o.lot_id.in_(part), o.kind.in_(("looked", "counted")), o.happened_on <= on, stands(o.operation_id)
        )
        for lot, day in conn.execute(wanted):
            found[lot].add(day.toordinal())
    return found


def _families(conn: Connection, lots: Mapping[int, object]) -> list[tuple[int, ...]]:
    """Lots joined by splits and merges."""
    head = {lot: lot for lot in lots}

    def find(lot: int) -> int:
        while head[lot] != lot:
            lot = head[lot]
        return lot

    for made, source in conn.execute(
        select(t.lot_source.c.lot_id, t.lot_source.c.source_id).where(t.lot_source.c.how != "harvested")
    ):
        if made in head and source in head:
            head[find(max(made, source))] = find(min(made, source))
    groups: dict[int, list[int]] = defaultdict(list)
    for lot in sorted(lots):
        groups[find(lot)].append(lot)
    return [tuple(group) for group in groups.values()]


# --- animals with a tub of their own ---


@dataclass(slots=True)
class _One:
    """An animal alone in its tub."""

    state: int | None
    since: tuple[int, int] | None
    """It entered its stage after the first and by the second day; None: before it was watched."""


Place = tuple[int, str]


def tub_intervals(
    conn: Connection, journal: Sequence[Event], ladder: Sequence[StageRef], reared: int, on: dt.date
) -> list[list[tuple[float, float]]]:
    """For each young stage the intervals of days that animals with a tub of their own spent in it.

    Between the check before and the check at which a change was seen, it may have happened on any day; only looking,
    counting and recording a movement of the tub are checks, feeding is none. Animals that died, left or are still there
    took longer than they were seen to.
    """
    young = [stage.position for stage in ladder[:reared] if stage.unit == "animal"]
    state_of = {position: state for state, position in enumerate(young)}
    found: list[list[tuple[float, float]]] = [[] for _ in young]
    looks = _looks(conn, journal, on)
    since = {row.id: row.happened_from for row in conn.execute(
        select(t.entry.c.id, t.entry.c.happened_from).where(t.entry.c.happened_from.is_not(None))
    )}  # fmt: skip
    alone: dict[Place, _One] = {}
    crowd: dict[Place, int] = defaultdict(int)
    for event in sorted(journal, key=lambda one: (one.happened_on, one.entry, one.id)):
        source = (event.from_lot, event.tub_from) if event.from_lot is not None else None
        target = (event.to_lot, event.tub_to) if event.to_lot is not None else None
        one = alone.pop(source, None) if source is not None else None
        if source is not None:
            crowd[source] -= event.count
        seen = _between(looks, source or target, event, since)
        stage = state_of.get(event.to_stage) if event.to_stage is not None else None
        moved = event.from_stage is not None and event.to_stage is not None and event.from_stage != event.to_stage
        if one is not None and one.state is not None and one.since is not None and (moved or target is None):
            low, high = max(0, seen[0] - one.since[1]), seen[1] - one.since[0]
            onward = moved and event.reason == "next stage"
            if high > low:
                found[one.state].append((low, high) if onward else (low, float("inf")))
        if target is None:
            continue
        crowd[target] += event.count
        if event.count != 1 or not target[1] or crowd[target] != 1:
            alone.pop(target, None)
            continue
        born = source is None and REASONS[event.reason].survival is Survival.START
        dated = seen if (moved and one is not None) or born else None
        if one is not None and not moved:
            alone[target] = one
        else:
            alone[target] = _One(stage, dated)
    for place, one in alone.items():
        last = max((day for day in looks.get(place, ())), default=None)
        if one.state is not None and one.since is not None and last is not None and last > one.since[1]:
            found[one.state].append((last - one.since[1], float("inf")))
    return found


def _looks(conn: Connection, journal: Iterable[Event], on: dt.date) -> dict[Place, list[int]]:
    """Days on which a tub was looked at, in order."""
    found: dict[Place, set[int]] = defaultdict(set)
    for event in journal:
        for lot, tub in ((event.from_lot, event.tub_from), (event.to_lot, event.tub_to)):
            if lot is not None:
                found[lot, tub].add(event.happened_on)
    lots: Collection[int] = {lot for lot, _ in found}
    o = t.observation.c
    by_lot: dict[int, list[Place]] = defaultdict(list)
    for place in found:
        by_lot[place[0]].append(place)
    for part in in_parts(lots):
        wanted = select(o.lot_id, o.tub, o.happened_on).where(
            o.lot_id.in_(part), o.kind.in_(("looked", "counted")), o.happened_on <= on, stands(o.operation_id)
        )
        for lot, tub, day in conn.execute(wanted):
            for place in by_lot[lot]:
                if tub in ("", place[1]):
                    found[place].add(day.toordinal())
    return {place: sorted(days) for place, days in found.items()}


def _between(
    looks: Mapping[Place, Sequence[int]], place: Place | None, event: Event, since: Mapping[int, dt.date]
) -> tuple[int, int]:
    """After which day and by which a change happened."""
    if event.entry in since:
        return since[event.entry].toordinal() - 1, event.happened_on
    earlier = [day for day in looks.get(place, ()) if day < event.happened_on] if place is not None else []
    return (earlier[-1] if earlier else event.happened_on - 1), event.happened_on
