"""Undo: take back one's own latest act, whether it was on the stock, a cost or a sale.

Finds out which it was and hands it to the part that knows how: a sale is credited in full, a cost taken back, movements
reversed, what was taken out of the store put back, noted hours dropped. An act that leaves nothing undo can take back
(a payment, a mark, a hold, a price) is never reached past to an older one.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Exists, Select, Table, and_, or_, select

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.costs.commands import DropHours, PutBack, ReverseCost
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.errors import NotFound, Refused
from ledger.records import tables as t
from ledger.selling.commands import CreditSale
from ledger.selling.credits import credit_of_mistake
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.stock.commands import Undo
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.stock.journal import is_reversal_or_reversed
from ledger.stock.undoing import last_act, running

PASSED_OVER = ("Undo", "KeepOutlook")
"""Acts that a keeper does not think of as one: after an undo the next goes one act further back."""
_INSTEAD = {
    "SaveRound": "what was seen was seen; a wrong mark is set right by the next round",
    "CountStock": "what was counted was counted; count again instead",
    "SetTaxHelp": "set it again instead",
    "PlaceHold": "release the hold instead",
    "TakePayment": "record the payment the other way round instead",
    "SetPrice": "set the price again instead",
    "PayCost": "to set it right, take the cost back and enter it again",
    "RefundCost": "to set it right, take the cost back and enter it again",
    "EndWindow": "say again by when it was used up",
    "ReverseCost": "enter the cost again instead",
    "ChangeCustomer": "change it again instead",
    "LendOut": "record the animals as back instead",
    "lines": "take back its lines one by one",
}


@dataclass(frozen=True, slots=True)
class UndoPlan:
    """What an undo does, planned by the part that does it."""

    handler: Handler
    plan: Plan

    @property
    def sentence(self) -> str:
        """What will be taken back."""
        return self.plan.sentence

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know first."""
        return self.plan.cautions


def plan_undo(conn: Connection, command: Undo, scene: Scene) -> UndoPlan:
    """Check that the latest act of whoever asks can be taken back; a preview shows the latest act of all.

    Raises:
        NotFound: there is none.
        Refused: it is not one that can be undone, and what to do instead.
    """
    asking = running(conn)
    sale = _latest(conn, _SALES, t.sale.c.operation_id, asking)
    cost = _latest(conn, _COSTS, t.cost.c.operation_id, asking)
    stock = last_act(conn, asking)
    taken = _latest(conn, _standing(t.store_issue), t.store_issue.c.operation_id, asking)
    hours = _latest(conn, _standing(t.own_hours), t.own_hours.c.operation_id, asking)
    latest = max((one for one in (sale, cost, stock, taken, hours) if one is not None), default=None)
    _refuse_to_reach_past(conn, latest, asking)
    if latest is None:
        raise NotFound("There is nothing of yours to undo.")
    if latest == sale:
        credit = credit_of_mistake(conn, sale, scene.today)
        assert credit is not None
        return _planned(conn, SELLING[CreditSale], credit, scene)
    if latest == cost:
        number = conn.execute(select(t.cost.c.id).where(t.cost.c.operation_id == cost)).scalar_one()
        return _planned(conn, COSTS[ReverseCost], ReverseCost(int(number), "entered by mistake"), scene)
    if latest == taken:
        number = conn.execute(select(t.store_issue.c.id).where(t.store_issue.c.operation_id == taken)).scalar_one()
        return _planned(conn, COSTS[PutBack], PutBack(int(number), "entered by mistake"), scene)
    if latest == hours:
        number = conn.execute(select(t.own_hours.c.id).where(t.own_hours.c.operation_id == hours)).scalar_one()
        return _planned(conn, COSTS[DropHours], DropHours(int(number)), scene)
    return _planned(conn, STOCK[Undo], command, scene)


def commit_undo(conn: Connection, plan: UndoPlan, act: Act) -> Done:
    """Take it back."""
    return plan.handler.commit(conn, plan.plan, act)


def _planned(conn: Connection, handler: Handler, command: object, scene: Scene) -> UndoPlan:
    return UndoPlan(handler, handler.plan(conn, command, scene))


