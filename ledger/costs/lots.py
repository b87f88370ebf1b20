"""Lots, species and stages as the sharing engine must know them: figures of method, who is whose young, who breeds.

Reads rows and turns them into the engine's plain values.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.costs.given import Dated, LotInfo
from ledger.costs.years import Years
from ledger.records import tables as t
from ledger.records.undone import stands


@dataclass(frozen=True, slots=True)
class Method:
    """Lots and figures of method the engine is given."""

    lots: dict[int, LotInfo]
    weights: dict[tuple[int, int], Dated]
    losses: dict[tuple[int, int], Dated]
    reared: dict[int, int]
    specimens: tuple[tuple[int, int], ...]
    to_offspring: Dated


def method_of(conn: Connection) -> Method:
    """Everything the engine must know of lots, species and stages."""
    stages = conn.execute(select(t.stage)).all()
    dated: dict[tuple[str, int, int], list[tuple[int, int]]] = defaultdict(list)
    life: dict[int, list[tuple[int, int]]] = defaultdict(list)
    position = {row.id: (row.species_id, row.position) for row in stages}
    for row in conn.execute(
        select(t.figure)
        .where(t.figure.c.name.in_(("care weight", "loss rate", "breeding life days")), stands(t.figure.c.operation_id))
        .order_by(t.figure.c.from_on, t.figure.c.id)
    ):
        if row.name == "breeding life days":
            life[row.species_id].append((row.from_on.toordinal(), row.value))
        else:
            dated[(row.name, *position[row.stage_id])].append((row.from_on.toordinal(), row.value))
    return Method(
        lots=_lots(conn, life),
        weights={key[1:]: _from_the_start(rows) for key, rows in dated.items() if key[0] == "care weight"},
        losses={key[1:]: tuple(rows) for key, rows in dated.items() if key[0] == "loss rate"},
        reared={row.species_id: row.position for row in stages if row.reared},
        specimens=tuple((row.species_id, row.position) for row in stages if row.unit == "specimen"),
        to_offspring=_to_offspring(conn),
    )


def _from_the_start(rows: Sequence[tuple[int, int]]) -> Dated:
    """The first weight of a stage counts from the first day on, so that a species taken in late is no special case."""
    if len(rows) == 1:
        return rows[0][1]
    return ((0, rows[0][1]), *rows[1:])


def _to_offspring(conn: Connection) -> Dated:
    """From which days on the upkeep of breeders goes to their young (1) or is expensed (0)."""
    m = t.method.c
    rows = conn.execute(
        select(m.from_on, m.value).where(m.name == "brood", stands(m.operation_id)).order_by(m.from_on, m.id)
    )
    return tuple((row.from_on.toordinal(), int(row.value == "offspring")) for row in rows) or 1


def _lots(conn: Connection, life: Mapping[int, Sequence[tuple[int, int]]]) -> dict[int, LotInfo]:
    years = Years(conn)
    mothers: dict[int, list[int]] = defaultdict(list)
    for row in conn.execute(
        select(t.parent.c.lot_id, t.parent.c.parent_lot_id)
        .where(t.parent.c.role == "mother")
        .union_all(select(t.lot_source.c.lot_id, t.lot_source.c.source_id).where(t.lot_source.c.how == "harvested"))
    ):
        if row.parent_lot_id not in mothers[row.lot_id]:
            mothers[row.lot_id].append(row.parent_lot_id)
    breeds: dict[int, list[tuple[int, int, bool]]] = defaultdict(list)
    boxes: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    clutches: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for fact in conn.execute(
        select(t.lot_fact)
        .where(
            t.lot_fact.c.fact.in_(("purpose", "brood ends", "containers", "brood weight")),
            stands(t.lot_fact.c.operation_id),
        )
        .order_by(t.lot_fact.c.from_on, t.lot_fact.c.id)
    ):
        when = fact.from_on.toordinal(), fact.operation_id
        if fact.fact == "containers":
            boxes[fact.lot_id].append((*when, int(fact.value)))
        elif fact.fact == "brood weight":
            clutches[fact.lot_id].append((*when, int(fact.value)))
        else:
            breeds[fact.lot_id].append((*when, fact.fact == "purpose" and fact.value == "breeding"))
    lent = set(
        conn.execute(
            select(t.holding.c.lot_id)
            .join(t.movement, t.movement.c.to_holding_id == t.holding.c.id)
            .where(t.movement.c.reason == "lent in")
            .distinct()
        ).scalars()
    )
    lives = {species: tuple(rows) for species, rows in life.items()}
    return {
        row.id: LotInfo(
            species=row.species_id,
            mothers=tuple(mothers[row.id]),
            breeding=_times(years.counting(breeds[row.id])),
            lent=row.id in lent,
            breeding_life_days=lives.get(row.species_id),
            brood_share=tuple(years.counting(clutches[row.id])) or None,
            containers=tuple(years.counting(boxes[row.id])) or 1,
        )
        for row in conn.execute(select(t.lot.c.id, t.lot.c.species_id).order_by(t.lot.c.id))
    }


def _times(breeds: Sequence[tuple[int, bool]]) -> tuple[tuple[int, int | None], ...]:
    """First and last day of each time a lot bred, from the days on which it began to or left off."""
    times: list[tuple[int, int | None]] = []
    for day, begins in breeds:
        breeding = bool(times) and times[-1][1] is None
        if begins and not breeding:
            times.append((day, None))
        elif breeding and not begins:
            start = times.pop()[0]
            if day > start:
                times.append((start, day - 1))
    return tuple(times)
