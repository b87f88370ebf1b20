"""Recording what is spent: one cost with its kind, its window and the animals it is for, and the dated rows beside it.

A cost is never edited: payments, refunds, a window that ended on another day, and disposals are rows of their own.
Nothing here shares a cost out; that is the engine's work.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import Spend
from ledger.costs.dated import write_change
from ledger.costs.in_use import Before, guess_words, note_opened, opened_before, still_in_use
from ledger.costs.items import opened_on
from ledger.costs.methods import FULL_SHARE, business_share, method, share_text
from ledger.costs.store import in_words, stores, thousandths
from ledger.costs.twice import maybe_twice, note_bought
from ledger.days import long_day
from ledger.errors import BadInput, NotFound
from ledger.money import Currency, amount_text, round_half_even, said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.later import write_one
from ledger.records.numbers import meant_by
from ledger.records.periods import accounting_day, period_of
from ledger.records.series import SALES
from ledger.stock.naming import find_lot, find_species
from ledger.text import clean, clean_block, quoted
from ledger.wording import say, strung, word

KINDS = ("used up", "lasting", "overhead", "selling")
SCOPES = ("all", "species", "lots", "brood", "none")
_NEW = insert(t.cost).returning(t.cost.c.id)


@dataclass(frozen=True, slots=True)
class SpendPlan:
    """A checked cost; `row` holds its columns."""

    row: dict[str, Any]
    species_ids: tuple[int, ...]
    lot_ids: tuple[int, ...]
    paid_on: dt.date | None
    sentence: str
    cautions: tuple[str, ...]


_AMOUNT, _TAX, _RESIDUAL = say("amount"), say("tax"), say("residual value")


def amount_within(value: int, field: str, currency: Currency, *, least: int = 0) -> int:
    """An amount within what the books can hold. Raises BadInput."""
    if not least <= value <= MOST_MONEY:
        bounds = say("{least} and {most}", least=amount_text(least, currency), most=said(MOST_MONEY, currency))
        raise BadInput(say("The {figure} must lie between {bounds}.", figure=field, bounds=bounds), field=field)
    return value


def _part(amount: int, share: int) -> int:
    """The business part of an amount."""
    return amount if share == FULL_SHARE else round_half_even(amount * share, FULL_SHARE)


def _window(conn: Connection, command: Spend, accounting_on: dt.date) -> tuple[dt.date | None, dt.date | None]:
    """First and last day the cost is used up on; an open end (`None`) lasts until the next of its kind is opened.

    What animals cost by the end of a closed year stands, so no cost is used up on days before the first open one.
    """
    if command.kind in ("lasting", "selling"):
        if command.window_from or command.window_to:
            raise BadInput(
                say("A {kind} cost has no days to be used up over; leave them out.", kind=command.kind),
                field="window_to",
            )
        return (max(command.bought_on, accounting_on), None) if command.kind == "lasting" else (None, None)
    if command.stored:
        if command.kind != "used up" or command.scope != "all" or command.window_from or command.window_to:
            raise BadInput(
                say("What is put in store is for no animals and no days until it is taken out; leave them out."),
                field="stored",
            )
        return None, None
    first = command.window_from or command.bought_on
    last = command.window_to
    if last is None and command.kind == "overhead":
        last = first + dt.timedelta(days=364)
    if last is not None and last < first:
        raise BadInput(
            say(
                "The cost would be used up by {last}, before it starts on {first}; swap the two days.",
                last=long_day(last),
                first=long_day(first),
            ),
            field="window_to",
        )
    if accounting_on > command.bought_on:
        first = max(first, accounting_on)
    if first != accounting_on:
        first = accounting_day(conn, first)
    return first, None if last is None else max(last, first)


def plan_spend(conn: Connection, command: Spend, scene: Scene, *, without: int | None = 0) -> SpendPlan:
    """Check a cost and say where it will land.

    Args:
        conn: an open connection.
        command: the cost.
        scene: the day and what it is recorded for.
        without: as if the cost of that number had been taken back; `None`: nobody asks whether it was recorded before.

    Raises:
        BadInput, NotFound: it cannot be kept like that, and why.
    """
    category = clean(command.category, limit=40, field="category").lower()
    text = clean(command.text, limit=200, field="text")
    if not category:
        raise BadInput(say("Say what the money was spent on: a category such as feed, heat or tubs."), field="category")
    if command.kind not in KINDS:
        raise BadInput(
            say("“{kind}” is no kind of cost; choose one of: {kinds}.", kind=command.kind, kinds=strung(KINDS, ", ")),
            field="kind",
        )
    if command.scope not in SCOPES:
        raise BadInput(
            say("“{scope}” is not a scope; choose one of: {scopes}.", scope=command.scope, scopes=strung(SCOPES, ", ")),
            field="scope",
        )
    gross = amount_within(command.gross, _AMOUNT, scene.currency, least=1)
    tax = amount_within(command.tax, _TAX, scene.currency)
    if tax > gross:
        raise BadInput(say("The tax cannot be more than the whole amount; enter the amount with tax."), field="tax")
    share = business_share(conn, category, command.bought_on) if command.share is None else command.share
    if not 1 <= share <= FULL_SHARE:
        raise BadInput(say("The business part must lie between 0.01 % and 100 %."), field="share")
    if command.bought_on > scene.today:
        raise BadInput(
            say("{bought_on} is still to come; enter the cost when it is made.", bought_on=long_day(command.bought_on)),
            field="bought_on",
        )
    if command.paid_on is not None and command.paid_on > scene.today:
        raise BadInput(
            say("{paid_on} is still to come; pay the cost when it is paid.", paid_on=long_day(command.paid_on)),
            field="paid_on",
        )
    year = period_of(conn, command.bought_on)
    accounting_on = accounting_day(conn, command.bought_on) if year.closed else command.bought_on
    taken = gross if method(conn, "cost basis", command.bought_on) == "gross" else gross - tax
    basis = _part(taken, share)
    worth = amount_within(command.residual, _RESIDUAL, scene.currency)
    residual = _part(worth, share)
    if command.kind == "lasting":
        if not command.life_days or not 1 <= command.life_days <= 40000:
            raise BadInput(say("Say how long it will last: a life of 1 to 40,000 days."), field="life_days")
        if worth > taken:
            raise BadInput(say("What it will still be worth cannot be more than what it cost."), field="residual")
    elif command.life_days or worth:
        raise BadInput(
            say("Only lasting things have a life and a residual value; choose kind lasting."), field="life_days"
        )
    scope = "none" if command.kind == "selling" else command.scope
    if scope == "none" and command.kind != "selling":
        raise BadInput(say("Say which animals it was for: all, a species, or lots."), field="scope")
    species_ids = tuple([find_species(conn, code).id for code in command.species])
    lot_ids = tuple([find_lot(conn, code).id for code in command.lots])
    if scope == "none" and (species_ids or lot_ids):
        raise BadInput(
            say(
                "{category} is a selling cost, which no animals bear; leave out for whom it was.",
                category=quoted(category),
            ),
            field="scope",
        )
    if (scope == "species") != bool(species_ids):
        raise BadInput(say("Name the species it was for, with scope species (and only then)."), field="species")
    if (scope in ("lots", "brood")) != bool(lot_ids):
        raise BadInput(say("Name the lots it was for, with scope lots or brood (and only then)."), field="lots")
    sale_id = _sale(conn, command) if command.sale else None
    first, last = _window(conn, command, accounting_on)
    quantity, unit = _quantity(conn, command, category)
    row = {
        "bought_on": command.bought_on,
        "accounting_on": accounting_on,
        "supplier": clean(command.supplier, limit=120, field="supplier"),
        "category": category,
        "text": text,
        "net": gross - tax,
        "tax": tax,
        "gross": gross,
        "basis": basis,
        "share": share,
        "quantity": quantity,
        "unit": unit,
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
    before = None
    if command.kind == "used up" and first is not None:
        really = opened_on(command.bought_on, accounting_on, first)
        before = opened_before(conn, category, text, scope, species_ids or lot_ids, first, really, without or 0)
    cautions = []
    if before is not None and before.ends and first is not None:
        opened = long_day(before.first)
        cautions.append(
            say(
                "Cost {id}, opened on {day}, ends as this one is opened: its last day is {last}.",
                id=before.id,
                day=opened,
                last=long_day(first - dt.timedelta(days=1) if before.first != first else first),
            )
        )
    cautions += still_in_use(before, before is not None and before.ends)
    if accounting_on != command.bought_on:
        cautions.append(
            say(
                "That year is closed: it is accounted on {accounting_on} and keeps its date.",
                accounting_on=long_day(accounting_on),
            )
        )
    elif year.last_day < scene.today:
        cautions.append(say("It is accounted in {year}, which is over but not closed yet.", year=year.name))
    elif first is not None and first > (command.window_from or command.bought_on):
        cautions.append(
            say("Days of a closed year bear none of it: it is used up from {first} on.", first=long_day(first))
        )
    if command.kind == "overhead" and command.window_to is None:
        cautions.append(
            say("It is spread over the coming year; say its period if it is a bill for a past month or another time.")
        )
    if without is not None:
        cautions += maybe_twice(conn, row, scene.currency, without)
    return SpendPlan(
        row,
        species_ids,
        lot_ids,
        None if command.unpaid else (command.paid_on or command.bought_on),
        _sentence(command, row, before, scene.currency) if scene.sentences else "",
        tuple(cautions),
    )


def _sentence(command: Spend, row: dict[str, Any], before: Before | None, currency: Currency) -> str:
    when, where = _when(command, row, before), _where(command, row["scope"])
    parts = {
        "category": word(row["category"]),
        "gross": say(
            "{gross} ({share} of it counts, {basis})",
            gross=said(row["gross"], currency),
            share=share_text(row["share"]),
            basis=said(row["basis"], currency),
        )
        if row["share"] != FULL_SHARE
        else said(row["gross"], currency),
        "bought_on": long_day(command.bought_on),
        "where": strung((where, when), ", ") if when else where,
    }
    return (
        say("{category} {gross} from {supplier}, {bought_on}: {where}.", supplier=row["supplier"], **parts)
        if row["supplier"]
        else say("{category} {gross}, {bought_on}: {where}.", **parts)
    )


def _where(command: Spend, scope: str) -> str:
    """Which animals it is for."""
    if scope == "species":
        return say("for {species}", species=", ".join(command.species))
    if scope == "lots":
        return say("for {lots}", lots=", ".join(command.lots))
    if scope == "brood":
        return say("for the brood of {lots}", lots=", ".join(command.lots))
    if scope == "none":
        return say("for sale {sale}", sale=command.sale) if command.sale else say("as a selling cost")
    return say("for nobody yet") if command.stored else say("for all animals")


def _when(command: Spend, row: dict[str, Any], before: Before | None) -> str:
    """Over which days it is used up; empty where there are none."""
    first, last = row["window_from"], row["window_to"]
    if command.kind == "lasting":
        return say("as equipment, lasting {days} days", days=command.life_days)
    if command.kind == "overhead":
        return say("spread from {first} to {last}", first=long_day(first), last=long_day(last)) if last else ""
    if command.kind == "selling":
        return ""
    if first is None:
        return say("{quantity} {unit} put in store", quantity=row["quantity"], unit=row["unit"])
    until = (
        say("to {day}", day=long_day(last))
        if last
        else say("until the next is opened ({guess})", guess=guess_words(before))
    )
    return say("used up from {first} {until}", first=long_day(first), until=until)


def _quantity(conn: Connection, command: Spend, category: str) -> tuple[str, str]:
    """Quantity and unit as kept; of what goes in store a number, in the unit its item was bought in before."""
    quantity = clean(command.quantity, limit=30, field="quantity")
    unit = clean(command.unit, limit=20, field="unit")
    if not command.stored:
        return quantity, unit
    if not unit:
        raise BadInput(say("Say how much goes in store and in which unit, such as 10 kg."), field="quantity")
    many = thousandths(quantity)
    known = stores(conn).get((category, clean(command.text, limit=200, field="text").casefold()))
    if known is not None and known.unit != unit:
        raise BadInput(
            say("This is kept in {unit}, not in {other}; write the quantity in {unit}.", unit=known.unit, other=unit),
            field="quantity",
        )
    return in_words(many, ""), unit


def _sale(conn: Connection, command: Spend) -> int:
    if command.kind != "selling":
        raise BadInput(say("Only a selling cost belongs to one sale; choose kind selling."), field="sale")
    wanted = meant_by(conn, SALES, command.sale or "")
    found = conn.execute(select(t.sale.c.id).where(t.sale.c.number.in_(wanted))).scalar()
    if found is None:
        raise NotFound(say("There is no sale {sale}; look its number up under Sales.", sale=command.sale), field="sale")
    return int(found)


def commit_spend(conn: Connection, plan: SpendPlan, act: Act) -> Done:
    """Write the cost, its scope and its payment."""
    cost_id = write_cost(conn, act, plan.row, paid_on=plan.paid_on)
    note_opened(conn, cost_id, plan.row, plan.species_ids or plan.lot_ids)
    note_bought(conn, cost_id, plan.row)
    scopes = [{"cost_id": cost_id, "species_id": one, "lot_id": None} for one in plan.species_ids]
    scopes += [{"cost_id": cost_id, "species_id": None, "lot_id": one} for one in plan.lot_ids]
    if scopes:
        conn.execute(insert(t.cost_scope), scopes)
    return Done(plan.sentence, {"cost": cost_id}, plan.cautions)


def write_cost(conn: Connection, act: Act, row: dict[str, Any], *, paid_on: dt.date | None) -> int:
    """Insert one cost row and, when it was paid, the payment beside it; returns the cost's number."""
    values = {**row, "operation_id": act.operation}
    if row.get("reverses") is None:
        cost_id = write_one(conn, _NEW, t.cost, values)
    else:
        cost_id = int(conn.execute(_NEW, values).scalar_one())
    if paid_on is not None:
        write_change(conn, act, cost_id, "paid", paid_on, amount=row["gross"])
    return cost_id
