"""Reads from the records what origin is derived from, for given lots and every lot they may come from; no others.

Movements that were taken back, and those that took them back, count for nothing. Decides nothing: `derive` does.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy import ColumnElement, Connection, Select, func, select

from ledger.origin.facts import (
    FROM_OTHERS,
    AnimalRef,
    Answer,
    Arrival,
    Claim,
    CountUp,
    Exposure,
    Kind,
    LotFacts,
    Sex,
    Source,
    SpeciesFacts,
    Statement,
    VirginFact,
)
from ledger.records import tables as t

_AT_ONCE = 900
"""Lots named in one statement; beyond a few such parts a table is read whole, which is quicker."""
_PARTS = 4
TOLERANCE = 10
"""A find put down to a miscount is believed up to one in so many of the animals that came into the lot, and one at
least: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Facts:
    """What `derive_all` takes."""

    lots: dict[int, LotFacts]
    exposures: tuple[Exposure, ...]
    virgin_facts: tuple[VirginFact, ...]
    species: tuple[SpeciesFacts, ...]
    by_tub: frozenset[int]
    """Lots of which the moves between tubs were read, because a single animal of them is named."""


def _of(conn: Connection, wanted: Select[Any], column: ColumnElement[int], ids: Collection[int]) -> Iterator[Any]:
    """Rows of a statement whose `column` is one of `ids`, in no order."""
    ordered = sorted(ids)
    if len(ordered) > _AT_ONCE * _PARTS:
        rows = conn.execute(wanted.add_columns(column.label("of_lot")))
        yield from (row for row in rows if row.of_lot in ids)
        return
    for start in range(0, len(ordered), _AT_ONCE):
        yield from conn.execute(wanted.where(column.in_(ordered[start : start + _AT_ONCE])))


def ancestry(conn: Connection, lot_ids: Iterable[int]) -> set[int]:
    """The lots, and every lot they may come from: what they were made from, their parents, and with whom those were."""
    known: set[int] = set()
    nearest = set(lot_ids)
    while nearest:
        known |= nearest
        both = _hermaphrodites(conn, nearest)
        found: set[int] = set()
        for wanted, column, among in (
            (select(t.lot_source.c.source_id), t.lot_source.c.lot_id, nearest),
            (select(t.parent.c.parent_lot_id), t.parent.c.lot_id, nearest),
            (select(t.exposure.c.male_lot_id), t.exposure.c.female_lot_id, nearest),
            (select(t.exposure.c.female_lot_id), t.exposure.c.male_lot_id, both),
        ):
            found.update(row[0] for row in _of(conn, wanted, column, among))
        nearest = found - known
    return known


def _hermaphrodites(conn: Connection, lots: Collection[int]) -> set[int]:
    wanted = select(t.holding.c.lot_id).where(t.holding.c.sex == "hermaphrodite").distinct()
    return {row[0] for row in _of(conn, wanted, t.holding.c.lot_id, lots)}


