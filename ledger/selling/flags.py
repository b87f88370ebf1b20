"""Reminders about rules for a species, as the keeper entered them: protected, invasive, permits, limits of the post.

They warn before a sale, and what was lacking is noted on it. Nothing here finds anything legal or not: rules differ
by place and change, and the entries are the keeper's.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, and_, insert, select

from ledger.act import Act, Done, Scene
from ledger.days import between, long_day
from ledger.errors import BadInput, NotFound, Refused
from ledger.records import tables as t
from ledger.records.columns import FIRST_DAY, LAST_DAY
from ledger.records.undone import stands
from ledger.selling.alone import alone
from ledger.selling.commands import EndFlag, FlagSpecies
from ledger.stock.naming import find_species
from ledger.text import clean
from ledger.wording import say, strung, unended, word

KINDS = ("protected", "invasive", "permit", "post limit")
_CHECK = say("check your local rules first; this program does not decide what is legal")
SOON = 30
"""Days before its end that a permit is told of (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FlagRow:
    """One reminder."""

    id: int
    species_id: int
    species: str
    kind: str
    text: str
    number: str
    expires_on: dt.date | None
    from_on: dt.date
    ended_on: dt.date | None

    def counts_on(self, on: dt.date) -> bool:
        """Whether it counts on a day, expired or not."""
        return self.from_on <= on and (self.ended_on is None or on < self.ended_on)

    def expired(self, on: dt.date) -> bool:
        """Whether its last day is over."""
        return self.expires_on is not None and self.expires_on < on

    @property
    def words(self) -> str:
        """'permit 12/345'."""
        return strung((word(self.kind), self.number)) if self.number else word(self.kind)


@dataclass(frozen=True, slots=True)
class Warnings:
    """What to know before a sale, and what of it is noted on the sale."""

    cautions: tuple[str, ...]
    noted: tuple[str, ...]


def flag_rows(conn: Connection) -> tuple[FlagRow, ...]:
    """Every reminder ever entered, by species and in the order of entering."""
    f, e = t.species_flag.c, t.species_flag_end.c
    rows = conn.execute(
        select(f.id, f.species_id, t.species.c.code, f.kind, f.text, f.number, f.expires_on, f.from_on, e.ended_on)
        .join(t.species, t.species.c.id == f.species_id)
        .outerjoin(t.species_flag_end, and_(e.species_flag_id == f.id, stands(e.operation_id)))
        .where(stands(f.operation_id))
        .order_by(t.species.c.code, f.id)
    )
    return tuple(FlagRow(*row) for row in rows)


def warnings(
    conn: Connection, species: Collection[int], on: dt.date, *, by_post: bool, kept: dict[object, object]
) -> Warnings:
    """What the reminders say of selling animals of some species on a day.

    Args:
        conn: a connection.
        species: their ids.
        on: the day.
        by_post: whether they are posted.
        kept: where the reminders are kept between sales (see `fresh.kept`).
    """
    flags = kept.get("flags")
    if not isinstance(flags, tuple):
        flags = kept["flags"] = flag_rows(conn)
    if not flags:
        return Warnings((), ())
    cautions: list[str] = []
    noted: list[str] = []
    for number in sorted(species):
        mine = [row for row in flags if row.species_id == number and row.counts_on(on)]
        permits = [row for row in mine if row.kind == "permit"]
        valid = [row for row in permits if not row.expired(on)]
        for row in mine:
            what = say(": {text}", text=row.text) if row.text else ""
            if row.kind in ("protected", "invasive"):
                cautions.append(
                    say(
                        "{species} is entered as {kind}{what}; {check}.",
                        species=row.species,
                        kind=word(row.kind),
                        what=what,
                        check=_CHECK,
                    )
                )
                if not permits:
                    noted.append(
                        say(
                            "{species} is entered as {kind} and no permit or document is entered for it.",
                            species=row.species,
                            kind=word(row.kind),
                        )
                    )
            elif row.kind == "post limit" and by_post:
                cautions.append(
                    say(
                        "{species}, limit of the post{what}; confirm it with the carrier on the day.",
                        species=row.species,
                        what=what,
                    )
                )
        if permits and not valid:
            last = max(permits, key=lambda row: row.expires_on or on)
            assert last.expires_on is not None
            noted.append(
                say(
                    "{species}: {flag} expired on {day}.",
                    species=last.species,
                    flag=last.words,
                    day=long_day(last.expires_on),
                )
            )
    return Warnings(
        (*cautions, *(say("{what}; {check}.", what=unended(one), check=_CHECK) for one in noted)), tuple(noted)
    )


@dataclass(frozen=True, slots=True)
class FlagPlan:
    """A reminder to be written."""

    row: dict[str, object]
    sentence: str
    cautions: tuple[str, ...]


def plan_flag(conn: Connection, command: FlagSpecies, scene: Scene) -> FlagPlan:
    """Check a reminder.

    Raises:
        NotFound, BadInput: no such species or kind, or something is missing.
    """
    species = find_species(conn, command.species)
    if command.kind not in KINDS:
        raise BadInput(say("A reminder is one of: {kinds}.", kinds=strung(KINDS, ", ")), "kind")
    text = clean(command.text, limit=500, field="text")
    number = clean(command.number, limit=80, field="number")
    if command.kind == "permit" and not number:
        raise BadInput(say("Give the number of the permit or document."), "number")
    if command.kind == "post limit" and not text:
        raise BadInput(say("Say what the limit is."), "text")
    if command.kind != "permit" and (number or command.expires_on):
        raise BadInput(say("Only a permit has a number and a last day; enter it as a permit."), "number")
    for day in (command.from_on, command.expires_on or command.from_on):
        if not FIRST_DAY <= day <= LAST_DAY:
            raise BadInput(
                say(
                    "The day must lie between {first_day} and {last_day}.",
                    first_day=long_day(FIRST_DAY),
                    last_day=long_day(LAST_DAY),
                ),
                "from_on",
            )
    if command.expires_on is not None and command.expires_on < command.from_on:
        raise BadInput(
            say(
                "It ended on {last}, before {first}, from which it is to count; give an earlier day to count from.",
                last=long_day(command.expires_on),
                first=long_day(command.from_on),
            ),
            "expires_on",
        )
    days = between(command.from_on, command.expires_on)
    what = say(" ({text})", text=text) if text else ""
    name = strung((word(command.kind), number)) if number else word(command.kind)
    over = command.expires_on is not None and command.expires_on < scene.today
    return FlagPlan(
        {
            "species_id": species.id,
            "kind": command.kind,
            "text": text,
            "number": number,
            "expires_on": command.expires_on,
            "from_on": command.from_on,
        },
        say(
            "{species}: {flag}{what}, {days}.",
            species=species.code,
            flag=name,
            what=what,
            days=days,
        ),
        (
            say("This is a reminder of yours; it decides nothing about what is legal."),
            *((say("Its last day is over already."),) if over else ()),
        ),
    )


def commit_flag(conn: Connection, plan: FlagPlan, act: Act) -> Done:
    """Write a reminder."""
    number = conn.execute(
        insert(t.species_flag).values(operation_id=act.operation, **plan.row).returning(t.species_flag.c.id)
    ).scalar_one()
    return Done(plan.sentence, {"flag": int(number)}, plan.cautions)


@dataclass(frozen=True, slots=True)
class EndFlagPlan:
    """A reminder that no longer counts."""

    command: EndFlag
    flag: int
    on: dt.date
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_end(conn: Connection, command: EndFlag, _scene: Scene) -> EndFlagPlan:
    """Check that a reminder can end.

    Raises:
        NotFound, Refused, BadInput: there is none, or it ended.
    """
    row = next((one for one in flag_rows(conn) if one.id == command.flag), None)
    if row is None:
        raise NotFound(say("There is no reminder {flag}; see the list of them.", flag=command.flag), "flag")
    if row.ended_on is not None:
        raise Refused(
            say("Reminder {id} ended on {ended_on} already.", id=row.id, ended_on=long_day(row.ended_on)), "flag"
        )
    if not row.from_on <= command.on <= LAST_DAY:
        raise BadInput(
            say("It counts from {from_on}; end it on that day or later.", from_on=long_day(row.from_on)), "on"
        )
    return EndFlagPlan(
        command,
        row.id,
        command.on,
        say(
            "{species}: {flag} no longer counts from {day}.",
            species=row.species,
            flag=row.words,
            day=long_day(command.on),
        ),
    )


def commit_end(conn: Connection, plan: EndFlagPlan, act: Act) -> Done:
    """End a reminder."""
    if alone(conn, "reminder", plan.flag):
        plan = plan_end(conn, plan.command, act.scene)
    conn.execute(
        insert(t.species_flag_end).values(species_flag_id=plan.flag, ended_on=plan.on, operation_id=act.operation)
    )
    return Done(plan.sentence, {"flag": plan.flag})
