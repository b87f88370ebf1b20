"""Undo: take back one's own latest act, whether it was on the stock, a cost or a sale.

Finds out which it was and hands it to the part that knows how: a sale is credited in full, a cost taken back, movements
reversed. Anything recorded since by the same hand stays.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, select

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.costs.commands import ReverseCost
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.errors import NotFound
from ledger.records import tables as t
from ledger.selling.commands import CreditSale
from ledger.selling.credits import credit_of_mistake
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.stock.commands import Undo
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.stock.undoing import last_act, running


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
    latest = max((one for one in (sale, cost, stock) if one is not None), default=None)
    if latest is None:
        raise NotFound("There is nothing of yours to undo.")
    if latest == sale:
        credit = credit_of_mistake(conn, sale, scene.today)
        assert credit is not None
        return _planned(conn, SELLING[CreditSale], credit, scene)
    if latest == cost:
        number = conn.execute(select(t.cost.c.id).where(t.cost.c.operation_id == cost)).scalar_one()
        return _planned(conn, COSTS[ReverseCost], ReverseCost(int(number), "entered by mistake"), scene)
    return _planned(conn, STOCK[Undo], command, scene)


def commit_undo(conn: Connection, plan: UndoPlan, act: Act) -> Done:
    """Take it back."""
    return plan.handler.commit(conn, plan.plan, act)


def _planned(conn: Connection, handler: Handler, command: object, scene: Scene) -> UndoPlan:
    return UndoPlan(handler, handler.plan(conn, command, scene))


_BACK = t.cost.alias("taken_back")
_SALES = select(t.sale.c.operation_id).where(
    ~select(t.credit.c.id).where(t.credit.c.sale_id == t.sale.c.id, t.credit.c.full == 1).exists()
)
_COSTS = (
    select(t.cost.c.operation_id)
    .join(t.operation, t.operation.c.id == t.cost.c.operation_id)
    .where(
        t.operation.c.kind == "Spend",
        t.cost.c.reverses.is_(None),
        ~select(_BACK.c.id).where(_BACK.c.reverses == t.cost.c.id).exists(),
    )
)


def _latest(conn: Connection, wanted: Select[Any], column: Any, asking: int | None) -> int | None:
    """The latest operation of a kind: of the same person and source as the one that asks, and before it."""
    if asking is not None:
        mine, other = t.operation.alias("mine"), t.operation.alias("other")
        wanted = (
            wanted.join(other, other.c.id == column)
            .join(mine, mine.c.id == asking)
            .where(
                column < asking, other.c.recorded_by == mine.c.recorded_by, other.c.source == mine.c.source
            )
        )
    found: int | None = conn.execute(wanted.order_by(column.desc()).limit(1)).scalar()
    return found