def load(conn: Connection, lot_ids: Iterable[int], *, dates: bool = True) -> Facts:
    """The facts of lots and of all they may come from.

    Args:
        lot_ids: lots asked for.
        dates: read the days of hatching too, for gaps and provenance; the origin itself does not need them.
    """
    ids = ancestry(conn, lot_ids)
    parents = _parents(conn, ids)
    exposures, named_in_pairs = _exposures(conn, ids)
    virgin_facts = _virgin_facts(conn, ids)
    sources, numbers = _sources(conn, ids)
    arrivals, finds = _arrivals(conn, ids)
    for lot_id, came in arrivals.items():
        numbers[lot_id] += sum(one.count for one in came)
    tubs = {one.animal.lot_id for one in virgin_facts if one.animal.tub} | named_in_pairs
    tubs |= {row.parent_lot_id for rows in parents.values() for row in rows if row.parent_tub}
    by_tub = _with_sources(tubs, sources)
    moves = _tub_moves(conn, by_tub)
    hatched = _hatched(conn, arrivals) if dates else {}
    stated, claims, explained = _statements(conn, ids)
    colonies = _colonies(conn, ids)
    lots = {}
    wanted = select(t.lot.c.id, t.lot.c.code, t.lot.c.species_id, t.lot.c.started_from, t.lot.c.line)
    for row in _of(conn, wanted, t.lot.c.id, ids):
        came = arrivals.get(row.id, ())
        named = parents.get(row.id, ())
        first, last = _laid(named, came)
        born = _hatch_days(row.started_from, came, hatched.get(row.id))
        lots[row.id] = LotFacts(
            row.id,
            row.code,
            row.species_id,
            arrivals=tuple(dict.fromkeys(one.arrival for one in came)),
            sources=tuple(sources.get(row.id, ())),
            stated=stated.get(row.id),
            mothers=_animals(named, "mother"),
            stated_fathers=_animals(named, "father"),
            laid_from=first,
            laid_to=last,
            hatched_from=born[0],
            hatched_to=born[1],
            unhatched=born == (None, None) and any(one.arrival.kind == "laid" for one in came),
            claims=tuple(claims.get(row.id, ())),
            counts_up=tuple(_count_up(find, explained.get(row.id), numbers[row.id]) for find in finds.get(row.id, ())),
            breeds=row.id in colonies,
            tub_moves=tuple(moves.get(row.id, ())),
            line=row.line,
        )
    species = _species(conn, {lot.species_id for lot in lots.values()}, ids)
    return Facts(lots, exposures, virgin_facts, species, frozenset(by_tub))


# --- who laid it, who was with whom, who was a virgin ------------------------------------------------------------------


def _parents(conn: Connection, ids: Collection[int]) -> dict[int, list[Any]]:
    """Rows naming the parents of each lot; a later act of naming them takes the place of an earlier one."""
    found: dict[int, list[Any]] = defaultdict(list)
    for row in _of(conn, select(t.parent), t.parent.c.lot_id, ids):
        found[row.lot_id].append(row)
    for lot_id, rows in found.items():
        newest = max(row.operation_id for row in rows)
        found[lot_id] = sorted((row for row in rows if row.operation_id == newest), key=lambda row: row.id)
    return dict(found)


def _animals(named: Sequence[Any], role: str) -> tuple[AnimalRef, ...]:
    return tuple(AnimalRef(row.parent_lot_id, row.parent_tub) for row in named if row.role == role)


def _exposures(conn: Connection, ids: Collection[int]) -> tuple[tuple[Exposure, ...], set[int]]:
    """Exposures among the lots in the order they were recorded, and the lots of which a tub is named in one."""
    wanted = select(t.exposure, t.exposure_end.c.to_on.label("ended_on")).outerjoin(
        t.exposure_end, t.exposure_end.c.exposure_id == t.exposure.c.id
    )
    rows = [row for row in _of(conn, wanted, t.exposure.c.female_lot_id, ids) if row.male_lot_id in ids]
    rows.sort(key=lambda row: row.id)
    named = {row.female_lot_id for row in rows if row.female_tub} | {row.male_lot_id for row in rows if row.male_tub}
    return (
        tuple(
            Exposure(
                AnimalRef(row.female_lot_id, row.female_tub),
                AnimalRef(row.male_lot_id, row.male_tub),
                row.from_on,
                row.ended_on or row.to_on,
                bool(row.witnessed),
            )
            for row in rows
        ),
        named,
    )


def _virgin_facts(conn: Connection, ids: Collection[int]) -> tuple[VirginFact, ...]:
    rows = sorted(_of(conn, select(t.animal_fact), t.animal_fact.c.lot_id, ids), key=lambda row: row.id)
    return tuple(
        VirginFact(AnimalRef(row.lot_id, row.tub), cast(Answer, row.value), row.from_on)
        for row in rows
        if row.fact == "virgin on arrival"
    )


# --- what was stated ---------------------------------------------------------------------------------------------------


