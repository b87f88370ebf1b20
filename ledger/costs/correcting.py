"""Correcting a cost: it is taken back and recorded anew in one act, and undone as a whole.

What a form does not ask for (business share, days, residual value, sale) stays as it was.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.changing import ReverseCostPlan, commit_reverse_cost, plan_reverse_cost
from ledger.costs.commands import CorrectCost, ReverseCost, Spend
from ledger.costs.dated import counts_still, write_change
from ledger.costs.in_use import note_opened
from ledger.costs.spending import SpendPlan, commit_spend, plan_spend, write_cost
from ledger.errors import Refused
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.records.undone import reverses_nothing
from ledger.wording import say, strung, word

CORRECTED = "corrected"


@dataclass(frozen=True, slots=True)
class CorrectPlan:
    """A cost to be taken back, and the one in its place."""

    command: CorrectCost
    back: ReverseCostPlan
    anew: SpendPlan
    sentence: str
    cautions: tuple[str, ...]


def plan_correct(conn: Connection, command: CorrectCost, scene: Scene) -> CorrectPlan:
    """Check that a cost can be taken back and recorded anew.

    Raises:
        NotFound, Refused: it cannot be taken back, or more was recorded of it.
        BadInput: what stands in its place cannot be recorded.
    """
    back = plan_reverse_cost(conn, ReverseCost(command.cost, CORRECTED), scene)
    _refuse_if_more(conn, command.cost, back.row)
    anew = plan_spend(conn, _as_it_was(conn, command, back.row), scene, without=command.cost)
    return CorrectPlan(
        command,
        back,
        anew,
        say("Instead of cost {number}: {sentence}", number=command.cost, sentence=anew.sentence),
        tuple(dict.fromkeys((*back.cautions, *anew.cautions))),
    )


def _refuse_if_more(conn: Connection, number: int, row: dict[str, Any]) -> None:
    """Refuse where rows beside it would be lost with it."""
    change = t.cost_change.c
    kinds = set(conn.execute(select(change.kind).where(change.cost_id == number)).scalars())
    paid = _payments(conn, number)
    in_parts = len(paid) > 1 or any(amount != row["gross"] for _, amount in paid)
    stored = row["kind"] == "used up" and row["window_from"] is None
    if stored or kinds & {"refund", "disposal"} or in_parts:
        raise Refused(
            say(
                "More was recorded of cost {number} (part of it paid, money back, disposed of, or put in store); take "
                "it back and enter all of it again.",
                number=number,
            ),
            "cost",
        )


def _payments(conn: Connection, number: int) -> list[tuple[dt.date, int]]:
    """Day and amount of each payment that was not taken back."""
    change, back = t.cost_change.c, t.cost_change.alias("back").c
    wanted = (
        select(change.happened_on, change.amount)
        .where(
            change.cost_id == number,
            change.kind == "paid",
            reverses_nothing(change.reverses),
            ~select(back.id).where(back.reverses == change.id).exists(),
        )
        .order_by(change.id)
    )
    return [(row.happened_on, row.amount) for row in conn.execute(wanted)]


def _as_it_was(conn: Connection, command: CorrectCost, row: dict[str, Any]) -> Spend:
    """What is recorded in its place, with all that was not asked for."""
    said = command.spend
    same_kind = said.category.strip().casefold() == row["category"] and said.life_days is None
    kind = row["kind"] if same_kind and row["kind"] != "lasting" else said.kind
    same_days = said.bought_on == row["bought_on"] and kind == row["kind"] and kind in ("used up", "overhead")
    change = t.cost_change.c
    ended = conn.execute(
        select(change.window_to)
        .where(change.cost_id == command.cost, change.kind == "window", counts_still)
        .order_by(change.id.desc())
        .limit(1)
    ).scalar()
    paid_on = next((on for on, _ in _payments(conn, command.cost)), None)
    sale = None
    if row["sale_id"] is not None and kind == "selling":
        sale = conn.execute(select(t.sale.c.number).where(t.sale.c.id == row["sale_id"])).scalar_one()
    residual = 0
    if kind == row["kind"] == "lasting":
        # Of the business share, as it is kept: to the nearest, or it would lose a little each time.
        residual = round_half_even(row["residual"] * 10000, row["share"])
    moved = row["window_from"] == accounting_day(conn, row["bought_on"]) or row["window_from"] == row["bought_on"]
    kept = row["scope"] if row["scope"] == "brood" and said.lots else said.scope
    return replace(
        said,
        kind=kind,
        scope="none" if kind == "selling" else kept if kept != "none" else "all",
        share=row["share"] if same_kind or kind == row["kind"] == "lasting" else None,
        residual=residual,
        window_from=said.window_from or (row["window_from"] if same_days and not moved else None),
        window_to=said.window_to or ((ended or row["window_to"]) if same_days else None),
        sale=sale,
        quantity=row["quantity"],
        unit=row["unit"],
        original_currency=row["original_currency"],
        original_amount=row["original_amount"],
        rate=row["rate"],
        paid_on=None if said.unpaid or paid_on is None or paid_on < said.bought_on else paid_on,
    )


def commit_correct(conn: Connection, plan: CorrectPlan, act: Act) -> Done:
    """Take it back, then plan anew what is recorded in its place, with the old one gone."""
    commit_reverse_cost(conn, plan.back, act)
    # Locked now: what somebody else recorded of it meanwhile is seen.
    _refuse_if_more(conn, plan.command.cost, plan.back.row)
    spend = _as_it_was(conn, plan.command, plan.back.row)
    done = commit_spend(conn, plan_spend(conn, spend, act.scene, without=None), act)
    _stay_at_fair(conn, act, plan.command.cost, int(done.refs["cost"]), paid=not spend.unpaid)
    return Done(plan.sentence, {**done.refs, "corrected": plan.command.cost}, plan.cautions)


def _stay_at_fair(conn: Connection, act: Act, old: int, new: int, *, paid: bool = True) -> None:
    """Let a cost in the place of another be of the same fair, paid out of its cash if that one was."""
    c = t.fair_cost.c
    for fair, from_cash in conn.execute(select(c.fair_id, c.from_cash).where(c.cost_id == old)).all():
        row = {"fair_id": fair, "cost_id": new, "from_cash": from_cash if paid else 0}
        conn.execute(insert(t.fair_cost).values(**row, operation_id=act.operation))


# --- undone ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class UncorrectPlan:
    """A correction to be taken back: the new cost, and the old one written again as it was."""

    back: ReverseCostPlan
    old: int
    sentence: str
    cautions: tuple[str, ...]


def plan_uncorrect(conn: Connection, new: int, old: int, scene: Scene) -> UncorrectPlan:
    """Check that a correction can be taken back.

    Raises:
        Refused: the cost in place of the old one was taken back already.
    """
    back = plan_reverse_cost(conn, ReverseCost(new, CORRECTED), scene)
    row = conn.execute(select(t.cost).where(t.cost.c.id == old)).one()
    words = strung((word(row.category), row.supplier), " ") if row.supplier else word(row.category)
    sentence = say("Taken back: the correction of cost {old} ({what}); it counts again.", old=old, what=words)
    return UncorrectPlan(back, old, sentence, back.cautions)


def commit_uncorrect(conn: Connection, plan: UncorrectPlan, act: Act) -> Done:
    """Take the new one back and write the old one again, with its animals and payments."""
    commit_reverse_cost(conn, plan.back, act)
    old = conn.execute(select(t.cost).where(t.cost.c.id == plan.old)).one()
    row = {name: value for name, value in old._mapping.items() if name not in ("id", "operation_id")}
    row["accounting_on"] = accounting_day(conn, row["bought_on"])
    for name in ("window_from", "window_to"):
        day: dt.date | None = row[name]
        row[name] = None if day is None else max(day, accounting_day(conn, day))
    number = write_cost(conn, act, row, paid_on=None)
    scopes = conn.execute(select(t.cost_scope).where(t.cost_scope.c.cost_id == plan.old)).all()
    whom = [one.species_id or one.lot_id for one in scopes]
    note_opened(conn, number, row, whom)
    if scopes:
        rows = [{"cost_id": number, "species_id": one.species_id, "lot_id": one.lot_id} for one in scopes]
        conn.execute(insert(t.cost_scope), rows)
    change = t.cost_change.c
    beside = select(t.cost_change).where(change.cost_id == plan.old, counts_still).order_by(change.id)
    back = {one.reverses for one in conn.execute(beside) if one.reverses is not None}
    for one in conn.execute(beside).all():
        if one.reverses is None and one.id not in back:
            write_change(
                conn,
                act,
                number,
                one.kind,
                one.happened_on,
                amount=one.amount,
                window_to=one.window_to,
                note=one.note,
            )
    _stay_at_fair(conn, act, plan.old, number)
    return Done(plan.sentence, {"cost": number}, plan.cautions)


def stands_instead(conn: Connection, cost: int, *, corrected: bool = False) -> int | None:
    """The cost that stands in the place of one a correction took back that was undone since.

    It is that cost itself if it was never taken back, and `None` if none stands. `corrected`: also one that stands in
    its place by a correction.
    """
    c, back = t.cost.c, t.undone.c
    while True:
        by = conn.execute(select(c.operation_id).where(c.reverses == cost)).scalar_one_or_none()
        if by is None:
            return cost
        again = conn.execute(
            select(c.id)
            .join(t.undone, back.operation_id == c.operation_id)
            .join(t.operation, t.operation.c.id == back.act_id)
            .where(back.act_id == by, t.operation.c.kind == "CorrectCost", reverses_nothing(c.reverses))
        ).scalar_one_or_none()
        if again is None and corrected:
            again = conn.execute(
                select(c.id)
                .join(t.operation, t.operation.c.id == c.operation_id)
                .where(c.operation_id == by, t.operation.c.kind == "CorrectCost", reverses_nothing(c.reverses))
            ).scalar_one_or_none()
        if again is None:
            return None
        cost = again
