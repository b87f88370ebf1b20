"""The species of a ledger, each with its stages in the order of life. Reads only."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.stock.naming import StageRef, all_species, stage_ref


@dataclass(frozen=True, slots=True)
class SpeciesRow:
    """One species."""

    id: int
    code: str
    common: str
    scientific: str
    group: str
    template: str
    """Key of the template it was taken from; empty: described by hand."""
    caution: str
    stages: tuple[StageRef, ...]

    @property
    def reared(self) -> str:
        """Name of the stage that counts as reared."""
        return next(stage.name for stage in self.stages if stage.reared)


def species_rows(conn: Connection) -> tuple[SpeciesRow, ...]:
    """Every species, by code."""
    ladders: dict[int, list[StageRef]] = defaultdict(list)
    for row in conn.execute(select(t.stage).order_by(t.stage.c.species_id, t.stage.c.position)):
        ladders[row.species_id].append(stage_ref(row))
    return tuple(
        SpeciesRow(
            one.id,
            one.code,
            one.common,
            one.scientific,
            one.group,
            one.template,
            one.caution,
            tuple(ladders[one.id]),
        )
        for one in all_species(conn)
    )
