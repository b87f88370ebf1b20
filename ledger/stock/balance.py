"""No holding below nothing on any day: the check that a movement, however late it is recorded, leaves enough.

Counts at the end of each day decide. Inside a day a (lot, stage) receives before it gives, whatever the order of
recording, because animals only move to a later stage or to a lot made from theirs; so no step falls below nothing
where no day's end does. Two kinds of days are different, and `steps` looks at those: animals come back alive on the
day they left, or something of a closed year is accounted late.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import NotEnough
from ledger.records import tables as t
from ledger.stock.journal import DayChange
from ledger.stock.words import animals, place, sex_words, stage_words, when
from ledger.wording import counted, say, strung


@dataclass(frozen=True, slots=True)
class Gap:
    """A holding that would have fewer than no animals."""

    holding: int
    on: dt.date
    lacking: int
    """How many too few at the end of that day."""


def first_gap(now: Mapping[int, int], changes: Iterable[DayChange], since: dt.date) -> Gap | None:
    """The first day from `since` on at whose end a holding would be below nothing; of one day the lowest holding.

    Args:
        now: the count of each holding with every change in it.
        changes: every change of those holdings from `since` on; later days matter, earlier ones don't.
        since: the first day that is in question.
    """
    by_day: dict[int, dict[dt.date, int]] = {holding: defaultdict(int) for holding in now}
    for change in changes:
        if change.holding in by_day:
            by_day[change.holding][change.happened_on] += change.change
    gaps: list[tuple[dt.date, int, int]] = []
    for holding, count in now.items():
        days = by_day[holding]
        days.setdefault(since, 0)
        for day in sorted(days, reverse=True):
            if count < 0 and day >= since:
                gaps.append((day, holding, -count))
            count -= days[day]
    if not gaps:
        return None
    day, holding, lacking = min(gaps)
    return Gap(holding, day, lacking)


@dataclass(frozen=True, slots=True)
class Named:
    """A holding in the keeper's words."""

    lot: str
    stage: str
    sex: str
    sure: str
    tub: str

    @property
    def where(self) -> str:
        """'P08' or 'P08/07'."""
        return place(self.lot, self.tub)

    def some(self, count: int) -> str:
        """'3 L3', '2 male adults'."""
        return animals(count, self.stage, self.sex, self.sure)

    @property
    def kind(self) -> str:
        """'L3', 'male adults'."""
        return strung(part for part in (sex_words(self.sex, self.sure), stage_words(self.stage, 2)) if part)


def named(conn: Connection, holdings: Iterable[int]) -> dict[int, Named]:
    """Holdings in words."""
    h = t.holding.c
    rows = conn.execute(
        select(h.id, t.lot.c.code, t.stage.c.name, h.sex, h.sure, h.tub)
        .join(t.lot, t.lot.c.id == h.lot_id)
        .join(t.stage, t.stage.c.id == h.stage_id)
        .where(h.id.in_(sorted(set(holdings))))
    )
    return {row[0]: Named(*row[1:]) for row in rows}


def not_enough(conn: Connection, gap: Gap, taken: int) -> NotEnough:
    """The refusal for a gap; `taken`: animals the act itself takes from the holding."""
    there = max(0, taken - gap.lacking)
    what = named(conn, [gap.holding])[gap.holding]
    have = counted(there, "only {n} is there", "only {n} are there") if there else say("none is there")
    return NotEnough(
        counted(
            gap.lacking,
            "{where}: {animals} too few on {day}, when {have}; choose another day or number, or record it "
            "as found at count first.",
            "{where}: {animals} too few on {day}, when {have}; choose another day or number, or record them "
            "as found at count first.",
            where=what.where,
            animals=what.some(gap.lacking),
            day=when(gap.on),
            have=have,
        ),
        field="count",
        facts={
            "lot": what.lot,
            "tub": what.tub,
            "stage": what.stage,
            "date": gap.on,
            "there": there,
            "lacking": gap.lacking,
            "offer": "found",
        },
    )
