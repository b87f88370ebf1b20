"""The keeper's own hours: a memo shown beside the cost per reared adult, never in a total.

The time of an owner is no expense of the business, but decides whether the work pays (labour is 70 to 80 % of the cost
of mass-reared insects: Parra, Encyclopedia of Entomology, 2008). Hours are shared over animals as costs are, by
weighted animal-days, in a run of their own that knows minutes and no money.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.costs.commands import DropHours, NoteHours
from ledger.costs.engine import share
from ledger.costs.given import CostLine, Scope
from ledger.costs.grid import GRID
from ledger.costs.lots import method_of
from ledger.costs.methods import hour_rate
from ledger.costs.store import scope_of
from ledger.days import long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.stock.events import ordered, without_reversed
from ledger.stock.journal import depths, events
from ledger.stock.naming import find_lot, find_species
from ledger.text import clean
from ledger.wording import say, strung

OWN = "own hours"
MOST_MINUTES = 60_000


@dataclass(frozen=True, slots=True)
class HoursPlan:
    """Checked hours, or their taking back; `row` holds the columns."""

    row: dict[str, Any]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_hours(conn: Connection, command: NoteHours, scene: Scene) -> HoursPlan:
    """Check hours.

    Raises:
        BadInput, NotFound: a day still to come, minutes that cannot be, no such species or lot.
    """
    if type(command.minutes) is not int or not 1 <= command.minutes <= MOST_MINUTES:
        raise BadInput(
            say("The time must be from 1 to {most_minutes} minutes.", most_minutes=f"{MOST_MINUTES:,}"), field="minutes"
        )
    if command.on > scene.today:
        raise BadInput(
            say("{on} is still to come; note the time when it was spent.", on=long_day(command.on)), field="on"
        )
    if command.species is not None and command.lot is not None:
        raise BadInput(say("It is for a species or for a lot, not for both; note two times."), field="lot")
    species = None if command.species is None else find_species(conn, command.species)
    lot = None if command.lot is None else find_lot(conn, command.lot)
    work = clean(command.work, limit=200, field="work")
    whom = (
        say("for {code}", code=species.code)
        if species
        else say("for {code}", code=lot.code)
        if lot
        else say("for all animals")
    )
    row = {
        "happened_on": command.on,
        "minutes": command.minutes,
        "work": work,
        "species_id": None if species is None else species.id,
        "lot_id": None if lot is None else lot.id,
    }
    doing = say(" ({work})", work=work) if work else ""
    return HoursPlan(
        row,
        say(
            "{time}{doing} {whom}, {on}: a memo, never in a total.",
            time=time_words(command.minutes),
            doing=doing,
            whom=whom,
            on=long_day(command.on),
        ),
    )


def time_words(minutes: int) -> str:
    """'2 h 30 min'."""
    hours, rest = divmod(minutes, 60)
    parts = [say("{hours} h", hours=hours)] if hours else []
    return strung([*parts, say("{rest} min", rest=rest)] if rest or not hours else parts, " ")


def plan_drop(conn: Connection, command: DropHours, scene: Scene) -> HoursPlan:
    """Check that hours can be taken back.

    Raises:
        NotFound, Refused: there are none of that number, or they were taken back.
    """
    row = conn.execute(select(t.own_hours).where(t.own_hours.c.id == command.number)).one_or_none()
    if row is None:
        raise NotFound(say("No hours were noted under number {number}.", number=command.number), field="number")
    back = conn.execute(select(t.own_hours.c.id).where(t.own_hours.c.reverses == row.id)).scalar()
    if back is not None or row.reverses is not None:
        raise Refused(say("The hours of number {id} were taken back already.", id=row.id), field="number")
    copy = {name: value for name, value in row._mapping.items() if name not in ("id", "operation_id")}
    return HoursPlan(
        copy | {"reverses": row.id},
        say("Hours number {id} ({time}) are taken back.", id=row.id, time=time_words(row.minutes)),
    )


def commit_hours(conn: Connection, plan: HoursPlan, act: Act) -> Done:
    """Write them."""
    written = insert(t.own_hours).values(operation_id=act.operation, **plan.row).returning(t.own_hours.c.id)
    return Done(plan.sentence, {"hours": int(conn.execute(written).scalar_one())}, plan.cautions)


@dataclass(frozen=True, slots=True)
class HoursRow:
    """Time noted once."""

    number: int
    on: dt.date
    minutes: int
    work: str
    whom: str
    """Species or lot; empty: all animals."""
    scope: Scope


def hours_rows(conn: Connection, until: dt.date) -> tuple[HoursRow, ...]:
    """All time that stands, noted up to and including a day, newest first."""
    back = t.own_hours.alias("back")
    rows = conn.execute(
        select(t.own_hours, t.species.c.code.label("species"), t.lot.c.code.label("lot"))
        .outerjoin(t.species, t.species.c.id == t.own_hours.c.species_id)
        .outerjoin(t.lot, t.lot.c.id == t.own_hours.c.lot_id)
        .outerjoin(back, back.c.reverses == t.own_hours.c.id)
        .where(t.own_hours.c.happened_on <= until, t.own_hours.c.reverses.is_(None), back.c.id.is_(None))
        .order_by(t.own_hours.c.happened_on.desc(), t.own_hours.c.id.desc())
    )
    return tuple(
        HoursRow(row.id, row.happened_on, row.minutes, row.work, row.species or row.lot or "", scope_of(row))
        for row in rows
    )


@dataclass(frozen=True, slots=True)
class OwnTime:
    """What of the keeper's time moved into the reared stage."""

    minutes: dict[int, Fraction]
    """By lot."""
    rate: int | None
    """What an hour is reckoned at, minor units."""

    def worth(self, minutes: Fraction) -> Fraction | None:
        """Minutes in minor units; `None`: no rate was said."""
        return None if self.rate is None else minutes * self.rate / 60


def own_time(conn: Connection, until: dt.date) -> OwnTime | None:
    """The time that each lot's reared adults took; `None`: no time was ever noted."""
    noted = hours_rows(conn, until)
    if not noted:
        return None
    lines = [CostLine(row.number, OWN, row.minutes, row.on.toordinal(), row.on.toordinal(), row.scope) for row in noted]
    figures = method_of(conn)
    journal = ordered(without_reversed(events(conn), by="accounting_on"), depths(conn), by="accounting_on")
    shared = share(
        journal,
        lines,
        figures.lots,
        until.toordinal(),
        weights=figures.weights,
        reared=figures.reared,
        specimens=figures.specimens,
    )
    place = shared.categories.index(OWN)
    minutes: dict[int, Fraction] = {}
    for one in shared.reached:
        minutes[one.lot] = minutes.get(one.lot, Fraction(0)) + Fraction(one.cost[place], GRID)
    return OwnTime(minutes, hour_rate(conn, until))
