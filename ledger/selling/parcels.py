"""Parcels: what waits to be posted and whether it may go, what is kept waiting for the weather, and what arrived.

The list says what stands against posting each sale on a day; posting itself is checked again when it is recorded.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.selling.commands import HoldParcel, LetParcelGo, NoteArrival
from ledger.selling.limits import check_degrees, post_limits
from ledger.selling.posting import must_not_travel, waiting_lines
from ledger.selling.sale import Sale, find_sale, sales_by_id
from ledger.selling.writing import locked_sale
from ledger.stock.words import stage_words
from ledger.text import clean
from ledger.wording import counted, say

_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d", re.ASCII)


@dataclass(frozen=True, slots=True)
class Waits:
    """A parcel that is kept waiting."""

    from_on: dt.date
    look_on: dt.date | None
    why: str


@dataclass(frozen=True, slots=True)
class Parcel:
    """A sale whose animals wait to be posted."""

    number: str
    customer: str
    sold_on: dt.date
    animals: int
    """Still to go."""
    lots: tuple[str, ...]
    owed: int
    """Still to be paid, minor units."""
    short: int
    """Animals lacking."""
    waits: Waits | None
    against: tuple[str, ...]
    """What stands against posting it on the day asked for; empty: nothing that is known."""
    stages: tuple[str, ...]
    """Of these, what its animals' stage says."""

    @property
    def may_go(self) -> bool:
        """Whether nothing that is known stands against it."""
        return not self.against


def parcels(
    conn: Connection, on: dt.date, coldest: int | None = None, warmest: int | None = None
) -> tuple[Parcel, ...]:
    """Every sale that waits to be posted, oldest first, with what stands against posting it.

    Args:
        conn: a connection.
        on: the day of posting.
        coldest, warmest: degrees Celsius expected on the way, as the keeper read them; `None`: not said.

    Raises:
        BadInput: the temperatures are none.
    """
    check_degrees(coldest, warmest)
    outside = post_limits(conn).against(on, coldest, warmest)
    kept = waiting(conn)
    return tuple(_parcel(conn, sale, on, outside, kept.get(sale.id)) for sale in _to_post(conn))


def _to_post(conn: Connection) -> list[Sale]:
    s = t.sale.c
    posted = select(t.posting.c.id).where(t.posting.c.sale_id == s.id).exists()
    undone = select(t.credit.c.id).where(t.credit.c.sale_id == s.id, t.credit.c.full == 1).exists()
    ids = conn.execute(select(s.id).where(s.to_post == 1, ~posted, ~undone).order_by(s.id)).scalars().all()
    return sales_by_id(conn, ids)


def _parcel(conn: Connection, sale: Sale, on: dt.date, outside: Sequence[str], kept: Waits | None) -> Parcel:
    lines = waiting_lines(conn, sale)
    short = sum(line.short for line in lines)
    stages = tuple(
        say("the {stage} of {lot} must not travel now; replace, refund or wait", stage=stage_words(stage, 2), lot=lot)
        for lot, stage in must_not_travel(conn, lines, on)
    )
    against = [*outside, *stages]
    if short:
        against.append(
            counted(
                short,
                "{n} animal is lacking; replace, refund or wait",
                "{n} animals are lacking; replace, refund or wait",
            )
        )
    if kept is not None:
        look = say(", look again {day}", day=long_day(kept.look_on)) if kept.look_on else ""
        against.append(say("it waits ({why}){look}", why=kept.why, look=look))
    return Parcel(
        sale.number,
        sale.customer_name,
        sale.sold_on,
        sum(line.wanted for line in lines),
        tuple(dict.fromkeys(line.line.lot_code for line in lines)),
        sale.owed,
        short,
        kept,
        tuple(against),
        stages,
    )


def waiting(conn: Connection) -> dict[int, Waits]:
    """Sales that are kept waiting, by id."""
    w = t.post_wait.c
    found: dict[int, Waits] = {}
    for row in conn.execute(
        select(w.sale_id, w.from_on, w.look_on, w.why).where(stands(w.operation_id)).order_by(w.id)
    ):
        found[row.sale_id] = Waits(row.from_on, row.look_on, row.why)
    return {sale: one for sale, one in found.items() if one.why}


