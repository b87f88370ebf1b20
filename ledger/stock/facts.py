"""Dated facts of a lot: what it is for, where it stands, whether it is a colony, lent out, or resting."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, insert

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY, LAST_DAY
from ledger.records.lot_facts import LOT_FACTS, PURPOSES
from ledger.records.periods import accounting_day
from ledger.stock.commands import SetLotFact
from ledger.stock.figures import lot_fact, lot_facts
from ledger.stock.naming import find_lot
from ledger.stock.words import when
from ledger.text import clean_block, quoted
from ledger.wording import say, strung, word

_STATES = tuple(fact for fact in LOT_FACTS if fact not in ("mark", "treatment", "lent out"))
"""Those that hold until something else is said; the others are said each time they happen."""
_BY_COSTS = ("purpose", "containers", "brood ends", "brood weight")
"""Those by which costs are shared."""
_YES_NO = ("colony",)
_MOST_CONTAINERS = 100_000
_MOST_WEIGHT = 1_000_000


def purpose(value: str) -> str:
    """A purpose that exists. Raises BadInput."""
    if value not in PURPOSES:
        raise BadInput(
            say(
                "{typed} is no purpose; choose one of: {purposes}.",
                typed=quoted(value),
                purposes=strung(PURPOSES, ", "),
            ),
            field="purpose",
        )
    return value


@dataclass(frozen=True, slots=True)
class FactPlan:
    """A checked fact."""

    lot_id: int
    fact: str
    value: str
    from_on: dt.date
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_fact(conn: Connection, command: SetLotFact, scene: Scene) -> FactPlan:
    """Check a dated fact of a lot.

    Raises:
        NotFound, BadInput: no such lot or fact, it cannot be so, or it is so already.
    """
    lot = find_lot(conn, command.lot)
    if command.fact not in LOT_FACTS:
        raise BadInput(
            say(
                "{fact} is no fact of a lot; choose one of: {facts}.",
                fact=quoted(command.fact),
                facts=strung(LOT_FACTS, ", "),
            ),
            field="fact",
        )
    if not FIRST_DAY <= command.from_on <= LAST_DAY:
        raise BadInput(
            say("The day must lie between {first} and {last}.", first=when(FIRST_DAY), last=when(LAST_DAY)),
            field="from_on",
        )
    value = _value(command.fact, clean_block(command.value, limit=2000, field="value"))
    before = lot_fact(conn, lot.id, command.fact, command.from_on) or ""
    counts = accounting_day(conn, command.from_on)
    if command.fact in _STATES and value == before and counts == command.from_on:
        raise BadInput(_unchanged(lot.code, command.fact, value), field="value")
    cautions: tuple[str, ...] = ()
    if counts != command.from_on and command.fact in _BY_COSTS:
        cautions = (
            say("That year is closed and keeps its figures: costs go by it from {when} on.", when=when(counts)),
        )
    return FactPlan(
        lot.id,
        command.fact,
        value,
        command.from_on,
        _sentence(lot.code, command.fact, value, before, command.from_on),
        cautions,
    )


def _sentence(lot: str, fact: str, value: str, before: str, on: dt.date) -> str:
    names = {"lot": lot, "fact": word(fact), "day": when(on)}
    if value:
        return say("{lot}: {fact} is {value} from {day} on.", value=quoted(value), **names)
    if before:
        return say("{lot}: no {fact} any more from {day} on; it was {value}.", value=quoted(before), **names)
    return say("{lot}: {fact} is nothing from {day} on.", **names)


def _unchanged(lot: str, fact: str, value: str) -> str:
    names = {"lot": lot, "fact": word(fact)}
    if value:
        return say("{lot}: {fact} is {value} already; nothing would change.", value=quoted(value), **names)
    return say("{lot} has no {fact} on record; write what it is.", **names)


def fact_of(conn: Connection, lot: str, fact: str, on: dt.date) -> str:
    """What holds for a lot on a day; empty when nothing was said. Raises NotFound."""
    return lot_fact(conn, find_lot(conn, lot).id, fact, on) or ""


def places(conn: Connection, on: dt.date) -> dict[str, tuple[int, ...]]:
    """Every place where a lot stands on a day, by name, with the ids of its lots."""
    found: dict[str, list[int]] = {}
    for (lot_id, fact), value in lot_facts(conn, on).items():
        if fact == "place" and value:
            found.setdefault(value, []).append(lot_id)
    return {place: tuple(lots) for place, lots in sorted(found.items(), key=lambda one: one[0].casefold())}


def _value(fact: str, value: str) -> str:
    if fact == "purpose":
        return purpose(value)
    if fact in _YES_NO and value not in ("yes", "no"):
        raise BadInput(say("Whether it is a {fact} is yes or no.", fact=word(fact)), field="value")
    if fact == "containers" and not (value.isascii() and value.isdigit() and 1 <= int(value) <= _MOST_CONTAINERS):
        raise BadInput(say("The number of containers is a whole number from 1."), field="value")
    if fact == "brood weight" and not (value.isascii() and value.isdigit() and 1 <= int(value) <= _MOST_WEIGHT):
        raise BadInput(
            say(
                "The weight of a clutch beside others of its day is a whole number from 1; without one it is the "
                "number of its young."
            ),
            field="value",
        )
    if fact == "treatment" and not value:
        raise BadInput(say("Say what the treatment was."), field="value")
    if fact == "rests until" and value:
        try:
            return dt.date.fromisoformat(value).isoformat()
        except ValueError:
            raise BadInput(
                say("Give the day it rests until as 2025-06-30, or nothing to end it."), field="value"
            ) from None
    return value


def commit_fact(conn: Connection, plan: FactPlan, act: Act) -> Done:
    """Write the fact."""
    conn.execute(
        insert(t.lot_fact).values(
            lot_id=plan.lot_id,
            fact=plan.fact,
            value=plan.value,
            from_on=plan.from_on,
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence, {}, plan.cautions)
