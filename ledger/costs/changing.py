"""What happens to a cost later: paid, refunded, finished on another day, disposed of, taken back.

The cost itself is never edited: each is a dated row beside it, and a cost taken back is a cost of its own.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, func, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import Dispose, EndWindow, PayCost, RefundCost, ReverseCost
from ledger.costs.dated import write_change
from ledger.costs.spending import amount_within, write_cost
from ledger.costs.taking_out import guard, lock, refuse_if_used
from ledger.days import long_day
from ledger.errors import BadInput, NotEnough, NotFound, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.lateness import late
from ledger.records.periods import accounting_day, period_of
from ledger.text import clean_block
from ledger.wording import say, word


@dataclass(frozen=True, slots=True)
class ChangePlan:
    """A checked row beside a cost."""

    cost_id: int
    kind: str
    on: dt.date
    amount: int
    window_to: dt.date | None
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def _stays(conn: Connection, row: Any, on: dt.date) -> tuple[str, ...]:
    """What to say when part of a cost was used up in a year that is closed."""
    if row.window_from is None or accounting_day(conn, row.window_from) == row.window_from:
        return ()
    return (
        say(
            "What a closed year has used up of it stays with the animals that carried it; what comes back of "
            "that makes no animal cheaper and stands by itself in {year}.",
            year=period_of(conn, on).name,
        ),
    )


def _cost(conn: Connection, number: int) -> Any:
    row = conn.execute(select(t.cost).where(t.cost.c.id == number)).one_or_none()
    if row is None:
        raise NotFound(say("There is no cost number {number}; look it up under Costs.", number=number), field="cost")
    taken_back = conn.execute(select(t.cost.c.id).where(t.cost.c.reverses == number)).scalar()
    if row.reverses is not None or taken_back is not None:
        raise Refused(
            say("Cost {number} has been taken back; nothing more can be added to it.", number=number), field="cost"
        )
    return row


def _sum(conn: Connection, cost_id: int, kind: str) -> int:
    found = conn.execute(
        select(func.sum(t.cost_change.c.amount)).where(t.cost_change.c.cost_id == cost_id, t.cost_change.c.kind == kind)
    ).scalar()
    return int(found or 0)


def _day_after(row: Any, on: dt.date, scene: Scene) -> None:
    if on < row.bought_on:
        raise BadInput(
            say("{on} is before it was bought on {bought_on}.", on=long_day(on), bought_on=long_day(row.bought_on)),
            field="on",
        )
    if on > scene.today:
        raise BadInput(say("{on} is still to come.", on=long_day(on)), field="on")


def plan_pay(conn: Connection, command: PayCost, scene: Scene) -> ChangePlan:
    """Check a payment of a cost: of what is unpaid, not before it was bought and not to come.

    Raises:
        NotFound, Refused, BadInput: it cannot be paid like that, and why.
    """
    row = _cost(conn, command.cost)
    _day_after(row, command.on, scene)
    open_amount = row.gross - _sum(conn, row.id, "paid")
    if open_amount <= 0:
        raise Refused(say("Cost {id} is paid in full.", id=row.id), field="cost")
    if not 1 <= command.amount <= open_amount:
        raise BadInput(
            say(
                "Of cost {id} {open_amount} is unpaid; pay that or less.",
                id=row.id,
                open_amount=said(open_amount, scene.currency),
            ),
            field="amount",
        )
    sentence = say(
        "Cost {id} ({category}): {amount} paid, {on}.",
        id=row.id,
        category=word(row.category),
        amount=said(command.amount, scene.currency),
        on=long_day(command.on),
    )
    cautions = late(conn, command.on)
    return ChangePlan(row.id, "paid", command.on, command.amount, None, command.note, sentence, cautions)


def plan_refund(conn: Connection, command: RefundCost, scene: Scene) -> ChangePlan:
    """Check that money of a cost came back: not more than is left of it.

    Raises:
        NotFound, Refused, BadInput: it cannot be refunded like that, and why.
    """
    row = _cost(conn, command.cost)
    _day_after(row, command.on, scene)
    left = row.gross - _sum(conn, row.id, "refund")
    if row.kind == "animals":
        raise Refused(say("A refund for animals bought is not a refund of a cost; record what came back instead."))
    if not 1 <= command.amount <= left:
        raise BadInput(
            say(
                "Cost {id} was {gross}, of which {left} is not refunded yet; a refund cannot be larger.",
                id=row.id,
                gross=said(row.gross, scene.currency),
                left=said(left, scene.currency),
            ),
            field="amount",
        )
    if row.residual:
        most = (row.basis - row.residual) * row.gross // row.basis - (row.gross - left)
        if command.amount > most:
            raise BadInput(
                say(
                    "Cost {id} is reckoned to be worth {residual} in the end, so {most} or less can be refunded; if "
                    "the thing itself went back, record it as disposed of, and what came back as its proceeds.",
                    id=row.id,
                    residual=said(row.residual, scene.currency),
                    most=said(max(most, 0), scene.currency),
                ),
                field="amount",
            )
    sentence = say(
        "Cost {id} ({category}): {amount} came back, {on}.",
        id=row.id,
        category=word(row.category),
        amount=said(command.amount, scene.currency),
        on=long_day(command.on),
    )
    cautions = (*late(conn, command.on), *_stays(conn, row, command.on))
    return ChangePlan(row.id, "refund", command.on, command.amount, None, command.note, sentence, cautions)


def plan_end_window(conn: Connection, command: EndWindow, scene: Scene) -> ChangePlan:
    """Check the day by which what a cost bought is used up.

    Raises:
        NotFound, Refused, BadInput: it is not used up over days, or not by that day.
    """
    row = _cost(conn, command.cost)
    if row.kind not in ("used up", "overhead"):
        raise Refused(say("Cost {id} is not used up over days; nothing to end.", id=row.id), field="cost")
    if row.window_from is None:
        raise Refused(say("Cost {id} is in store; it is used up as it is taken out.", id=row.id), field="cost")
    if command.window_to < row.window_from:
        raise BadInput(
            say(
                "It was opened on {window_from}; it cannot be finished on {window_to}.",
                window_from=long_day(row.window_from),
                window_to=long_day(command.window_to),
            ),
            field="window_to",
        )
    _day_after(row, command.on, scene)
    sentence = say(
        "Cost {id} ({category}): used up by {window_to}.",
        id=row.id,
        category=word(row.category),
        window_to=long_day(command.window_to),
    )
    return ChangePlan(row.id, "window", command.on, 0, command.window_to, command.note, sentence)


def plan_dispose(conn: Connection, command: Dispose, scene: Scene) -> ChangePlan:
    """Check that a lasting thing is disposed of, once.

    Raises:
        NotFound, Refused, BadInput: it is none, is gone already, or the proceeds are no amount.
    """
    row = _cost(conn, command.cost)
    if row.kind != "lasting":
        raise Refused(say("Cost {id} is no equipment; only lasting things are disposed of.", id=row.id), field="cost")
    if conn.execute(
        select(t.cost_change.c.id).where(t.cost_change.c.cost_id == row.id, t.cost_change.c.kind == "disposal")
    ).first():
        raise Refused(say("Cost {id} was disposed of already.", id=row.id), field="cost")
    _day_after(row, command.on, scene)
    amount = amount_within(command.proceeds, say("proceeds"), scene.currency)
    got = say(" for {amount}", amount=said(amount, scene.currency)) if amount else ""
    sentence = say(
        "Cost {id} ({item}): disposed of{got}, {on}.",
        id=row.id,
        item=row.text or word(row.category),
        got=got,
        on=long_day(command.on),
    )
    cautions = late(conn, command.on)
    return ChangePlan(row.id, "disposal", command.on, amount, None, command.note, sentence, cautions)


def commit_change(conn: Connection, plan: ChangePlan, act: Act) -> Done:
    """Write the dated row beside the cost, then make sure that nobody else did the same at the same time."""
    conn.execute(_LOCK, {"number": plan.cost_id})
    note = clean_block(plan.note, limit=2000, field="note")
    write_change(conn, act, plan.cost_id, plan.kind, plan.on, amount=plan.amount, window_to=plan.window_to, note=note)
    _guard(conn, plan)
    return Done(plan.sentence, {"cost": plan.cost_id}, plan.cautions)


_LOCK = select(t.cost.c.id).where(t.cost.c.id == bindparam("number")).with_for_update()


def _guard(conn: Connection, plan: ChangePlan) -> None:
    """Refuse what somebody else did between planning and writing.

    Raises:
        NotEnough: more would be paid or refunded than the cost, or it would be disposed of twice.
        Refused: the cost was taken back.
    """
    row = _cost(conn, plan.cost_id)
    if plan.kind in ("paid", "refund") and _sum(conn, row.id, plan.kind) > row.gross:
        raise NotEnough(
            say("Somebody else has just recorded the same of cost {id}; look at it again.", id=row.id), field="amount"
        )
    changes = t.cost_change.c
    gone = select(func.count()).where(changes.cost_id == row.id, changes.kind == "disposal")
    if plan.kind == "disposal" and conn.execute(gone).scalar_one() > 1:
        raise NotEnough(say("Somebody else has just disposed of cost {id}; look at it again.", id=row.id), field="cost")


@dataclass(frozen=True, slots=True)
class UnpaidPlan:
    """A payment of a cost to be taken back."""

    row: Any
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_unpay_cost(conn: Connection, change: int, scene: Scene) -> UnpaidPlan:
    """Check that a payment of a cost, entered by mistake, can be taken back.

    Raises:
        Refused: it was taken back already, or its cost was.
    """
    changes = t.cost_change.c
    row = conn.execute(select(t.cost_change).where(changes.id == change)).one()
    cost = _cost(conn, row.cost_id)
    back = conn.execute(select(changes.id).where(changes.reverses == change)).scalar()
    if row.kind != "paid" or row.reverses is not None or back is not None:
        raise Refused(say("That payment was taken back already."), field="cost")
    accounted = accounting_day(conn, row.accounting_on)
    return UnpaidPlan(
        row,
        say(
            "Taken back: cost {id} ({category}): {amount} paid, {happened_on}.",
            id=cost.id,
            category=word(cost.category),
            amount=said(row.amount, scene.currency),
            happened_on=long_day(row.happened_on),
        ),
        (say("It is accounted on {accounted}; a closed year stays as it is.", accounted=long_day(accounted)),)
        if accounted != row.accounting_on
        else (),
    )


def commit_unpay_cost(conn: Connection, plan: UnpaidPlan, act: Act) -> Done:
    """Write the row that takes it back."""
    conn.execute(_LOCK, {"number": plan.row.cost_id})
    row = plan_unpay_cost(conn, plan.row.id, act.scene).row
    write_change(
        conn,
        act,
        row.cost_id,
        "paid",
        row.happened_on,
        amount=-row.amount,
        note="entered by mistake",
        reverses=row.id,
        accounted=row.accounting_on,
    )
    return Done(plan.sentence, {"cost": row.cost_id}, plan.cautions)


@dataclass(frozen=True, slots=True)
class ReverseCostPlan:
    """A cost to be taken back."""

    row: dict[str, Any]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_reverse_cost(conn: Connection, command: ReverseCost, scene: Scene) -> ReverseCostPlan:
    """Check that a cost can be taken back; in a closed year it counts from today.

    Raises:
        NotFound, Refused: there is none such, it was taken back, or what it bought was used.
    """
    row = _cost(conn, command.cost)
    if row.kind == "animals":
        raise Refused(say("This is the price of animals bought; take their arrival back instead."), field="cost")
    if row.kind == "used up" and row.window_from is None:
        refuse_if_used(conn, row)
    copy = {name: value for name, value in row._mapping.items() if name not in ("id", "operation_id")}
    copy["reverses"] = row.id
    copy["accounting_on"] = (
        row.accounting_on if accounting_day(conn, row.accounting_on) == row.accounting_on else scene.today
    )
    copy["note"] = clean_block(command.note, limit=2000, field="note")
    cautions: tuple[str, ...] = ()
    if copy["accounting_on"] != row.accounting_on:
        cautions = (
            say(
                "The year of {day} is closed and stays as it is: what is taken back counts on {accounted}, in {year}.",
                day=long_day(row.accounting_on),
                accounted=long_day(copy["accounting_on"]),
                year=period_of(conn, copy["accounting_on"]).name,
            ),
        )
    return ReverseCostPlan(
        copy,
        say("Cost {id} ({category}) is taken back.", id=row.id, category=word(row.category)),
        (*_stays(conn, row, copy["accounting_on"]), *cautions),
    )


def commit_reverse_cost(conn: Connection, plan: ReverseCostPlan, act: Act) -> Done:
    """Write the cost once more with its sign turned; of what lies in store, once nobody else can take of it."""
    stored = plan.row["kind"] == "used up" and plan.row["window_from"] is None
    if stored:
        lock(conn, plan.row["category"])
    else:
        conn.execute(_LOCK, {"number": plan.row["reverses"]})
    _cost(conn, plan.row["reverses"])
    cost_id = write_cost(conn, act, plan.row, paid_on=None)
    if stored:
        guard(conn)
    return Done(plan.sentence, {"cost": cost_id}, plan.cautions)
