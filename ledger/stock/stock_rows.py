"""What is alive: by holding, and by lot; now from the holdings, on a past day from the journal. Reads only."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, func, or_, select

from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.figures import lot_facts
from ledger.stock.journal import counts_on, is_reversal_or_reversed
from ledger.stock.words import by_sex, tub_order


@dataclass(frozen=True, slots=True)
class StockRow:
    """The animals of one holding on a day."""

    holding_id: int
    lot_id: int
    lot: str
    species_id: int
    species: str
    """Code of the species."""
    stage_id: int
    stage: str
    position: int
    unit: str
    """animal, object or specimen."""
    reared: bool
    sex: str
    sure: str
    tub: str
    count: int
    earmarked: int | None
    """Held, kept back or to be posted; None on a past day, where earmarks are not told."""

    @property
    def free(self) -> int | None:
        """Not set aside; None on a past day."""
        return None if self.earmarked is None else self.count - self.earmarked


def stock_on(
    conn: Connection,
    on: dt.date | None = None,
    *,
    species: Collection[int] | None = None,
    lots: Collection[int] | None = None,
) -> tuple[StockRow, ...]:
    """What is alive (and the dried specimens) by holding.

    Args:
        conn: a connection.
        on: at the end of that day, by the day things happened; None: now.
        species, lots: only of these ids; None: all.

    Returns:
        Rows with animals, by species, lot, stage, tub and sex.
    """
    h, lot, stage, kind = t.holding.c, t.lot.c, t.stage.c, t.species.c
    wanted = (
        select(
            h.id,
            h.lot_id,
            lot.code,
            lot.species_id,
            kind.code,
            h.stage_id,
            stage.name,
            stage.position,
            stage.unit,
            stage.reared,
            h.sex,
            h.sure,
            h.tub,
            h.count,
            h.earmarked,
        )
        .join(t.lot, lot.id == h.lot_id)
        .join(t.stage, stage.id == h.stage_id)
        .join(t.species, kind.id == lot.species_id)
    )
    if on is None:
        wanted = wanted.where(h.count > 0)
    if species is not None:
        wanted = wanted.where(lot.species_id.in_(sorted(set(species))))
    if lots is not None:
        wanted = wanted.where(h.lot_id.in_(sorted(set(lots))))
    rows = conn.execute(wanted).all()
    limited = species is not None or lots is not None
    then = {} if on is None else counts_on(conn, on, [row[0] for row in rows] if limited else None)
    found = []
    for row in rows:
        count = row[13] if on is None else then.get(row[0], 0)
        if count > 0:
            found.append(
                StockRow(
                    row[0],
                    row[1],
                    row[2],
                    row[3],
                    row[4],
                    row[5],
                    row[6],
                    row[7],
                    row[8],
                    bool(row[9]),
                    row[10],
                    row[11],
                    row[12],
                    count,
                    row[14] if on is None else None,
                )
            )
    return tuple(
        sorted(found, key=lambda row: (row.species, row.lot, row.position, tub_order(row.tub), row.sex, row.sure))
    )


@dataclass(frozen=True, slots=True)
class StageCount:
    """The animals of a lot in one stage."""

    stage_id: int
    stage: str
    position: int
    unit: str
    count: int
    by_sex: str
    """males.females.unsexed."""


@dataclass(frozen=True, slots=True)
class LotRow:
    """A lot with what is in it."""

    lot_id: int
    code: str
    species_id: int
    species: str
    common: str
    started_from: dt.date
    started_on: dt.date
    line: str
    purpose: str
    place: str
    colony: bool
    animals: int
    objects: int
    specimens: int
    by_sex: str
    """Of the animals: males.females.unsexed."""
    stages: tuple[StageCount, ...]
    tubs: int
    """Labelled tubs with anything in them."""
    about: bool
    """The number rests on an estimate nobody has counted since."""


def lot_rows(
    conn: Connection,
    on: dt.date,
    *,
    today: dt.date,
    species: Collection[int] | None = None,
    lots: Collection[int] | None = None,
    empty: bool = False,
) -> tuple[LotRow, ...]:
    """Lots with what is in them on a day, by code.

    Args:
        conn: a connection.
        on: the day.
        today: the day it is; from then on the holdings tell, before it the journal.
        species, lots: only of these ids; None: all.
        empty: also lots without animals.
    """
    stock: dict[int, list[StockRow]] = defaultdict(list)
    for row in stock_on(conn, on if on < today else None, species=species, lots=lots):
        stock[row.lot_id].append(row)
    lot, kind = t.lot.c, t.species.c
    wanted = select(
        lot.id, lot.code, lot.species_id, kind.code, kind.common, lot.started_from, lot.started_on, lot.line
    ).join(t.species, kind.id == lot.species_id)
    if species is not None:
        wanted = wanted.where(lot.species_id.in_(sorted(set(species))))
    if lots is not None:
        wanted = wanted.where(lot.id.in_(sorted(set(lots))))
    facts = lot_facts(conn, on, lots)
    guessed = _estimated(conn, on, lots)
    return tuple(
        LotRow(
            *row,
            facts.get((row[0], "purpose"), ""),
            facts.get((row[0], "place"), ""),
            facts.get((row[0], "colony")) == "yes",
            *_counts(stock[row[0]]),
            row[0] in guessed,
        )
        for row in conn.execute(wanted.order_by(lot.code))
        if stock[row[0]] or (empty and row[5] <= on)
    )


def _counts(rows: Iterable[StockRow]) -> tuple[int, int, int, str, tuple[StageCount, ...], int]:
    units: dict[str, int] = defaultdict(int)
    sexes: dict[str, int] = defaultdict(int)
    stages: dict[tuple[int, int, str, str], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    tubs = set()
    for row in rows:
        units[row.unit] += row.count
        if row.unit == "animal":
            sexes[row.sex] += row.count
        stages[row.position, row.stage_id, row.stage, row.unit][row.sex] += row.count
        if row.tub:
            tubs.add(row.tub)
    by_stage = tuple(
        StageCount(number, name, position, unit, sum(counts.values()), by_sex(counts))
        for (position, number, name, unit), counts in sorted(stages.items())
    )
    return units["animal"], units["object"], units["specimen"], by_sex(sexes), by_stage, len(tubs)


def _estimated(conn: Connection, on: dt.date, lots: Collection[int] | None) -> set[int]:
    """Lots, of all or of these, where something estimated came in that nobody has counted since."""
    m, e, h, o = t.movement.c, t.entry.c, t.holding.c, t.observation.c
    last = (
        select(h.lot_id, func.max(e.happened_on))
        .join(t.movement, m.to_holding_id == h.id)
        .join(t.entry, e.id == m.entry_id)
        .where(m.estimated == 1, e.happened_on <= on, ~is_reversal_or_reversed())
        .group_by(h.lot_id)
    )
    counted = (
        select(o.lot_id, func.max(o.happened_on))
        .where(o.kind == "counted", or_(o.tub == "", o.stage_id.is_(None)), o.happened_on <= on, stands(o.operation_id))
        .group_by(o.lot_id)
    )
    if lots is not None:
        last = last.where(h.lot_id.in_(sorted(set(lots))))
    days: dict[int, dt.date] = {row[0]: row[1] for row in conn.execute(counted)}
    never = dt.date.min
    return {row[0] for row in conn.execute(last) if days.get(row[0], never) < row[1]}
