"""Breeding loans: animals that are with somebody else and stay the keeper's own, until they come back.

A lot is lent as a whole; if only some go, they are split off first, in the same act. Being lent is a dated fact of
the lot: it is not for sale meanwhile, and nothing of it leaves the stock.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Plan, Scene
from ledger.days import long_day
from ledger.errors import BadInput, Refused
from ledger.records import tables as t
from ledger.selling.alone import alone
from ledger.selling.commands import LendOut, LoanBack
from ledger.selling.customers import clean_name, find_or_add
from ledger.selling.handing import state_origins
from ledger.selling.holds import sweep_lapsed
from ledger.selling.standing import is_set, lent_to_us
from ledger.stock.commands import Part, SetLotFact, SplitLot
from ledger.stock.facts import commit_fact, plan_fact
from ledger.stock.figures import lot_facts
from ledger.stock.handlers import HANDLERS
from ledger.stock.naming import find_lot
from ledger.text import clean, clean_block
from ledger.wording import say, strung

_FACT = "lent out"


@dataclass(frozen=True, slots=True)
class LoanRow:
    """One breeding loan."""

    lot: str
    to: str
    lent_on: dt.date
    terms: str
    back_on: dt.date | None
    """`None`: still there."""
    note: str
    back_by: dt.date | None
    """Agreed; `None`: no day was."""
    operation_id: int

    def late(self, today: dt.date) -> bool:
        """Whether it should be back by now and is not."""
        return self.back_on is None and self.back_by is not None and self.back_by < today


def loans(conn: Connection, *, only_open: bool = False) -> tuple[LoanRow, ...]:
    """Breeding loans, oldest first."""
    n, e = t.loan.c, t.loan_end.c
    wanted = (
        select(t.lot.c.code, t.customer.c.name, n.lent_on, n.terms, e.back_on, e.note, n.back_by, n.operation_id)
        .join(t.lot, t.lot.c.id == n.lot_id)
        .join(t.customer, t.customer.c.id == n.customer_id)
        .outerjoin(t.loan_end, e.loan_id == n.id)
        .order_by(n.id)
    )
    if only_open:
        wanted = wanted.where(e.id.is_(None))
    return tuple(LoanRow(*row[:5], row[5] or "", row.back_by, row.operation_id) for row in conn.execute(wanted))


@dataclass(frozen=True, slots=True)
class LendPlan:
    """Animals that can be lent."""

    command: LendOut
    lot_id: int
    code: str
    """Of the lot that goes."""
    split: Plan | None
    to: str
    on: dt.date
    terms: str
    back_by: dt.date | None
    sentence: str
    cautions: tuple[str, ...]


def plan_lend(conn: Connection, command: LendOut, scene: Scene) -> LendPlan:
    """Check a breeding loan.

    Raises:
        BadInput, NotFound, NotEnough, Ambiguous, Refused: they cannot be lent like that.
    """
    to = clean_name(command.to, "to")
    if not to:
        raise BadInput(say("Say who has them on loan."), "to")
    if command.on > scene.today:
        raise BadInput(say("{on} is still to come; record a loan when they go.", on=long_day(command.on)), "on")
    if command.back_by is not None and command.back_by < command.on:
        raise BadInput(say("They go on {on}; they cannot be back before that day.", on=long_day(command.on)), "back_by")
    lot = find_lot(conn, command.lot)
    if is_set(lot_facts(conn, command.on, [lot.id]).get((lot.id, _FACT), "")):
        raise Refused(say("{code} is lent out already; record that it is back first.", code=lot.code), "lot")
    if lot.id in lent_to_us(conn, [lot.id]):
        raise Refused(say("{code} has animals that are lent to us; they are not ours to lend.", code=lot.code), "lot")
    split: Plan | None = None
    code = lot.code
    what = say("All of {code}", code=lot.code)
    if command.picks:
        if not command.new_code.strip():
            raise BadInput(say("Give the animals that go a code of their own."), "new_code")
        if any(pick.lot.strip().upper() != lot.code for pick in command.picks):
            raise BadInput(say("One loan is of one lot; these are not all of {code}.", code=lot.code), "picks")
        parts = tuple(Part(pick.count, pick.stage, pick.sex, pick.tub) for pick in command.picks)
        split = HANDLERS[SplitLot].plan(conn, SplitLot(lot.code, command.new_code, parts, command.on), scene)
        code = command.new_code.strip().upper()
        what = strung((split.sentence, code))
    terms = clean_block(command.terms, limit=2000, field="terms")
    agreed = say(", to be back by {back_by}", back_by=long_day(command.back_by)) if command.back_by is not None else ""
    agreed += say("; agreed: {terms}", terms=" ".join(terms.split())) if terms else ""
    return LendPlan(
        command,
        lot.id,
        code,
        split,
        to,
        command.on,
        terms,
        command.back_by,
        say(
            "{what} lent to {to} for breeding, {on}; the owner stays the same{agreed}.",
            what=what,
            to=to,
            on=long_day(command.on),
            agreed=agreed,
        ),
        split.cautions if split is not None else (),
    )


def commit_lend(conn: Connection, plan: LendPlan, act: Act) -> Done:
    """Write a breeding loan."""
    if alone(conn, "loan", plan.lot_id):
        plan = plan_lend(conn, plan.command, act.scene)
    refs: dict[str, int | str] = {"lot": plan.code}
    if plan.split is not None:
        sweep_lapsed(conn, act)
        refs |= HANDLERS[SplitLot].commit(conn, plan.split, act).refs
    commit_fact(conn, plan_fact(conn, SetLotFact(plan.code, _FACT, "yes", plan.on), act.scene), act)
    lot_id = find_lot(conn, plan.code).id
    state_origins(conn, act, [lot_id])
    number = conn.execute(
        insert(t.loan)
        .values(
            lot_id=lot_id,
            customer_id=find_or_add(conn, plan.to),
            lent_on=plan.on,
            back_by=plan.back_by,
            terms=plan.terms,
            operation_id=act.operation,
        )
        .returning(t.loan.c.id)
    ).scalar_one()
    return Done(plan.sentence, {**refs, "loan": int(number)}, plan.cautions)


@dataclass(frozen=True, slots=True)
class BackPlan:
    """A loan that ends."""

    command: LoanBack
    lot_id: int
    loan: int
    lot: str
    on: dt.date
    note: str
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_back(conn: Connection, command: LoanBack, scene: Scene) -> BackPlan:
    """Check that a loan can end.

    Raises:
        NotFound, BadInput, Refused: that lot is not on loan.
    """
    lot = find_lot(conn, command.lot)
    n = t.loan.c
    row = conn.execute(
        select(n.id, n.lent_on, t.customer.c.name)
        .join(t.customer, t.customer.c.id == n.customer_id)
        .outerjoin(t.loan_end, t.loan_end.c.loan_id == n.id)
        .where(n.lot_id == lot.id, t.loan_end.c.id.is_(None))
        .order_by(n.id.desc())
        .limit(1)
    ).one_or_none()
    if row is None:
        raise Refused(say("{code} is not on a breeding loan.", code=lot.code), "lot", {"lot": lot.code})
    if not row.lent_on <= command.on <= scene.today:
        raise BadInput(
            say(
                "{code} was lent on {lent_on}; say a day from then to today.",
                code=lot.code,
                lent_on=long_day(row.lent_on),
            ),
            "on",
        )
    return BackPlan(
        command,
        lot.id,
        row.id,
        lot.code,
        command.on,
        clean(command.note, limit=500, field="note"),
        say("{code} is back from {name}, {on}.", code=lot.code, name=row.name, on=long_day(command.on)),
        (say("Count what came back; deaths and young on loan are recorded like any others."),),
    )


def commit_back(conn: Connection, plan: BackPlan, act: Act) -> Done:
    """End a loan."""
    if alone(conn, "loan", plan.lot_id):
        plan = plan_back(conn, plan.command, act.scene)
    commit_fact(conn, plan_fact(conn, SetLotFact(plan.lot, _FACT, "no", plan.on), act.scene), act)
    conn.execute(
        insert(t.loan_end).values(loan_id=plan.loan, back_on=plan.on, note=plan.note, operation_id=act.operation)
    )
    return Done(plan.sentence, {"lot": plan.lot}, plan.cautions)
