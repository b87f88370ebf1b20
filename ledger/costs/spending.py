"""Recording what is spent: one cost with its kind, its window and the animals it is for, and the dated rows beside it.

A cost is never edited: payments, refunds, a window that ended on another day, and disposals are rows of their own.
Nothing here shares a cost out; that is the engine's work.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import Dispose, EndWindow, PayCost, RefundCost, ReverseCost, SetMethod, Spend
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.money import round_half_even, said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day
from ledger.stock.naming import find_lot, find_species
from ledger.text import clean, clean_block

KINDS = ("used up", "lasting", "overhead", "selling")
SCOPES = ("all", "species", "lots", "brood", "none")
METHODS = {
    "cost basis": ("gross", "net"),
    "brood": ("offspring", "expense"),
}
"""Figures of method a keeper may set, with what they may be; the first is the default."""


def method(conn: Connection, name: str, on: dt.date) -> str:
    """The figure of method in force on a day."""
    found = conn.execute(
        select(t.method.c.value)
        .where(t.method.c.name == name, t.method.c.from_on <= on)
        .order_by(t.method.c.from_on.desc(), t.method.c.id.desc())
        .limit(1)
    ).scalar()
    return found if found is not None else METHODS[name][0]


@dataclass(frozen=True, slots=True)
class SpendPlan:
    """A checked cost; `row` holds its columns."""

    row: dict[str, Any]
    species_ids: tuple[int, ...]
    lot_ids: tuple[int, ...]
    paid_on: dt.date | None
    sentence: str
    cautions: tuple[str, ...]


def _amount(value: int, field: str, *, least: int = 0) -> int:
    if not least <= value <= MOST_MONEY:
        raise BadInput(f"The {field} must lie between {least} and {MOST_MONEY:,} minor units.", field=field)
    return value


def _window(command: Spend, accounting_on: dt.date) -> tuple[dt.date | None, dt.date | None]:
    """First and last day the cost is used up on; an open end (`None`) lasts until the next of its kind is opened."""
    if command.kind in ("lasting", "selling"):
        if command.window_from or command.window_to:
            raise BadInput(f"A {command.kind} cost has no days to be used up over; leave them out.", field="window_to")
        return (max(command.bought_on, accounting_on), None) if command.kind == "lasting" else (None, None)
    first = command.window_from or command.bought_on
    last = command.window_to
    if last is None and command.kind == "overhead":
        last = first + dt.timedelta(days=364)
    if last is not None and last < first:
        raise BadInput(
            f"The cost would be used up by {long_day(last)}, before it starts on {long_day(first)}; swap the two days.",
            field="window_to",
        )
    if accounting_on > command.bought_on:
        first = max(first, accounting_on)
        last = None if last is None else max(last, first)
    return first, last


def plan_spend(conn: Connection, command: Spend, scene: Scene) -> SpendPlan:
    """Check a cost and say where it will land."""
    category = clean(command.category, limit=40, field="category").lower()
    if not category:
        raise BadInput("Say what the money was spent on: a category such as feed, heat or tubs.", field="category")
    if command.kind not in KINDS:
        raise BadInput(f"“{command.kind}” is no kind of cost; choose one of: {', '.join(KINDS)}.", field="kind")
    if command.scope not in SCOPES:
        raise BadInput(f"“{command.scope}” is not a scope; choose one of: {', '.join(SCOPES)}.", field="scope")
    gross = _amount(command.gross, "amount", least=1)
    tax = _amount(command.tax, "tax")
    if tax > gross:
        raise BadInput("The tax cannot be more than the whole amount; enter the amount with tax.", field="tax")
    if not 1 <= command.share <= 10000:
        raise BadInput("The business share must lie between 0.01 % and 100 %.", field="share")
    if command.bought_on > scene.today:
        raise BadInput(
            f"{long_day(command.bought_on)} is still to come; enter the cost when it is made.", field="bought_on"
        )
    accounting_on = accounting_day(conn, command.bought_on)
    taken = gross if method(conn, "cost basis", command.bought_on) == "gross" else gross - tax
    basis = round_half_even(taken * command.share, 10000)
    residual = _amount(command.residual, "residual value")
    if command.kind == "lasting":
        if not command.life_days or not 1 <= command.life_days <= 40000:
            raise BadInput("Say how long it will last: a life of 1 to 40,000 days.", field="life_days")
        if residual > basis:
            raise BadInput("What it will still be worth cannot be more than what it cost.", field="residual")
    elif command.life_days or residual:
        raise BadInput("Only lasting things have a life and a residual value; choose kind lasting.", field="life_days")
    scope = "none" if command.kind == "selling" else command.scope
    if scope == "none" and command.kind != "selling":
        raise BadInput("Say which animals it was for: all, a species, or lots.", field="scope")
    species_ids = tuple(find_species(conn, code).id for code in command.species)
    lot_ids = tuple(find_lot(conn, code).id for code in command.lots)
    if (scope == "species") != bool(species_ids):
        raise BadInput("Name the species it was for, with scope species (and only then).", field="species")
    if (scope in ("lots", "brood")) != bool(lot_ids):
        raise BadInput("Name the lots it was for, with scope lots or brood (and only then).", field="lots")
    sale_id = _sale(conn, command) if command.sale else None
    first, last = _window(command, accounting_on)
    row = {
        "bought_on": command.bought_on,
        "accounting_on": accounting_on,
        "supplier": clean(command.supplier, limit=120, field="supplier"),
        "category": category,
        "text": clean(command.text, limit=200, field="text"),
        "net": gross - tax,
        "tax": tax,
        "gross": gross,
        "basis": basis,
        "share": command.share,
        "quantity": clean(command.quantity, limit=30, field="quantity"),
        "unit": clean(command.unit, limit=20, field="unit"),
        "kind": command.kind,
        "scope": scope,
        "window_from": first,
        "window_to": last,
        "life_days": command.life_days,
        "residual": residual,
        "sale_id": sale_id,
        "original_currency": clean(command.original_currency, limit=3, field="currency"),
        "original_amount": clean(command.original_amount, limit=30, field="original amount"),
        "rate": clean(command.rate, limit=30, field="rate"),
        "note": clean_block(command.note, limit=2000, field="note"),
    }
    where = {
        "all": "for all animals",
        "species": "for " + ", ".join(command.species),
        "lots": "for " + ", ".join(command.lots),
        "brood": "for the brood of " + ", ".join(command.lots),
        "none": f"for sale {command.sale}" if command.sale else "as a selling cost",
    }[scope]
    when = {
        "used up": f"used up from {long_day(first)} " + (f"to {long_day(last)}" if last else "until the next is opened")
        if first
        else "",
        "overhead": f"spread from {long_day(first)} to {long_day(last)}" if first and last else "",
        "lasting": f"lasting {command.life_days} days",
        "selling": "",
    }[command.kind]
    supplier = f" from {row['supplier']}" if row["supplier"] else ""
    sentence = f"{category} {said(gross, scene.currency)}{supplier}, {long_day(command.bought_on)}: {where}"
    cautions = []
    if accounting_on != command.bought_on:
        cautions.append(f"That year is closed: it is accounted on {long_day(accounting_on)} and keeps its date.")
    return SpendPlan(
        row,
        species_ids,
        lot_ids,
        None if command.unpaid else (command.paid_on or command.bought_on),
        sentence + (f", {when}." if when else "."),
        tuple(cautions),
    )


def _sale(conn: Connection, command: Spend) -> int:
    if command.kind != "selling":
        raise BadInput("Only a selling cost belongs to one sale; choose kind selling.", field="sale")
    found = conn.execute(select(t.sale.c.id).where(t.sale.c.number == command.sale)).scalar()
    if found is None:
        raise NotFound(f"There is no sale {command.sale}; look its number up under Sales.", field="sale")
    return int(found)


def commit_spend(conn: Connection, plan: SpendPlan, act: Act) -> Done:
    """Write the cost, its scope and its payment."""
    cost_id = write_cost(conn, act, plan.row, paid_on=plan.paid_on)
    scopes = [{"cost_id": cost_id, "species_id": one, "lot_id": None} for one in plan.species_ids]
    scopes += [{"cost_id": cost_id, "species_id": None, "lot_id": one} for one in plan.lot_ids]
    if scopes:
        conn.execute(insert(t.cost_scope), scopes)
    return Done(plan.sentence, {"cost": cost_id}, plan.cautions)


def write_cost(conn: Connection, act: Act, row: dict[str, Any], *, paid_on: dt.date | None) -> int:
    """Insert one cost row and, when it was paid, the payment beside it; returns the cost's number."""
    cost_id = int(
        conn.execute(insert(t.cost).values(operation_id=act.operation, **row).returning(t.cost.c.id)).scalar_one()
    )
    if paid_on is not None:
        _change(conn, act, cost_id, "paid", paid_on, amount=row["gross"])
    return cost_id


