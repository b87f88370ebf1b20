"""Simulated lots of known truth, in which 95 % intervals are scored, and what other intervals scored in them elsewhere.

Larvae take Weibull(5, 65) days, pupae N(20, 3); an animal that dies does so at U^0.7 of its stage; what happens is
recorded at the next check, days 3, 7, 10, 14 and so on; three in ten of all animals are sold as larvae, on dates that
know nothing of them. Of two shares in three the stages are .75 and .8667, and the end is .65.

`ROWS` was simulated apart from this program, 40,000 lots a row, in such lots. Its note leaves three things unsaid: from
which days the dates of sale come, how ends of .90 and .30 divide between the stages, and whether an interval holds the
truth while nothing is known. They were chosen (5 to 60; .9375 and .96; .48 and .625; it does) by what seven *other*
intervals and the mean effective sizes scored there, Wilson's on the effective number never looked at: a program of
numpy alone, 40,000 lots a row, agrees with those to chi-square 96 in 98 cells, and then with Wilson's to 8.2 in 14.
Sales spread over each larva's own life, whether it would have pupated or died, agree with neither (chi-square
about 1,000 in the 64 cells of the end of .65): the sooner a larva is to go, the sooner it would be sold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ledger.rearing.cohort import LotHistory
from tests.ledger.rearing.forecast_world import seen
from tests.ledger.rearing.lives import ADULT, LARVA, LOST, PUPA, lot

IN_THE_END = 400
FIRST_SALE, LAST_SALE = 5, 60
SOLD = 0.3


@dataclass(frozen=True, slots=True)
class Ends:
    """How an end divides between the stages."""

    larvae: float
    """Share that pupate."""
    pupae: float
    """Share of those that emerge."""
    dated: float
    """Share that is given a date of sale, so that `SOLD` are sold before anything else is seen of them."""


ENDS = {0.65: Ends(0.75, 0.65 / 0.75, 0.381), 0.90: Ends(0.9375, 0.96, 0.350), 0.30: Ends(0.48, 0.625, 0.437)}
BY_DAY = {IN_THE_END: 1.0, 70: 0.240916, 77: 0.407522, 84: 0.602363}
"""Share of those that will be adult that are by then: the integral of Weibull(5, 65) and N(20, 3)."""


@dataclass(frozen=True, slots=True)
class Row:
    """Lots of so many animals, of which such a share is reared in the end, looked at on a day."""

    animals: int
    end: float
    day: int
    effective: float
    """Per cent of 95 % intervals that held the truth: Wilson's on the effective number."""
    greenwood: float
    """The plain ones, two standard errors each way."""
    hasty: float
    """Wilson's on the reared, by the reared and the lost."""

    @property
    def truth(self) -> float:
        """Share reared by the day."""
        return self.end * BY_DAY[self.day]


SIMULATED_APART = 40_000
ROWS = (
    Row(10, 0.65, IN_THE_END, 96.2, 85.7, 93.5),
    Row(20, 0.65, IN_THE_END, 94.8, 90.8, 93.3),
    Row(50, 0.65, IN_THE_END, 95.0, 93.2, 92.8),
    Row(10, 0.90, IN_THE_END, 95.6, 54.7, 95.0),
    Row(20, 0.90, IN_THE_END, 96.3, 79.7, 94.3),
    Row(50, 0.90, IN_THE_END, 96.0, 89.9, 93.0),
    Row(10, 0.30, IN_THE_END, 94.2, 81.8, 97.2),
    Row(20, 0.30, IN_THE_END, 93.8, 89.5, 95.1),
    Row(50, 0.30, IN_THE_END, 94.9, 93.3, 93.7),
    Row(10, 0.65, 70, 95.3, 70.6, 79.4),
    Row(50, 0.65, 70, 94.4, 93.0, 47.8),
    Row(20, 0.65, 77, 95.7, 90.3, 74.7),
    Row(10, 0.65, 84, 95.7, 86.4, 91.1),
    Row(50, 0.65, 84, 94.7, 93.7, 75.0),
)


def lots(rng: np.random.Generator, row: Row, runs: int) -> Iterator[LotHistory]:
    """Lots as counts at their checks, up to the row's day."""
    ends, shape = ENDS[row.end], (runs, row.animals)
    larval, pupal = 65 * rng.weibull(5, shape), rng.normal(20, 3, shape)
    pupates, emerges = rng.random(shape) < ends.larvae, rng.random(shape) < ends.pupae
    leaves = np.where(pupates, larval, larval * rng.random(shape) ** 0.7)
    done = leaves + np.where(emerges, pupal, pupal * rng.random(shape) ** 0.7)
    dated = rng.random(shape) < ends.dated
    date = FIRST_SALE + (LAST_SALE - FIRST_SALE) * rng.random(shape)
    first, then, sale = (seen(np.ceil(day)).astype(int) for day in (leaves, done, date))
    # What a check finds gone is not sold at it.
    sold = dated & (date < leaves) & (sale < first)
    for one in range(runs):
        steps: Counter[tuple[int, int, int | None]] = Counter()
        for at in range(row.animals):
            if sold[one, at]:
                steps[int(sale[one, at]), LARVA, None] += 1
                continue
            steps[int(first[one, at]), LARVA, PUPA if pupates[one, at] else LOST] += 1
            if pupates[one, at]:
                steps[int(then[one, at]), PUPA, ADULT if emerges[one, at] else LOST] += 1
        yield _as_counts(steps, row)


REASONS = {LOST: "died", PUPA: "next stage", ADULT: "next stage", None: "sold"}


def _as_counts(steps: Counter[tuple[int, int, int | None]], row: Row) -> LotHistory:
    known = [(step, n) for step, n in steps.items() if step[0] <= row.day]
    known.sort(key=lambda step: (step[0][0], step[0][1], step[0][2] is None, -(step[0][2] or 0)))
    told = ((day, REASONS[to], state, to, n) for (day, state, to), n in known)
    return lot(row.animals, *told, last_day=row.day)
