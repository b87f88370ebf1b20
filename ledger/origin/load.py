"""Puts together what origin is derived from, for given lots and every lot they may come from; no others.

Reads only. Decides nothing: `derive` does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.origin import moved, recorded
from ledger.origin.facts import Exposure, LotFacts, SpeciesFacts, VirginFact
from ledger.origin.rows import rows_of
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class Facts:
    """What `derive_all` takes."""

    lots: dict[int, LotFacts]
    exposures: tuple[Exposure, ...]
    virgin_facts: tuple[VirginFact, ...]
    species: tuple[SpeciesFacts, ...]
    by_tub: frozenset[int]
    """Lots of which the moves between tubs were read, because a single animal of them is named."""


def ancestry(conn: Connection, lot_ids: Iterable[int]) -> set[int]:
    """The lots, and every lot they may come from: what they were made from, their parents, and their mothers' mates.

    With whom a lot's animals were matters only where that lot is one of mothers, or mothers were in it before.
    """
    known: set[int] = set()
    mothers: set[int] = set()
    nearest, of_mothers = set(lot_ids), set[int]()
    while nearest or of_mothers:
        known |= nearest | of_mothers
        mothers |= of_mothers
        made_from = select(t.lot_source.c.lot_id, t.lot_source.c.source_id, t.lot_source.c.how)
        named = select(t.parent.c.parent_lot_id, t.parent.c.role)
        after: set[int] = set()
        mothers_after: set[int] = set()
        for lot_id, source_id, how, *_ in rows_of(conn, made_from, t.lot_source.c.lot_id, nearest | of_mothers):
            before_a_mother = lot_id in mothers or how == "harvested"
            (mothers_after if before_a_mother else after).add(source_id)
        for parent_id, role, *_ in rows_of(conn, named, t.parent.c.lot_id, nearest | of_mothers):
            (mothers_after if role == "mother" else after).add(parent_id)
        after |= _mates(conn, of_mothers)
        nearest, of_mothers = after - known - mothers_after, mothers_after - mothers
    return known


def _mates(conn: Connection, mothers: set[int]) -> set[int]:
    """Lots whose animals were with animals of these lots; of hermaphrodites either may be the mother."""
    x = t.exposure.c
    both = recorded.hermaphrodites(conn, mothers)
    males = rows_of(conn, select(x.male_lot_id), x.female_lot_id, mothers)
    females = rows_of(conn, select(x.female_lot_id), x.male_lot_id, both)
    return {row[0] for row in (*males, *females)}


def load(conn: Connection, lot_ids: Iterable[int], *, dates: bool = True) -> Facts:
    """The facts of lots and of all they may come from.

    Args:
        lot_ids: lots asked for.
        dates: read the days of hatching too, for gaps and provenance; the origin itself does not need them.
    """
    ids = ancestry(conn, lot_ids)
    parents = recorded.parents(conn, ids)
    exposures, named_in_pairs = recorded.exposures(conn, ids)
    virgin_facts = recorded.virgin_facts(conn, ids)
    sources, numbers = moved.sources(conn, ids)
    arrivals, finds = moved.arrivals(conn, ids)
    for lot_id, came in arrivals.items():
        numbers[lot_id] += sum(one.count for one in came)
    tubs = {one.animal.lot_id for one in virgin_facts if one.animal.tub} | named_in_pairs
    tubs |= {row.parent_lot_id for rows in parents.values() for row in rows if row.parent_tub}
    by_tub = moved.with_sources(tubs, sources)
    moves = moved.tub_moves(conn, by_tub)
    hatched = moved.hatched(conn, arrivals) if dates else {}
    stated, claims, explained = recorded.statements(conn, ids)
    colonies = recorded.colonies(conn, ids)
    lots = {}
    wanted = select(t.lot.c.id, t.lot.c.code, t.lot.c.species_id, t.lot.c.started_from, t.lot.c.line)
    for row in rows_of(conn, wanted, t.lot.c.id, ids):
        came = arrivals.get(row.id, [])
        named = parents.get(row.id, [])
        first, last = moved.laid_days(named, came)
        born = moved.hatch_days(row.started_from, came, hatched.get(row.id))
        lots[row.id] = LotFacts(
            row.id,
            row.code,
            row.species_id,
            arrivals=tuple(dict.fromkeys(one.arrival for one in came)),
            sources=tuple(sources.get(row.id, ())),
            stated=stated.get(row.id),
            mothers=recorded.animals(named, "mother"),
            stated_fathers=recorded.animals(named, "father"),
            laid_from=first,
            laid_to=last,
            hatched_from=born[0],
            hatched_to=born[1],
            unhatched=born == (None, None) and any(one.arrival.kind == "laid" for one in came),
            claims=tuple(claims.get(row.id, ())),
            counts_up=tuple(
                moved.count_up(find, explained.get(row.id), numbers[row.id]) for find in finds.get(row.id, ())
            ),
            breeds=row.id in colonies,
            tub_moves=tuple(moves.get(row.id, ())),
            line=row.line,
        )
    species = recorded.species(conn, {lot.species_id for lot in lots.values()}, ids)
    return Facts(lots, exposures, virgin_facts, species, frozenset(by_tub))