# --- waiting for the weather ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WaitPlan:
    """A parcel that waits, or no longer."""

    sale: Sale
    why: str
    on: dt.date
    look_on: dt.date | None
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_wait(conn: Connection, command: HoldParcel, scene: Scene) -> WaitPlan:
    """Check that a parcel can wait.

    Raises:
        NotFound, BadInput, Refused: there is nothing to post, or no reason was given.
    """
    sale = _unposted(conn, command.sale, command.on, scene)
    why = clean(command.why, limit=200, field="why")
    if not why:
        raise BadInput(say("Say what it waits for: heat, frost, a holiday."), "why")
    if command.look_on is not None and command.look_on < command.on:
        raise BadInput(say("The day to look again cannot be before it waits."), "look_on")
    look = say("; look again on {look_on}", look_on=long_day(command.look_on)) if command.look_on else ""
    parcel = (
        say("{number} for {customer}", number=sale.number, customer=sale.customer_name)
        if sale.customer_name
        else sale.number
    )
    return WaitPlan(
        sale,
        why,
        command.on,
        command.look_on,
        say("{parcel} waits to be posted ({why}){look}.", parcel=parcel, why=why, look=look),
    )


def plan_go(conn: Connection, command: LetParcelGo, scene: Scene) -> WaitPlan:
    """Check that a parcel waits.

    Raises:
        NotFound, Refused: it does not.
    """
    sale = _unposted(conn, command.sale, command.on, scene)
    if sale.id not in waiting(conn):
        raise Refused(say("{number} is not kept waiting; post it when you can.", number=sale.number), "sale")
    return WaitPlan(sale, "", command.on, None, say("{number} may be posted again.", number=sale.number))


def commit_wait(conn: Connection, plan: WaitPlan, act: Act) -> Done:
    """Write that a parcel waits, or no longer."""
    sale = locked_sale(conn, plan.sale.id)
    _check_unposted(sale)
    conn.execute(
        insert(t.post_wait).values(
            sale_id=sale.id, from_on=plan.on, look_on=plan.look_on, why=plan.why, operation_id=act.operation
        )
    )
    return Done(plan.sentence, {"sale": sale.id, "number": sale.number}, plan.cautions)


def _unposted(conn: Connection, number: str, on: dt.date, scene: Scene) -> Sale:
    sale = find_sale(conn, number)
    _check_unposted(sale)
    if not sale.sold_on <= on <= scene.today:
        raise BadInput(
            say(
                "{number} was sold on {sold_on}; say a day from then to today.",
                number=sale.number,
                sold_on=long_day(sale.sold_on),
            ),
            "on",
        )
    return sale


def _check_unposted(sale: Sale) -> None:
    if not sale.waits_for_post:
        raise Refused(say("{number} does not wait to be posted.", number=sale.number), "sale", {"sale": sale.number})


# --- arrival --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ArrivalPlan:
    """An arrival to be noted."""

    sale: Sale
    on: dt.date
    clock: str
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_arrival(conn: Connection, command: NoteArrival, scene: Scene) -> ArrivalPlan:
    """Check an arrival.

    Raises:
        NotFound, BadInput, Refused: it was not posted, or arrived already.
    """
    sale = find_sale(conn, command.sale)
    if sale.posted_on is None:
        raise Refused(say("{number} was not posted; nothing of it can have arrived.", number=sale.number), "sale")
    if not sale.posted_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "{number} was posted on {posted_on}; say a day from then to today.",
                number=sale.number,
                posted_on=long_day(sale.posted_on),
            ),
            "on",
        )
    clock = command.clock.strip()
    if clock and not _CLOCK.fullmatch(clock):
        raise BadInput(say("Write the time of arrival like 14:30."), "clock")
    _check_arrived(conn, sale)
    at = say(", {clock}", clock=clock) if clock else ""
    return ArrivalPlan(
        sale,
        command.on,
        clock,
        clean(command.note, limit=500, field="note"),
        say("{number} arrived on {on}{at}, as the buyer says.", number=sale.number, on=long_day(command.on), at=at),
    )


def commit_arrival(conn: Connection, plan: ArrivalPlan, act: Act) -> Done:
    """Write an arrival."""
    sale = locked_sale(conn, plan.sale.id)
    _check_arrived(conn, sale)
    conn.execute(
        insert(t.arrival).values(
            sale_id=sale.id, arrived_on=plan.on, clock=plan.clock, note=plan.note, operation_id=act.operation
        )
    )
    return Done(plan.sentence, {"sale": sale.id, "number": sale.number})


def _check_arrived(conn: Connection, sale: Sale) -> None:
    a = t.arrival.c
    known = conn.execute(select(a.arrived_on).where(a.sale_id == sale.id, stands(a.operation_id))).scalar()
    if known is not None:
        raise Refused(
            say("{number} arrived on {known} already.", number=sale.number, known=long_day(known)),
            "sale",
            {"sale": sale.number},
        )
