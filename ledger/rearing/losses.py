"""What a lot lost: at which stage, of what and when, beside what the other lots of its species usually lose there.

Plain counts for a keeper who asks why a lot did badly: of the animals that came into a stage, how many were lost in it.
Those still in a stage are among them, so a share can rise; no estimate is made here, survival is (common practice, no
source). Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.records import tables as t
from ledger.stock.events import Event, without_reversed
from ledger.stock.journal import events
from ledger.stock.naming import find_lot, stages
from ledger.stock.reasons import REASONS, Survival

LEAST_USUAL = 10
"""Animals that must have come into a stage elsewhere before a share of them is called usual."""


@dataclass(frozen=True, slots=True)
class StageLoss:
    """One stage of one lot."""

    stage: str
    reared: bool
    """The reared stage or one after it: losses there are no losses of rearing."""
    came: int
    """Animals that came into the stage in this lot."""
    lost: int
    """Of them, those lost in it."""
    usual_came: int
    """The same in all other lots of the species."""
    usual_lost: int

    @property
    def share(self) -> float:
        """Share lost, from 0 to 1."""
        return self.lost / self.came

    @property
    def usual(self) -> float | None:
        """Share lost in the other lots; None where too few came there to say."""
        return self.usual_lost / self.usual_came if self.usual_came >= LEAST_USUAL else None

    @property
    def beyond(self) -> float:
        """Animals lost here beyond the usual; below nought when fewer; all of them where nothing is usual."""
        return self.lost - self.came * (self.usual or 0.0)


@dataclass(frozen=True, slots=True)
class Losses:
    """What one lot lost up to a day."""

    lot: str
    species: str
    stages: tuple[StageLoss, ...]
    """Stages that animals of the lot came into, in order of life."""
    causes: tuple[tuple[str, int], ...]
    """(cause of death, or the reason of another loss; animals) before the reared stage, most first."""
    months: tuple[tuple[dt.date, int], ...]
    """(first of the month, animals) for losses before the reared stage, in order."""

    @property
    def young(self) -> tuple[StageLoss, ...]:
        """The stages before the reared one."""
        return tuple(stage for stage in self.stages if not stage.reared)

    @property
    def lost(self) -> int:
        """Animals lost before the reared stage."""
        return sum(stage.lost for stage in self.young)


def losses(conn: Connection, lot: str, on: dt.date) -> Losses:
    """What a lot lost up to and including a day.

    Raises:
        NotFound: no such lot.
    """
    asked = find_lot(conn, lot)
    ladder = stages(conn, asked.species_id)
    first_reared = next(stage.position for stage in ladder if stage.reared)
    family = set(conn.execute(select(t.lot.c.id).where(t.lot.c.species_id == asked.species_id)).scalars())
    journal = without_reversed(events(conn, family, on), by="happened_on")
    by_id = {event.id: event for event in journal}
    here: Counter[tuple[str, int]] = Counter()
    there: Counter[tuple[str, int]] = Counter()
    causes: Counter[str] = Counter()
    months: Counter[dt.date] = Counter()
    for event in journal:
        for what, lot_id, stage, number in _counted(event, by_id):
            (here if lot_id == asked.id else there)[what, stage] += number
            if what == "lost" and lot_id == asked.id and stage < first_reared:
                origin = by_id.get(event.relates_to or 0, event) if number < 0 else event
                causes[(origin.cause or "unknown") if origin.reason == "died" else origin.reason] += number
                months[dt.date.fromordinal(origin.happened_on).replace(day=1)] += number
    return Losses(
        asked.code,
        conn.execute(select(t.species.c.code).where(t.species.c.id == asked.species_id)).scalar_one(),
        tuple(
            StageLoss(
                stage.name,
                stage.position >= first_reared,
                here["came", stage.position],
                here["lost", stage.position],
                there["came", stage.position],
                there["lost", stage.position],
            )
            for stage in ladder
            if stage.unit == "animal" and here["came", stage.position] > 0
        ),
        tuple((cause, number) for cause, number in causes.most_common() if number > 0),
        tuple((month, number) for month, number in sorted(months.items()) if number > 0),
    )


def _counted(event: Event, known: dict[int, Event]) -> Iterable[tuple[str, int, int, int]]:
    """('came' or 'lost', lot, stage, animals) of one movement; found again, a missing animal is lost no more."""
    reason = REASONS[event.reason]
    if reason.survival is Survival.LEFT_OUT:
        return
    if event.reason == "found" and event.relates_to in known:
        missed = known[event.relates_to]
        if missed.from_lot is not None and missed.from_stage is not None:
            yield "lost", missed.from_lot, missed.from_stage, -event.count
            return
    came_back = event.reason == "returned"
    if event.to_lot is not None and event.to_stage is not None and not came_back:
        moved = (event.to_lot, event.to_stage) != (event.from_lot, event.from_stage)
        if moved and reason.survival is not Survival.LOST:
            yield "came", event.to_lot, event.to_stage, event.count
    if event.from_lot is not None and event.from_stage is not None and reason.survival is Survival.LOST:
        yield "lost", event.from_lot, event.from_stage, event.count
