"""Sell now or rear on: what one more animal reared is worth against what it fetches today.

Pure numbers. Rear on if the price to come, by the chance of being reared, less what is still to be spent, beats the
price now; the break-even share says how sure one must be, and the value of knowing the share says how much being wrong
can cost (Raiffa & Schlaifer 1961, *Applied Statistical Decision Theory*). With few buyers to come, rearing all is too
many (newsvendor: Arrow, Harris & Marschak 1951, Econometrica 19:250-272).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.rearing.beta import Beta, Reals
from ledger.rearing.outlook import Group, ready_chances
from ledger.rearing.phases import Phases


@dataclass(frozen=True, slots=True)
class RearOrSell:
    """The choice for one animal. Amounts in any one unit of money."""

    now: float
    """What it fetches now."""
    later: float
    """What it fetches reared."""
    to_come: float
    """What is still to be spent on it if it is reared, in expectation: only what stops if it is sold now."""
    share: Beta
    """What is known of the chance that it is reared."""
    delay: float
    """What one unit of money on the day it is reared is worth today; 1 without interest."""

    @property
    def break_even_share(self) -> float:
        """The chance from which rearing pays; above 1 it never does."""
        return (self.now + self.to_come) / (self.later * self.delay) if self.later > 0 else float("inf")

    @property
    def break_even_price(self) -> float:
        """The price reared from which rearing pays at the expected chance."""
        return (self.now + self.to_come) / (self.share.mean * self.delay)

    @property
    def sure(self) -> float:
        """Probability that the chance is above the break-even."""
        return 1.0 - self.share.below(min(max(self.break_even_share, 0.0), 1.0))

    @property
    def reared(self) -> float:
        """What rearing comes to, in expectation."""
        return self.later * self.delay * self.share.mean - self.to_come

    @property
    def gain(self) -> float:
        """What rearing brings above selling now; negative: sell now."""
        return self.reared - self.now

    @property
    def wrong(self) -> float:
        """What not knowing the chance costs in expectation: knowing it would be worth so much for one animal."""
        edge = min(max(self.break_even_share, 0.0), 1.0)
        above = self.later * self.delay * self.share.mean_above(edge) - self.to_come * (1.0 - self.share.below(edge))
        best = above + self.now * self.share.below(edge)
        return max(0.0, best - max(self.now, self.reared))


@dataclass(frozen=True, slots=True)
class ForFew:
    """How many to rear when only so many buyers are to be expected."""

    best: int
    values: tuple[float, ...]
    """What rearing 0, 1, ..., all comes to, the others sold now."""

    @property
    def sell_all(self) -> float:
        """What selling all now comes to."""
        return self.values[0]

    @property
    def rear_all(self) -> float:
        """What rearing all comes to."""
        return self.values[-1]


def how_many_to_rear(choice: RearOrSell, animals: int, buyers: int) -> ForFew:
    """Rear the number that is worth most.

    The value of rearing n is concave in n, yet all are looked at: one more animal is one more short sum.

    Args:
        choice: for one animal.
        animals: there are.
        buyers: reared animals that will find a buyer; more are worth nothing here.
    """
    share, values, sold = choice.share, [], 0.0
    # Chances of fewer reared than there are buyers, carried from n animals to n + 1 (Polya's urn).
    count = np.arange(buyers)
    fewer = (count == 0).astype(np.float64)
    for n in range(animals + 1):
        values.append(choice.now * (animals - n) - choice.to_come * n + choice.later * choice.delay * sold)
        succeeds = (share.a + count) / (share.a + share.b + n)
        one_more = fewer * succeeds
        sold += float(one_more.sum())
        fewer -= one_more
        fewer[1:] += one_more[:-1]
    best = int(np.argmax(np.array(values)))
    return ForFew(best, tuple(values))


@dataclass(frozen=True, slots=True)
class StillRearing:
    """How long an animal of a group is still to be looked after."""

    days: float
    """Animal-days to be expected: the sum over the days to come of the chance that it is still being reared."""
    reared: float
    """Chance that it is reared within the days looked at."""
    days_if_reared: float
    """Days until then, of those that are."""


def still_rearing(learned: Phases, stage: int, age: int, days: int = 600) -> StillRearing:
    """Animal-days still to come for one animal, from the phases of its stages (means over their draws)."""
    draws = learned.on.shape[0]
    nothing = {0: (np.ones(draws), np.zeros(draws))}
    by_day = ready_chances(learned, [Group(0, stage, age, 1)], nothing, days)[0][:, 0].mean(axis=0)
    dead = _dead(learned, stage, age, days)
    there = np.maximum(0.0, 1.0 - by_day - dead)
    reared = float(by_day[-1])
    steps = np.diff(by_day)
    mean = float(steps @ np.arange(1, days + 1)) / reared if reared > 0 else 0.0
    return StillRearing(float(there[:-1].sum()), reared, mean)


def _dead(learned: Phases, stage: int, age: int, days: int) -> Reals:
    """Chance of having died by each day, in any stage from this one on."""
    draws, stages, _ = learned.on.shape
    nothing = {0: (np.ones(draws), np.zeros(draws))}
    total = np.zeros(days + 1)
    # Dying in a stage is leaving it by the other door: the same reckoning with the last stage's doors exchanged.
    for last in range(stage, stages):
        doors = Phases(
            np.concatenate([learned.on[:, :last], learned.lost[:, last : last + 1]], axis=1),
            np.concatenate([learned.lost[:, :last], learned.on[:, last : last + 1]], axis=1),
            learned.delay,
        )
        total += ready_chances(doors, [Group(0, stage, age, 1)], nothing, days)[0][:, 0].mean(axis=0)
    return np.minimum(total, 1.0)
