"""From stays in stages to the chance of moving on, or dying, after so many days: what the outlook is reckoned from.

Pure numbers. Each stage is a semi-Markov phase (Howard 1971, *Dynamic Probabilistic Systems*): f(k) to move on and
d(k) to die on day k of the stage. Own animals are counted; a guess (template days, planning survival) counts as a few
animals more, so that it fills what own animals do not tell and fades as they come (Susarla & Van Ryzin 1976, JASA
71:897-902). Lots are resampled whole, since animals of a lot are alike.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.rearing.spells import DECIDED, Fate, Spell

Reals = NDArray[np.float64]

GUESS_WEIGHT = 10.0
"""How many animals a guess counts for (a stated choice, no source)."""
GUESS_SPEED = 0.10
"""Standard deviation of the log of true over guessed stage times (a stated choice, no source)."""
GUESS_SURVIVAL = 0.5
"""Standard deviation of the logit of true less guessed survival (a stated choice, no source)."""
LONGEST = 800
"""Days after which a stay tells no more."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What is thought of a stage before own animals tell: usual days, and the share that moves on."""

    days_low: int
    days_high: int
    survival: float

    @property
    def mean(self) -> float:
        """The middle of the days."""
        return (self.days_low + self.days_high) / 2

    @property
    def sd(self) -> float:
        """The days are taken as the range of nineteen animals in twenty (no source)."""
        return max((self.days_high - self.days_low) / 4, 0.05 * self.mean, 0.5)


@dataclass(frozen=True, slots=True)
class Tally:
    """Stays counted by lot, stage and days; each of shape (lots, stages, days + 1)."""

    moved: Reals
    lost: Reals
    away: Reals
    delay: float
    """Days by which a change is recorded after it happened, on average."""

    @property
    def lots(self) -> int:
        """How many lots there are."""
        return int(self.moved.shape[0])

    @property
    def longest(self) -> int:
        """The last day of the tally."""
        return int(self.moved.shape[2]) - 1


def tally(stays: Sequence[Sequence[Spell]], stages: int) -> Tally:
    """Count the stays of each lot.

    What was seen at a check happened since the one before, so it is spread evenly over the days between; otherwise a
    lot a little slower would seem to miss the whole check. Stays of zero days count on the first day.
    """
    days = [min(max(stay.days, 1), LONGEST) for lot in stays for stay in lot]
    shape = (len(stays), stages, max(days, default=1) + 1)
    counts = {fate: np.zeros(shape) for fate in Fate}
    late = moved = 0.0
    for place, lot in enumerate(stays):
        for stay in lot:
            if stay.state >= stages:
                continue
            last = min(max(stay.days, 1), LONGEST)
            if stay.fate not in DECIDED:
                counts[Fate.AWAY][place, stay.state, last] += stay.count
                continue
            gap = min(stay.gap, last)
            counts[stay.fate][place, stay.state, last - gap + 1 : last + 1] += stay.count / gap
            if stay.fate is Fate.ON:
                late += stay.count * (gap - 1) / 2
                moved += stay.count
    return Tally(counts[Fate.ON], counts[Fate.LOST], counts[Fate.AWAY], late / moved if moved else 0.0)


@dataclass(frozen=True, slots=True)
class Phases:
    """Sub-densities in a number of draws; shape (draws, stages, days + 1). Day 0 is empty."""

    on: Reals
    lost: Reals
    delay: float = 0.0
    """Days between leaving a stage and being recorded in the next, from when that stage's days are counted."""

    @property
    def survival(self) -> Reals:
        """Share that moves on, by draw and stage."""
        return np.asarray(self.on.sum(axis=2))


def phases(
    counted: Tally, weights: Reals, guesses: Sequence[Guess | None], rng: np.random.Generator | None = None
) -> Phases:
    """Sub-densities from weighted lots and guesses.

    Args:
        counted: the stays.
        weights: shape (draws, lots): how often each lot counts in each draw.
        guesses: one per stage; None: own animals must tell.
        rng: draws how far the guesses are off; None: they are taken as they are.
    """
    draws, stages = weights.shape[0], counted.moved.shape[1]
    guessed = [g for g in guesses if g is not None]
    longest = max(counted.longest, *(min(LONGEST, math.ceil(2 * g.mean + 6 * g.sd)) for g in guessed), 1)
    on, lost = np.zeros((draws, stages, longest + 1)), np.zeros((draws, stages, longest + 1))
    parts = counted.moved, counted.lost, counted.away
    seen = [np.tensordot(weights, part, axes=1) for part in parts]
    room = longest + 1 - seen[0].shape[2]
    moved, died, away = (np.pad(part, ((0, 0), (0, 0), (0, room))) for part in seen)
    risk = np.flip(np.cumsum(np.flip(moved + died + away, axis=2), axis=2), axis=2)
    for place, guess in enumerate(guesses):
        if guess is not None:
            g_on, g_lost = _of_guess(guess, longest, draws, rng)
            moved[:, place] += GUESS_WEIGHT * g_on
            died[:, place] += GUESS_WEIGHT * g_lost
            risk[:, place] += GUESS_WEIGHT * np.flip(np.cumsum(np.flip(g_on + g_lost, axis=1), axis=1), axis=1)
    there = np.where(risk > 0, risk, 1.0)
    hazard_on, hazard_lost = moved / there, died / there
    stay = np.cumprod(1.0 - np.minimum(hazard_on + hazard_lost, 1.0), axis=2)
    before = np.concatenate([np.ones((draws, stages, 1)), stay[:, :, :-1]], axis=2)
    on, lost = before * hazard_on, before * hazard_lost
    # What own animals leave undecided goes as the decided went.
    whole = (on + lost).sum(axis=2, keepdims=True)
    whole[whole <= 0] = 1.0
    return Phases(on / whole, lost / whole, counted.delay)


def _of_guess(guess: Guess, longest: int, draws: int, rng: np.random.Generator | None) -> tuple[Reals, Reals]:
    """Sub-densities of a guess: times about its middle, deaths evenly over it."""
    speed = np.exp(GUESS_SPEED * rng.standard_normal(draws)) if rng is not None else np.ones(draws)
    shift = GUESS_SURVIVAL * rng.standard_normal(draws) if rng is not None else np.zeros(draws)
    share = shifted(np.full(draws, guess.survival), shift)
    edges = np.arange(longest + 1)[None, :] / speed[:, None]
    times = np.diff(_normal((edges - guess.mean) / guess.sd), axis=1)
    times /= times.sum(axis=1, keepdims=True)
    deaths = np.diff(np.minimum(edges / guess.mean, 1.0), axis=1)
    deaths /= deaths.sum(axis=1, keepdims=True)
    empty = np.zeros((draws, 1))
    return (
        np.concatenate([empty, share[:, None] * times], axis=1),
        np.concatenate([empty, (1 - share)[:, None] * deaths], axis=1),
    )


def shifted(share: Reals, shift: Reals) -> Reals:
    """A share moved by a shift of its logit; 0 and 1 stay."""
    odds = np.exp(shift)
    return np.asarray(share * odds / (1.0 - share + share * odds))


def _normal(x: Reals) -> Reals:
    """The normal distribution function (Abramowitz & Stegun 1964, 26.2.17; error below 7.5e-8)."""
    t = 1.0 / (1.0 + 0.2316419 * np.abs(x))
    poly = t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
    upper = np.exp(-0.5 * x * x) / math.sqrt(2 * math.pi) * poly
    return np.asarray(np.where(x >= 0, 1.0 - upper, upper))
