"""Puts together what origin is derived from, for given lots and every lot they may come from; no others.

Reads only. Decides nothing: `derive` does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import zip_longest

from sqlalchemy import Connection, bindparam, literal, select, union_all

from ledger.origin import moved, recorded
from ledger.origin.facts import Exposure, LotFacts, SpeciesFacts, VirginFact
from ledger.origin.rows import in_parts, rows_of
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


_MATE = "mate"
_LINKS = union_all(
    select(t.lot_source.c.lot_id, t.lot_source.c.source_id, t.lot_source.c.how).where(
        t.lot_source.c.lot_id.in_(bindparam("lots", expanding=True))
    ),
    select(t.parent.c.lot_id, t.parent.c.parent_lot_id, t.parent.c.role).where(
        t.parent.c.lot_id.in_(bindparam("lots", expanding=True))
    ),
    select(t.exposure.c.female_lot_id, t.exposure.c.male_lot_id, literal(_MATE)).where(
        t.exposure.c.female_lot_id.in_(bindparam("mothers", expanding=True))
    ),
    select(t.exposure.c.male_lot_id, t.exposure.c.female_lot_id, literal(_MATE)).where(
        t.exposure.c.male_lot_id.in_(bindparam("either", expanding=True))
    ),
)
"""(lot, lot it may come from, how)."""


def ancestry(conn: Connection, lot_ids: Iterable[int]) -> set[int]:
    """The lots, and every lot they may come from: what they were made from, their parents, and their mothers' mates.

    With whom a lot's animals were matters only where that lot is one of mothers, or mothers were in it before.
    """
    known: set[int] = set()
    mothers: set[int] = set()
    either: set[int] = set()
    nearest, of_mothers, of_either = set(lot_ids), set[int](), set[int]()
    while True:
        while nearest or of_mothers or of_either:
            known |= nearest | of_mothers
            mothers |= of_mothers
            either |= of_either
            after: set[int] = set()
            mothers_after: set[int] = set()
            for lot_id, other, how in _links(conn, nearest | of_mothers, of_mothers, of_either):
                before_a_mother = how in ("mother", "harvested") or (how in ("split", "merged") and lot_id in mothers)
                (mothers_after if before_a_mother else after).add(other)
            nearest, of_mothers, of_either = after - known - mothers_after, mothers_after - mothers, set()
        of_either = recorded.hermaphrodites(conn, mothers - either)
        if not of_either:
            return known


def _links(conn: Connection, lots: set[int], mothers: set[int], either: set[int]) -> Iterator[tuple[int, int, str]]:
    """Links of lots; of mothers also to their mates; of hermaphrodites to those they may have fathered young with."""
    parts = [list(in_parts(lots)), list(in_parts(mothers)), list(in_parts(either))]
    for some in zip_longest(*parts, fillvalue=[]):
        named = dict(zip(("lots", "mothers", "either"), some, strict=True))
        for row in conn.execute(_LINKS, named):
            yield row[0], row[1], row[2]


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
