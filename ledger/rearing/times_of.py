"""How long each young stage of a species takes, from the ledger, and on which days later stages are to be expected.

Dates are read off stage times, never off the survival curve: selling young shifts that in time.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

from sqlalchemy import Connection

from ledger.errors import Refused
from ledger.rearing.stage_times import StageTime, expected_on, stage_time
from ledger.rearing.stays_of import learned, tub_intervals
from ledger.stock.figures import figures
from ledger.stock.naming import find_species, match_stage, stages
from ledger.wording import say


def stage_times(conn: Connection, species: str, on: dt.date) -> tuple[StageTime, ...]:
    """Times of the stages before the reared one, in order.

    Args:
        conn: an open reading connection.
        species: its code.
        on: last day looked at.

    Raises:
        NotFound: no such species.
    """
    kind = find_species(conn, species)
    told = learned(conn, kind.id, on)
    reared = next(stage.position for stage in told.ladder if stage.reared)
    known = figures(conn, on)
    intervals = tub_intervals(conn, told.journal, told.ladder, reared, on)
    found = []
    young = [stage for stage in told.ladder[:reared] if stage.unit == "animal"]
    for state, stage in enumerate(young):
        low, high = (known.of(kind.id, stage.id, name) for name in ("days low", "days high"))
        guess = (low, high) if low is not None and high is not None else None
        source = known.source(kind.id, stage.id, "days low")
        found.append(stage_time(stage.name, state, told.stays, intervals[state], guess, source))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class DateAhead:
    """When to expect animals in a later stage."""

    stage: str
    """The stage, or 'ready' when its days of hardening are over too."""
    on: dt.date


def dates_ahead(conn: Connection, species: str, stage: str, entered_on: dt.date, on: dt.date) -> tuple[DateAhead, ...]:
    """When animals that entered a stage on a day are to be expected in each later one, and ready to sell.

    Args:
        conn: an open reading connection.
        species: its code.
        stage: the stage entered.
        entered_on: when.
        on: last day the stage times are learned from.

    Raises:
        NotFound: no such species or stage.
        Refused: it is no stage of young, or the days of a stage on the way are not known.
    """
    kind = find_species(conn, species)
    ladder = stages(conn, kind.id)
    first = match_stage(ladder, stage)
    times = {one.stage: one for one in stage_times(conn, species, on)}
    if first.name not in times:
        raise Refused(
            say("{name} is not a stage of young, so nothing comes after it to wait for.", name=first.name), "stage"
        )
    ahead = [one for one in ladder if one.unit == "animal" and one.position >= first.position]
    passed: list[float] = []
    found = []
    for before, after in pairwise(ahead):
        if before.name not in times:
            break
        days = times[before.name].days
        if days is None:
            raise Refused(
                say("How long {name} takes is not known; set its days for the species.", name=before.name), "stage"
            )
        passed.append(days)
        found.append(DateAhead(after.name, expected_on(entered_on, *passed)))
    wait = figures(conn, on).hardening_days(kind.id, next(one.id for one in ladder if one.name == found[-1].stage))
    found.append(DateAhead("ready", expected_on(entered_on, *passed, wait)))
    return tuple(found)
