"""The queue of a hold: other buyers who would take its animals. A place is no claim; the animals are offered in turn.

Who is first is offered them by a hold of their own once the hold before is over.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import JoinQueue, LeaveQueue, OfferNext, Pick, PlaceHold
from ledger.selling.customers import clean_name, customer_named, find_or_add
from ledger.selling.holds import Hold, find_hold, holds
from ledger.selling.lines import sex_text
from ledger.selling.promising import HoldPlan, commit_hold, plan_hold
from ledger.text import clean, count_words
from ledger.wording import counted, say

WAITING, OFFERED, LEFT, TOO_LATE = "waiting", "offered", "left", "sold to the first"


@dataclass(frozen=True, slots=True)
class QueueRow:
    """One buyer in the queue of a hold."""

    place: int
    """Its number."""
    hold: str
    held_for: str
    hold_state: str
    """open, taken up, lapsed or released."""
    position: int
    """Among those who still wait, from 1; 0: waits no longer."""
    customer: str
    count: int
    asked_on: dt.date
    note: str
    state: str
    """waiting, offered, left, or sold to the first."""
    new_hold: str
    """The hold by which they were offered."""

    @property
    def turn(self) -> bool:
        """Whether the animals can be offered to this buyer now."""
        return self.position == 1 and self.hold_state in ("lapsed", "released")


def queue(conn: Connection, now: str, hold: str | None = None) -> tuple[QueueRow, ...]:
    """Everybody who waits or waited for the animals of a hold (or of any), in order of hold and place.

    Raises:
        NotFound: there is no such hold.
    """
    only = find_hold(conn, hold, now) if hold is not None else None
    q, e, new = t.queue_place.c, t.queue_end.c, t.hold.alias("new")
    rows = conn.execute(
        select(q.id, q.hold_id, q.count.label("n"), q.asked_on, q.note, t.customer.c.name, e.outcome, new.c.number)
        .join(t.customer, t.customer.c.id == q.customer_id)
        .outerjoin(t.queue_end, e.queue_place_id == q.id)
        .outerjoin(new, new.c.id == e.hold_id)
        .order_by(q.hold_id, q.id)
    ).all()
    if not rows:
        return ()
    known = {one.id: one for one in (holds(conn, now) if only is None else [only])}
    place: dict[int, int] = defaultdict(int)
    found = []
    for row in rows:
        of = known.get(row.hold_id)
        if of is None:
            continue
        state = row.outcome or (TOO_LATE if of.state == "taken up" else WAITING)
        place[of.id] += state == WAITING
        found.append(
            QueueRow(
                row.id,
                of.number,
                of.customer,
                of.state,
                place[of.id] if state == WAITING else 0,
                row.name,
                row.n,
                row.asked_on,
                row.note,
                state,
                row.number or "",
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class JoinPlan:
    """A place in a queue."""

    command: JoinQueue
    hold: Hold
    customer: str
    count: int
    on: dt.date
    note: str
    sentence: str
    cautions: tuple[str, ...]


def plan_join(conn: Connection, command: JoinQueue, scene: Scene) -> JoinPlan:
    """Check a place in the queue of a hold.

    Raises:
        NotFound: there is no such hold.
        BadInput, Refused: it is over, it is the buyer's own, or they wait already.
    """
    hold = find_hold(conn, command.hold, scene.now)
    if not hold.open:
        raise Refused(
            say("{number} is over ({state}); hold or sell its animals instead.", number=hold.number, state=hold.state),
            "hold",
        )
    name = clean_name(command.customer)
    if not name:
        raise BadInput(say("Say who waits for the animals."), "customer")
    if name.casefold() == hold.customer.casefold():
        raise Refused(
            say(
                "{number} is {customer}'s already; nobody waits for their own hold.",
                number=hold.number,
                customer=hold.customer,
            ),
            "customer",
        )
    if not hold.made_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "{number} was made on {made_on}; say a day from then to today.",
                number=hold.number,
                made_on=long_day(hold.made_on),
            ),
            "on",
        )
    waiting = [row for row in queue(conn, scene.now, hold.number) if row.state == WAITING]
    if any(row.customer.casefold() == name.casefold() for row in waiting):
        raise Refused(
            say("{name} waits for the animals of {number} already.", name=name, number=hold.number), "customer"
        )
    promised = sum(line.count for line in hold.lines)
    count = promised if command.count is None else command.count
    if type(count) is not int or not 1 <= count <= promised:
        raise BadInput(
            counted(
                promised,
                "{number} is of {n} animal; ask for 1 to as many.",
                "{number} is of {n} animals; ask for 1 to as many.",
                number=hold.number,
            ),
            "count",
        )
    known = customer_named(conn, name)
    who = known.name if known else name
    return JoinPlan(
        command,
        hold,
        who,
        count,
        command.on,
        clean(command.note, limit=500, field="note"),
        say(
            "{who} waits for {count} of {number} (held for {customer}), place {place} in the queue, {on}.",
            who=who,
            count=count_words(count, "animal", "animals"),
            number=hold.number,
            customer=hold.customer,
            place=len(waiting) + 1,
            on=long_day(command.on),
        ),
        (say("A place in a queue is no promise: tell the buyer so."),),
    )


def commit_join(conn: Connection, plan: JoinPlan, act: Act) -> Done:
    """Write a place in a queue."""
    if alone(conn, "queue", plan.hold.id):
        plan = plan_join(conn, plan.command, act.scene)
    number = conn.execute(
        insert(t.queue_place)
        .values(
            hold_id=plan.hold.id,
            customer_id=find_or_add(conn, plan.customer),
            count=plan.count,
            asked_on=plan.on,
            note=plan.note,
            operation_id=act.operation,
        )
        .returning(t.queue_place.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"place": int(number), "hold": plan.hold.number}, plan.cautions)


@dataclass(frozen=True, slots=True)
class LeavePlan:
    """A place in a queue that is given up."""

    command: LeaveQueue
    row: QueueRow
    on: dt.date
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_leave(conn: Connection, command: LeaveQueue, scene: Scene) -> LeavePlan:
    """Check that a place can be given up.

    Raises:
        NotFound, Refused, BadInput: there is no such place, or nobody waits there any more.
    """
    row = next((row for row in queue(conn, scene.now) if row.place == command.place), None)
    if row is None:
        raise NotFound(
            say("There is no place {place} in any queue; see the list of those who wait.", place=command.place), "place"
        )
    if row.state != WAITING:
        raise Refused(
            say(
                "{customer} does not wait for {hold} any more ({state}).",
                customer=row.customer,
                hold=row.hold,
                state=row.state,
            ),
            "place",
        )
    if not row.asked_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "{customer} asked on {asked_on}; say a day from then to today.",
                customer=row.customer,
                asked_on=long_day(row.asked_on),
            ),
            "on",
        )
    return LeavePlan(
        command,
        row,
        command.on,
        say(
            "{customer} no longer waits for {hold}, {on}.",
            customer=row.customer,
            hold=row.hold,
            on=long_day(command.on),
        ),
    )


def commit_leave(conn: Connection, plan: LeavePlan, act: Act) -> Done:
    """Write that a place was given up."""
    if alone(conn, "queue", find_hold(conn, plan.row.hold, act.scene.now).id):
        plan = plan_leave(conn, plan.command, act.scene)
    _end(conn, act, plan.row.place, "left", plan.on, None)
    return Done(plan.sentence, {"place": plan.row.place})


def _end(conn: Connection, act: Act, place: int, outcome: str, on: dt.date, hold_id: int | None) -> None:
    conn.execute(
        insert(t.queue_end).values(
            queue_place_id=place, outcome=outcome, happened_on=on, hold_id=hold_id, operation_id=act.operation
        )
    )


@dataclass(frozen=True, slots=True)
class OfferPlan:
    """Animals that can be held for the first who waits."""

    command: OfferNext
    row: QueueRow
    hold: HoldPlan
    on: dt.date
    sentence: str
    cautions: tuple[str, ...]


def plan_offer(conn: Connection, command: OfferNext, scene: Scene) -> OfferPlan:
    """Check that the animals of a hold that is over can be held for the first in its queue.

    Raises:
        NotFound, Refused: nobody waits, or the hold is not over.
        NotEnough, BadInput: the animals are not free any more, or the new hold cannot be made like that.
    """
    of = find_hold(conn, command.hold, scene.now)
    if of.open:
        raise Refused(
            say(
                "{number} for {customer} still stands; release it first, or wait until it is over.",
                number=of.number,
                customer=of.customer,
            ),
            "hold",
        )
    first = next((row for row in queue(conn, scene.now, of.number) if row.turn), None)
    if first is None:
        raise NotFound(say("Nobody waits for the animals of {number}.", number=of.number), "hold", {"hold": of.number})
    left, picks = first.count, []
    for line in of.lines:
        part = min(left, line.count)
        left -= part
        if part:
            picks.append(Pick(line.lot, part, line.stage, sex_text(line.sex, line.sure)))
    command_of = PlaceHold(
        first.customer, tuple(picks), command.on, command.until, command.deposit, command.deposit_method
    )
    plan = plan_hold(conn, command_of, scene)
    return OfferPlan(
        command,
        first,
        plan,
        command.on,
        say("Next in the queue of {number}: {sentence}", number=of.number, sentence=plan.sentence),
        plan.cautions,
    )


def commit_offer(conn: Connection, plan: OfferPlan, act: Act) -> Done:
    """Hold the animals for them."""
    if alone(conn, "queue", find_hold(conn, plan.row.hold, act.scene.now).id):
        plan = plan_offer(conn, plan.command, act.scene)
    done = commit_hold(conn, plan.hold, act)
    _end(conn, act, plan.row.place, OFFERED, plan.on, int(done.refs["hold"]))
    return Done(
        say("{refs}: {sentence}", refs=done.refs["number"], sentence=plan.sentence),
        {**done.refs, "place": plan.row.place},
        plan.cautions,
    )
