"""Setting the care weight of a stage for one category of cost: adults may eat much and take no more room.

Where it is set it counts for that category instead of the stage's own care weight, from its day on.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.costs.commands import SetCare
from ledger.costs.given import FULL_WEIGHT, figure_on
from ledger.costs.keys import care_by_category, care_name
from ledger.costs.methods import new_category
from ledger.errors import BadInput, Refused
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.figures import figures
from ledger.stock.naming import find_species, match_stage, stages
from ledger.stock.words import when
from ledger.text import clean
from ledger.wording import say, word

MOST_WEIGHT = 1_000_000


@dataclass(frozen=True, slots=True)
class CarePlan:
    """A checked care weight; `name` is the figure of method it is kept under."""

    name: str
    weight: int
    from_on: dt.date
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_care(conn: Connection, command: SetCare, scene: Scene) -> CarePlan:
    """Check a care weight for one category.

    Raises:
        NotFound, BadInput: no such species or stage, no such weight, or nobody would be left to carry the category.
        Refused: its day lies in a closed year, which keeps its figures.
    """
    category = clean(command.category, limit=40, field="category").lower()
    if not category:
        raise BadInput(say("Say for which category of cost, such as feed."), field="category")
    of = find_species(conn, command.species)
    ladder = stages(conn, of.id)
    stage = match_stage(ladder, command.stage)
    if type(command.weight) is not int or not 0 <= command.weight <= MOST_WEIGHT:
        raise BadInput(say("A care weight lies between 0 and 1,000, where 1 is a full share."), field="weight")
    if accounting_day(conn, command.from_on) != command.from_on:
        raise Refused(
            say(
                "The year of {when} is closed and keeps its figures; choose a day in an open year.",
                when=when(command.from_on),
            ),
            field="from_on",
        )
    known, own = figures(conn, command.from_on), care_by_category(conn).get(category, {})
    day = command.from_on.toordinal()
    weights = {one.id: known.of(of.id, one.id, "care weight") for one in ladder}
    for one in ladder:
        weights[one.id] = figure_on(own.get((of.id, one.position)), day, weights[one.id])
    weights[stage.id] = command.weight
    if all(weights[one.id] == 0 for one in ladder):
        raise BadInput(
            say(
                "Then every stage of {code} would have a care weight of 0 and nobody could carry {category}; "
                "leave one above 0.",
                code=of.code,
                category=category,
            ),
            field="weight",
        )
    return CarePlan(
        care_name(stage.id, category),
        command.weight,
        command.from_on,
        clean(command.note, limit=500, field="note"),
        say(
            "{lot} {stage}: care weight {weight} for {category} from {day} on.",
            lot=of.code,
            stage=word(stage.name),
            weight=f"{command.weight / FULL_WEIGHT:g}",
            category=word(category),
            day=when(command.from_on),
        ),
        new_category(conn, category),
    )


def commit_care(conn: Connection, plan: CarePlan, act: Act) -> Done:
    """Write it."""
    conn.execute(
        insert(t.method).values(
            name=plan.name,
            value=str(plan.weight),
            from_on=plan.from_on,
            note=plan.note,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {}, plan.cautions)
