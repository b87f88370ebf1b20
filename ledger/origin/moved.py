"""Reads how animals came into lots and between them: arrivals, finds, hatching, splits and merges, moves between tubs.

Movements that were taken back, and those that took them back, count for nothing.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy import ColumnElement, Connection, Select, func, select

from ledger.origin.facts import FROM_OTHERS, Arrival, CountUp, Kind, Sex, Source
from ledger.origin.rows import rows_of
from ledger.records import tables as t

_MANY_ARRIVALS = 300
"""Lots beyond which every arrival is read: they are few among the movements, and the database finds them by that."""
TOLERANCE = 10
"""A find put down to a miscount is believed up to one in so many of the animals that came into the lot, and one at
least: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Came:
    """Animals that came in with one movement."""

    arrival: Arrival
    count: int
    stage_id: int
    first_on: dt.date
    """First day of the range it happened in."""


@dataclass(frozen=True, slots=True)
class Find:
    """Animals found above the number recorded."""

    more: int
    on: dt.date
    miscounted: bool
    """Put down to an earlier miscount."""


_KINDS = (*FROM_OTHERS, "collected", "laid", "hatched", "harvested")


def _standing(wanted: Select[Any]) -> Select[Any]:
    """Movements that were not taken back and take none back."""
    back = t.movement.alias("back")
    return wanted.where(_takes_none_back(), ~select(back.c.id).where(back.c.reverses == t.movement.c.id).exists())


def _takes_none_back() -> ColumnElement[bool]:
    """Said so that no index on `reverses` is used: nearly every movement takes none back."""
    return func.coalesce(t.movement.c.reverses, 0) == 0


def arrivals(conn: Connection, ids: Collection[int]) -> tuple[dict[int, list[Came]], dict[int, list[Find]]]:
    """By lot: how animals came in, and finds, in the order they were recorded."""
    m, h, e, s = t.movement.c, t.holding.c, t.entry.c, t.stage.c
    reared, missed = t.stage.alias("reared"), t.movement.alias("missed")
    wanted = _standing(
        select(
            m.id,
            m.reason,
            m.count.label("n"),
            m.explained,
            m.relates_to,
            missed.c.count.label("missed"),
            h.lot_id,
            h.stage_id,
            h.sex,
            h.tub,
            e.happened_from,
            e.happened_on,
            (s.position >= reared.c.position).label("grown"),
        )
        .select_from(t.movement)
        .join(t.holding, h.id == m.to_holding_id)
        .join(t.entry, e.id == m.entry_id)
        .join(t.stage, s.id == h.stage_id)
        .join(reared, (reared.c.species_id == s.species_id) & (reared.c.reared == 1))
        .outerjoin(missed, missed.c.id == m.relates_to)
        .where(m.from_holding_id.is_(None), m.reason.in_([*_KINDS, "found"]))
    )
    came: dict[int, list[Came]] = defaultdict(list)
    finds: dict[int, list[Find]] = defaultdict(list)
    still_missing: dict[int, int] = {}
    for row in sorted(rows_of(conn, wanted, h.lot_id, ids, many=_MANY_ARRIVALS), key=lambda row: row.id):
        if row.reason == "found":
            back = min(row.n, still_missing.setdefault(row.relates_to, row.missed)) if row.relates_to else 0
            if back:
                still_missing[row.relates_to] -= back
            if row.n > back:
                finds[row.lot_id].append(Find(row.n - back, row.happened_on, bool(row.explained)))
            continue
        arrival = Arrival(cast(Kind, row.reason), row.happened_on, row.tub, bool(row.grown), cast(Sex, row.sex))
        came[row.lot_id].append(Came(arrival, row.n, row.stage_id, row.happened_from or row.happened_on))
    return dict(came), dict(finds)


