"""What a fair costs: the table, the drive there and the like, paid from its cash or otherwise."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.selling.commands import DriveToFair, SellingCost, SpendOnFair
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.fairs import Fair, check_open, find_fair
from ledger.selling.mileage import mileage
from ledger.wording import say, unended, word

MILEAGE = "mileage"
_RATE = say("The rate of a kilometre is your own; ask your adviser what your rules allow.")


@dataclass(frozen=True, slots=True)
class FairCostPlan:
    """A cost of a fair."""

    fair: Fair
    cost: SellingCostDraft
    on: dt.date
    from_cash: bool
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_cost(conn: Connection, command: SpendOnFair, scene: Scene) -> FairCostPlan:
    """Check a cost of a fair.

    Raises:
        NotFound, BadInput: there is no such fair, or no such cost.
        Refused: it was settled, and nothing can be paid from its cash any more.
    """
    fair = find_fair(conn, command.fair)
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come; enter the cost when it is made.", on=long_day(command.on)), "on")
    if command.from_cash:
        # What was counted stands; nothing can have been paid from it since.
        check_open(fair)
    [cost] = check_selling_costs([SellingCost(command.category, command.amount, text=command.text or fair.name)])
    return FairCostPlan(
        fair,
        cost,
        command.on,
        command.from_cash,
        say(
            "{name}: {category} {amount}, {on}{from_cash}.",
            from_cash=say(", paid from its cash") if command.from_cash else "",
            name=fair.name,
            category=word(cost.category),
            amount=said(cost.amount, scene.currency),
            on=long_day(command.on),
        ),
    )


def plan_drive(conn: Connection, command: DriveToFair, scene: Scene) -> FairCostPlan:
    """Check kilometres driven for a fair.

    Raises:
        NotFound, BadInput: there is no such fair, no such number, or no rate.
    """
    amount, reckoned = mileage(conn, command.km, command.rate, scene.currency)
    text = f"{reckoned}; {command.text}" if command.text.strip() else reckoned
    plan = plan_cost(conn, SpendOnFair(command.fair, MILEAGE, amount, command.on, text), scene)
    return replace(
        plan,
        sentence=say("{cost}, {reckoned}.", cost=unended(plan.sentence), reckoned=reckoned),
        cautions=(*plan.cautions, _RATE),
    )


def commit_cost(conn: Connection, plan: FairCostPlan, act: Act) -> Done:
    """Write a cost of a fair, paid on the day."""
    [number] = write_selling_costs(conn, act, [plan.cost], None, plan.on)
    conn.execute(
        insert(t.fair_cost).values(
            fair_id=plan.fair.id, cost_id=number, from_cash=int(plan.from_cash), operation_id=act.operation
        )
    )
    return Done(plan.sentence, {"cost": number, "fair": plan.fair.id})
