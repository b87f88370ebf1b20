"""What is coming on: the outlook of each species from the ledger, with what it rests on and what it leaves out.

Reads living animals with the days they have been in their stage, what the lots so far tell of stage times and survival,
the figures of the species, and promises to buyers. The same ledger and day give the same outlook, to the last digit.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from ledger.errors import BadInput
from ledger.rearing.guesses import guesses_of
from ledger.rearing.on_the_way import groups_of, living, set_aside
from ledger.rearing.overdue import overdue
from ledger.rearing.ready_stage import way_of
from ledger.rearing.stays_of import learned
from ledger.rearing.telling import Told, untold, within
from ledger.records import tables as t
from ledger.stock.figures import Figures, figures
from ledger.stock.naming import SpeciesRef, all_species, find_species, stages
from ledger.stock.words import stage_words
from ledger.wording import counted, decimals, say, strung, word

if TYPE_CHECKING:
    from ledger.rearing.outlook import Expected, Outlook

WEEKS = 12
MOST_WEEKS = 52


@dataclass(frozen=True, slots=True)
class Range:
    """A count to come; in four cases of five it falls between `low` and `high`."""

    mean: float
    low: int
    middle: int
    high: int


@dataclass(frozen=True, slots=True)
class ComingWeek:
    """One week to come."""

    first: dt.date
    last: dt.date
    ready: Range
    """Animals that become ready in this week, promised or not."""
    running: Range
    """Animals that have become ready from the first week to this one."""
    free: Range
    """The running total less what is promised or kept back of animals on the way: the first ready are theirs."""


@dataclass(frozen=True, slots=True)
class ComingLot:
    """The animals of one lot on the way."""

    lot: str
    stages: tuple[tuple[str, int], ...]
    """(stage, animals)."""
    ready: float
    """Animals of it to be expected within the weeks shown."""
    half_by: dt.date | None
    """The day by which half of those are to be expected; None where not one is."""


@dataclass(frozen=True, slots=True)
class Coming:
    """The outlook of one species."""

    species: str
    common: str
    stage: str
    """The stage in which they are ready."""
    hardening: int
    """Days in that stage before they are ready, counted in."""
    on: dt.date
    animals: int
    """On the way, counted in the outlook."""
    promised: int
    """Of animals on the way, held, kept back or sold and to post."""
    weeks: tuple[ComingWeek, ...]
    lots: tuple[ComingLot, ...]
    rests_on: tuple[str, ...]
    """Stage by stage what the outlook rests on, and how lots differ."""
    left_out: tuple[str, ...]
    """What is not in it, and why; a sentence each."""

    @property
    def words(self) -> str:
        """One sentence on all weeks."""
        if not self.weeks:
            return strung((say("{species}: no outlook.", species=self.species), *self.left_out))
        whole = self.weeks[-1].running
        weeks = counted(len(self.weeks), "one week", "{n} weeks")
        if whole.low == whole.high:
            return say(
                "{species}: {mean} {stage} within {weeks}, in more than four cases of five",
                species=self.species,
                mean=whole.low,
                stage=stage_words(self.stage, whole.low),
                weeks=weeks,
            )
        return say(
            "{species}: about {mean} {stage} within {weeks}, in four cases of five {low} to {high}",
            species=self.species,
            mean=f"{whole.mean:.0f}",
            stage=stage_words(self.stage, 2),
            weeks=weeks,
            low=whole.low,
            high=whole.high,
        )


ASSUMES = say("assumes that none of them are sold or given away before, and that the room stays as it was")


def coming(
    conn: Connection,
    on: dt.date,
    now: str,
    *,
    species: str | None = None,
    weeks: int = WEEKS,
    told: Told = untold,
) -> tuple[Coming, ...]:
    """The outlook from a day, one for each species that has animals on the way.

    Args:
        conn: an open reading connection.
        on: the day; not after today.
        now: local date and minute, by which today is told from the past and deadlines are judged.
        species: code of one species only.
        weeks: how many weeks ahead, 1 to 52.
        told: how far it is; what it raises stops the reckoning.

    Raises:
        NotFound: no such species.
        BadInput: a day to come, or no such number of weeks.
    """
    if on.isoformat() > now[:10]:
        raise BadInput(say("An outlook is reckoned from today or a past day, and {on} is still to come.", on=on), "on")
    if not 1 <= weeks <= MOST_WEEKS:
        raise BadInput(say("The outlook goes from 1 to {most_weeks} weeks ahead.", most_weeks=MOST_WEEKS), "weeks")
    kinds = [find_species(conn, species)] if species is not None else list(all_species(conn))
    known = figures(conn, on)
    aside = set_aside(conn, on, now)
    made_at = conn.execute(select(t.ledger_info.c.made_at)).scalar_one()
    found = []
    for place, kind in enumerate(kinds):
        part = within(told, place / len(kinds), (place + 1) / len(kinds))
        one = _of_species(conn, kind, known, aside, on, now, weeks, f"{made_at}|{kind.code}|{on}", part)
        if one is not None:
            found.append(one)
    told(1.0)
    return tuple(found)


def _of_species(
    conn: Connection,
    kind: SpeciesRef,
    known: Figures,
    aside: Mapping[int, int],
    on: dt.date,
    now: str,
    weeks: int,
    seed: str,
    told: Told,
) -> Coming | None:
    told(0.0)
    ladder = stages(conn, kind.id)
    way, ready = way_of(ladder, known, kind.id)
    wait = known.hardening_days(kind.id, ready.id)
    here = living(conn, kind.id, way, ready, on, now)
    if not (here.layers or here.objects or here.barred):
        return None
    own = learned(conn, kind.id, on, ready.position)
    guesses, unknown, by_stage = guesses_of(known, kind.id, way, own)
    left_out = [*here.barred, *here.objects, *own.faults]
    groups, due, members, promised, dropped = groups_of(here, way, ready, wait, unknown, aside, on)
    for name, count in sorted(dropped.items()):
        left_out.append(
            say(
                "{count} {name} are left out: neither its days nor the share that survives it is known for "
                "{stages}; set them for the species.",
                count=count,
                name=stage_words(name, count),
                stages=strung((word(unknown[stage]) for stage in sorted(unknown)), say(" and ")),
            )
        )
    if not groups and not due and not left_out:
        return None
    if not groups and not due:
        return Coming(
            kind.code, kind.common, ready.name, wait, on, 0, promised, (), (), tuple(by_stage), tuple(left_out)
        )
    import numpy as np

    from ledger.rearing.outlook import outlook

    digest = hashlib.sha256(seed.encode()).digest()
    rng = np.random.default_rng(int.from_bytes(digest[:16], "big"))
    found = outlook(own.stays, guesses, groups, rng=rng, weeks=weeks, wait=wait, due=due, told=told)
    effect = found.effect
    assert effect is not None
    rests_on = by_stage[min(group.stage for group in groups) :] if groups else []
    guessed = say(", with a stated guess while they are few") if effect.floored else ""
    rests_on.append(
        counted(
            effect.lots,
            "from lot to lot: times differ by about {percent} %, and survival so that the animals of a lot are "
            "alike by {rho}; learned from {n} lot{guessed}",
            "from lot to lot: times differ by about {percent} %, and survival so that the animals of a lot are "
            "alike by {rho}; learned from {n} lots{guessed}",
            percent=f"{effect.speed * 100:.0f}",
            rho=decimals(f"{effect.rho:.2f}"),
            guessed=guessed,
        )
    )
    rests_on += overdue(members, groups, own.stays, guesses)
    rests_on.append(ASSUMES)
    return Coming(
        kind.code,
        kind.common,
        ready.name,
        wait,
        on,
        sum(group.count for group in groups) + sum(n for _, n in due),
        promised,
        _weeks(found, on, promised),
        _lots(members, found, on),
        tuple(rests_on),
        tuple(left_out),
    )


# --- the answer ---


def _weeks(found: Outlook, on: dt.date, promised: int) -> tuple[ComingWeek, ...]:
    rows = []
    for place, (weekly, running) in enumerate(zip(found.weekly, found.running, strict=True)):
        first = on + dt.timedelta(days=7 * place + 1)
        rows.append(
            ComingWeek(
                first,
                first + dt.timedelta(days=6),
                _range(weekly),
                _range(running),
                _less(running, promised),
            )
        )
    return tuple(rows)


def _range(one: Expected) -> Range:
    return Range(one.mean, one.low, one.middle, one.high)


def _less(one: Expected, promised: int) -> Range:
    """What is left when the first `promised` go to those who were promised them."""
    counts = range(one.pmf.first, one.pmf.first + len(one.pmf.pmf))
    mean = sum(float(p) * max(0, n - promised) for n, p in zip(counts, one.pmf.pmf, strict=True))
    return Range(mean, *(max(0, n - promised) for n in (one.low, one.middle, one.high)))


def _lots(members: Mapping[str, Sequence[tuple[str, int, int]]], found: Outlook, on: dt.date) -> tuple[ComingLot, ...]:
    days = found.by_group.shape[1] - 1
    rows = []
    for code, parts in sorted(members.items()):
        by_stage: Counter[str] = Counter()
        by_day = [0.0] * (days + 1)
        for stage, count, group in parts:
            by_stage[stage] += count
            for day in range(days + 1):
                by_day[day] += float(found.by_group[group, day]) if group >= 0 else count * (day >= -group)
        total = by_day[-1]
        half = next((day for day in range(days + 1) if by_day[day] >= total / 2), 0)
        rows.append(
            ComingLot(code, tuple(by_stage.items()), total, on + dt.timedelta(days=half) if total >= 0.5 else None)
        )
    return tuple(rows)
