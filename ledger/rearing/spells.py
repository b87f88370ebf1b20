"""Stays in a stage, read from counts: who entered when and left when, the first in taken to be the first out.

Pure numbers. Which animal moved on is not recorded, so stays are paired by age (first in, first out): their mean is
exact whatever the pairing (Little 1961, Oper Res 9:383-387), their spread comes out too small. An animal booked
through a stage within one day passed it between two checks: that is no stay of zero days and tells no time.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from ledger.rearing.cohort import LotHistory
from ledger.rearing.survival import Flow
from ledger.stock.reasons import REASONS, Survival

_LONGEST_GAP = 7
"""Days; checks at which nothing moved leave no trace in the counts, so a longer gap is not believed."""


class Fate(StrEnum):
    """How a stay in a stage ended."""

    ON = "moved on"
    LOST = "lost"
    AWAY = "left"
    """Sold, given away, escaped or parted."""
    HERE = "still there"
    """On the last day."""


DECIDED = frozenset({Fate.ON, Fate.LOST})
"""Fates that tell of the survival of a stage."""


@dataclass(frozen=True, slots=True)
class Spell:
    """`count` animals that entered a stage on one day and left it on another."""

    state: int
    """Position among the history's states."""
    entered: int
    left: int
    """Days on the clock; with `Fate.HERE` the last day looked at."""
    fate: Fate
    count: int
    dated: bool
    """Whether the day of entry is that of the stage, not only of arrival here at an unknown age."""
    gap: int = 1
    """It ended within so many days up to `left`: since somebody looked at the lot before, a week at most."""

    @property
    def days(self) -> int:
        """Days in the stage; 0 for one passed within a day."""
        return self.left - self.entered


@dataclass(slots=True)
class _Waiting:
    entered: int
    count: int
    dated: bool


def spells(history: LotHistory, looked: Collection[int] = ()) -> tuple[Spell, ...]:
    """Every stay of a lot's animals before the reared stage, in the order they ended.

    Those still there at the end come last. A split takes the oldest first here as any other leaving.

    Args:
        history: the counts.
        looked: days on the clock on which somebody looked, whether or not anything was found.
    """
    young = history.reared
    there: list[deque[_Waiting]] = [deque() for _ in range(young)]
    for state, count in enumerate(history.start[:young]):
        if count:
            there[state].append(_Waiting(history.start_day, count, history.start_dated))
    found: list[Spell] = []
    gaps = _gaps(history, looked)
    reasons: Sequence[str | None] = history.reasons or (None,) * len(history.flows)
    for flow, reason in zip(history.flows, reasons, strict=True):
        if flow.source is not None and flow.source < young:
            found += _leave(there[flow.source], flow, history.lost, gaps[flow.day])
        if flow.target is not None and flow.target < young:
            # Where the first came at an unknown age, as at a sieving, so did those that came later.
            born = reason is not None and REASONS[reason].survival is Survival.START and history.start_dated
            dated = flow.kind == "move" or born
            there[flow.target].append(_Waiting(flow.day, flow.count, dated))
    for state, waiting in enumerate(there):
        found += [
            Spell(state, one.entered, max(history.last_day, one.entered), Fate.HERE, one.count, one.dated)
            for one in waiting
        ]
    return tuple(found)


def _gaps(history: LotHistory, looked: Collection[int]) -> dict[int, int]:
    """For each day on which anything was recorded, the days since somebody looked before."""
    days = sorted({history.start_day, *(flow.day for flow in history.flows), *looked})
    found = {days[0]: 1}
    found.update({day: min(day - before, _LONGEST_GAP) for before, day in pairwise(days)})
    return found


def _leave(waiting: deque[_Waiting], flow: Flow, lost: int, gap: int) -> list[Spell]:
    assert flow.source is not None
    fate = Fate.AWAY if flow.target is None else Fate.LOST if flow.target == lost else Fate.ON
    found = []
    left = flow.count
    while left:
        if not waiting:
            raise ValueError(f"{left} more leave than are there: {flow}")
        first = waiting[0]
        part = min(left, first.count)
        found.append(Spell(flow.source, first.entered, flow.day, fate, part, first.dated, gap))
        left -= part
        first.count -= part
        if not first.count:
            waiting.popleft()
    return found
