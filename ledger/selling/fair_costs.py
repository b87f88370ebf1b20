"""What a fair costs: the table, the drive there and the like, paid from its cash or otherwise."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import DriveToFair, SellingCost, SpendOnFair
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.fair_cash import not_taken_back
from ledger.selling.fairs import Fair, check_open, find_fair
from ledger.selling.mileage import mileage
from ledger.text import quoted
from ledger.wording import say, strung, unended, word

MILEAGE = "mileage"
_RATE = say("The rate of a kilometre is your own; ask your adviser what your rules allow.")


def categories_of_fairs(conn: Connection) -> tuple[str, ...]:
    """What fairs cost money for so far, the latest first."""
    c = t.cost.c
    wanted = select(c.category).join(t.fair_cost).where(not_taken_back()).group_by(c.category)
    return tuple(conn.execute(wanted.order_by(func.max(c.id).desc())).scalars())


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
    known = categories_of_fairs(conn)
    fresh = (
        (
            say(
                "{category} is a new word for what a fair costs; so far: {known}.",
                category=quoted(cost.category),
                known=strung(known[:4], ", "),
            ),
        )
        if known and cost.category not in (*known, MILEAGE)
        else ()
    )
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
        fresh,
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
    if plan.from_cash and alone(conn, "fair", plan.fair.id):
        check_open(find_fair(conn, str(plan.fair.id)))
    [number] = write_selling_costs(conn, act, [plan.cost], None, plan.on)
    conn.execute(
        insert(t.fair_cost).values(
            fair_id=plan.fair.id, cost_id=number, from_cash=int(plan.from_cash), operation_id=act.operation
        )
    )
    return Done(plan.sentence, {"cost": number, "fair": plan.fair.id}, plan.cautions)
