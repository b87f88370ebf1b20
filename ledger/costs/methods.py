"""Figures of method: dated, and a closed year keeps its own. What is set here is how costs are reckoned, never a cost.

Business shares of shared household costs (a freezer, the room's heating) are set once for their category, with a reason
and from a day on, and taken by every later cost of it that names none.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, bindparam, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import SetMethod
from ledger.costs.given import FULL_WEIGHT
from ledger.costs.keys import CARE, SHARING, in_words
from ledger.costs.listing import categories
from ledger.days import long_day
from ledger.errors import BadInput
from ledger.money import Currency, said
from ledger.records import tables as t
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day
from ledger.records.undone import stands
from ledger.text import clean, quoted
from ledger.wording import decimals, say, word

METHODS = {
    "cost basis": ("gross", "net"),
    "brood": ("offspring", "expense"),
    "deposits": ("when kept", "on receipt"),
}
"""Figures of method that are one of a few words; the first is the default."""
SHARING_KEYS = ("animal-days", "tub-days")
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


def share_text(share: int) -> str:
    """A business share in words: '30 %', of 3000 hundredths of a percent."""
    return decimals(f"{share / 100:g} %")


def hour_rate(conn: Connection, on: dt.date) -> int | None:
    """What the keeper reckons an hour of their own time at, minor units; `None`: not said."""
    found = _in_force(conn, HOUR_RATE, on)
    return None if found is None else int(found)


_SEEN: WeakKeyDictionary[Connection, dict[str, Sequence[Any]]] = WeakKeyDictionary()
"""Figures already looked up, for as long as one connection is lent: a sheet that is brought in asks once a row."""
_OF_NAME = (
    select(t.method.c.from_on, t.method.c.value)
    .where(t.method.c.name == bindparam("named"), stands(t.method.c.operation_id))
    .order_by(t.method.c.from_on.desc(), t.method.c.id.desc())
)


def _in_force(conn: Connection, name: str, on: dt.date) -> str | None:
    seen = _SEEN.get(conn)
    if seen is None:
        seen = _SEEN[conn] = {}
    if name not in seen:
        seen[name] = conn.execute(_OF_NAME, {"named": name}).all()
    for row in seen[name]:
        if row.from_on <= on:
            value: str = row.value
            return value
    return None


def forget(conn: Connection) -> None:
    """Look the figures up again: one was set, or no longer counts."""
    _SEEN.pop(conn, None)


@dataclass(frozen=True, slots=True)
class MethodRow:
    """A figure of method that was set."""

    name: str
    value: str
    """As it is kept: a word, hundredths of a percent, minor units, or thousandths of a care weight."""
    from_on: dt.date
    note: str

    def in_words(self, currency: Currency) -> str:
        """The value as a keeper reads it."""
        if self.name.startswith(SHARE):
            return share_text(int(self.value))
        if self.name == HOUR_RATE:
            return said(int(self.value), currency)
        return f"{int(self.value) / FULL_WEIGHT:g}" if self.name.startswith(CARE) else self.value


def method_rows(conn: Connection) -> tuple[MethodRow, ...]:
    """Every figure of method that was set, by name and day."""
    m = t.method.c
    rows = conn.execute(
        select(m.name, m.value, m.from_on, m.note).where(stands(m.operation_id)).order_by(m.name, m.from_on, m.id)
    )
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
        raise BadInput(say("That year is closed and keeps its method; choose a day in an open year."), field="from_on")
    cautions: tuple[str, ...] = ()
    for prefix in (SHARE, SHARING):
        if command.name.startswith(prefix):
            cautions = new_category(conn, command.name.removeprefix(prefix))
    day = long_day(command.from_on)
    sentence = (
        say(
            "From {day}: of what is spent on {category}, {share} counts, the business part.",
            day=day,
            category=word(command.name.removeprefix(SHARE)),
            share=words,
        )
        if command.name.startswith(SHARE)
        else say("From {day}: {name} is {method}.", day=day, name=word(command.name), method=word(words))
    )
    return MethodPlan(command, sentence, cautions)


def new_category(conn: Connection, category: str) -> tuple[str, ...]:
    """A caution where nothing was ever spent on a category: it may be a slip of the pen."""
    if category in categories(conn):
        return ()
    return (say("Nothing was ever spent on {category}; look whether it is spelt right.", category=quoted(category)),)


def _words(command: SetMethod, scene: Scene) -> str:
    """The value as a keeper reads it."""
    name, value = command.name, command.value
    number = int(value) if value.isascii() and value.isdigit() and len(value) <= 12 else None
    if name.startswith(SHARE) and len(name) <= 60:
        if number is None or not 1 <= number <= FULL_SHARE:
            raise BadInput(say("The business part must lie between 0.01 % and 100 %."), field="value")
        return share_text(number)
    if name == HOUR_RATE:
        if number is None or number > MOST_MONEY:
            raise BadInput(say("Say what an hour of yours is reckoned at, such as 12.00."), field="value")
        return say("{number} (a memo; never in a total)", number=said(number, scene.currency))
    allowed = SHARING_KEYS if name.startswith(SHARING) and len(name) <= 60 else METHODS.get(name, ())
    if value not in allowed:
        known = "; ".join(f"{one}: {' or '.join(values)}" for one, values in METHODS.items())
        raise BadInput(
            say(
                "That method is not known. Known are — {known}; sharing and a category: {sharing_keys}; share "
                "and a category: a part; hour rate: an amount.",
                known=known,
                sharing_keys=" or ".join(SHARING_KEYS),
            ),
            field="name",
        )
    return value


def commit_method(conn: Connection, plan: MethodPlan, act: Act) -> Done:
    """Write it."""
    forget(conn)
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
    return Done(plan.sentence, {}, plan.cautions)
