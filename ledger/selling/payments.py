"""Money for a sale after it was made: received up to what is owed, given back up to what was paid too much."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.money import Currency, said
from ledger.records.columns import MOST_MONEY
from ledger.records.lateness import late
from ledger.selling.commands import SellingCost, TakePayment
from ledger.selling.costs_of_sale import SellingCostDraft, check_selling_costs, write_selling_costs
from ledger.selling.sale import Sale, find_sale
from ledger.selling.selling import check_method
from ledger.selling.writing import PaidDraft, locked_sale, pay
from ledger.text import clean
from ledger.wording import say

FEE = "payment fee"


@dataclass(frozen=True, slots=True)
class PaymentPlan:
    """Money for a sale, checked."""

    sale: Sale
    paid: PaidDraft
    note: str
    overpaid: bool
    fees: tuple[SellingCostDraft, ...]
    sentence: str
    cautions: tuple[str, ...]


def plan_payment(conn: Connection, command: TakePayment, scene: Scene) -> PaymentPlan:
    """Check money received for a sale, or (negative) given back because more was paid than is due.

    Raises:
        NotFound, BadInput: there is no such sale, or so much is not owed.
        Refused: the sale was credited in full.
    """
    sale = find_sale(conn, command.sale)
    if command.on > scene.today:
        raise BadInput(
            say("{on} is still to come; record a payment when it has been made.", on=long_day(command.on)), "on"
        )
    _check_owed(sale, command.amount, scene.currency, command.overpaid)
    parts = {"number": sale.number, "amount": said(abs(command.amount), scene.currency), "day": long_day(command.on)}
    fees = check_selling_costs([SellingCost(FEE, command.fee)] if command.fee else [])
    if fees and command.amount < 0:
        raise BadInput(say("A fee belongs to money received; record one for giving it back under Costs."), "fee")
    fee = say("; {fee} of it kept as a fee", fee=said(command.fee, scene.currency)) if command.fee else ""
    over = command.amount - max(0, sale.owed)
    cautions = late(conn, command.on)
    if command.amount > 0 and over > 0:
        cautions += (say("{over} more than is owed: it is to be given back.", over=said(over, scene.currency)),)
    return PaymentPlan(
        sale,
        PaidDraft(command.amount, check_method(command.method), command.on),
        clean(command.note, limit=500, field="note"),
        command.overpaid,
        fees,
        say("{number}: {amount} paid, {day}{fee}.", fee=fee, **parts)
        if command.amount > 0
        else say("{number}: {amount} given back, {day}{fee}.", fee=fee, **parts),
        cautions,
    )


def commit_payment(conn: Connection, plan: PaymentPlan, act: Act) -> Done:
    """Record the money."""
    sale = locked_sale(conn, plan.sale.id)
    _check_owed(sale, plan.paid.amount, act.scene.currency, plan.overpaid)
    pay(conn, act, sale.id, plan.paid, plan.note)
    write_selling_costs(conn, act, plan.fees, sale.id, plan.paid.on)
    return Done(plan.sentence, {"sale": sale.id, "number": sale.number}, plan.cautions)


def _check_owed(sale: Sale, amount: int, currency: Currency, overpaid: bool) -> None:
    facts = {"sale": sale.number, "owed": sale.owed}
    if amount == 0:
        raise BadInput(say("Say how much was paid."), "amount", facts)
    if amount > 0 and sale.undone:
        raise Refused(say("{number} was credited in full; nothing is owed on it.", number=sale.number), "sale", facts)
    if abs(amount) > MOST_MONEY:
        raise BadInput(say("That is more than these books can hold; check the amount."), "amount", facts)
    if amount > max(0, sale.owed) and not overpaid:
        owed = said(sale.owed, currency)
        raise BadInput(
            say(
                "On {number} only {owed} is owed; enter what was paid for it, or say that it was overpaid.",
                number=sale.number,
                owed=owed,
            )
            if sale.owed > 0
            else say(
                "On {number} nothing is owed; enter what was paid for it, or say that it was overpaid.",
                number=sale.number,
            ),
            "amount",
            facts,
        )
    if amount < 0 and -amount > max(0, -sale.owed):
        due = said(-sale.owed, currency)
        raise BadInput(
            say("On {number} only {due} is to be given back; credit the sale first.", number=sale.number, due=due)
            if sale.owed < 0
            else say("On {number} nothing is to be given back; credit the sale first.", number=sale.number),
            "amount",
            facts,
        )
