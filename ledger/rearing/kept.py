"""Outlooks that were issued: kept week by week, and held against what came, so that the program shows how far it is to
be trusted.

An outlook that was kept is never changed. Inside means at least `low` and at most `high` became ready in that week, of
lots that were in the ledger when it was issued, by the day they entered the stage and the days before sale.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, insert, select

from ledger.act import Act, Done, Scene
from ledger.errors import BadInput, Refused
from ledger.rearing.commands import KeepOutlook
from ledger.rearing.ready_stage import way_of
from ledger.records import tables as t
from ledger.stock.events import Event, without_reversed
from ledger.stock.figures import figures
from ledger.stock.journal import events
from ledger.stock.naming import find_species, stages
from ledger.stock.reasons import REASONS, Survival
from ledger.wording import counted, say, strung

if TYPE_CHECKING:
    from ledger.rearing.coming import Coming


@dataclass(frozen=True, slots=True)
class KeepPlan:
    """Outlooks about to be kept."""

    on: dt.date
    outlooks: tuple[Coming, ...]
    sentence: str
    cautions: tuple[str, ...] = ()


def plan_keep(conn: Connection, command: KeepOutlook, scene: Scene) -> KeepPlan:
    """Take the outlook of today, or reckon it.

    Raises:
        Refused: today's is kept already, or nothing is coming on.
        BadInput: what was given is the outlook of another day.
    """
    # Numbers are a heavy import, and every command of a ledger is made known when it is opened.
    from ledger.rearing.coming import coming

    if kept_on(conn, scene.today):
        raise Refused(say("The outlook of {today} is kept already; the first of a day stays.", today=scene.today), "on")
    if any(one.on != scene.today for one in command.outlooks):
        raise BadInput(say("That is not the outlook of {today}; reckon it again.", today=scene.today), "on")
    found = tuple(one for one in command.outlooks or coming(conn, scene.today, scene.now) if one.weeks)
    if not found:
        raise Refused(say("Nothing is coming on, so there is no outlook to keep."))
    weeks = len(found[0].weeks)
    named = strung((one.species for one in found), ", ")
    return KeepPlan(
        scene.today,
        found,
        say("The outlook of {today} is kept: {weeks} weeks of {named}.", today=scene.today, weeks=weeks, named=named),
    )


def commit_keep(conn: Connection, plan: KeepPlan, act: Act) -> Done:
    """Write it."""
    rows = []
    for one in plan.outlooks:
        species_id = find_species(conn, one.species).id
        rows += [
            {
                "species_id": species_id,
                "issued_on": plan.on,
                "first_day": week.first,
                "last_day": week.last,
                "low": week.ready.low,
                "high": week.ready.high,
                "expected": round(1000 * week.ready.mean),
                "operation_id": act.operation,
            }
            for week in one.weeks
        ]
    conn.execute(insert(t.outlook_week), rows)
    return Done(plan.sentence, {"weeks": len(rows)})


def kept_on(conn: Connection, on: dt.date) -> bool:
    """Whether an outlook of that day is kept."""
    o = t.outlook_week.c
    return conn.execute(select(o.id).where(o.issued_on == on).limit(1)).scalar() is not None


@dataclass(frozen=True, slots=True)
class KeptWeek:
    """What was said of a week that is over, and what came."""

    species: str
    issued_on: dt.date
    first: dt.date
    last: dt.date
    low: int
    high: int
    expected: float
    came: int
    left_young: int
    """Young of these lots sold, given away or escaped between the day of issue and the end of the week: they might
    have been among those expected."""

    @property
    def inside(self) -> bool:
        """Whether what came lies in the range."""
        return self.low <= self.came <= self.high


@dataclass(frozen=True, slots=True)
class Record:
    """How the outlooks of a species did."""

    species: str
    weeks: tuple[KeptWeek, ...]

    @property
    def inside(self) -> int:
        """Weeks that fell inside their range."""
        return sum(week.inside for week in self.weeks)

    @property
    def words(self) -> str:
        """'PACH: 33 of 40 weeks fell inside; four in five were meant to.'"""
        number = len(self.weeks)
        above = sum(week.came > week.high for week in self.weeks)
        below = sum(week.came < week.low for week in self.weeks)

        if above and below:
            also = say(" ({above} had more and {below} fewer)", above=above, below=below)
        elif above:
            also = say(" ({above} had more)", above=above)
        else:
            also = say(" ({below} fewer)", below=below) if below else ""
        sold = say(" Young were sold in some of those weeks.") if any(week.left_young for week in self.weeks) else ""

        return counted(
            number,
            "{species}: {inside} of {n} week fell inside{also}; four in five are meant to.{sold}",
            "{species}: {inside} of {n} weeks fell inside{also}; four in five are meant to.{sold}",
            species=self.species,
            inside=self.inside,
            also=also,
            sold=sold,
        )


def score(species: str, records: Iterable[Record]) -> str:
    """How earlier outlooks of a species did, in a sentence."""
    one = next((row for row in records if row.species == species), None)
    if one is None:
        return say("Earlier outlooks: no week of a kept outlook of {species} is over yet.", species=species)
    return say("Earlier outlooks: {removeprefix}", removeprefix=one.words.removeprefix(f"{species}: "))


def record(conn: Connection, on: dt.date, species: str | None = None) -> tuple[Record, ...]:
    """Every kept outlook of weeks that are over by a day, against what came; species without any are left out.

    Args:
        conn: an open reading connection.
        on: the last day looked at.
        species: code of one species only.

    Raises:
        NotFound: no such species.
    """
    o = t.outlook_week
    wanted = (
        select(o, t.species.c.code)
        .join(t.species, t.species.c.id == o.c.species_id)
        .where(o.c.last_day <= on)
        .order_by(t.species.c.code, o.c.issued_on, o.c.first_day)
    )
    if species is not None:
        wanted = wanted.where(o.c.species_id == find_species(conn, species).id)
    by_species: dict[tuple[int, str], list[Any]] = defaultdict(list)
    for row in conn.execute(wanted):
        by_species[row.species_id, row.code].append(row)
    return tuple(
        Record(code, _held_against(conn, species_id, code, rows, on)) for (species_id, code), rows in by_species.items()
    )


def _held_against(
    conn: Connection, species_id: int, code: str, rows: Sequence[Any], on: dt.date
) -> tuple[KeptWeek, ...]:
    ladder = stages(conn, species_id)
    lots = {row.id: row.operation_id for row in conn.execute(select(t.lot).where(t.lot.c.species_id == species_id))}
    made = _first_of_family(conn, lots)
    journal = without_reversed(events(conn, set(lots), on), by="happened_on")
    found = []
    for row in rows:
        known = figures(conn, row.issued_on)
        _, ready = way_of(ladder, known, species_id)
        wait = known.hardening_days(species_id, ready.id)
        own = {lot for lot, operation in made.items() if operation < row.operation_id}
        first, last = row.first_day.toordinal(), row.last_day.toordinal()
        came = sum(
            event.count
            for event in journal
            if _readies(event, ready.position) and event.to_lot in own and first <= event.happened_on + wait <= last
        )
        left = sum(
            event.count
            for event in journal
            if event.from_lot in own
            and event.to_lot is None
            and event.from_stage is not None
            and event.from_stage < ready.position
            and REASONS[event.reason].survival is Survival.CENSORED
            and row.issued_on.toordinal() < event.happened_on <= last
        )
        found.append(
            KeptWeek(
                code, row.issued_on, row.first_day, row.last_day, row.low, row.high, row.expected / 1000, came, left
            )
        )
    return tuple(found)


def _readies(event: Event, ready: int) -> bool:
    """Whether animals enter the stage in which they are ready from one before it."""
    return event.to_stage == ready and event.from_stage is not None and event.from_stage < ready


def _first_of_family(conn: Connection, lots: dict[int, int]) -> dict[int, int]:
    """For each lot the operation that made it, or the earliest of those it was split or merged from."""
    made = dict(lots)
    rows = conn.execute(
        select(t.lot_source.c.lot_id, t.lot_source.c.source_id)
        .where(t.lot_source.c.how != "harvested")
        .order_by(t.lot_source.c.lot_id)
    )
    for lot, source in rows:
        if lot in made and source in made:
            made[lot] = min(made[lot], made[source])
    return made
