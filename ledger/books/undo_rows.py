"""Rows that an act recorded and that still stand, and how each part of the books takes its own back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, select

from ledger.act import Act, Done, Handler, Plan, Scene
from ledger.books.undo_instead import BY_KIND, CannotUndo
from ledger.costs.changing import commit_unpay_cost, plan_unpay_cost
from ledger.costs.commands import DropHours, PutBack, ReverseCost
from ledger.costs.correcting import stands_instead
from ledger.costs.handlers import HANDLERS as COSTS
from ledger.records import tables as t
from ledger.records.undone import reverses_nothing
from ledger.selling.commands import LeaveQueue
from ledger.selling.handlers import HANDLERS as SELLING
from ledger.selling.repacking import commit_repack, lying_instead, packs_taken_apart_by, plan_repack
from ledger.selling.unholding import commit_unhold, plan_unhold
from ledger.selling.unpaying import commit_unpay, plan_unpay
from ledger.stock.commands import FreeKept
from ledger.stock.handlers import HANDLERS as STOCK
from ledger.stock.keeping import commit_keep, plan_keep_again
from ledger.stock.recording import commit_entries
from ledger.stock.undoing import take_back
from ledger.wording import say

MISTAKE = "entered by mistake"
"""The reason that stands on what is reversed."""


@dataclass(frozen=True, slots=True)
class Part:
    """One thing an act recorded, and how it is taken back."""

    plan: Callable[[Connection, Scene], Plan]
    commit: Callable[[Connection, Any, Act], Done]


def by_command(handlers: Mapping[type, Handler], command: object) -> Part:
    """Taken back by a command that a keeper could give as well."""
    handler = handlers[type(command)]
    return Part(lambda conn, scene: handler.plan(conn, command, scene), handler.commit)


def repacked(packs: list[int], *, reopened: bool = False) -> Part:
    """Packs put together again; of a fair that was settled or called off, when reopened."""
    return Part(lambda conn, scene: plan_repack(conn, packs, scene, reopened=reopened), commit_repack)


def standing_sales(conn: Connection, act: int) -> list[str]:
    """Numbers of the sales of an act that are not credited in full, newest first."""
    s = t.sale.c
    credited = select(t.credit.c.id).where(t.credit.c.sale_id == s.id, t.credit.c.full == 1).exists()
    return list(conn.execute(select(s.number).where(s.operation_id == act, ~credited).order_by(s.id.desc())).scalars())


def _standing(conn: Connection, act: int, table: Table, *more: Any) -> list[Any]:
    """Rows of an act that take nothing back and were not taken back, newest first."""
    back = table.alias("back")
    wanted = select(table).where(
        table.c.operation_id == act,
        reverses_nothing(table.c.reverses),
        ~select(back.c.id).where(back.c.reverses == table.c.id).exists(),
        *more,
    )
    return list(conn.execute(wanted.order_by(table.c.id.desc())).all())


def payments_of(conn: Connection, act: int, wrote: set[str]) -> list[Part]:
    """Payments on their own: those of a sale or a hold of the same act go with it."""
    if "payment" not in wrote:
        return []
    sales = set(conn.execute(select(t.sale.c.id).where(t.sale.c.operation_id == act)).scalars())
    holds = set(conn.execute(select(t.hold.c.id).where(t.hold.c.operation_id == act)).scalars())
    rows = _standing(conn, act, t.payment)
    return [_unpay(row.id) for row in rows if row.sale_id not in sales and row.hold_id not in holds]


def _unpay(payment: int) -> Part:
    return Part(lambda conn, scene: plan_unpay(conn, payment, scene), commit_unpay)


def _unpay_cost(change: int) -> Part:
    return Part(lambda conn, scene: plan_unpay_cost(conn, change, scene), commit_unpay_cost)


def costs_of(conn: Connection, act: int, wrote: set[str]) -> list[Part]:
    """Costs, payments of older costs, what came out of the store, and hours. The price of animals goes with them.

    Raises:
        CannotUndo: a change of an older cost that cannot be taken back.
    """
    each: list[Part] = []
    if "cost_change" in wrote:
        of_older = t.cost_change.c.cost_id.not_in(select(t.cost.c.id).where(t.cost.c.operation_id == act))
        for row in _standing(conn, act, t.cost_change, of_older):
            again = stands_instead(conn, row.cost_id)
            if again not in (None, row.cost_id):
                raise CannotUndo(
                    say("that cost was corrected and counts again as cost {number}; correct that one", number=again)
                )
            if row.kind == "paid":
                each.append(_unpay_cost(row.id))
            elif row.kind != "window":
                raise CannotUndo(BY_KIND["RefundCost"])
    if "cost" in wrote:
        each += [by_command(COSTS, ReverseCost(number, MISTAKE)) for number in standing_costs(conn, act)]
    if "store_issue" in wrote:
        each += [by_command(COSTS, PutBack(row.id, MISTAKE)) for row in _standing(conn, act, t.store_issue)]
    if "own_hours" in wrote:
        each += [by_command(COSTS, DropHours(row.id)) for row in _standing(conn, act, t.own_hours)]
    return each


def standing_costs(conn: Connection, act: int) -> list[int]:
    """Costs of an act that stand, or others in their place since a correction of them was undone, newest first."""
    c = t.cost.c
    wanted = select(c.id).where(c.operation_id == act, reverses_nothing(c.reverses), c.kind != "animals")
    found = [stands_instead(conn, number) for number in conn.execute(wanted.order_by(c.id.desc())).scalars().all()]
    return [number for number in found if number is not None]


def set_aside_by(conn: Connection, act: int, kind: str, wrote: set[str]) -> list[Part]:
    """Holds, animals kept back or freed, packs of a fair, places in a queue."""
    each: list[Part] = []
    if "queue_place" in wrote:
        q, end = t.queue_place.c, t.queue_end.c
        ended = select(end.id).where(end.queue_place_id == q.id).exists()
        for place in conn.execute(select(q.id, q.asked_on).where(q.operation_id == act, ~ended)).all():
            each.append(by_command(SELLING, LeaveQueue(place.id, place.asked_on)))
    if "hold" in wrote:
        ended = select(t.hold_fate.c.id).where(t.hold_fate.c.hold_id == t.hold.c.id).exists()
        holds = select(t.hold.c.number).where(t.hold.c.operation_id == act, ~ended).order_by(t.hold.c.id.desc())
        each += [_unhold(number) for number in conn.execute(holds).scalars()]
    if "earmark" in wrote:
        v = t.earmark_event.c
        ended = select(v.id).where(v.earmark_id == t.earmark.c.id, v.why.in_(("freed", "taken"))).exists()
        kept = select(t.earmark.c.id).where(t.earmark.c.operation_id == act, t.earmark.c.kind == "kept", ~ended)
        each += [_free(number) for number in conn.execute(kept.order_by(t.earmark.c.id)).scalars()]
        if "fair_pack" in wrote:
            each += [_free(number) for number in lying_instead(conn, act)]
    elif wrote & {"fair_end", "fair_change"}:
        packs = packs_taken_apart_by(conn, act)
        each += [repacked(packs, reopened=True)] if packs else []
    elif kind == "Unpack":
        each.append(repacked(packs_taken_apart_by(conn, act)))
    elif kind == "FreeKept":
        freed = select(t.earmark_event.c.earmark_id).where(t.earmark_event.c.operation_id == act)
        each += [_keep_again(number) for number in conn.execute(freed.distinct()).scalars()]
    return each


def _unhold(number: str) -> Part:
    return Part(lambda conn, scene: plan_unhold(conn, number, scene), commit_unhold)


def _free(earmark: int) -> Part:
    handler = STOCK[FreeKept]
    return Part(lambda conn, scene: handler.plan(conn, FreeKept(earmark, scene.today), scene), handler.commit)


def _keep_again(earmark: int) -> Part:
    return Part(lambda conn, scene: plan_keep_again(conn, earmark, scene), commit_keep)


def movements_of(conn: Connection, act: int, wrote: set[str]) -> list[Part]:
    """Movements that stand and belong to no sale of the same act."""
    if "entry" not in wrote:
        return []
    m, e = t.movement.c, t.entry.c
    of_sale: Any = select(t.sale_movement.c.movement_id)
    if "sale" in wrote:
        of_sale = of_sale.union(select(m.id).where(m.reason == "swapped in"))
    back = t.movement.alias("back")
    rows = conn.execute(
        select(m.id, m.id.in_(of_sale).label("sold"), back.c.id.label("back"), m.reverses)
        .join(t.entry, e.id == m.entry_id)
        .outerjoin(back, back.c.reverses == m.id)
        .where(e.operation_id == act)
    ).all()
    apart = {row.id for row in rows if row.sold} if "sale" in wrote else set()
    if not any(row.back is None and row.reverses is None and row.id not in apart for row in rows):
        return []
    return [Part(lambda conn, scene: take_back(conn, scene, act, apart), commit_entries)]
