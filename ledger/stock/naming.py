"""Species, stages and lots by the names a keeper uses; a name that is not there is refused with near ones.

Reads only. Codes are kept in capitals, so they are found however they are typed.
"""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Row, bindparam, select

from ledger.errors import NotFound
from ledger.records import tables as t
from ledger.records.later import recall
from ledger.text import clean_code, quoted
from ledger.wording import listed, say, word


@dataclass(frozen=True, slots=True)
class SpeciesRef:
    """A species of the ledger."""

    id: int
    code: str
    scientific: str
    common: str
    group: str
    template: str
    caution: str


@dataclass(frozen=True, slots=True)
class StageRef:
    """One stage of a species."""

    id: int
    species_id: int
    position: int
    """Place in the order of life, from 0."""
    name: str
    unit: str
    """animal, object or specimen."""
    reared: bool


@dataclass(frozen=True, slots=True)
class LotRef:
    """A lot."""

    id: int
    code: str
    species_id: int
    started_from: dt.date
    started_on: dt.date
    line: str
    note: str
    depth: int
    """How many splits, merges and births lie between it and a founder."""


def _lot_ref(row: Row) -> LotRef:  # type: ignore[type-arg]
    return LotRef(row.id, row.code, row.species_id, row.started_from, row.started_on, row.line, row.note, row.depth)


_LOT_BY_CODE = select(t.lot).where(t.lot.c.code == bindparam("wanted"))


def find_lot(conn: Connection, code: str) -> LotRef:
    """The lot of that code.

    Raises:
        NotFound: there is none; `facts['near']` lists codes it may have meant.
    """
    wanted = clean_code(code, field="lot")

    def ask() -> LotRef | None:
        row = conn.execute(_LOT_BY_CODE, {"wanted": wanted}).one_or_none()
        return None if row is None else _lot_ref(row)

    found = recall(conn, ("lot", wanted), (t.lot.name, known_as(wanted)), ask)
    if found is None:
        known = conn.execute(select(t.lot.c.code)).scalars().all()
        raise _unknown("lot", code, wanted, known, say("add the lot first."))
    return found


def known_as(code: str) -> str:
    """What a remembered answer about a code rests on, besides the table of lots."""
    return f"lot {code}"


def lots_by_id(conn: Connection, ids: Iterable[int]) -> dict[int, LotRef]:
    """Lots by their ids."""
    wanted = select(t.lot).where(t.lot.c.id.in_(sorted(set(ids))))
    return {row.id: _lot_ref(row) for row in conn.execute(wanted)}


def find_species(conn: Connection, code: str) -> SpeciesRef:
    """The species of that code.

    Raises:
        NotFound: there is none; `facts['near']` lists codes it may have meant.
    """
    wanted = clean_code(code, field="species")

    def ask() -> SpeciesRef | None:
        row = conn.execute(select(t.species).where(t.species.c.code == wanted)).one_or_none()
        return None if row is None else _species_ref(row)

    found = recall(conn, ("species", wanted), (t.species.name,), ask)
    if found is None:
        known = conn.execute(select(t.species.c.code)).scalars().all()
        raise _unknown("species", code, wanted, known, say("add the species first."))
    return found


def all_species(conn: Connection) -> tuple[SpeciesRef, ...]:
    """Every species, by code."""
    return tuple(_species_ref(row) for row in conn.execute(select(t.species).order_by(t.species.c.code)))


def _species_ref(row: Row) -> SpeciesRef:  # type: ignore[type-arg]
    return SpeciesRef(row.id, row.code, row.scientific, row.common, row.grp, row.template, row.caution)


def _unknown(what: str, typed: str, wanted: str, known: Iterable[str], otherwise: str) -> NotFound:
    near = tuple(difflib.get_close_matches(wanted, list(known), n=5, cutoff=0.5))
    hint = say("did you mean {near}?", near=listed(near, "or")) if near else otherwise
    return NotFound(
        say("There is no {what} {typed}; {hint}", what=word(what), typed=quoted(typed), hint=hint),
        field=what,
        facts={"text": typed, "near": near},
    )


def stages(conn: Connection, species_id: int) -> tuple[StageRef, ...]:
    """The stages of a species in the order of life."""

    def ask() -> tuple[StageRef, ...]:
        return tuple(stage_ref(row) for row in conn.execute(_STAGES, {"species": species_id}))

    return recall(conn, ("stages", species_id), (t.stage.name,), ask)


_STAGES = select(t.stage).where(t.stage.c.species_id == bindparam("species")).order_by(t.stage.c.position)


def stages_by_id(conn: Connection, ids: Iterable[int]) -> dict[int, StageRef]:
    """Stages by their ids."""
    wanted = select(t.stage).where(t.stage.c.id.in_(sorted(set(ids))))
    return {row.id: stage_ref(row) for row in conn.execute(wanted)}


def stage_ref(row: Row) -> StageRef:  # type: ignore[type-arg]
    """A row of the stage table as a value."""
    return StageRef(row.id, row.species_id, row.position, row.name, row.unit, bool(row.reared))


def find_stage(conn: Connection, species_id: int, name: str) -> StageRef:
    """The stage of that name, in any case.

    Raises:
        NotFound: the species has no such stage; the sentence lists those it has.
    """
    return match_stage(stages(conn, species_id), name)


def match_stage(known: Sequence[StageRef], name: str, field: str = "stage") -> StageRef:
    """The stage of that name among those of a species; raises NotFound."""
    wanted = name.strip().casefold()
    for stage in known:
        if stage.name.casefold() == wanted:
            return stage
    names = tuple(stage.name for stage in known)
    raise NotFound(
        say("There is no stage {name} here; the stages are {names}.", name=quoted(name), names=listed(names)),
        field=field,
        facts={"text": name, "stages": names},
    )
