"""A hold that was made by mistake never was: its animals are free again, and its deposit never came in."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import Refused
from ledger.records import tables as t
from ledger.selling.holds import Hold, check_open, find_hold, still_open, write_fate
from ledger.selling.unpaying import commit_unpay, plan_unpay
from ledger.stock import earmarks
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class UnholdPlan:
    """A hold to be taken back."""

    hold: Hold
    deposits: tuple[int, ...]
    """Payments."""
    sentence: str
    cautions: tuple[str, ...]


def plan_unhold(conn: Connection, number: str, scene: Scene) -> UnholdPlan:
    """Check that a hold still stands.

    Raises:
        Refused: it is over.
    """
    hold = find_hold(conn, number, scene.now)
    check_open(hold, scene.today)
    p = t.payment.c
    deposits = tuple(conn.execute(select(p.id).where(p.hold_id == hold.id).order_by(p.id)).scalars())
    if len(deposits) > 1:
        raise Refused(
            say("The deposit of {number} was touched since; release the hold instead.", number=number), "hold"
        )
    cautions = tuple(caution for one in deposits for caution in plan_unpay(conn, one, scene).cautions)
    deposit = say(", and its deposit never came in") if deposits else ""
    return UnholdPlan(
        hold,
        deposits,
        say(
            "Taken back: {number} for {customer}, made on {made_on}: its animals are free again{deposit}.",
            number=hold.number,
            customer=hold.customer,
            made_on=long_day(hold.made_on),
            deposit=deposit,
        ),
        cautions,
    )


def commit_unhold(conn: Connection, plan: UnholdPlan, act: Act) -> Done:
    """End the hold and take its deposit back."""
    hold = still_open(conn, plan.hold.id, act.scene.now)
    write_fate(conn, act, hold, "released", hold.made_on, "none", "entered by mistake")
    for payment in plan.deposits:
        commit_unpay(conn, plan_unpay(conn, payment, act.scene), act)
    for line in hold.lines:
        earmarks.free(conn, act, line.earmark_id)
    return Done(plan.sentence, {"hold": hold.id, "number": hold.number}, plan.cautions)