def count_up(find: Find, explained: dt.date | None, came: int) -> CountUp:
    """A find as the derivation takes it.

    Args:
        find: what was found.
        explained: day up to which finds in the lot are explained; None: none are.
        came: how many animals came into the lot, by which a miscount is judged.
    """
    if explained is not None and find.on <= explained:
        return CountUp(find.more, why="explained", on=find.on)
    tolerance = max(1, came // TOLERANCE)
    return CountUp(find.more, tolerance, "miscounted before" if find.miscounted else "", find.on)


def laid_days(named: Sequence[Any], came: Sequence[Came]) -> tuple[dt.date | None, dt.date | None]:
    """Days the eggs were laid: as the keeper named them with the parents, else those of the arrivals."""
    days = [day for row in named for day in (row.laid_from, row.laid_on) if day is not None]
    if not days:
        for one in came:
            if one.arrival.kind == "laid" and one.arrival.on is not None:
                days += [one.first_on, one.arrival.on]
    return min(days, default=None), max(days, default=None)


def hatch_days(
    started_from: dt.date, came: Sequence[Came], moved_on: tuple[dt.date, dt.date] | None
) -> tuple[dt.date | None, dt.date | None]:
    """First and last day of hatching: of young that came in hatched, and of eggs that moved on."""
    days = list(moved_on or ())
    for one in came:
        if one.arrival.kind == "hatched" and one.arrival.on is not None:
            days += [min(started_from, one.first_on), one.arrival.on]
    return min(days, default=None), max(days, default=None)


def hatched(conn: Connection, arrivals: dict[int, list[Came]]) -> dict[int, tuple[dt.date, dt.date]]:
    """First and last day on which what was laid moved on from the stage it was laid in, by lot."""
    laid = {(lot_id, one.stage_id) for lot_id, came in arrivals.items() for one in came if one.arrival.kind == "laid"}
    m, e = t.movement.c, t.entry.c
    source, target = t.holding.alias("source"), t.holding.alias("target")
    wanted = _standing(
        select(
            source.c.lot_id,
            source.c.stage_id,
            func.min(func.coalesce(e.happened_from, e.happened_on)).label("first"),
            func.max(e.happened_on).label("last"),
        )
        .select_from(t.movement)
        .join(source, source.c.id == m.from_holding_id)
        .join(target, target.c.id == m.to_holding_id)
        .join(t.entry, e.id == m.entry_id)
        .where(source.c.lot_id == target.c.lot_id, source.c.stage_id != target.c.stage_id)
        .group_by(source.c.lot_id, source.c.stage_id)
    )
    rows = rows_of(conn, wanted, source.c.lot_id, {lot_id for lot_id, _ in laid})
    return {row.lot_id: (row.first, row.last) for row in rows if (row.lot_id, row.stage_id) in laid}


def sources(conn: Connection, ids: Collection[int]) -> tuple[dict[int, list[Source]], dict[int, int]]:
    """By lot: what it was made from, and how many animals came from there."""
    made = sorted(rows_of(conn, select(t.lot_source), t.lot_source.c.lot_id, ids), key=lambda row: row.id)
    m, e = t.movement.c, t.entry.c
    source, target = t.holding.alias("source"), t.holding.alias("target")
    wanted = (
        select(
            m.count.label("n"),
            target.c.lot_id,
            source.c.lot_id.label("source_id"),
            e.happened_on,
            source.c.tub,
            target.c.tub.label("here"),
        )
        .select_from(t.movement)
        .join(target, target.c.id == m.to_holding_id)
        .join(source, source.c.id == m.from_holding_id)
        .join(t.entry, e.id == m.entry_id)
        .where(m.reason.in_(("split", "merged")), _takes_none_back())
    )
    days: dict[tuple[int, int], dt.date] = {}
    tubs: dict[tuple[int, int], dict[tuple[str, str], None]] = defaultdict(dict)
    numbers: dict[int, int] = defaultdict(int)
    for row in rows_of(conn, wanted, target.c.lot_id, {row.lot_id for row in made if row.how != "harvested"}):
        pair = (row.lot_id, row.source_id)
        days[pair] = max(row.happened_on, days.get(pair, row.happened_on))
        tubs[pair][row.tub, row.here] = None
        numbers[row.lot_id] += row.n
    found: dict[int, list[Source]] = defaultdict(list)
    for row in made:
        pair = (row.lot_id, row.source_id)
        found[row.lot_id].append(Source(row.source_id, row.how, days.get(pair), tuple(sorted(tubs.get(pair, ())))))
    return dict(found), numbers


def with_sources(lots: set[int], sources: dict[int, list[Source]]) -> set[int]:
    """The lots and every lot they were split off or merged from."""
    known: set[int] = set()
    nearest = set(lots)
    while nearest:
        known |= nearest
        nearest = {one.lot_id for lot_id in nearest for one in sources.get(lot_id, ())} - known
    return known


def tub_moves(conn: Connection, lots: Collection[int]) -> dict[int, list[tuple[str, str]]]:
    """By lot, the tubs animals went from and to inside it; only read where a single animal is named."""
    source, target = t.holding.alias("source"), t.holding.alias("target")
    wanted = _standing(
        select(source.c.lot_id, source.c.tub, target.c.tub.label("here"))
        .select_from(t.movement)
        .join(source, source.c.id == t.movement.c.from_holding_id)
        .join(target, target.c.id == t.movement.c.to_holding_id)
        .where(source.c.lot_id == target.c.lot_id, source.c.tub != target.c.tub)
        .distinct()
    )
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    for row in rows_of(conn, wanted, source.c.lot_id, lots):
        found[row.lot_id].append((row.tub, row.here))
    return {lot_id: sorted(pairs) for lot_id, pairs in found.items()}
