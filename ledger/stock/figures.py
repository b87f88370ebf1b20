"""Dated figures of species and stages, and dated facts of lots, as they stand on a day.

The newest row dated not after the day counts; of two rows of one day the later recorded. Reads only.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, select

from ledger.records import tables as t
from ledger.records.later import recall, remembers
from ledger.records.undone import stands

SPECIES_FIGURES = ("stored sperm days", "breeding life days", "without mating", "round days")
STAGE_FIGURES = (
    "saleable",
    "do not post",
    "hardening days",
    "days low",
    "days high",
    "planning survival",
    "care weight",
    "loss rate",
)
YES_NO = frozenset({"saleable", "do not post", "without mating"})
MILLIONTHS = frozenset({"planning survival", "loss rate"})
THOUSANDTHS = frozenset({"care weight"})


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures in force on one day."""

    on: dt.date
    values: Mapping[tuple[int, int | None, str], tuple[int, str]]
    """(species, stage or None, name) -> (value, source)."""

    def of(self, species_id: int, stage_id: int | None, name: str) -> int | None:
        """The figure, or None when it is not known (never the same as nought). Units as in the records."""
        found = self.values.get((species_id, stage_id, name))
        return None if found is None else found[0]

    def source(self, species_id: int, stage_id: int | None, name: str) -> str:
        """Where the figure comes from; empty when it is not known."""
        found = self.values.get((species_id, stage_id, name))
        return "" if found is None else found[1]

    def yes(self, species_id: int, stage_id: int | None, name: str) -> bool:
        """Whether a yes-or-no figure is yes."""
        return self.of(species_id, stage_id, name) == 1

    def hardening_days(self, species_id: int, stage_id: int) -> int:
        """Days in the stage before an animal should be sold; none known means none."""
        return self.of(species_id, stage_id, "hardening days") or 0


def figures(conn: Connection, on: dt.date) -> Figures:
    """Every figure in force on a day."""
    if remembers(conn):
        return _every_figure(conn).on(on)
    rows = conn.execute(_IN_FORCE, {"on": on})
    return Figures(on, {(species, stage, name): (value, source) for species, stage, name, value, source in rows})


class _EveryFigure:
    """The figures of all days, read once; between two days on which some change they are the same."""

    def __init__(self, rows: Sequence[Any]) -> None:
        self._rows = rows
        self.changes = sorted({row.from_on for row in rows})
        """The days on which figures change."""
        self._since: dict[int, dict[tuple[int, int | None, str], tuple[int, str]]] = {}
        self._on: dict[dt.date, Figures] = {}

    def on(self, day: dt.date) -> Figures:
        """Those in force on a day."""
        found = self._on.get(day)
        if found is None:
            place = bisect_right(self.changes, day)
            values = self._since.get(place)
            if values is None:
                values = self._since[place] = {
                    (row.species_id, row.stage_id, row.name): (row.value, row.source)
                    for row in self._rows
                    if row.from_on <= day
                }
            found = self._on[day] = Figures(day, values)
        return found


def _every_figure(conn: Connection) -> _EveryFigure:
    def ask() -> _EveryFigure:
        return _EveryFigure(conn.execute(_EVERY).all())

    return recall(conn, "every figure", (t.figure.name, t.undone.name), ask)


_FIGURE = t.figure.c
_EVERY = (
    select(_FIGURE.species_id, _FIGURE.stage_id, _FIGURE.name, _FIGURE.value, _FIGURE.source, _FIGURE.from_on)
    .where(stands(_FIGURE.operation_id))
    .order_by(_FIGURE.from_on, _FIGURE.id)
)
_IN_FORCE = _EVERY.with_only_columns(
    _FIGURE.species_id, _FIGURE.stage_id, _FIGURE.name, _FIGURE.value, _FIGURE.source
).where(_FIGURE.from_on <= bindparam("on", type_=_FIGURE.from_on.type))


def same_from_to(conn: Connection, lot: int, on: dt.date) -> tuple[dt.date, dt.date]:
    """The first and the last day around a day on which all figures and the facts of a lot are as they are on it.

    Only while answers are remembered.
    """
    changes = sorted({*_every_figure(conn).changes, *(from_on for from_on, _, _ in _every_fact(conn, lot))})
    place = bisect_right(changes, on)
    first = changes[place - 1] if place else dt.date.min
    return first, changes[place] - dt.timedelta(days=1) if place < len(changes) else dt.date.max


def lot_fact(conn: Connection, lot_id: int, fact: str, on: dt.date) -> str | None:
    """What holds for a lot on a day (its purpose, place, ...), or None when nothing was said."""
    f = t.lot_fact.c
    return conn.execute(
        select(f.value)
        .where(f.lot_id == lot_id, f.fact == fact, f.from_on <= on, stands(f.operation_id))
        .order_by(f.from_on.desc(), f.id.desc())
        .limit(1)
    ).scalar_one_or_none()


_FACT = t.lot_fact.c
_FACTS = (
    select(_FACT.lot_id, _FACT.fact, _FACT.value)
    .where(_FACT.from_on <= bindparam("on", type_=_FACT.from_on.type), stands(_FACT.operation_id))
    .order_by(_FACT.from_on, _FACT.id)
)
_FACTS_OF = _FACTS.where(_FACT.lot_id.in_(bindparam("lots", expanding=True)))


def lot_facts(conn: Connection, on: dt.date, lots: Collection[int] | None = None) -> dict[tuple[int, str], str]:
    """What holds for every lot (or those of `lots`) on a day, by (lot, fact)."""
    if lots is not None and len(lots) == 1 and remembers(conn):
        (lot,) = lots
        return {(lot, fact): value for from_on, fact, value in _every_fact(conn, lot) if from_on <= on}
    if lots is None:
        rows = conn.execute(_FACTS, {"on": on})
    else:
        rows = conn.execute(_FACTS_OF, {"on": on, "lots": sorted(set(lots))})
    return {(lot_id, fact): value for lot_id, fact, value in rows}


def _every_fact(conn: Connection, lot: int) -> list[tuple[dt.date, str, str]]:
    """(from, fact, value) of a lot, whatever the day."""

    def ask() -> list[tuple[dt.date, str, str]]:
        return [(row.from_on, row.fact, row.value) for row in conn.execute(_EVERY_FACT, {"lot": lot})]

    return recall(conn, ("facts", lot), (t.lot_fact.name, t.undone.name), ask)


_EVERY_FACT = (
    select(_FACT.from_on, _FACT.fact, _FACT.value)
    .where(_FACT.lot_id == bindparam("lot"), stands(_FACT.operation_id))
    .order_by(_FACT.from_on, _FACT.id)
)
