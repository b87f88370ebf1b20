"""Taking out of the store what is weighed or counted as it is used, and putting a mistaken taking back.

At no time may more be taken out than was there: the whole story of the item is played again before a row stands.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.averaging import Lacking, Out, played
from ledger.costs.commands import PutBack, TakeOut
from ledger.costs.in_use import opened_before, still_in_use
from ledger.costs.items import item_of, item_words
from ledger.costs.store import MOST, Stored, in_words, stores
from ledger.days import long_day
from ledger.errors import BadInput, NotEnough, NotFound, PeriodClosed, Refused
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.naming import find_lot, find_species
from ledger.text import clean, clean_block, quoted
from ledger.wording import listed, say, word


@dataclass(frozen=True, slots=True)
class TakePlan:
    """A checked taking, or the taking back of one; `row` holds its columns."""

    row: dict[str, Any]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_take_out(conn: Connection, command: TakeOut, scene: Scene) -> TakePlan:
    """Check that there is so much in store, on that day and ever after.

    Raises:
        NotFound: nothing of that name was ever in store, or no such species or lot.
        NotEnough: there is less than that.
        BadInput: a day or a quantity that cannot be.
    """
    stored = find_item(conn, command.category, command.item)
    if type(command.quantity) is not int or not 1 <= command.quantity <= MOST:
        raise BadInput(say("Say how much was taken out, such as 2.5."), field="quantity")
    if command.on > scene.today:
        raise BadInput(
            say("{on} is still to come; record it when it is taken out.", on=long_day(command.on)), field="on"
        )
    last = command.used_to or command.on
    if last < command.on:
        raise BadInput(
            say(
                "It would be used up by {last}, before it was taken out on {on}; swap the two days.",
                last=long_day(last),
                on=long_day(command.on),
            ),
            field="used_to",
        )
    if command.species is not None and command.lot is not None:
        raise BadInput(say("It is for a species or for a lot, not for both; take out two parts."), field="lot")
    species = None if command.species is None else find_species(conn, command.species)
    lot = None if command.lot is None else find_lot(conn, command.lot)
    accounting_on = accounting_day(conn, command.on)
    row = {
        "category": stored.category,
        "item": stored.text,
        "quantity": command.quantity,
        "unit": stored.unit,
        "happened_on": command.on,
        "accounting_on": accounting_on,
        "used_to": last,
        "species_id": None if species is None else species.id,
        "lot_id": None if lot is None else lot.id,
        "note": clean_block(command.note, limit=2000, field="note"),
    }
    _enough(stored, accounting_on, command.quantity)
    name = item_words(stored.category, stored.text)
    whom = (
        say("for {code}", code=species.code)
        if species
        else say("for {code}", code=lot.code)
        if lot
        else say("for all animals")
    )
    until = say(", used up by {last}", last=long_day(last)) if last > command.on else ""
    cautions: list[str] = []
    if accounting_on != command.on:
        cautions.append(
            say(
                "That year is closed: it is accounted on {accounting_on} and keeps its date.",
                accounting_on=long_day(accounting_on),
            )
        )
    scope = "species" if species else "lots" if lot else "all"
    ids = [one.id for one in (species, lot) if one is not None]
    cautions += still_in_use(opened_before(conn, stored.category, stored.text, scope, ids, command.on), False)
    return TakePlan(
        row,
        say(
            "{quantity} of {item} taken out {whom}, {on}{until}.",
            quantity=in_words(command.quantity, stored.unit),
            item=word(name),
            whom=whom,
            on=long_day(command.on),
            until=until,
        ),
        tuple(cautions),
    )


def find_item(conn: Connection, category: str, text: str) -> Stored:
    """The item of a name: a category with one thing in store, what it is, or both.

    Raises:
        NotFound: there is none, or several fit.
    """
    names = {category.strip().casefold(), text.strip().casefold()} - {""}
    known = stores(conn)
    fitting = [one for item, one in known.items() if names <= set(item)]
    if len(fitting) == 1:
        return fitting[0]
    wanted = quoted(" ".join(part for part in (category, text) if part))
    if fitting:
        several = listed([item_words(one.category, one.text) for one in fitting])
        raise NotFound(
            say("Several things in store fit {wanted}: {several}; say which.", wanted=wanted, several=several),
            field="item",
        )
    if known:
        kept = listed([item_words(one.category, one.text) for one in known.values()])
        raise NotFound(
            say("Nothing called {wanted} was ever put in store; there is {kept}.", wanted=wanted, kept=kept),
            field="item",
        )
    raise NotFound(say("Nothing was ever put in store; record what is bought for it as stored."), field="item")


def _enough(stored: Stored, on: dt.date, quantity: int) -> None:
    """Refuse a taking that would leave less than nothing, then or later."""
    before = [step.move for step in stored.steps if step.on <= on]
    later = [step for step in stored.steps if step.on > on]
    there = played(before)[0].quantity
    name = item_words(stored.category, stored.text)
    if quantity > there:
        raise NotEnough(
            say(
                "On {on} there is {quantity} of {item} in store; take out that or less.",
                on=long_day(on),
                quantity=in_words(there, stored.unit),
                item=word(name),
            ),
            field="quantity",
        )
    try:
        played([*before, Out(0, quantity), *(step.move for step in later)])
    except Lacking as lacking:
        short = later[lacking.place - len(before) - 1]
        raise NotEnough(
            say(
                "What was taken out later would no longer be there: on {on} only {quantity} of {item} would be left.",
                on=long_day(short.on),
                quantity=in_words(lacking.there, stored.unit),
                item=word(name),
            ),
            field="quantity",
        ) from None


def commit_take_out(conn: Connection, plan: TakePlan, act: Act) -> Done:
    """Write it, then make sure that nobody else took the same at the same time."""
    number = write_issue(conn, plan.row, act)
    return Done(plan.sentence, {"issue": number}, plan.cautions)


def write_issue(conn: Connection, row: dict[str, Any], act: Act) -> int:
    """Write a row of the store, with its guard."""
    lock(conn, row["category"])
    number = int(
        conn.execute(
            insert(t.store_issue).values(operation_id=act.operation, **row).returning(t.store_issue.c.id)
        ).scalar_one()
    )
    guard(conn)
    return number


def lock(conn: Connection, category: str) -> None:
    """Wait for others who take from the same category of the store."""
    wanted = select(t.cost.c.id).where(t.cost.c.category == category, t.cost.c.window_from.is_(None))
    conn.execute(wanted.order_by(t.cost.c.id).with_for_update()).all()


def guard(conn: Connection) -> None:
    """Refuse what would leave less than nothing in a store.

    Raises:
        NotEnough: an item lacks something on a day.
    """
    for one in stores(conn).values():
        try:
            played(step.move for step in one.steps)
        except Lacking as lacking:
            step = one.steps[lacking.place]
            raise NotEnough(
                say(
                    "On {on} only {quantity} of {item} would be in store; put back what was taken out first.",
                    on=long_day(step.on),
                    quantity=in_words(lacking.there, one.unit),
                    item=word(item_words(one.category, one.text)),
                ),
                field="quantity",
            ) from None


def plan_put_back(conn: Connection, command: PutBack, scene: Scene) -> TakePlan:
    """Check that a taking can be taken back: in an open year, once.

    Raises:
        NotFound, Refused, PeriodClosed: there is none such, it was taken back, or its year stands.
    """
    row = conn.execute(select(t.store_issue).where(t.store_issue.c.id == command.issue)).one_or_none()
    if row is None:
        raise NotFound(
            say("Nothing was taken out of the store under number {issue}.", issue=command.issue), field="issue"
        )
    back = conn.execute(select(func.count()).where(t.store_issue.c.reverses == row.id)).scalar_one()
    if back or row.reverses is not None:
        raise Refused(say("Number {id} was taken back already.", id=row.id), field="issue")
    if accounting_day(conn, row.accounting_on) != row.accounting_on:
        raise PeriodClosed(
            say("Number {id} was taken out in a year that is closed, and stands; nothing can be put back.", id=row.id),
            "issue",
        )
    copy = {name: value for name, value in row._mapping.items() if name not in ("id", "operation_id")}
    copy |= {"reverses": row.id, "note": clean(command.note, limit=2000, field="note")}
    name = item_words(row.category, row.item)
    return TakePlan(
        copy,
        say(
            "{quantity} of {item} was not taken out: number {id} is undone.",
            quantity=in_words(row.quantity, row.unit),
            item=name,
            id=row.id,
        ),
    )


def refuse_if_used(conn: Connection, row: Any) -> None:
    """Refuse to take back a purchase of which something may have been taken out.

    Raises:
        Refused: something of its item was taken out since.
    """
    one = stores(conn)[item_of(row)]
    places = [place for place, step in enumerate(one.steps) if getattr(step.move, "cost", None) == row.id]
    since = [step.move.issue for step in one.steps[places[0] :] if isinstance(step.move, Out)]
    if since:
        raise Refused(
            say(
                "Of cost {id} something may have been taken out since (number {since}); put that back first, or "
                "record a refund.",
                id=row.id,
                since=since[0],
            ),
            field="cost",
        )
