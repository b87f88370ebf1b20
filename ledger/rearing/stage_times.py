"""How long a stage takes: from animals with a tub of their own, from counts, from a template, or blended; it says so.

Pure numbers. Tubs: the mean of the middles, and Turnbull's estimate for the rest, from the checks around entry and
exit. Counts: the mean as the area under the stock of the stage by the number that entered (Little 1961, Oper Res
9:383-387), which holds whatever the pairing, and the median from pairing the first in with the first out, which is only
near. A template's figure counts as a few animals until enough lots are there.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ledger.rearing.phases import GUESS_WEIGHT, Guess
from ledger.rearing.spells import DECIDED, Fate, Spell
from ledger.rearing.turnbull import Times, turnbull
from ledger.wording import counted, say, word

FEWEST_ANIMALS = 5
"""Below this many, own animals do not tell the time of a stage (common practice, no source)."""
ENOUGH_ANIMALS, ENOUGH_LOTS = 30, 3
"""From here on the template no longer counts (common practice, no source)."""

How = Literal["tubs", "counts", "template", "blended", "not known"]


@dataclass(frozen=True, slots=True)
class StageTime:
    """Days in a stage."""

    stage: str
    days: float | None
    """The time to reckon with: the mean; None when nothing is known."""
    median: tuple[float, float] | None
    """The interval the middle time lies in; a single day twice when from counts."""
    middle_half: tuple[float, float] | None
    """From where to where half of the animals lie, as far as it can be told; of a template its lowest and highest."""
    animals: int
    """Own animals that moved on and whose time is known."""
    lots: int
    how: How
    own_weight: float
    """Share of own animals in the figure, 0 to 1."""
    source: str
    """Of the template's figure, where it has a part."""
    times: Times | None
    """Steps to draw, from tubs."""
    everyone: float | None = None
    """Mean days of all that entered, the dead too, by the area under the stock: whatever the pairing. None: no lot that
    all have left."""

    @property
    def words(self) -> str:
        """The figure, and what it rests on."""
        if self.days is None:
            return say("{stage}: nothing is known of its time yet", stage=word(self.stage))
        half = ""
        if self.middle_half is not None:
            low, high = (f"{day:.0f}" for day in self.middle_half)
            between = low if low == high else say("{low} to {high}", low=low, high=high)
            half = (
                say(" (usually {days})", days=between)
                if self.how == "template"
                else say(" (half of your own took {days})", days=between)
            )
        return say(
            "{stage}: {days} days{half}, {basis}",
            stage=word(self.stage),
            days=f"{self.days:.0f}",
            half=half,
            basis=self._basis(),
        )

    def _basis(self) -> str:
        own = counted(self.animals, "{n} animal", "{n} animals")
        lots = counted(self.lots, "{n} lot", "{n} lots")
        if self.how == "tubs":
            return say("from {own} in tubs of their own", own=own)
        if self.how == "counts":
            return say("from counts of {own} in {lots}, the first in taken as the first out", own=own, lots=lots)
        if self.how == "blended":
            return say(
                "from {own} of your own in {lots}, and the usual figure counted as {weight} more",
                own=own,
                lots=lots,
                weight=f"{GUESS_WEIGHT:.0f}",
            )
        return say("the usual figure, not your own ({source})", source=self.source or say("no source given"))


def area_mean(stays: Sequence[Sequence[Spell]], state: int) -> tuple[float, int] | None:
    """Mean days in a stage, those that died there too, from lots in which all that entered have left or died.

    Args:
        stays: one sequence for each lot.
        state: the stage.

    Returns:
        The mean and the number it rests on, or None.
    """
    area = entered = 0
    for lot in stays:
        here = [stay for stay in lot if stay.state == state and stay.dated]
        if any(stay.fate not in DECIDED for stay in here):
            continue
        area += sum(stay.days * stay.count for stay in here)
        entered += sum(stay.count for stay in here)
    return (area / entered, entered) if entered else None


def stage_time(
    stage: str,
    state: int,
    stays: Sequence[Sequence[Spell]],
    intervals: Sequence[tuple[float, float]] = (),
    guess: tuple[int, int] | None = None,
    source: str = "",
) -> StageTime:
    """Days in one stage from all that is known.

    Args:
        stage: its name.
        state: its position among the young stages.
        stays: of each lot, as counts tell them.
        intervals: of animals in tubs of their own, (low, high]; high infinite where they did not move on.
        guess: usual days, lowest and highest.
        source: where those come from.
    """
    ended = [
        (stay.days, stay.count)
        for lot in stays
        for stay in lot
        if stay.state == state and stay.fate is Fate.ON and stay.dated and stay.days > 0
    ]
    at_counts = sum(count for _, count in ended)
    lots = sum(any(s.state == state and s.fate is Fate.ON and s.dated and s.days > 0 for s in lot) for lot in stays)
    closed = sum(not math.isinf(high) for _, high in intervals)
    area = area_mean(stays, state)
    everyone = area[0] if area is not None else None
    own: float | None = None
    median = half = times = None
    how: How = "not known"
    animals = 0
    # Few animals in tubs, each known to within two checks, say less than many counted ones.
    if closed >= max(FEWEST_ANIMALS, at_counts / 2):
        times = turnbull(intervals)
        own, how, animals = _midpoint_mean(intervals), "tubs", closed
        median, half = times.median, (times.quantile(0.25)[0], times.quantile(0.75)[1])
        half = None if math.isinf(half[1]) else half
    elif at_counts >= FEWEST_ANIMALS:
        own, how, animals = sum(days * count for days, count in ended) / at_counts, "counts", at_counts
        quarter = [_paired(ended, level) for level in (0.25, 0.5, 0.75)]
        median, half = (quarter[1], quarter[1]), (quarter[0], quarter[2])
    usual = Guess(*guess, 1.0).mean if guess is not None else None
    if own is None:
        if guess is None:
            return StageTime(stage, None, None, None, at_counts, lots, "not known", 0.0, "", None, everyone)
        whole = (float(guess[0]), float(guess[1]))
        return StageTime(stage, usual, None, whole, at_counts, lots, "template", 0.0, source, None, everyone)
    if usual is None or (animals >= ENOUGH_ANIMALS and lots >= ENOUGH_LOTS):
        return StageTime(stage, own, median, half, animals, lots, how, 1.0, "", times, everyone)
    weight = animals / (animals + GUESS_WEIGHT)
    blended = weight * own + (1 - weight) * usual
    return StageTime(stage, blended, median, half, animals, lots, "blended", weight, source, times, everyone)


def _paired(ended: Sequence[tuple[int, int]], level: float) -> float:
    """A quantile of the paired times: the first day by which that share has moved on."""
    wanted, so_far = level * sum(count for _, count in ended), 0
    for days, count in sorted(ended):
        so_far += count
        if so_far >= wanted:
            return float(days)
    raise ValueError("no times to take a quantile of")


def _midpoint_mean(intervals: Sequence[tuple[float, float]]) -> float:
    """Mean of the middles of those that ended: right where both ends are as likely anywhere between their checks."""
    ended = [(low + high) / 2 for low, high in intervals if not math.isinf(high)]
    return sum(ended) / len(ended)


def expected_on(entered_on: dt.date, *days: float) -> dt.date:
    """The day to expect animals that entered a stage on a day, after that many days in it and each further stage."""
    return entered_on + dt.timedelta(days=round(sum(days)))
