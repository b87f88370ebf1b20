"""Planning a fair, planning it anew while it is not settled, and calling it off."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, or_, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.selling.alone import alone
from ledger.selling.commands import CallOffFair, ChangeFair, PlanFair
from ledger.selling.fair_cash import not_taken_back
from ledger.selling.fairs import LICENCE, Fair, check_open, fairs, find_fair, packs_that_never_were
from ledger.stock import earmarks
from ledger.text import clean, clean_block
from ledger.wording import counted, say


@dataclass(frozen=True, slots=True)
class FairPlan:
    """A fair to be planned."""

    command: PlanFair
    sentence: str
    cautions: tuple[str, ...]


def plan_fair(conn: Connection, command: PlanFair, scene: Scene) -> FairPlan:
    """Check a fair.

    Raises:
        BadInput, Refused: it has no name, or days that another fair has.
    """
    checked = _checked(conn, command)
    assert checked.last_on is not None
    return FairPlan(
        checked,
        say(
            "{name}, {days}; {cash_float} of change taken along.",
            name=checked.name,
            days=days_said(checked.held_on, checked.last_on),
            cash_float=said(checked.cash_float, scene.currency),
        ),
        (LICENCE,),
    )


def _checked(conn: Connection, command: PlanFair, itself: int = 0) -> PlanFair:
    name = clean(command.name, limit=120, field="name")
    if not name or name.isdigit():
        raise BadInput(say("Give the fair a name."), "name")
    last = command.last_on or command.held_on
    if last < command.held_on:
        raise BadInput(say("A fair cannot end before it begins; swap the two days."), "last_on")
    if not 0 <= command.cash_float <= MOST_MONEY:
        raise BadInput(say("The cash taken along must be nothing or more, and within reason."), "cash_float")
    for other in fairs(conn):
        if other.id != itself and _meets(other, command.held_on, last):
            raise Refused(
                say("{name} is on those days already; one fair a day can be kept apart.", name=other.name), "held_on"
            )
    note = clean_block(command.note, limit=2000, field="note")
    return PlanFair(name, command.held_on, last, command.cash_float, note)


def days_said(first: dt.date, last: dt.date) -> str:
    """'2 June 2025', or '2 June 2025 to 3 June 2025'."""
    return long_day(first) if first == last else say("{first} to {last}", first=long_day(first), last=long_day(last))


def commit_fair(conn: Connection, plan: FairPlan, act: Act) -> Done:
    """Write a fair."""
    if alone(conn, "fair"):
        plan = plan_fair(conn, plan.command, act.scene)
    wanted = plan.command
    number = conn.execute(
        insert(t.fair)
        .values(
            name=wanted.name,
            held_on=wanted.held_on,
            last_on=wanted.last_on,
            cash_float=wanted.cash_float,
            note=wanted.note,
            operation_id=act.operation,
        )
        .returning(t.fair.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"fair": int(number)}, plan.cautions)


# --- planned anew, and called off -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FairChangePlan:
    """A fair as it is to be from now on."""

    command: ChangeFair | CallOffFair
    fair: Fair
    anew: PlanFair
    off: bool
    marks: tuple[int, ...]
    """Earmarks of packs that are taken apart."""
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_change(conn: Connection, command: ChangeFair, scene: Scene) -> FairChangePlan:
    """Check that a fair can be planned anew.

    Raises:
        NotFound, BadInput, Refused: there is none, it is over, or packs of it were sold on another day.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    first = fair.held_on if command.held_on is None else command.held_on
    last = first + (fair.last_on - fair.held_on) if command.last_on is None else command.last_on
    anew = _checked(
        conn,
        PlanFair(
            fair.name if command.name is None else command.name,
            first,
            last,
            fair.cash_float if command.cash_float is None else command.cash_float,
            fair.note if command.note is None else command.note,
        ),
        fair.id,
    )
    sold = _sold_outside(conn, fair, first, last)
    if sold is not None:
        raise Refused(
            say("A pack of {name} was sold on {day}; keep that day.", name=fair.name, day=long_day(sold)), "held_on"
        )
    if (fair.name, fair.held_on, fair.last_on, fair.cash_float, fair.note) == (
        anew.name,
        first,
        last,
        anew.cash_float,
        anew.note,
    ):
        raise Refused(say("Nothing of {name} would change.", name=fair.name), "name")
    return FairChangePlan(
        command,
        fair,
        anew,
        False,
        (),
        say(
            "{name} is planned anew: {new_name}, {days}; {cash_float} of change taken along.",
            name=fair.name,
            new_name=anew.name,
            days=days_said(first, last),
            cash_float=said(anew.cash_float, scene.currency),
        ),
    )


