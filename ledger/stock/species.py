"""Species: taken over from a template or described by hand.

What a template or a keeper says first holds from the first day a ledger knows, so that old entries have figures too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY
from ledger.stock.commands import AddSpecies, DescribeSpecies
from ledger.stock.naming import stages
from ledger.stock.opening import insert_coded, taken
from ledger.stock.setting import check_value
from ledger.stock.templates import SpeciesTemplate, StageTemplate, template
from ledger.text import clean, clean_code, quoted
from ledger.wording import say, strung

_UNITS = ("animal", "object", "specimen")
_MOST_STAGES = 60
_NO_SOURCE = "no source given"


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure of a species (stage None) or of the stage of that name."""

    stage: str | None
    name: str
    value: int
    source: str


@dataclass(frozen=True, slots=True)
class SpeciesPlan:
    """A checked species."""

    code: str
    scientific: str
    common: str
    group: str
    template: str
    caution: str
    stages: tuple[tuple[str, str], ...]
    """(name, unit) in the order of life."""
    reared: str
    figures: tuple[FigureRow, ...]
    sentence: str
    cautions: tuple[str, ...]


def plan_add(conn: Connection, command: AddSpecies, scene: Scene) -> SpeciesPlan:
    """Check that a species can be taken over from a shipped template.

    Raises:
        NotFound: there is no such template.
        Refused: the code is taken.
    """
    code = _free_code(conn, command.code)
    chosen = template(command.template)
    common = clean(command.common or chosen.common, limit=120, field="common")
    return SpeciesPlan(
        code,
        chosen.scientific,
        common,
        chosen.group,
        chosen.key,
        chosen.caution,
        tuple((stage.name, stage.unit) for stage in chosen.stages),
        chosen.reared,
        (*_of_species(chosen), *(row for stage in chosen.stages for row in _of_stage(stage))),
        say(
            "{code}: {name} is taken into the ledger with {stages} stages; its figures are starting "
            "points, to be replaced by your own.",
            code=code,
            name=f"{common} ({chosen.scientific})" if chosen.scientific else common,
            stages=len(chosen.stages),
        ),
        (chosen.caution,) if chosen.caution else (),
    )


def _free_code(conn: Connection, text: str) -> str:
    code = clean_code(text, field="code")
    if conn.execute(select(t.species.c.id).where(t.species.c.code == code)).scalar() is not None:
        raise taken("species", code)
    return code


def _of_species(chosen: SpeciesTemplate) -> list[FigureRow]:
    sources = dict(chosen.sources)
    values = {
        "stored sperm days": chosen.stored_sperm_days,
        "breeding life days": chosen.breeding_life_days,
        "without mating": int(chosen.parthenogenetic),
    }
    return [
        FigureRow(None, name, value, sources.get(name, _NO_SOURCE))
        for name, value in values.items()
        if value is not None
    ]


def _of_stage(stage: StageTemplate) -> list[FigureRow]:
    sources = dict(stage.sources)
    days = strung((part for part in (sources.get("days", _NO_SOURCE), stage.temperature_note) if part), "; ")
    values = {
        "saleable": (int(stage.saleable), _NO_SOURCE),
        "do not post": (int(stage.do_not_post), _NO_SOURCE),
        "hardening days": (stage.hardening_days, sources.get("hardening days", _NO_SOURCE)),
        "days low": (stage.days_low, days),
        "days high": (stage.days_high, days),
        "planning survival": (stage.planning_survival, sources.get("planning survival", _NO_SOURCE)),
        "care weight": (stage.care_weight, sources.get("care weight", _NO_SOURCE)),
    }
    return [
        FigureRow(stage.name, name, value, source[:1000])
        for name, (value, source) in values.items()
        if value is not None
    ]