def _change(
    conn: Connection,
    act: Act,
    cost_id: int,
    kind: str,
    on: dt.date,
    *,
    amount: int = 0,
    window_to: dt.date | None = None,
    note: str = "",
) -> None:
    conn.execute(
        insert(t.cost_change).values(
            cost_id=cost_id,
            kind=kind,
            happened_on=on,
            accounting_on=accounting_day(conn, on),
            amount=amount,
            window_to=window_to,
            note=note,
            operation_id=act.operation,
        )
    )


# --- what happens to a cost later ---


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


def _cost(conn: Connection, number: int) -> Any:
    row = conn.execute(select(t.cost).where(t.cost.c.id == number)).one_or_none()
    if row is None:
        raise NotFound(f"There is no cost number {number}; look it up under Costs.", field="cost")
    taken_back = conn.execute(select(t.cost.c.id).where(t.cost.c.reverses == number)).scalar()
    if row.reverses is not None or taken_back is not None:
        raise Refused(f"Cost {number} has been taken back; nothing more can be added to it.", field="cost")
    return row


def _sum(conn: Connection, cost_id: int, kind: str) -> int:
    found = conn.execute(
        select(func.sum(t.cost_change.c.amount)).where(t.cost_change.c.cost_id == cost_id, t.cost_change.c.kind == kind)
    ).scalar()
    return int(found or 0)


