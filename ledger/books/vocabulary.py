"""The names a line in the keeper's own words may use: lots with their stages and tubs, species, people, categories.

Reads only; knows no grammar.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.costs.listing import categories, suppliers
from ledger.records import tables as t
from ledger.records.columns import LAST_DAY
from ledger.stock.figures import lot_facts


@dataclass(frozen=True, slots=True)
class Names:
    """The names of one ledger."""

    stages: Mapping[str, tuple[tuple[str, str], ...]]
    """For each lot code, its stages in order: (name, unit)."""
    kinds: Mapping[str, str]
    """For each lot code, the code of its species."""
    tubs: Mapping[str, Mapping[str, int]]
    """For each lot that has any, its labelled tubs with the number alive in each."""
    alive: tuple[str, ...]
    """Lots that hold animals or objects and are not lent out."""
    places: Mapping[str, tuple[str, ...]]
    """Places where lots stand, each with the lots of `alive` there."""
    species: tuple[str, ...]
    customers: tuple[str, ...]
    suppliers: tuple[str, ...]
    categories: Mapping[str, str]
    """Categories of spending and the kind of each."""
    example: str
    """A lot of which '3 died' says all there is to say: many animals of one stage and sex in no tub; empty if none."""


def names(conn: Connection) -> Names:
    """Every name of a ledger."""
    ladders: dict[int, list[tuple[str, str]]] = defaultdict(list)
    for row in conn.execute(
        select(t.stage.c.species_id, t.stage.c.name, t.stage.c.unit).order_by(t.stage.c.species_id, t.stage.c.position)
    ):
        ladders[row.species_id].append((row.name, row.unit))
    lots = conn.execute(select(t.lot.c.code, t.lot.c.species_id).order_by(t.lot.c.code)).all()
    species = {row.id: row.code for row in conn.execute(select(t.species.c.id, t.species.c.code))}
    tubs: dict[str, dict[str, int]] = defaultdict(dict)
    alive = func.sum(t.holding.c.count)
    for row in conn.execute(
        select(t.lot.c.code, t.holding.c.tub, alive.label("alive"))
        .join(t.lot, t.lot.c.id == t.holding.c.lot_id)
        .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
        .where(t.holding.c.tub != "", t.stage.c.unit != "specimen")
        .group_by(t.lot.c.code, t.holding.c.tub)
        .order_by(t.lot.c.code, t.holding.c.tub)
    ):
        tubs[row.code][row.tub] = int(row.alive)
    people = conn.execute(select(t.customer.c.name).where(t.customer.c.erased_on.is_(None)).order_by(t.customer.c.name))
    alive_here, places = _whereabouts(conn)
    return Names(
        stages={row.code: tuple(ladders[row.species_id]) for row in lots},
        kinds={row.code: species[row.species_id] for row in lots},
        tubs={code: dict(found) for code, found in tubs.items()},
        alive=alive_here,
        places=places,
        species=tuple(sorted(species.values())),
        customers=tuple(dict.fromkeys(people.scalars())),
        suppliers=suppliers(conn),
        categories=categories(conn),
        example=conn.execute(_EXAMPLE).scalar() or "",
    )


def _whereabouts(conn: Connection) -> tuple[tuple[str, ...], dict[str, tuple[str, ...]]]:
    """Lots with something alive that are not lent out, and those of them in each place."""
    there = conn.execute(
        select(t.lot.c.id, t.lot.c.code)
        .where(
            t.lot.c.id.in_(
                select(t.holding.c.lot_id)
                .join(t.stage, t.stage.c.id == t.holding.c.stage_id)
                .where(t.holding.c.count > 0, t.stage.c.unit != "specimen")
            )
        )
        .order_by(t.lot.c.code)
    ).all()
    facts = lot_facts(conn, LAST_DAY)
    alive = [row for row in there if facts.get((row.id, "lent out"), "") in ("", "no")]
    # A shelf that has been emptied is still one that a keeper may name.
    places: dict[str, list[str]] = {value: [] for (_, fact), value in facts.items() if fact == "place"}
    for row in alive:
        places.setdefault(facts.get((row.id, "place"), ""), []).append(row.code)
    named = sorted((place for place in places if place), key=str.casefold)
    return tuple(row.code for row in alive), {place: tuple(places[place]) for place in named}


_EXAMPLE = (
    select(t.lot.c.code)
    .join(t.holding, t.holding.c.lot_id == t.lot.c.id)
    .where(t.holding.c.count > 0)
    .group_by(t.lot.c.code)
    .having(func.count() == 1, func.max(t.holding.c.count) > 3, func.max(t.holding.c.tub) == "")
    .order_by(func.max(t.holding.c.count).desc(), t.lot.c.code)
    .limit(1)
)
