"""Settling a fair: the cash is counted and compared with what there should be, and what was not sold comes back."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.selling.alone import alone
from ledger.selling.commands import EndFair
from ledger.selling.fair_cash import cash_lines, cash_words
from ledger.selling.fair_plans import packs_lying
from ledger.selling.fairs import Fair, check_open, find_fair
from ledger.stock import earmarks
from ledger.text import clean, clean_block
from ledger.wording import counted, say


@dataclass(frozen=True, slots=True)
class EndPlan:
    """A fair that can be settled. Amounts in minor units."""

    command: EndFair
    fair: Fair
    """With what was put in and taken out."""
    on: dt.date
    counted: int
    expected: int
    note: str
    marks: tuple[int, ...]
    """Earmarks of what was not sold."""
    sentence: str
    made_of: str
    """What the cash there should be is made of, in words."""
    cautions: tuple[str, ...]


def plan_end(conn: Connection, command: EndFair, scene: Scene) -> EndPlan:
    """Check that a fair can be settled, and say what the cash comes to.

    Raises:
        NotFound, BadInput, Refused: there is no such fair, or it was settled.
    """
    fair = find_fair(conn, command.fair)
    check_open(fair)
    if not fair.held_on <= command.on <= scene.today:
        raise BadInput(_not_that_day(fair, scene), "on")
    for name in ("counted", "put_in", "taken_out"):
        if not 0 <= getattr(command, name) <= MOST_MONEY:
            raise BadInput(say("The cash counted must be nothing or more, and within reason."), name)
    why = clean(command.why, limit=500, field="why")
    if (command.put_in or command.taken_out) and not why:
        raise BadInput(say("Say what cash was put in or taken out for."), "why")
    fair = replace(fair, put_in=command.put_in, taken_out=command.taken_out, why=why)
    lines = cash_lines(conn, fair)
    expected = sum(line.amount for line in lines)
    off = command.counted - expected
    money = scene.currency
    amount = said(abs(off), money)
    tells = say("{amount} too much", amount=amount) if off > 0 else say("{amount} too little", amount=amount)
    tells = tells if off else say("as expected")
    marks = packs_lying(conn, fair)
    number = len({pack for pack, _ in marks})
    left = (
        counted(
            number,
            "; {n} pack not sold, whose animals are free again",
            "; {n} packs not sold, whose animals are free again",
        )
        if number
        else ""
    )
    return EndPlan(
        command,
        fair,
        command.on,
        command.counted,
        expected,
        clean_block(command.note, limit=2000, field="note"),
        tuple(mark for _, mark in marks),
        say(
            "{name} settled, {on}: {counted} counted, {expected} expected, {tells}{left}.",
            name=fair.name,
            on=long_day(command.on),
            counted=said(command.counted, money),
            expected=said(expected, money),
            tells=tells,
            left=left,
        ),
        cash_words(lines, money),
        (say("Look for the difference; it is noted and changes no sale."),) if off else (),
    )


def _not_that_day(fair: Fair, scene: Scene) -> str:
    if fair.held_on > scene.today:
        return say(
            "{name} is on {held_on}, which is still to come; change its day, or call it off.",
            name=fair.name,
            held_on=long_day(fair.held_on),
        )
    return say(
        "{name} was on {held_on}; settle it from that day up to today.",
        name=fair.name,
        held_on=long_day(fair.held_on),
    )


def commit_end(conn: Connection, plan: EndPlan, act: Act) -> Done:
    """Settle a fair: what was not sold comes back."""
    if alone(conn, "fair", plan.fair.id):
        plan = plan_end(conn, plan.command, act.scene)
    for mark in plan.marks:
        earmarks.free(conn, act, mark)
    conn.execute(
        insert(t.fair_end).values(
            fair_id=plan.fair.id,
            ended_on=plan.on,
            counted=plan.counted,
            expected=plan.expected,
            put_in=plan.fair.put_in,
            taken_out=plan.fair.taken_out,
            why=plan.fair.why,
            note=plan.note,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {"fair": plan.fair.id}, plan.cautions)