def _day_after(row: Any, on: dt.date, scene: Scene) -> None:
    if on < row.bought_on:
        raise BadInput(f"{long_day(on)} is before it was bought on {long_day(row.bought_on)}.", field="on")
    if on > scene.today:
        raise BadInput(f"{long_day(on)} is still to come.", field="on")


def plan_pay(conn: Connection, command: PayCost, scene: Scene) -> ChangePlan:
    row = _cost(conn, command.cost)
    _day_after(row, command.on, scene)
    open_amount = row.gross - _sum(conn, row.id, "paid")
    if not 1 <= command.amount <= open_amount:
        raise BadInput(
            f"Of cost {row.id} {said(open_amount, scene.currency)} is unpaid; pay that or less.", field="amount"
        )
    sentence = f"Cost {row.id} ({row.category}): {said(command.amount, scene.currency)} paid, {long_day(command.on)}."
    return ChangePlan(row.id, "paid", command.on, command.amount, None, command.note, sentence)


def plan_refund(conn: Connection, command: RefundCost, scene: Scene) -> ChangePlan:
    row = _cost(conn, command.cost)
    _day_after(row, command.on, scene)
    left = row.gross - _sum(conn, row.id, "refund")
    if row.kind == "animals":
        raise Refused("A refund for animals bought is not a refund of a cost; record what came back instead.")
    if not 1 <= command.amount <= left:
        raise BadInput(
            f"Cost {row.id} was {said(row.gross, scene.currency)}, of which {said(left, scene.currency)} is not "
            "refunded yet; a refund cannot be larger.",
            field="amount",
        )
    sentence = (
        f"Cost {row.id} ({row.category}): {said(command.amount, scene.currency)} came back, {long_day(command.on)}."
    )
    return ChangePlan(row.id, "refund", command.on, command.amount, None, command.note, sentence)


