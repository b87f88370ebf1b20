"""Making a hold, releasing it, and deciding what becomes of its deposit."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.numbering import check_own_number
from ledger.records.numbers import keep_patterns, number_for
from ledger.records.periods import accounting_day, year_of
from ledger.records.series import HOLDS
from ledger.selling.commands import DecideDeposit, PlaceHold, ReleaseHold
from ledger.selling.customers import clean_name, customer_named, find_or_add
from ledger.selling.deadlines import has_passed, moment_in_words, read_moment
from ledger.selling.fairs import boxes_on
from ledger.selling.handing import state_origins
from ledger.selling.holds import (
    Hold,
    check_open,
    decide,
    find_hold,
    is_taken,
    pay_deposit,
    still_open,
    sweep_lapsed,
    write_fate,
)
from ledger.selling.parts import Part
from ledger.selling.prices import prices_on
from ledger.selling.selling import check_method
from ledger.selling.shelf import Shelf
from ledger.stock import earmarks
from ledger.stock.words import animals, stage_words
from ledger.text import clean, clean_block
from ledger.wording import listed, say, word

_OUTCOMES = ("refunded", "kept")


@dataclass(frozen=True, slots=True)
class HoldPlan:
    """A hold that has been checked and can be made."""

    customer: str
    parts: tuple[tuple[Part, int | None], ...]
    """Animals, and what the list says for them."""
    made_on: dt.date
    until: str
    deposit: int
    method: str
    note: str
    number: str | None
    sentence: str
    cautions: tuple[str, ...]


def plan_hold(conn: Connection, command: PlaceHold, scene: Scene) -> HoldPlan:
    """Check a hold and say it in full.

    Raises:
        NotEnough: the animals are not there, or somebody has a claim on them; says who until when.
        BadInput, NotFound, Ambiguous, Refused: it cannot be made like that.
    """
    name = clean_name(command.customer)
    if not name:
        raise BadInput(say("Say for whom the animals are held."), "customer")
    known = customer_named(conn, name)
    if not command.picks:
        raise BadInput(say("Say what is held: at least one kind of animal."), "picks")
    if command.made_on > scene.today:
        raise BadInput(
            say("{made_on} is still to come; a hold is recorded when it is made.", made_on=long_day(command.made_on)),
            "made_on",
        )
    until = read_moment(command.until, now=scene.now)
    if has_passed(until, scene.now):
        raise BadInput(
            say(
                "{until} is over already; choose a deadline that is still to come.",
                until=moment_in_words(until, scene.today),
            ),
            "until",
        )
    if not 0 <= command.deposit <= MOST_MONEY:
        raise BadInput(say("A deposit must be nothing or more, and within reason."), "deposit")
    number = clean(command.number, limit=20, field="number").upper() if command.number else None
    if number and is_taken(conn, number):
        raise Refused(say("There is already a hold {number}; choose another number, or none.", number=number), "number")
    if number:
        check_own_number(conn, number)
    shelf = Shelf(conn, scene, scene.today)
    parts = [
        part for pick in command.picks for part in shelf.free(pick.lot, pick.count, pick.stage, pick.sex, pick.tub)
    ]
    prices = prices_on(conn, command.made_on)
    buyer = known.kind if known else "retail"
    priced = tuple(
        (part, prices.price_of(part.lot.species_id, part.stage.id, part.sex, part.count, buyer)) for part in parts
    )
    deposit = say("; deposit {deposit}", deposit=said(command.deposit, scene.currency)) if command.deposit else ""
    what = listed(
        [
            say("{animals} of {lot}", animals=animals(p.count, p.stage.name, p.sex, p.sure), lot=p.lot.code)
            for p in parts
        ]
    )
    who = known.name if known else name
    return HoldPlan(
        who,
        priced,
        command.made_on,
        until,
        command.deposit,
        check_method(command.deposit_method) if command.deposit else "",
        clean_block(command.note, limit=2000, field="note"),
        number,
        say(
            "{what} held for {who} until {until}{deposit}.",
            what=what,
            who=who,
            until=moment_in_words(until, scene.today),
            deposit=deposit,
        ),
        (*_cautions(shelf, parts, scene), *_in_boxes(conn, command)),
    )


def _in_boxes(conn: Connection, command: PlaceHold) -> list[str]:
    """That a deposit in cash lies in the cash of a fair of that day."""
    if not command.deposit or command.deposit_method.strip().casefold() != "cash":
        return []
    return [
        say("The deposit is in cash and counts in the cash of {fair}.", fair=fair.name)
        for fair in boxes_on(conn, command.made_on)
    ]


def _cautions(shelf: Shelf, parts: list[Part], scene: Scene) -> list[str]:
    cautions = []
    for part in parts:
        if not shelf.figures.yes(part.lot.species_id, part.stage.id, "saleable"):
            cautions.append(
                say(
                    "{code}: {name} are not for sale yet; the hold goes along when they move on.",
                    code=part.lot.code,
                    name=stage_words(part.stage.name, 2),
                )
            )
        elif part.soft:
            day = moment_in_words(min(part.soft)[0].isoformat() + "T23:59", scene.today)
            cautions.append(
                say(
                    "{code}: some are still soft, due to be hard from {day} on; look first.",
                    code=part.lot.code,
                    day=day,
                )
            )
    return cautions


def commit_hold(conn: Connection, plan: HoldPlan, act: Act) -> Done:
    """Make a hold.

    Raises:
        NotEnough: somebody was quicker; says who has the animals.
    """
    sweep_lapsed(conn, act, {holding for part, _ in plan.parts for holding, _ in part.picks})
    Shelf(conn, act.scene, act.scene.today).again((part for part, _ in plan.parts), ready=False)
    customer_id = find_or_add(conn, plan.customer)
    if plan.number:
        keep_patterns(conn)
        check_own_number(conn, plan.number)
    number = plan.number or _next(conn, plan.made_on)
    hold_id = int(
        conn.execute(
            insert(t.hold)
            .values(
                number=number,
                customer_id=customer_id,
                made_on=plan.made_on,
                until=plan.until,
                deposit=plan.deposit,
                note=plan.note,
                operation_id=act.operation,
            )
            .returning(t.hold.c.id)
        ).scalar_one()
    )
    state_origins(conn, act, {part.lot.id for part, _ in plan.parts})
    for part, price in plan.parts:
        line = insert(t.hold_line).values(hold_id=hold_id, holding_id=part.picks[0][0], count=part.count, price=price)
        line_id = int(conn.execute(line.returning(t.hold_line.c.id)).scalar_one())
        earmarks.make(conn, act, "held", part.count, part.picks, hold_line_id=line_id)
    if plan.deposit:
        pay_deposit(conn, act, hold_id, plan.made_on, plan.deposit, plan.method)
    return Done(
        say("{number}: {sentence}", number=number, sentence=plan.sentence),
        {"hold": hold_id, "number": number},
        plan.cautions,
    )


def _next(conn: Connection, on: dt.date) -> str:
    """The next number that no keeper has given a hold already; holds are no papers that must be without a gap."""
    year = year_of(conn, accounting_day(conn, on))
    while True:
        number = number_for(conn, HOLDS, year)
        if not is_taken(conn, number):
            return number


# --- over again -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ReleasePlan:
    """A hold that can be released."""

    hold: Hold
    on: dt.date
    deposit: str
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_release(conn: Connection, command: ReleaseHold, scene: Scene) -> ReleasePlan:
    """Check that a hold can be released.

    Raises:
        NotFound, BadInput, Refused: it cannot, or what becomes of its deposit was not said.
    """
    hold = find_hold(conn, command.hold, scene.now)
    check_open(hold, scene.today)
    _check_on(hold, command.on, scene)
    if hold.deposit and command.deposit not in _OUTCOMES:
        raise BadInput(
            say(
                "{number} has a deposit of {deposit}; say whether it is refunded or kept.",
                number=hold.number,
                deposit=said(hold.deposit, scene.currency),
            ),
            "deposit",
            {"hold": hold.number, "deposit": hold.deposit},
        )
    if not hold.deposit and command.deposit != "none":
        raise BadInput(say("{number} has no deposit; say none.", number=hold.number), "deposit", {"hold": hold.number})
    amount, deposit = said(hold.deposit, scene.currency), ""
    if hold.deposit and command.deposit == "kept":
        deposit = say("; deposit of {amount} kept", amount=amount)
    elif hold.deposit:
        deposit = say("; deposit of {amount} refunded", amount=amount)
    return ReleasePlan(
        hold,
        command.on,
        command.deposit,
        clean(command.note, limit=500, field="note"),
        say(
            "{number} for {customer} released, {on}: its animals are free again{deposit}.",
            number=hold.number,
            customer=hold.customer,
            on=long_day(command.on),
            deposit=deposit,
        ),
        _kept_caution(command.deposit),
    )


def commit_release(conn: Connection, plan: ReleasePlan, act: Act) -> Done:
    """Release a hold: its animals are free again."""
    hold = still_open(conn, plan.hold.id, act.scene.now)
    write_fate(conn, act, hold, "released", plan.on, "undecided", plan.note)
    if hold.deposit:
        decide(conn, act, hold, plan.deposit, plan.on, _method(conn, hold), plan.note)
    for line in hold.lines:
        earmarks.free(conn, act, line.earmark_id)
    return Done(plan.sentence, {"hold": hold.id, "number": hold.number}, plan.cautions)


@dataclass(frozen=True, slots=True)
class DepositPlan:
    """A deposit that can be decided on."""

    hold: Hold
    outcome: str
    on: dt.date
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_deposit(conn: Connection, command: DecideDeposit, scene: Scene) -> DepositPlan:
    """Check what becomes of the deposit of a hold that is over.

    Raises:
        NotFound, BadInput, Refused: there is nothing to decide.
    """
    hold = find_hold(conn, command.hold, scene.now)
    if command.outcome not in _OUTCOMES:
        raise BadInput(say("A deposit is refunded or kept."), "outcome")
    _check_on(hold, command.on, scene)
    _check_undecided(hold)
    assert hold.ended_on is not None
    if command.on < hold.ended_on:
        raise BadInput(
            say(
                "{number} was over on {ended_on}; its deposit cannot be decided before.",
                number=hold.number,
                ended_on=hold.ended_on,
            ),
            "on",
        )
    return DepositPlan(
        hold,
        command.outcome,
        command.on,
        clean(command.note, limit=500, field="note"),
        say(
            "Deposit of {deposit} of {number} for {customer} {outcome}, {on}.",
            deposit=said(hold.deposit, scene.currency),
            number=hold.number,
            customer=hold.customer,
            outcome=command.outcome,
            on=long_day(command.on),
        ),
        _kept_caution(command.outcome),
    )


def commit_deposit(conn: Connection, plan: DepositPlan, act: Act) -> Done:
    """Record what became of a deposit."""
    sweep_lapsed(conn, act, {line.holding_id for line in plan.hold.lines})
    hold = find_hold(conn, plan.hold.number, act.scene.now)
    _check_undecided(hold)
    decide(conn, act, hold, plan.outcome, plan.on, _method(conn, hold), plan.note)
    return Done(plan.sentence, {"hold": hold.id, "number": hold.number}, plan.cautions)


def _check_undecided(hold: Hold) -> None:
    if hold.deposit_state == "undecided":
        return
    if hold.open:
        raise Refused(
            say("{number} still stands; release it and say what becomes of its deposit.", number=hold.number), "hold"
        )
    if hold.deposit:
        why = say(
            "{number} had a deposit, and it was {decided}; there is nothing to decide.",
            number=hold.number,
            decided=word(hold.deposit_state),
        )
    else:
        why = say("{number} had no deposit; there is nothing to decide.", number=hold.number)
    raise Refused(why, "hold", {"hold": hold.number})


def _check_on(hold: Hold, on: dt.date, scene: Scene) -> None:
    if on < hold.made_on:
        raise BadInput(
            say(
                "{number} was made on {made_on}; nothing happened to it on {on}.",
                number=hold.number,
                made_on=hold.made_on,
                on=on,
            ),
            "on",
        )
    if on > scene.today:
        raise BadInput(say("{on} is still to come.", on=long_day(on)), "on")


def _method(conn: Connection, hold: Hold) -> str:
    """How the deposit was received, and so is given back."""
    p = t.payment.c
    wanted = select(p.method).where(p.hold_id == hold.id).order_by(p.id).limit(1)
    return str(conn.execute(wanted).scalar_one())


def _kept_caution(outcome: str) -> tuple[str, ...]:
    if outcome != "kept":
        return ()
    return (
        say("Whether a deposit may be kept can depend on what was agreed and on consumer law; check your local rules."),
    )
