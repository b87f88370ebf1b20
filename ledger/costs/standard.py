"""The standard cost of a stage: set by the keeper, dated, and read by the other valuation of a year's end.

It never touches what animals carry; it only says what they would stand at.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import SetStandardCost
from ledger.errors import BadInput, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.records.undone import stands
from ledger.stock.naming import find_species, match_stage, stages
from ledger.stock.words import when
from ledger.text import clean
from ledger.wording import say

STANDARD = "standard cost"
MOST_EACH = 10**9


@dataclass(frozen=True, slots=True)
class StandardPlan:
    """A checked standard cost."""

    species_id: int
    stage_id: int
    amount: int
    from_on: dt.date
    source: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_standard(conn: Connection, command: SetStandardCost, scene: Scene) -> StandardPlan:
    """Check a standard cost.

    Raises:
        NotFound, BadInput: no such species, stage or amount.
        Refused: its day lies in a closed year, which keeps its figures.
    """
    of = find_species(conn, command.species)
    stage = match_stage(stages(conn, of.id), command.stage)
    if type(command.amount) is not int or not 0 <= command.amount <= MOST_EACH:
        raise BadInput(
            say("A standard cost must lie between 0 and {most_each}.", most_each=said(MOST_EACH, scene.currency)),
            field="amount",
        )
    if accounting_day(conn, command.from_on) != command.from_on:
        raise Refused(
            say(
                "The year of {when} is closed and keeps its figures; choose a day in an open year.",
                when=when(command.from_on),
            ),
            field="from_on",
        )
    return StandardPlan(
        of.id,
        stage.id,
        command.amount,
        command.from_on,
        clean(command.source, limit=1000, field="source"),
        say(
            "{code} {name}: a standard cost of {amount} each from {when} on.",
            code=of.code,
            name=stage.name,
            amount=said(command.amount, scene.currency),
            when=when(command.from_on),
        ),
        (say("It serves the other valuation at a year's end; what animals carry stays what was spent."),),
    )


def commit_standard(conn: Connection, plan: StandardPlan, act: Act) -> Done:
    """Write it."""
    conn.execute(
        insert(t.figure).values(
            species_id=plan.species_id,
            stage_id=plan.stage_id,
            name=STANDARD,
            value=plan.amount,
            from_on=plan.from_on,
            source=plan.source,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {}, plan.cautions)


def standards_on(conn: Connection, on: dt.date) -> dict[tuple[int, int], int]:
    """Standard cost of one animal in force on a day, minor units, by (species, position of the stage)."""
    rows = conn.execute(
        select(t.stage.c.species_id, t.stage.c.position, t.figure.c.value)
        .join(t.stage, t.stage.c.id == t.figure.c.stage_id)
        .where(t.figure.c.name == STANDARD, t.figure.c.from_on <= on, stands(t.figure.c.operation_id))
        .order_by(t.figure.c.from_on, t.figure.c.id)
    )
    return {(row.species_id, row.position): row.value for row in rows}
