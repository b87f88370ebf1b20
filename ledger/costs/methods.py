"""Figures of method: dated, and a closed year keeps its own. What is set here is how costs are reckoned, never a cost.

Business shares of shared household costs (a freezer, the room's heating) are set once for their category, with a reason
and from a day on, and taken by every later cost of it that names none.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import SetMethod
from ledger.costs.keys import in_words
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day
from ledger.text import clean

METHODS = {
    "cost basis": ("gross", "net"),
    "brood": ("offspring", "expense"),
    "deposits": ("when kept", "on receipt"),
}
"""Figures of method that are one of a few words; the first is the default."""
SHARING = ("animal-days", "tub-days")
"""How the costs of a category are shared, set as 'sharing <category>'; the first is the default."""
HOUR_RATE = "hour rate"
SHARE = "share "
FULL_SHARE = 10000


def method(conn: Connection, name: str, on: dt.date) -> str:
    """The figure of method in force on a day."""
    found = _in_force(conn, name, on)
    return found if found is not None else METHODS[name][0]


def business_share(conn: Connection, category: str, on: dt.date) -> int:
    """The business share set for a category, in hundredths of a percent; all of it where none is set."""
    found = _in_force(conn, SHARE + category, on)
    return FULL_SHARE if found is None else int(found)


def hour_rate(conn: Connection, on: dt.date) -> int | None:
    """What the keeper reckons an hour of their own time at, minor units; `None`: not said."""
    found = _in_force(conn, HOUR_RATE, on)
    return None if found is None else int(found)


_IN_FORCE = (
    select(t.method.c.value)
    .where(t.method.c.name == bindparam("named"), t.method.c.from_on <= bindparam("on", type_=t.method.c.from_on.type))
    .order_by(t.method.c.from_on.desc(), t.method.c.id.desc())
    .limit(1)
)


def _in_force(conn: Connection, name: str, on: dt.date) -> str | None:
    return conn.execute(_IN_FORCE, {"named": name, "on": on}).scalar()


@dataclass(frozen=True, slots=True)
class MethodRow:
    """A figure of method that was set."""

    name: str
    value: str
    """As it is kept: a word, hundredths of a percent, minor units, or thousandths of a care weight."""
    from_on: dt.date
    note: str


def method_rows(conn: Connection) -> tuple[MethodRow, ...]:
    """Every figure of method that was set, by name and day."""
    m = t.method.c
    rows = conn.execute(select(m.name, m.value, m.from_on, m.note).order_by(m.name, m.from_on, m.id))
    return tuple(MethodRow(in_words(conn, row.name), row.value, row.from_on, row.note) for row in rows.all())


@dataclass(frozen=True, slots=True)
class MethodPlan:
    """A figure of method to be set."""

    command: SetMethod
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_method(conn: Connection, command: SetMethod, scene: Scene) -> MethodPlan:
    """Check a figure of method.

    Raises:
        BadInput: no such method or value, or its day lies in a closed year.
    """
    words = _words(command, scene)
    if accounting_day(conn, command.from_on) != command.from_on:
        raise BadInput("That year is closed and keeps its method; choose a day in an open year.", field="from_on")
    return MethodPlan(command, f"From {long_day(command.from_on)}: {command.name} is {words}.")


def _words(command: SetMethod, scene: Scene) -> str:
    """The value as a keeper reads it."""
    name, value = command.name, command.value
    number = int(value) if value.isascii() and value.isdigit() and len(value) <= 12 else None
    if name.startswith(SHARE) and len(name) <= 60:
        if number is None or not 1 <= number <= FULL_SHARE:
            raise BadInput("The business share must lie between 0.01 % and 100 %.", field="value")
        return f"{number / 100:g} %"
    if name == HOUR_RATE:
        if number is None or number > MOST_MONEY:
            raise BadInput("Say what an hour of yours is reckoned at, such as 12.00.", field="value")
        return f"{said(number, scene.currency)} (a memo; never in a total)"
    allowed = SHARING if name.startswith("sharing ") and len(name) <= 60 else METHODS.get(name, ())
    if value not in allowed:
        known = "; ".join(f"{one}: {' or '.join(values)}" for one, values in METHODS.items())
        raise BadInput(
            f"That method is not known. Known are — {known}; sharing and a category: {' or '.join(SHARING)}; share "
            "and a category: a part; hour rate: an amount.",
            field="name",
        )
    return value


def commit_method(conn: Connection, plan: MethodPlan, act: Act) -> Done:
    """Write it."""
    wanted = plan.command
    conn.execute(
        insert(t.method).values(
            name=wanted.name,
            value=wanted.value,
            from_on=wanted.from_on,
            note=clean(wanted.note, limit=500, field="note"),
            operation_id=act.operation,
        )
    )
    return Done(plan.sentence)