def plan_call_off(conn: Connection, command: CallOffFair, _scene: Scene) -> FairChangePlan:
    """Check that a fair can be called off.

    Raises:
        NotFound, Refused: there is none, it is over, or packs of it were sold.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    if _sold_outside(conn, fair, None, None) is not None:
        raise Refused(say("Packs of {name} were sold; count its cash and settle it instead.", name=fair.name), "fair")
    lying = packs_lying(conn, fair)
    packs = len({pack for pack, _ in lying})
    free = (
        counted(
            packs,
            "; {n} pack taken apart, whose animals are free again",
            "; {n} packs taken apart, whose animals are free again",
        )
        if packs
        else ""
    )
    costs = conn.execute(
        select(t.cost.c.id).join(t.fair_cost).where(t.fair_cost.c.fair_id == fair.id, not_taken_back())
    ).first()
    return FairChangePlan(
        command,
        fair,
        PlanFair(fair.name, fair.held_on, fair.last_on, fair.cash_float, fair.note),
        True,
        tuple(mark for _, mark in lying),
        say(
            "{name}, {days}, is called off{free}.",
            name=fair.name,
            days=days_said(fair.held_on, fair.last_on),
            free=free,
        ),
        (say("What it cost stays in the books; take back under Costs what was never paid."),) if costs else (),
    )


def _sold_outside(conn: Connection, fair: Fair, first: dt.date | None, last: dt.date | None) -> dt.date | None:
    """A day outside of some on which a pack was sold and not credited in full; without days, any such day."""
    s, sold, p, k = t.sale.c, t.fair_pack_sale.c, t.fair_pack.c, t.credit.c
    wanted = (
        select(func.min(s.sold_on))
        .join(t.fair_pack_sale, sold.sale_id == s.id)
        .join(t.fair_pack, p.id == sold.fair_pack_id)
        .where(p.fair_id == fair.id, ~select(k.id).where(k.sale_id == s.id, k.full == 1).exists())
    )
    if first is not None and last is not None:
        wanted = wanted.where(or_(s.sold_on < first, s.sold_on > last))
    found: dt.date | None = conn.execute(wanted).scalar()
    return found


def commit_change(conn: Connection, plan: FairChangePlan, act: Act) -> Done:
    """Write a fair as it is from now on; of one that is called off, packs are taken apart."""
    if alone(conn, "fair"):
        again = plan_call_off if plan.off else plan_change
        plan = again(conn, plan.command, act.scene)  # type: ignore[arg-type]
    alone(conn, "fair", plan.fair.id)
    for mark in plan.marks:
        earmarks.free(conn, act, mark)
    conn.execute(
        insert(t.fair_change).values(
            fair_id=plan.fair.id,
            name=plan.anew.name,
            held_on=plan.anew.held_on,
            last_on=plan.anew.last_on,
            cash_float=plan.anew.cash_float,
            note=plan.anew.note,
            called_off=int(plan.off),
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {"fair": plan.fair.id}, plan.cautions)


# --- what lies on it ------------------------------------------------------------------------------------------------


SETTLED = say("the fair was settled since; what it came to stands")


def stays_changed(conn: Connection, act: int) -> str:
    """Why the change of a fair by an act is not taken back, in half a sentence; empty: it can be."""
    number = conn.execute(select(t.fair_change.c.fair_id).where(t.fair_change.c.operation_id == act)).scalar_one()
    now = {one.id: one for one in fairs(conn)}
    before = next((one for one in fairs(conn, without=act) if one.id == number), None)
    if before is None or before == now[number]:
        return ""
    if before.ended_on is not None:
        return SETTLED
    if any(_meets(one, before.held_on, before.last_on) for one in now.values() if one.id != number):
        return say("another fair has been planned for those days since; call that one off first")
    if _sold_outside(conn, before, before.held_on, before.last_on) is not None:
        return say("packs of it were sold since, on a day it would not have; credit them first")
    return ""


def _meets(fair: Fair, first: dt.date, last: dt.date) -> bool:
    """Whether a fair that is not called off is on between two days."""
    return not fair.called_off and fair.held_on <= last and first <= fair.last_on


def packs_lying(conn: Connection, fair: Fair) -> list[tuple[int, int]]:
    """(pack, earmark) of packs that were neither sold nor taken apart."""
    p, line, sold = t.fair_pack.c, t.fair_pack_line.c, t.fair_pack_sale.c
    rows = conn.execute(
        select(p.id, line.earmark_id)
        .join(t.fair_pack_line, line.fair_pack_id == p.id)
        .outerjoin(t.fair_pack_sale, sold.fair_pack_id == p.id)
        .where(p.fair_id == fair.id, sold.id.is_(None))
        .order_by(p.id, line.id)
    )
    return [(row.id, row.earmark_id) for row in rows if not earmarks.get(conn, row.earmark_id).ended]


def holds_something(conn: Connection, number: int) -> bool:
    """Whether packs lie on a fair, packs of it were sold, or it cost something."""
    p, sold, c = t.fair_pack.c, t.fair_pack_sale.c, t.fair_cost.c
    went = (
        select(sold.id)
        .join(t.fair_pack, p.id == sold.fair_pack_id)
        .where(p.fair_id == number, p.id.not_in(packs_that_never_were()))
    )
    cost = select(t.cost.c.id).join(t.fair_cost).where(c.fair_id == number, not_taken_back())
    if conn.execute(went.limit(1)).first() or conn.execute(cost.limit(1)).first():
        return True
    return any(packs_lying(conn, one) for one in fairs(conn) if one.id == number)
