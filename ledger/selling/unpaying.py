"""Money that was entered and never moved: the payment is taken back by the same amount the other way round.

By the day it was paid the pair is nothing; by the day it is accounted the taking back stands on the first open day when
the payment's year is closed, so a closed year never changes. A payment is taken back once: the database sees to it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import NotFound, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.selling.sale import sales_by_id
from ledger.selling.writing import locked_sale
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class UnpayPlan:
    """A payment to be taken back."""

    payment: int
    sale_id: int | None
    hold_id: int | None
    paid_on: dt.date
    accounting_on: dt.date
    amount: int
    """As it was entered."""
    method: str
    sentence: str
    cautions: tuple[str, ...]


def plan_unpay(conn: Connection, payment: int, scene: Scene) -> UnpayPlan:
    """Check that a payment can be taken back.

    Raises:
        NotFound: there is none of that number.
        Refused: it was taken back already, or more would have been given back than ever came in.
    """
    p = t.payment.c
    row = conn.execute(select(t.payment).where(p.id == payment)).one_or_none()
    if row is None:
        raise NotFound(say("There is no payment {payment}.", payment=payment), "payment")
    back = conn.execute(select(p.id).where(p.reverses == payment)).scalar()
    if row.reverses is not None or back is not None:
        raise Refused(say("That payment was taken back already."), "payment")
    accounted = accounting_day(conn, row.accounting_on)
    late = accounted != row.accounting_on
    of = say("deposit")
    if row.sale_id is not None:
        sale = sales_by_id(conn, [row.sale_id])[0]
        of = sale.number
        if row.amount > 0 and sale.paid - row.amount < 0:
            raise Refused(
                say(
                    "Of {number} money was given back since; without this payment more would have been given back "
                    "than came in. Take that back first.",
                    number=sale.number,
                ),
                "payment",
                {"sale": sale.number},
            )
    parts = {"of": of, "amount": said(abs(row.amount), scene.currency), "day": long_day(row.paid_on)}
    return UnpayPlan(
        row.id,
        row.sale_id,
        row.hold_id,
        row.paid_on,
        accounted,
        row.amount,
        row.method,
        say("Taken back: {of}: {amount} paid, {day}.", **parts)
        if row.amount > 0
        else say("Taken back: {of}: {amount} given back, {day}.", **parts),
        (say("It is accounted on {accounted}; a closed year stays as it is.", accounted=long_day(accounted)),)
        if late
        else (),
    )


def commit_unpay(conn: Connection, plan: UnpayPlan, act: Act) -> Done:
    """Write the payment that takes it back."""
    if plan.sale_id is not None:
        locked_sale(conn, plan.sale_id)
        plan = plan_unpay(conn, plan.payment, act.scene)
    conn.execute(
        insert(t.payment).values(
            sale_id=plan.sale_id,
            hold_id=plan.hold_id,
            paid_on=plan.paid_on,
            accounting_on=plan.accounting_on,
            amount=-plan.amount,
            method=plan.method,
            note="entered by mistake",
            reverses=plan.payment,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {}, plan.cautions)