def _statements(
    conn: Connection, ids: Collection[int]
) -> tuple[dict[int, Statement], dict[int, list[Claim]], dict[int, dt.date]]:
    """By lot: the latest statement; what a person lowered or raised, in order; up to when counts are explained."""
    stated: dict[int, Statement] = {}
    claims: dict[int, list[Claim]] = defaultdict(list)
    explained: dict[int, dt.date] = {}
    for row in sorted(_of(conn, select(t.origin_fact), t.origin_fact.c.lot_id, ids), key=lambda row: row.id):
        if row.kind == "stated":
            stated[row.lot_id] = Statement(
                row.code,
                row.generation,
                row.evidence,
                row.country,
                row.locality,
                row.supplier,
                row.documents,
                row.source_letter,
            )
        elif row.kind == "explained":
            explained[row.lot_id] = max(row.from_on, explained.get(row.lot_id, row.from_on))
        else:
            documents = row.documents if row.kind == "raised" else ""
            claims[row.lot_id].append(Claim(row.code, row.generation, documents, row.note, row.from_on))
    return stated, claims, explained


def _colonies(conn: Connection, ids: Collection[int]) -> set[int]:
    wanted = select(t.lot_fact.c.lot_id, t.lot_fact.c.value, t.lot_fact.c.from_on, t.lot_fact.c.id).where(
        t.lot_fact.c.fact == "colony"
    )
    rows = sorted(_of(conn, wanted, t.lot_fact.c.lot_id, ids), key=lambda row: (row.from_on, row.id))
    newest = {row.lot_id: row.value for row in rows}
    return {lot_id for lot_id, value in newest.items() if value not in ("", "no")}


# --- how the animals came ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Came:
    arrival: Arrival
    count: int
    stage_id: int
    first_on: dt.date
    """First day of the range it happened in."""


@dataclass(frozen=True, slots=True)
class _Find:
    more: int
    on: dt.date
    miscounted: bool
    """Put down to an earlier miscount."""


_KINDS = (*FROM_OTHERS, "collected", "laid", "hatched", "harvested")


def _standing(wanted: Select[Any]) -> Select[Any]:
    """Movements that were not taken back and take none back."""
    back = t.movement.alias("back")
    return wanted.where(
        t.movement.c.reverses.is_(None), ~select(back.c.id).where(back.c.reverses == t.movement.c.id).exists()
    )


def _arrivals(conn: Connection, ids: Collection[int]) -> tuple[dict[int, list[_Came]], dict[int, list[_Find]]]:
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
    came: dict[int, list[_Came]] = defaultdict(list)
    finds: dict[int, list[_Find]] = defaultdict(list)
    still_missing: dict[int, int] = {}
    for row in sorted(_of(conn, wanted, h.lot_id, ids), key=lambda row: row.id):
        if row.reason == "found":
            back = min(row.n, still_missing.setdefault(row.relates_to, row.missed)) if row.relates_to else 0
            if back:
                still_missing[row.relates_to] -= back
            if row.n > back:
                finds[row.lot_id].append(_Find(row.n - back, row.happened_on, bool(row.explained)))
            continue
        arrival = Arrival(cast(Kind, row.reason), row.happened_on, row.tub, bool(row.grown), cast(Sex, row.sex))
        came[row.lot_id].append(_Came(arrival, row.n, row.stage_id, row.happened_from or row.happened_on))
    return dict(came), dict(finds)


