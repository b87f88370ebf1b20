"""The beta distribution and the counts it gives rise to (beta-binomial), for what the next animals may do.

Pure numbers, no library at run time. The incomplete beta function by its continued fraction (DLMF 8.17.22, evaluated
after Lentz 1976); the beta-binomial after Skellam 1948 (J R Stat Soc B 10:257-261).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]

_TINY = 1e-300
_LIMIT = 10_000


@dataclass(frozen=True, slots=True)
class Beta:
    """What is known of a share: as much as `a` animals that did and `b` that did not."""

    a: float
    b: float

    def __post_init__(self) -> None:
        if not (self.a > 0 and self.b > 0 and math.isfinite(self.a + self.b)):
            raise ValueError(f"no beta distribution with {self.a} and {self.b}")

    @property
    def mean(self) -> float:
        """The expected share."""
        return self.a / (self.a + self.b)

    @property
    def variance(self) -> float:
        """How far the share may lie from its mean, squared."""
        whole = self.a + self.b
        return self.a * self.b / (whole * whole * (whole + 1))

    def below(self, share: float) -> float:
        """Probability that the share is at most `share`."""
        return incomplete_beta(share, self.a, self.b)

    def mean_above(self, share: float) -> float:
        """The part of the mean that lies above `share`: the mean of p where p > share, and of 0 elsewhere."""
        return self.mean * (1.0 - incomplete_beta(share, self.a + 1, self.b))


def jeffreys(x: float, n: float) -> Beta:
    """What x of n tell of a share, starting from Jeffreys' prior Beta(1/2, 1/2).

    Raises:
        ValueError: x is below 0 or above n.
    """
    if not 0 <= x <= n:
        raise ValueError(f"{x} of {n} is no count")
    return Beta(x + 0.5, n - x + 0.5)


def incomplete_beta(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function I_x(a, b), to about 14 digits."""
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    # The fraction converges fast below the mean; above it the other tail is taken.
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1)
    d = 1.0 / (d if abs(d) > _TINY else _TINY)
    value = d
    for m in range(1, _LIMIT):
        for top in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + top * d
            c = 1.0 + top / c
            d = 1.0 / (d if abs(d) > _TINY else _TINY)
            c = c if abs(c) > _TINY else _TINY
            value *= d * c
        if abs(d * c - 1.0) < 1e-16:
            return value
    return value


def beta_binomial(m: int, share: Beta) -> Reals:
    """Probabilities that 0, 1, ..., m of the next m animals do; shape (m + 1,).

    Raises:
        ValueError: m is below 0.
    """
    if m < 0:
        raise ValueError(f"no count of {m} animals")
    x = np.arange(m + 1)
    whole = share.a + share.b
    gamma = _log_gamma_steps
    logs = (
        gamma(1.0, m)[m]
        - gamma(1.0, m)[x]
        - gamma(1.0, m)[m - x]
        + gamma(share.a, m)[x]
        + gamma(share.b, m)[m - x]
        - gamma(whole, m)[m]
    )
    found: Reals = np.exp(logs)
    return np.asarray(found / found.sum())


def _log_gamma_steps(a: float, m: int) -> Reals:
    """log(Gamma(a + x) / Gamma(a)) for x = 0 .. m."""
    return np.concatenate([[0.0], np.cumsum(np.log(a + np.arange(m)))])


def at_least(m: int, wanted: int, share: Beta) -> float:
    """Probability that at least `wanted` of m animals do."""
    if wanted <= 0:
        return 1.0
    if wanted > m:
        return 0.0
    return float(beta_binomial(m, share)[wanted:].sum())


def quantile(pmf: Reals, level: float) -> int:
    """The smallest count that is reached or stayed below with probability `level`, of counts 0, 1, ..."""
    # What the sum lacks of 1 by rounding must not push a quantile past the last count.
    place = int(np.searchsorted(np.cumsum(pmf), level * (1 - 1e-12), side="left"))
    return min(place, len(pmf) - 1)


def matched(mean: float, variance: float) -> Beta:
    """The beta distribution of that mean and variance; the variance is kept below that of a coin's.

    Raises:
        ValueError: the mean is not between 0 and 1.
    """
    if not 0 < mean < 1:
        raise ValueError(f"no beta distribution with mean {mean}")
    spread = mean * (1 - mean)
    whole = max(spread / max(variance, 1e-12) - 1, 1e-3)
    return Beta(mean * whole, (1 - mean) * whole)
