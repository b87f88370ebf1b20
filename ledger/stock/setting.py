"""Setting a dated figure of a species or stage: from that day on it counts; closed years keep theirs."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY, LAST_DAY
from ledger.records.periods import accounting_day
from ledger.stock.commands import SetFigure
from ledger.stock.figures import MILLIONTHS, SPECIES_FIGURES, STAGE_FIGURES, THOUSANDTHS, YES_NO, figures
from ledger.stock.naming import SpeciesRef, StageRef, find_species, match_stage, stages
from ledger.stock.words import when
from ledger.text import clean
from ledger.wording import counted, say, word

MOST_DAYS = 40_000


def check_value(name: str, value: int) -> None:
    """Refuse what no figure of that name can be."""
    most = 1 if name in YES_NO else 1_000_000 if name in MILLIONTHS | THOUSANDTHS else MOST_DAYS
    if type(value) is not int or not 0 <= value <= most:
        unit = say("0 (no) or 1 (yes)") if most == 1 else say("a whole number from 0 to {most}", most=f"{most:,}")
        raise BadInput(
            say("The figure “{figure}” must be {range}.", figure=word(name), range=unit),
            field="value",
            facts={"name": name, "value": value},
        )


@dataclass(frozen=True, slots=True)
class FigurePlan:
    """A checked figure."""

    species_id: int
    stage_id: int | None
    name: str
    value: int
    from_on: dt.date
    source: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_figure(conn: Connection, command: SetFigure, scene: Scene) -> FigurePlan:
    """Check a dated figure.

    Raises:
        NotFound, BadInput: no such species, stage or figure, or no such value.
        Refused: its day lies in a closed year, which keeps its figures.
    """
    of = find_species(conn, command.species)
    stage = match_stage(stages(conn, of.id), command.stage) if command.stage is not None else None
    allowed = SPECIES_FIGURES if stage is None else STAGE_FIGURES
    if command.name not in allowed:
        names = {"figure": command.name, "allowed": ", ".join(allowed)}
        raise NotFound(
            say("“{figure}” is no figure of a stage; choose one of: {allowed}.", **names)
            if stage
            else say("“{figure}” is no figure of a species; choose one of: {allowed}.", **names),
            field="name",
        )
    check_value(command.name, command.value)
    if not FIRST_DAY <= command.from_on <= LAST_DAY:
        raise BadInput(
            say("The day must lie between {first} and {last}.", first=when(FIRST_DAY), last=when(LAST_DAY)),
            field="from_on",
        )
    if accounting_day(conn, command.from_on) != command.from_on:
        raise Refused(
            say(
                "The year of {when} is closed and keeps its figures; choose a day in an open year.",
                when=when(command.from_on),
            ),
            field="from_on",
        )
    if stage is not None and command.name == "care weight" and command.value == 0:
        _refuse_no_weight(conn, of, stage, command.from_on)
    name = stage.name if stage else of.common or of.scientific
    return FigurePlan(
        of.id,
        stage.id if stage else None,
        command.name,
        command.value,
        command.from_on,
        clean(command.source, limit=1000, field="source"),
        say(
            "{species} {name}: {figure} is {value} from {day} on.",
            species=of.code,
            name=word(name),
            figure=word(command.name),
            value=_value_words(command.name, command.value),
            day=when(command.from_on),
        ),
    )


def _refuse_no_weight(conn: Connection, of: SpeciesRef, stage: StageRef, on: dt.date) -> None:
    """Refuse the last weight of a species to become nought: nobody would be left to carry its costs."""
    known = figures(conn, on)
    others = [one for one in stages(conn, of.id) if one.id != stage.id]
    if all(known.of(of.id, one.id, "care weight") == 0 for one in others):
        raise BadInput(
            say(
                "Then every stage of {code} would have a care weight of 0 and nobody could carry its costs; "
                "leave one above 0.",
                code=of.code,
            ),
            field="value",
        )


def _value_words(name: str, value: int) -> str:
    if name in YES_NO:
        return say("yes") if value else say("no")
    if name in MILLIONTHS:
        return f"{value / 10_000:g} %"
    if name in THOUSANDTHS:
        return f"{value / 1000:g}"
    return counted(value, "{n} day", "{n} days") if name.startswith("hardening") else str(value)


def commit_figure(conn: Connection, plan: FigurePlan, act: Act) -> Done:
    """Write a dated figure."""
    conn.execute(
        insert(t.figure).values(
            species_id=plan.species_id,
            stage_id=plan.stage_id,
            name=plan.name,
            value=plan.value,
            from_on=plan.from_on,
            source=plan.source,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {}, plan.cautions)
