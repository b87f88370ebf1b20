"""How many of the next lot's animals will be reared: the count to expect, and the range it falls in.

Pure numbers. From one lot: beta-binomial on Jeffreys' posterior (Krishnamoorthy & Peng 2011, J Stat Plan Inf
141:1709-1718; Meeker, Hahn & Escobar 2017, *Statistical Intervals*, ch. 6). From several: the spread between lots is
carried over to the next one, or the range is too narrow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.rearing.beta import Beta, Reals, beta_binomial, jeffreys, matched, quantile
from ledger.rearing.interval import CERTAIN
from ledger.rearing.pooling import FEWEST_LOTS, PooledSurvival
from ledger.wording import say

FEW_LOTS_RHO = 0.05
"""Correlation within a lot while fewer than three lots tell it (a stated guess: shares of lots then lie about 0.11
around 0.65)."""


@dataclass(frozen=True, slots=True)
class NextLot:
    """What the next lot may come to."""

    animals: int
    mean: float
    low: int
    """10 % point of the count; between `low` and `high` lie 80 in 100 such lots."""
    middle: int
    high: int
    pmf: Reals
    """Probability of 0, 1, ..., `animals`."""
    rho: float
    """Correlation within a lot that was used."""
    guessed: bool
    """The correlation is the guess, not learned from at least three lots."""

    @property
    def words(self) -> str:
        """'Of 20 started, 13 are to be expected; 10 to 16 in four lots of five.'"""
        return say(
            "of {animals} started, {mean} are to be expected; {low} to {high} in four lots of five",
            animals=self.animals,
            mean=f"{self.mean:.0f}",
            low=self.low,
            high=self.high,
        )


def next_count(m: int, share: Beta, rho: float = 0.0, *, guessed: bool = False) -> NextLot:
    """The count of m animals when their share is known as `share`."""
    pmf = beta_binomial(m, share)
    return NextLot(
        animals=m,
        mean=float(pmf @ range(m + 1)),
        low=quantile(pmf, 0.10),
        middle=quantile(pmf, 0.50),
        high=quantile(pmf, 0.90),
        pmf=pmf,
        rho=rho,
        guessed=guessed,
    )


def share_of_next(m: int, reached: float, size: float, rho: float) -> Beta:
    """The share of the next m animals, those of one lot being alike.

    Proportion variance p(1-p)[(1 + (m-1) rho)/m + 1/n], n the effective number after the design effect, less the
    chance of the draw itself, matched by a beta distribution.

    Args:
        m: how many the next lot has.
        reached: pooled share.
        size: effective number of animals it rests on, after the design effect.
        rho: correlation within a lot.
    """
    p = jeffreys(reached * size, size).mean
    # A beta-binomial of m has proportion variance p(1-p)[1 + (m-1) r]/m with r = 1/(a+b+1): the r that gives the
    # wanted variance. A single animal has nothing but its own chance, whatever r.
    wanted = (1.0 + (m - 1) * rho) / m + 1.0 / (size + 1.0)
    r = (wanted * m - 1.0) / (m - 1) if m > 1 else rho + 1.0 / (size + 1.0)
    return matched(p, p * (1 - p) * min(max(r, 1e-9), 0.999))


def correlation(sizes: Sequence[float], design_effect: float) -> float:
    """rho = max(0, (D - 1)/(n - 1)), n the mean effective number in a lot."""
    if not sizes:
        return 0.0
    mean = sum(sizes) / len(sizes)
    return max(0.0, (design_effect - 1.0) / (mean - 1.0)) if mean > 1 else 0.0


def predict_next(pooled: PooledSurvival, m: int) -> NextLot | None:
    """The next lot of m animals of a species, from its lots so far; None when nothing is known yet.

    From three lots on their spread is carried over. With one or two, those that are finished tell the share and the
    spread is the stated guess.
    """
    known = [lot for lot in pooled.lots if lot.tells]
    if m < 1:
        return None
    if pooled.reached is not None and pooled.size is not None and pooled.compared >= FEWEST_LOTS:
        sizes = [lot.size for lot in known if lot.size is not None]
        rho = correlation(sizes, pooled.design_effect or 1.0)
        return next_count(m, share_of_next(m, _within(pooled.reached), pooled.size, rho), rho)
    known = [lot for lot in known if lot.rearing < CERTAIN]
    if not known:
        return None
    size = sum(lot.size or 0.0 for lot in known)
    reached = sum(lot.reached * (lot.size or 0.0) for lot in known) / size
    alike = 1.0 + max(0.0, size / len(known) - 1.0) * FEW_LOTS_RHO
    share = share_of_next(m, _within(reached), size / alike, FEW_LOTS_RHO)
    return next_count(m, share, FEW_LOTS_RHO, guessed=True)


def _within(share: float) -> float:
    return 0.0 if share < CERTAIN else 1.0 if share > 1 - CERTAIN else share