def plan_end_window(conn: Connection, command: EndWindow, scene: Scene) -> ChangePlan:
    row = _cost(conn, command.cost)
    if row.kind not in ("used up", "overhead"):
        raise Refused(f"Cost {row.id} is not used up over days; nothing to end.", field="cost")
    if command.window_to < row.window_from:
        raise BadInput(
            f"It was opened on {long_day(row.window_from)}; it cannot be finished on {long_day(command.window_to)}.",
            field="window_to",
        )
    _day_after(row, command.on, scene)
    sentence = f"Cost {row.id} ({row.category}): used up by {long_day(command.window_to)}."
    return ChangePlan(row.id, "window", command.on, 0, command.window_to, command.note, sentence)


def plan_dispose(conn: Connection, command: Dispose, scene: Scene) -> ChangePlan:
    row = _cost(conn, command.cost)
    if row.kind != "lasting":
        raise Refused(f"Cost {row.id} is no equipment; only lasting things are disposed of.", field="cost")
    if conn.execute(
        select(t.cost_change.c.id).where(t.cost_change.c.cost_id == row.id, t.cost_change.c.kind == "disposal")
    ).first():
        raise Refused(f"Cost {row.id} was disposed of already.", field="cost")
    _day_after(row, command.on, scene)
    amount = _amount(command.proceeds, "proceeds")
    got = f" for {said(amount, scene.currency)}" if amount else ""
    sentence = f"Cost {row.id} ({row.text or row.category}): disposed of{got}, {long_day(command.on)}."
    return ChangePlan(row.id, "disposal", command.on, amount, None, command.note, sentence)


def commit_change(conn: Connection, plan: ChangePlan, act: Act) -> Done:
    """Write the dated row beside the cost."""
    note = clean_block(plan.note, limit=2000, field="note")
    _change(conn, act, plan.cost_id, plan.kind, plan.on, amount=plan.amount, window_to=plan.window_to, note=note)
    return Done(plan.sentence, {"cost": plan.cost_id}, plan.cautions)


@dataclass(frozen=True, slots=True)
class ReverseCostPlan:
    """A cost to be taken back."""

    row: dict[str, Any]
    paid: int
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_reverse_cost(conn: Connection, command: ReverseCost, scene: Scene) -> ReverseCostPlan:
    row = _cost(conn, command.cost)
    if row.kind == "animals":
        raise Refused("This is the price of animals bought; take their arrival back instead.", field="cost")
    copy = {name: value for name, value in row._mapping.items() if name not in ("id", "operation_id")}
    copy["reverses"] = row.id
    copy["accounting_on"] = (
        row.accounting_on if accounting_day(conn, row.accounting_on) == row.accounting_on else scene.today
    )
    copy["note"] = clean_block(command.note, limit=2000, field="note")
    return ReverseCostPlan(copy, _sum(conn, row.id, "paid"), f"Cost {row.id} ({row.category}) is taken back.")


def commit_reverse_cost(conn: Connection, plan: ReverseCostPlan, act: Act) -> Done:
    cost_id = write_cost(conn, act, plan.row, paid_on=None)
    return Done(plan.sentence, {"cost": cost_id}, plan.cautions)


@dataclass(frozen=True, slots=True)
class MethodPlan:
    """A figure of method to be set."""

    command: SetMethod
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_method(conn: Connection, command: SetMethod, scene: Scene) -> MethodPlan:
    if command.name not in METHODS or command.value not in METHODS[command.name]:
        known = "; ".join(f"{name}: {' or '.join(values)}" for name, values in METHODS.items())
        raise BadInput(f"That method is not known. Known are — {known}.", field="name")
    if accounting_day(conn, command.from_on) != command.from_on:
        raise BadInput("That year is closed and keeps its method; choose a day in an open year.", field="from_on")
    return MethodPlan(command, f"From {long_day(command.from_on)}: {command.name} is {command.value}.")


def commit_method(conn: Connection, plan: MethodPlan, act: Act) -> Done:
    said = plan.command
    conn.execute(
        insert(t.method).values(
            name=said.name,
            value=said.value,
            from_on=said.from_on,
            note=clean(said.note, limit=500, field="note"),
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence)