def _count_up(find: _Find, explained: dt.date | None, came: int) -> CountUp:
    if explained is not None and find.on <= explained:
        return CountUp(find.more, why="explained", on=find.on)
    tolerance = max(1, came // TOLERANCE)
    return CountUp(find.more, tolerance, "miscounted before" if find.miscounted else "", find.on)


def _laid(named: Sequence[Any], came: Sequence[_Came]) -> tuple[dt.date | None, dt.date | None]:
    """Days the eggs were laid: as the keeper named them with the parents, else those of the arrivals."""
    days = [day for row in named for day in (row.laid_from, row.laid_on) if day is not None]
    if not days:
        for one in came:
            if one.arrival.kind == "laid" and one.arrival.on is not None:
                days += [one.first_on, one.arrival.on]
    return min(days, default=None), max(days, default=None)


def _hatch_days(
    started_from: dt.date, came: Sequence[_Came], moved_on: tuple[dt.date, dt.date] | None
) -> tuple[dt.date | None, dt.date | None]:
    """First and last day of hatching: of young that came in hatched, and of eggs that moved on."""
    days = list(moved_on or ())
    for one in came:
        if one.arrival.kind == "hatched" and one.arrival.on is not None:
            days += [min(started_from, one.first_on), one.arrival.on]
    return min(days, default=None), max(days, default=None)


def _hatched(conn: Connection, arrivals: dict[int, list[_Came]]) -> dict[int, tuple[dt.date, dt.date]]:
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
    rows = _of(conn, wanted, source.c.lot_id, {lot_id for lot_id, _ in laid})
    return {row.lot_id: (row.first, row.last) for row in rows if (row.lot_id, row.stage_id) in laid}


# --- splits, merges, harvests, tubs ------------------------------------------------------------------------------------


def _sources(conn: Connection, ids: Collection[int]) -> tuple[dict[int, list[Source]], dict[int, int]]:
    """By lot: what it was made from, and how many animals came from there."""
    made = sorted(_of(conn, select(t.lot_source), t.lot_source.c.lot_id, ids), key=lambda row: row.id)
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
        .where(m.reason.in_(("split", "merged")), m.reverses.is_(None))
    )
    days: dict[tuple[int, int], dt.date] = {}
    tubs: dict[tuple[int, int], dict[tuple[str, str], None]] = defaultdict(dict)
    numbers: dict[int, int] = defaultdict(int)
    for row in _of(conn, wanted, target.c.lot_id, {row.lot_id for row in made if row.how != "harvested"}):
        pair = (row.lot_id, row.source_id)
        days[pair] = max(row.happened_on, days.get(pair, row.happened_on))
        tubs[pair][row.tub, row.here] = None
        numbers[row.lot_id] += row.n
    found: dict[int, list[Source]] = defaultdict(list)
    for row in made:
        pair = (row.lot_id, row.source_id)
        found[row.lot_id].append(Source(row.source_id, row.how, days.get(pair), tuple(sorted(tubs.get(pair, ())))))
    return dict(found), numbers


def _with_sources(lots: set[int], sources: dict[int, list[Source]]) -> set[int]:
    """The lots and every lot they were split off or merged from."""
    known: set[int] = set()
    nearest = set(lots)
    while nearest:
        known |= nearest
        nearest = {one.lot_id for lot_id in nearest for one in sources.get(lot_id, ())} - known
    return known


def _tub_moves(conn: Connection, lots: Collection[int]) -> dict[int, list[tuple[str, str]]]:
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
    for row in _of(conn, wanted, source.c.lot_id, lots):
        found[row.lot_id].append((row.tub, row.here))
    return {lot_id: sorted(pairs) for lot_id, pairs in found.items()}


# --- how the species breed ---------------------------------------------------------------------------------------------


def _species(conn: Connection, species: Collection[int], lots: Collection[int]) -> tuple[SpeciesFacts, ...]:
    names = ("stored sperm days", "without mating")
    f = t.figure.c
    rows = conn.execute(select(f.species_id, f.name, f.value).where(f.name.in_(names)).order_by(f.from_on, f.id))
    newest: dict[tuple[int, str], int] = {(row.species_id, row.name): row.value for row in rows}
    wanted = select(t.lot.c.species_id).distinct()
    both = {row[0] for row in _of(conn, wanted, t.lot.c.id, _hermaphrodites(conn, lots))}
    return tuple(
        SpeciesFacts(one, newest.get((one, names[0])), newest.get((one, names[1])) == 1, hermaphrodite=one in both)
        for one in sorted(species)
    )