def plan_describe(conn: Connection, command: DescribeSpecies, scene: Scene) -> SpeciesPlan:
    """Check a species described by hand.

    Raises:
        BadInput: its stages do not hold together.
        Refused: the code is taken.
    """
    code = _free_code(conn, command.code)
    common = clean(command.common, limit=120, field="common")
    scientific = clean(command.scientific, limit=120, field="scientific")
    if not common and not scientific:
        raise BadInput(say("Give the species a name, common or scientific."), field="common")
    named = tuple((clean(stage.name, limit=40, field="stage"), stage.unit) for stage in command.stages)
    reared = _check_stages(named, command.reared)
    source = clean(command.source, limit=1000, field="source")
    rows = [
        FigureRow(None, name, value, source)
        for name, value in (
            ("stored sperm days", command.stored_sperm_days),
            ("breeding life days", command.breeding_life_days),
            ("without mating", int(command.without_mating)),
        )
        if value is not None
    ]
    for (name, unit), stage in zip(named, command.stages, strict=True):
        if (stage.days_low is None) != (stage.days_high is None) or (stage.days_low or 0) > (stage.days_high or 0):
            raise BadInput(
                say("The days of {name} need a lowest and a highest, in that order.", name=name), field="days_low"
            )
        values = {
            "saleable": int(stage.saleable),
            "do not post": int(stage.do_not_post),
            "hardening days": stage.hardening_days,
            "days low": stage.days_low,
            "days high": stage.days_high,
            "planning survival": stage.planning_survival,
            "care weight": 0 if unit == "specimen" else stage.care_weight,
        }
        rows.extend(FigureRow(name, figure, value, source) for figure, value in values.items() if value is not None)
    if not any(stage.care_weight for (_, unit), stage in zip(named, command.stages, strict=True) if unit != "specimen"):
        raise BadInput(
            say(
                "Every stage of {code} has a care weight of 0 and nobody could carry its costs; leave one above 0.",
                code=code,
            ),
            field="care_weight",
        )
    for row in rows:
        check_value(row.name, row.value)
    names = strung((name for name, _ in named), ", ")
    return SpeciesPlan(
        code,
        scientific,
        common,
        clean(command.group, limit=60, field="group"),
        "",
        "",
        named,
        reared,
        tuple(rows),
        say(
            "{code}: {species} is taken into the ledger with the stages {names}.",
            code=code,
            species=common or scientific,
            names=names,
        ),
        (),
    )


def _check_stages(named: Sequence[tuple[str, str]], reared: str) -> str:
    if not 1 <= len(named) <= _MOST_STAGES:
        raise BadInput(say("A species has from 1 to {most_stages} stages.", most_stages=_MOST_STAGES), field="stages")
    folded = [name.casefold() for name, _ in named]
    if "" in folded or len(set(folded)) != len(folded):
        raise BadInput(say("Every stage needs a name of its own."), field="stages")
    for name, unit in named:
        if unit not in _UNITS:
            raise BadInput(
                say(
                    "{unit} of {name} is no unit; choose one of: {units}.",
                    unit=quoted(unit),
                    name=name,
                    units=strung(_UNITS, ", "),
                ),
                field="stages",
            )
    dead = [unit == "specimen" for _, unit in named]
    if dead != sorted(dead):
        raise BadInput(say("Stages of dried specimens come last."), field="stages")
    found = next((name for name, unit in named if name.casefold() == reared.casefold() and unit == "animal"), None)
    if found is None:
        raise BadInput(
            say("The reared stage {reared} must be one of the stages of animals.", reared=quoted(reared)),
            field="reared",
        )
    return found


def commit_species(conn: Connection, plan: SpeciesPlan, act: Act) -> Done:
    """Write the species, its stages and its figures."""
    row = {
        "code": plan.code,
        "scientific": plan.scientific,
        "common": plan.common,
        "grp": plan.group,
        "template": plan.template,
        "caution": plan.caution,
        "operation_id": act.operation,
    }
    species_id = insert_coded(conn, t.species, row, "species")
    rows = [
        {"species_id": species_id, "position": i, "name": name, "unit": unit, "reared": int(name == plan.reared)}
        for i, (name, unit) in enumerate(plan.stages)
    ]
    conn.execute(insert(t.stage), rows)
    ids = {stage.name: stage.id for stage in stages(conn, species_id)}
    conn.execute(
        insert(t.figure),
        [
            {
                "species_id": species_id,
                "stage_id": ids[row.stage] if row.stage is not None else None,
                "name": row.name,
                "value": row.value,
                "from_on": FIRST_DAY,
                "source": row.source,
                "operation_id": act.operation,
            }
            for row in plan.figures
        ],
    )
    return Done(plan.sentence, {"species": plan.code}, plan.cautions)