_SALES = select(t.sale.c.operation_id).where(
    ~select(t.credit.c.id).where(t.credit.c.sale_id == t.sale.c.id, t.credit.c.full == 1).exists()
)


def _standing(table: Table) -> Select[Any]:
    """Operations of rows of a table that take nothing back and were not taken back."""
    back = table.alias("back")
    return select(table.c.operation_id).where(
        table.c.reverses.is_(None), ~select(back.c.id).where(back.c.reverses == table.c.id).exists()
    )


_COSTS = (
    _standing(t.cost)
    .join(t.operation, t.operation.c.id == t.cost.c.operation_id)
    .where(t.operation.c.kind.in_(("Spend", "Power")))
)
_MOVEMENTS = select(t.entry.c.operation_id).join(t.movement, t.movement.c.entry_id == t.entry.c.id)
_BOUGHT = t.cost.c.kind == "animals"  # goes with its movement


def _made(wanted: Select[Any], column: Any) -> Exists:
    """Whether an operation made one of some rows."""
    return wanted.where(column == t.operation.c.id).correlate(t.operation).exists()


_MADE = or_(
    _made(_MOVEMENTS.where(t.movement.c.reverses.is_(None)), t.entry.c.operation_id),
    *(
        _made(select(table.c.id).where(table.c.reverses.is_(None)), table.c.operation_id)
        for table in (t.cost, t.store_issue, t.own_hours)
    ),
    _made(select(t.sale.c.id), t.sale.c.operation_id),
)
"""Whether an operation made anything of the kinds that an undo takes back."""
_STANDS_BESIDE_MOVEMENTS = or_(
    _made(_standing(t.cost).where(~_BOUGHT), t.cost.c.operation_id),
    *(_made(_standing(table), table.c.operation_id) for table in (t.store_issue, t.own_hours)),
    _made(_SALES, t.sale.c.operation_id),
)
_STANDS = or_(_STANDS_BESIDE_MOVEMENTS, _made(_MOVEMENTS.where(~is_reversal_or_reversed()), t.entry.c.operation_id))


def _refuse_to_reach_past(conn: Connection, latest: int | None, asking: int | None) -> None:
    """Refuse when the last act is not one that undo takes back, or would take back in part.

    Args:
        conn: the transaction.
        latest: the act that undo would take back.
        asking: the undo that is being recorded.

    Raises:
        Refused: what the last act was, and what to do instead.
    """
    o = t.operation.c
    in_part = or_(o.kind == "LendOut", and_(o.kind == "lines", _STANDS_BESIDE_MOVEMENTS))
    beyond = and_(o.id > (latest or 0), ~and_(_MADE, ~_STANDS))
    wanted = (
        select(o.kind, t.outcome.c.answer)
        .join(t.outcome, t.outcome.c.operation_id == o.id)
        .where(o.kind.not_in(PASSED_OVER), or_(beyond, and_(o.id == (latest or 0), in_part)))
    )
    if asking is not None:
        mine = t.operation.alias("mine")
        wanted = wanted.join(mine, mine.c.id == asking).where(
            o.id < asking, o.recorded_by == mine.c.recorded_by, o.source == mine.c.source
        )
    found = conn.execute(wanted.order_by(o.id.desc()).limit(1)).one_or_none()
    if found is None:
        return
    said = json.loads(found.answer)["sentence"].rstrip(".") if found.answer else "of somebody erased since"
    how = _INSTEAD.get(found.kind, "record what is right instead")
    raise Refused(
        f"Not undone: your last act was “{said}”; {how}. An older act is set right by its number: a movement or a "
        "cost is taken back, a sale is credited."
    )


def _latest(conn: Connection, wanted: Select[Any], column: Any, asking: int | None) -> int | None:
    """The latest operation of a kind: of the same person and source as the one that asks, and before it."""
    if asking is not None:
        mine, other = t.operation.alias("mine"), t.operation.alias("other")
        wanted = (
            wanted.join(other, other.c.id == column)
            .join(mine, mine.c.id == asking)
            .where(column < asking, other.c.recorded_by == mine.c.recorded_by, other.c.source == mine.c.source)
        )
    found: int | None = conn.execute(wanted.order_by(column.desc()).limit(1)).scalar()
    return found
