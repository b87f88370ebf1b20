"""Which figures an act changes, and by how much: what a late or back-dated entry does to costs already shown.

Compares the costing of a whole ledger before and after. Reads only; whoever asks makes the trial and takes it back.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from ledger.costs.account import Gathered, gather
from ledger.costs.explain.parts import rounded
from ledger.costs.grid import GRID
from ledger.records import tables as t

EACH = "cost per reared adult"
SO_FAR = "cost so far"
WENT_OUT = "cost that went out"
WAITING = "not used up"
NEW = "this cost"
"""A cost that has no number yet."""
_ORDER = (EACH, SO_FAR, WAITING, WENT_OUT)

Figures = Mapping[tuple[str, str], Fraction]
"""By what it is and of what: a lot, 'all PACH' for a species, or a year."""


@dataclass(frozen=True, slots=True)
class FigureChange:
    """One figure of the costing that an act changes. Amounts exact, in minor units."""

    figure: str
    """cost per reared adult, cost so far, not used up, or cost that went out (in a year)."""
    of: str
    """A lot, 'all PACH' for a species, a year, or a cost."""
    before: Fraction | None
    """`None`: there is no such figure yet."""
    after: Fraction | None
    """`None`: there is none any more."""

    @property
    def by(self) -> Fraction:
        """How much more it is after."""
        return (self.after or Fraction(0)) - (self.before or Fraction(0))

    @property
    def shown_by(self) -> int:
        """How much more is shown after than before, whole minor units."""
        return rounded(self.after or Fraction(0)) - rounded(self.before or Fraction(0))


@dataclass(frozen=True, slots=True)
class Consequences:
    """What an act would record, and the figures it would change. Nothing was saved."""

    sentence: str
    cautions: tuple[str, ...]
    changes: tuple[FigureChange, ...]


@dataclass(frozen=True, slots=True)
class Read:
    """A ledger as it stands at one moment, read for its costing figures."""

    gathered: Gathered
    lots: Mapping[int, tuple[str, str]]
    """Code of the lot and of its species."""
    years: Sequence[tuple[int, int]]
    """Last day, as ordinal, and number of each accounting year, in order."""


def read(conn: Connection, on: dt.date) -> Read:
    """Read what the figures up to and including a day rest on; quick, so that a trial holds nobody up."""
    species = {row.id: row.code for row in conn.execute(select(t.species.c.id, t.species.c.code))}
    lots = conn.execute(select(t.lot.c.id, t.lot.c.code, t.lot.c.species_id))
    years = conn.execute(select(t.period.c.last_day, t.period.c.year).order_by(t.period.c.last_day))
    return Read(
        gather(conn, on),
        {row.id: (row.code, species[row.species_id]) for row in lots},
        [(row.last_day.toordinal(), row.year) for row in years],
    )


def figures(found: Read) -> Figures:
    """Every costing figure of a ledger as it was read."""
    reckoned = found.gathered.account()
    shared, lots = reckoned.shared, found.lots
    unknown = shared.not_known | shared.mixed
    result: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    reached: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for one in shared.reached:
        if one.lot not in unknown:
            code, species = lots[one.lot]
            for name in (code, f"all {species}"):
                reached[name][0] += sum(one.cost)
                reached[name][1] += one.count
    for name, (cost, count) in reached.items():
        if count > 0:
            result[EACH, name] = Fraction(cost, GRID * count)
    for bucket in shared.buckets:
        result[SO_FAR, lots[bucket.lot][0]] += Fraction(sum(bucket.cost), GRID)
    result.update(((WAITING, f"cost {line.id}"), Fraction(0)) for line in reckoned.costs)
    for closing in shared.closing:
        if closing.cost_line is not None:
            result[WAITING, f"cost {closing.cost_line}"] += Fraction(sum(closing.cost), GRID)
    ends = [last for last, _ in found.years]
    for posting in shared.postings:
        _, year = found.years[bisect_left(ends, posting.day)]
        result[WENT_OUT, str(year)] += sum(posting.posted)
    return result


def changes(before: Figures, after: Figures) -> tuple[FigureChange, ...]:
    """The figures that differ: per reared adult first, then what animals carry, then what waits, then the years.

    Within each the largest change first.
    """
    found = sorted(_changes(before, after), key=lambda one: (_ORDER.index(one.figure), -abs(one.by), one.of))
    return tuple(found)


def _changes(before: Figures, after: Figures) -> Iterable[FigureChange]:
    for key in {*before, *after}:
        one, other = before.get(key), after.get(key)
        if (one or 0) != (other or 0):
            new = key[0] == WAITING and one is None
            yield FigureChange(key[0], NEW if new else key[1], one, other)
