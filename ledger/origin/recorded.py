"""Reads what was said of lots and animals: parents, pairings, virginity, statements and claims, how species breed.

Rows as they are on record, later ones in the place of earlier ones where they correct them; decides nothing else.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Sequence
from typing import Any, cast

from sqlalchemy import Connection, select

from ledger.origin.facts import AnimalRef, Answer, Claim, Exposure, SpeciesFacts, Statement, VirginFact
from ledger.origin.rows import rows_of
from ledger.records import tables as t
from ledger.records.undone import stands


def hermaphrodites(conn: Connection, lots: Collection[int]) -> set[int]:
    """Those of the lots that have had animals recorded as hermaphrodites."""
    wanted = select(t.holding.c.lot_id).where(t.holding.c.sex == "hermaphrodite").distinct()
    return {row[0] for row in rows_of(conn, wanted, t.holding.c.lot_id, lots)}


def parents(conn: Connection, ids: Collection[int]) -> dict[int, list[Any]]:
    """Rows naming the parents of each lot; a later act of naming them takes the place of an earlier one."""
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows_of(conn, select(t.parent), t.parent.c.lot_id, ids):
        found[row.lot_id].append(row)
    for lot_id, rows in found.items():
        newest = max(row.operation_id for row in rows)
        found[lot_id] = sorted((row for row in rows if row.operation_id == newest), key=lambda row: row.id)
    return dict(found)


def animals(named: Sequence[Any], role: str) -> tuple[AnimalRef, ...]:
    """The animals named in a role."""
    return tuple(AnimalRef(row.parent_lot_id, row.parent_tub) for row in named if row.role == role)


def exposures(conn: Connection, ids: Collection[int]) -> tuple[tuple[Exposure, ...], set[int]]:
    """Exposures among the lots in the order they were recorded, and the lots of which a tub is named in one."""
    wanted = select(t.exposure, t.exposure_end.c.to_on.label("ended_on")).outerjoin(
        t.exposure_end, t.exposure_end.c.exposure_id == t.exposure.c.id
    )
    rows = [row for row in rows_of(conn, wanted, t.exposure.c.female_lot_id, ids) if row.male_lot_id in ids]
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


def virgin_facts(conn: Connection, ids: Collection[int]) -> tuple[VirginFact, ...]:
    """What is known of virginity on arrival, in the order it was recorded."""
    rows = sorted(rows_of(conn, select(t.animal_fact), t.animal_fact.c.lot_id, ids), key=lambda row: row.id)
    return tuple(
        VirginFact(AnimalRef(row.lot_id, row.tub), cast(Answer, row.value), row.from_on)
        for row in rows
        if row.fact == "virgin on arrival"
    )


def statements(
    conn: Connection, ids: Collection[int]
) -> tuple[dict[int, Statement], dict[int, list[Claim]], dict[int, dt.date]]:
    """By lot: the latest statement; what a person lowered or raised, in order; up to when counts are explained."""
    stated: dict[int, Statement] = {}
    claims: dict[int, list[Claim]] = defaultdict(list)
    explained: dict[int, dt.date] = {}
    for row in sorted(rows_of(conn, select(t.origin_fact), t.origin_fact.c.lot_id, ids), key=lambda row: row.id):
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


def colonies(conn: Connection, ids: Collection[int]) -> set[int]:
    """Those of the lots that are colonies, which raise their own young."""
    wanted = select(t.lot_fact.c.lot_id, t.lot_fact.c.value, t.lot_fact.c.from_on, t.lot_fact.c.id).where(
        t.lot_fact.c.fact == "colony", stands(t.lot_fact.c.operation_id)
    )
    rows = sorted(rows_of(conn, wanted, t.lot_fact.c.lot_id, ids), key=lambda row: (row.from_on, row.id))
    newest = {row.lot_id: row.value for row in rows}
    return {lot_id for lot_id, value in newest.items() if value not in ("", "no")}


def species(conn: Connection, species: Collection[int], lots: Collection[int]) -> tuple[SpeciesFacts, ...]:
    """How the species of the lots breed."""
    names = ("stored sperm days", "without mating")
    f = t.figure.c
    rows = conn.execute(
        select(f.species_id, f.name, f.value).where(f.name.in_(names), stands(f.operation_id)).order_by(f.from_on, f.id)
    )
    newest: dict[tuple[int, str], int] = {(row.species_id, row.name): row.value for row in rows}
    wanted = select(t.lot.c.species_id).distinct()
    both = {row[0] for row in rows_of(conn, wanted, t.lot.c.id, hermaphrodites(conn, lots))}
    return tuple(
        SpeciesFacts(one, newest.get((one, names[0])), newest.get((one, names[1])) == 1, hermaphrodite=one in both)
        for one in sorted(species)
    )
