"""The outlook: how many animals will become ready in each coming week, and how surely.

Pure numbers. For each group of animals of one stage and age the days until it is ready follow from the phases of that
stage and the later ones, by convolution; given the parameters the count of a week is a Poisson-binomial, exact. What is
not known of the parameters is shared by the animals of a lot: every draw resamples the lots learned from and gives each
living lot a speed and a survival of its own, and the exact counts are mixed. Without that effect the ranges of totals
over many weeks are far too narrow.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledger.rearing.lot_effect import LotEffect, lot_effect
from ledger.rearing.phases import Guess, Phases, Reals, phases, shifted, tally
from ledger.rearing.poisson_binomial import CountPmf, mixture
from ledger.rearing.spells import Spell
from ledger.rearing.telling import Told, untold, within

DRAWS = 200
CHANCES = 0.5
"""Share of the work, about, that goes into the chances; the rest goes into the counts of the weeks."""
LOW, MIDDLE, HIGH = 0.10, 0.50, 0.90
_LAST_HAZARD = 1 / 3
"""Daily chance of moving on of an animal older in its stage than any before it: soon (no source)."""


@dataclass(frozen=True, slots=True)
class Group:
    """Animals of one lot that have been in a stage for the same number of days."""

    lot: int
    """Any number that is the same for the animals of a lot and of no other."""
    stage: int
    age: int
    count: int


@dataclass(frozen=True, slots=True)
class Expected:
    """A count to come."""

    mean: float
    low: int
    middle: int
    high: int
    """Between `low` and `high` the count falls in four cases of five."""
    pmf: CountPmf


@dataclass(frozen=True, slots=True)
class Outlook:
    """What becomes ready, week by week from the day after the day it was reckoned for."""

    weekly: tuple[Expected, ...]
    running: tuple[Expected, ...]
    """Of the first week, the first two, and so on."""
    by_group: Reals
    """Shape (groups, days + 1): animals of each group to be expected by the end of each day, day 0 being today."""
    effect: LotEffect | None = None
    """How lots were taken to differ."""


def outlook(
    stays: Sequence[Sequence[Spell]],
    guesses: Sequence[Guess | None],
    groups: Sequence[Group],
    *,
    rng: np.random.Generator,
    weeks: int = 12,
    draws: int = DRAWS,
    wait: int = 0,
    due: Sequence[tuple[int, int]] = (),
    told: Told = untold,
) -> Outlook:
    """The outlook of one species.

    Args:
        stays: of each lot that is learned from.
        guesses: one for each stage on the way; None: own animals must tell.
        groups: the living animals on the way.
        rng: where the draws come from; the same one gives the same outlook.
        weeks: how many weeks ahead.
        draws: how many sets of parameters are mixed.
        wait: days between reaching the stage and being ready (hardening).
        due: (days ahead, animals) that only wait: they are ready on that day.
        told: how far it is, lot by lot and then week by week.
    """
    stages = len(guesses)
    counted = tally(stays, stages)
    effect = lot_effect(stays, stages)
    weights, speed, survival = _shared(effect, counted.lots, draws, rng)
    learned = phases(counted, weights, guesses, rng)
    lots = sorted({group.lot for group in groups})
    by_lot = {
        lot: (
            np.exp(speed + effect.speed * rng.standard_normal(draws)),
            survival + effect.logit * rng.standard_normal(draws),
        )
        for lot in lots
    }
    chances, counts = ready_chances(learned, groups, by_lot, 7 * weeks, wait, within(told, 0.0, CHANCES))
    found = counts_by_week(chances, counts, weeks, due, within(told, CHANCES, 1.0))
    return replace(found, effect=effect)


def _shared(effect: LotEffect, lots: int, draws: int, rng: np.random.Generator) -> tuple[Reals, Reals, Reals]:
    """How often each lot counts in each draw, and shifts of all lots together.

    Resampling k lots spreads their mean by (k - 1)/k of what it should; the shift makes up for the rest, which with one
    lot is everything.
    """
    weights = rng.multinomial(lots, np.full(lots, 1 / lots), size=draws).astype(float) if lots else np.zeros((draws, 0))
    short = 1 / max(effect.lots, 1)
    speed = short * effect.speed * rng.standard_normal(draws)
    survival = short * effect.logit * rng.standard_normal(draws)
    return weights, speed, survival


def ready_chances(
    learned: Phases,
    groups: Sequence[Group],
    by_lot: dict[int, tuple[Reals, Reals]],
    days: int,
    wait: int = 0,
    told: Told = untold,
) -> tuple[Reals, NDArray[np.int64]]:
    """The chance of each group's animals to be ready by the end of each day.

    Args:
        learned: the phases, in draws.
        groups: living animals.
        by_lot: for each lot its speed (times are multiplied by it) and the shift of its logit, each of shape (draws,).
        days: how many days ahead.
        wait: days of hardening after the last stage.
        told: the share of the lots that are done.

    Returns:
        Chances of shape (draws, groups, days + 1), day 0 being today; animals of each group.
    """
    draws, stages, _ = learned.on.shape
    sums_on, sums_lost = np.cumsum(learned.on, axis=2), np.cumsum(learned.lost, axis=2)
    late = _late(learned.delay)
    # Room for a sum of two times and the delay: what is longer would come round and be taken for early.
    points = _fast(2 * days + len(late))
    handover = np.fft.rfft(late, points)
    found = np.zeros((draws, len(groups), days + 1))
    placed: dict[int, list[int]] = defaultdict(list)
    for place, group in enumerate(groups):
        placed[group.lot].append(place)
    for done, (lot, places) in enumerate(placed.items()):
        told(done / len(placed))
        speed, shift = by_lot[lot]
        lowest = min(groups[place].stage for place in places)
        own = sums_on[:, lowest:, -1]
        to = shifted(np.clip(own, 1e-9, 1 - 1e-9), shift[:, None])
        more_on = to / np.maximum(own, 1e-9)
        more_lost = (1 - to) / np.maximum(1 - own, 1e-9)
        # Time from entering each later stage until the last is left, as a transform; `after[stage]` follows `stage`.
        after: dict[int, NDArray[np.complex128]] = {}
        rest = np.ones((draws, points // 2 + 1), dtype=complex)
        for stage in range(stages - 1, lowest - 1, -1):
            after[stage] = rest
            if stage > lowest:
                whole = _stretched(sums_on[:, stage], speed, 0, days) * more_on[:, stage - lowest, None]
                steps = np.diff(whole, axis=1, prepend=0.0)
                times = np.fft.irfft(rest * np.fft.rfft(steps, points, axis=1) * handover, points, axis=1)
                rest = np.fft.rfft(times[:, : days + 1], points, axis=1)
        for place in places:
            group = groups[place]
            at = group.stage - lowest
            on = _stretched(sums_on[:, group.stage], speed, group.age, days) * more_on[:, at, None]
            lost = _stretched(sums_lost[:, group.stage], speed, group.age, days) * more_lost[:, at, None]
            moves = _conditional(on, lost, to[:, at])
            if group.stage < stages - 1:
                spectrum = np.fft.rfft(moves, points, axis=1) * after[group.stage]
                moves = np.fft.irfft(spectrum, points, axis=1)[:, : days + 1]
            total = np.cumsum(moves, axis=1)
            if wait:
                total = np.concatenate([np.zeros((draws, min(wait, days + 1))), total], axis=1)[:, : days + 1]
            found[:, place] = np.clip(total, 0.0, 1.0)
    return found, np.array([group.count for group in groups], dtype=np.int64)


def _late(delay: float) -> Reals:
    """A delay of so many days, a part of a day shared between two."""
    whole = int(delay)
    return np.concatenate([np.zeros(whole), [1 - (delay - whole), delay - whole]])


def _stretched(sums: Reals, speed: Reals, first: int, days: int) -> Reals:
    """A distribution function with its times multiplied by `speed`, on the days first .. first + days."""
    wanted = (first + np.arange(days + 1))[None, :] / speed[:, None]
    last = sums.shape[1] - 1
    below = np.minimum(wanted.astype(np.int64), last)
    above = np.minimum(below + 1, last)
    rows = np.arange(len(speed))[:, None]
    low = sums[rows, below]
    return np.asarray(low + (sums[rows, above] - low) * np.minimum(wanted - below, 1.0))


def _conditional(on: Reals, lost: Reals, share: Reals) -> Reals:
    """Chances of moving on by day for animals still in the stage today; shape (draws, days + 1).

    Where none ever stayed so long, the animal moves on soon, or dies, as the share of the stage says.
    """
    still = 1.0 - on[:, :1] - lost[:, :1]
    moves = np.diff(on, axis=1, prepend=on[:, :1]) / np.maximum(still, 1e-6)
    days = np.arange(on.shape[1])
    soon = share[:, None] * _LAST_HAZARD * (1 - _LAST_HAZARD) ** np.maximum(days - 1, 0)[None, :]
    soon[:, 0] = 0.0
    return np.asarray(np.where(still > 1e-6, moves, soon))


def counts_by_week(
    chances: Reals,
    counts: NDArray[np.int64],
    weeks: int,
    due: Sequence[tuple[int, int]] = (),
    told: Told = untold,
) -> Outlook:
    """Weekly counts and running totals from the chances of `ready_chances`."""
    weekly, running = [], []
    for week in range(1, weeks + 1):
        told((week - 1) / weeks)
        until, since = chances[:, :, 7 * week], chances[:, :, 7 * week - 7]
        sure = sum(n for day, n in due if 7 * week - 7 < max(day, 1) <= 7 * week)
        by_then = sum(n for day, n in due if day <= 7 * week)
        weekly.append(_expected(mixture(until - since, counts, sure)))
        running.append(_expected(mixture(until, counts, by_then)))
    return Outlook(tuple(weekly), tuple(running), chances.mean(axis=0) * counts[:, None])


def _expected(pmf: CountPmf) -> Expected:
    return Expected(pmf.mean, pmf.quantile(LOW), pmf.quantile(MIDDLE), pmf.quantile(HIGH), pmf)


def _fast(least: int) -> int:
    """The smallest length of at least `least` with small factors only."""
    length = least
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return length
        length += 1
