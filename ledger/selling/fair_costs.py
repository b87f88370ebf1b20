"""What a fair costs: the table, the drive there and the like, paid from its cash or otherwise.

Feed and the like that is bought there stays what it is: its animals bear it, and of the fair it only lessens the cash.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import Spend
from ledger.costs.listing import categories
from ledger.costs.spending import SpendPlan, commit_spend, plan_spend
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import DriveToFair, SellingCost, SpendFromBox, SpendOnFair
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.fair_cash import not_taken_back
from ledger.selling.fairs import Fair, boxes_on, check_open, fairs, find_fair
from ledger.selling.mileage import mileage
from ledger.text import quoted
from ledger.wording import listed, say, strung, unended, word

MILEAGE = "mileage"
USED_UP, SELLING = "used up", "selling"
_RATE = say("The rate of a kilometre is your own; ask your adviser what your rules allow.")


def categories_of_fairs(conn: Connection) -> tuple[str, ...]:
    """What fairs cost money for so far, the latest first."""
    c = t.cost.c
    wanted = select(c.category).join(t.fair_cost).where(c.kind == "selling", not_taken_back()).group_by(c.category)
    return tuple(conn.execute(wanted.order_by(func.max(c.id).desc())).scalars())


@dataclass(frozen=True, slots=True)
class FairCostPlan:
    """A cost of a fair."""

    fair: Fair
    cost: SellingCostDraft | SpendPlan
    """Of the fair itself, or an ordinary one that its cash paid for."""
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
    kind = categories(conn).get(command.category.strip().casefold(), SELLING)
    if kind == USED_UP:
        bought = Spend(command.on, command.category, command.amount, text=command.text)
        return _ordinary(conn, fair, bought, scene, from_cash=command.from_cash)
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
        if known and cost.category not in (*known, MILEAGE) and kind == SELLING
        else (
            say(
                "{category} is otherwise {kind}; here it counts as what the fair cost. Something that stays is written "
                "in the jot line: {category_plain} ... from the box.",
                category=quoted(cost.category),
                kind=word(kind),
                category_plain=cost.category,
            ),
        )
        if kind != SELLING
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


def plan_from_box(conn: Connection, command: SpendFromBox, scene: Scene) -> FairCostPlan:
    """Check something bought that the cash of a fair pays for.

    Raises:
        NotFound, BadInput, Refused: no fair is open that day, or it cannot be recorded like that.
    """
    spend = command.spend
    fair = find_fair(conn, command.fair) if command.fair else _open_on(conn, spend.bought_on)
    check_open(fair)
    if spend.unpaid:
        raise BadInput(say("What is not paid yet was not paid out of the box; leave one of the two out."), "unpaid")
    if spend.kind == SELLING and not spend.text:
        spend = replace(spend, text=fair.name)
    return _ordinary(conn, fair, spend, scene, from_cash=True)


def _open_on(conn: Connection, on: dt.date) -> Fair:
    """The fair whose cash lies open on a day."""
    there = [one for one in fairs(conn) if one.held_on <= on <= one.last_on and not one.called_off]
    lie_open = boxes_on(conn, on)
    if len(lie_open) > 1:
        names = listed(one.name for one in lie_open)
        raise BadInput(say("{fairs} are open that day; record it by - on the page of the one.", fairs=names), "fair")
    if not there:
        raise BadInput(
            say(
                "No fair is held on {day}, so there is no box to pay from; leave “from the box” out, or plan the "
                "fair first.",
                day=long_day(on),
            ),
            "fair",
        )
    return (lie_open or there)[0]


def _ordinary(conn: Connection, fair: Fair, spend: Spend, scene: Scene, *, from_cash: bool) -> FairCostPlan:
    """A cost of its own kind, of which the fair knows only whether its cash paid."""
    plan = plan_spend(conn, spend, scene)
    paid = (
        say("It is paid from the cash of {fair}", fair=fair.name)
        if from_cash
        else say("It is not paid from the cash of {fair}", fair=fair.name)
    )
    says = (
        say("{paid} and is one of its costs.", paid=paid)
        if spend.kind == SELLING
        else say("{paid} and is none of its costs.", paid=paid)
    )
    return FairCostPlan(fair, plan, spend.bought_on, from_cash, strung((plan.sentence, says)), plan.cautions)


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
    if isinstance(plan.cost, SpendPlan):
        number = int(commit_spend(conn, plan.cost, act).refs["cost"])
    else:
        [number] = write_selling_costs(conn, act, [plan.cost], None, plan.on)
    conn.execute(
        insert(t.fair_cost).values(
            fair_id=plan.fair.id, cost_id=number, from_cash=int(plan.from_cash), operation_id=act.operation
        )
    )
    return Done(plan.sentence, {"cost": number, "fair": plan.fair.id}, plan.cautions)
