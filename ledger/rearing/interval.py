"""Intervals for small numbers: Wilson on the effective size of a survival estimate, and the quantiles they need.

Pure numbers, no library. Methods: Wilson 1927 (JASA 22:209-212); effective size p(1-p)/Var(p), Cutler & Ederer 1958
(J Chronic Dis 8:699-712), with Wilson's limits by Rothman 1978 (J Chronic Dis 31:557-560). The more usual
Greenwood-type limits shrink to nothing where none or all died, which is the common case for ten animals.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Z95 = 1.959963984540054
"""The 97.5 % point of the normal distribution."""

CERTAIN = 1e-12
"""An estimate this near 0 or 1 is 0 or 1 up to rounding."""


@dataclass(frozen=True, slots=True)
class Interval:
    """Two limits of a proportion, 0 <= low <= high <= 1."""

    low: float
    high: float


def wilson(share: float, size: float, z: float = Z95) -> Interval:
    """Wilson's interval for a proportion.

    Args:
        share: the proportion seen, 0 to 1 (x/n for plain counts).
        size: how many it was seen in, above 0; need not be whole.
        z: normal or t quantile; the default gives 95 %.

    Raises:
        ValueError: the share or the size is outside its range.
    """
    if not (-CERTAIN <= share <= 1 + CERTAIN and size > 0):
        raise ValueError(f"no interval for a share of {share} in {size}")
    zz = z * z
    low = 0.0 if share <= CERTAIN else _lower(share, size, zz)
    high = 1.0 if share >= 1 - CERTAIN else 1 - _lower(1 - share, size, zz)
    return Interval(low, high)


def _lower(share: float, size: float, zz: float) -> float:
    """The smaller root of Wilson's equation, by the product of the roots: exact where the difference would cancel."""
    half = math.sqrt(max(0.0, share * (1 - share)) * zz / size + (zz / (2 * size)) ** 2)
    return share * share / (share + zz / (2 * size) + half)


def effective_size(share: float, se: float, *, resolved: int, animals: int) -> float | None:
    """How many fully followed animals the estimate is worth.

    Args:
        share: estimated probability.
        se: its standard error.
        resolved: animals that were reared or lost: the size where the share is 0 or 1 and the error says nothing.
        animals: animals that entered; the size never exceeds them.

    Returns:
        The size, or None when nothing is known yet.
    """
    if share <= CERTAIN or share >= 1 - CERTAIN:
        size = float(resolved)
    elif se > 0:
        size = share * (1 - share) / (se * se)
    else:
        size = math.inf
    size = min(size, float(animals))
    return size if size > 0 else None


def t_quantile(level: float, df: int) -> float:
    """Quantile of Student's t for whole degrees of freedom.

    The two-sided probability has a finite series in the angle atan(t/sqrt(df)) (Abramowitz & Stegun 1964, 26.7.3-4);
    it rises with the angle, so bisection finds the quantile to the last digit or so.

    Args:
        level: probability below the quantile, above 0 and below 1.
        df: degrees of freedom, at least 1.

    Raises:
        ValueError: an argument is outside its range.
    """
    if not (0 < level < 1 and df >= 1):
        raise ValueError(f"no t quantile at {level} with {df} degrees of freedom")
    if level < 0.5:
        return -t_quantile(1 - level, df)
    wanted = 2 * level - 1
    low, high = 0.0, math.pi / 2
    for _ in range(80):
        angle = (low + high) / 2
        if _within(angle, df) < wanted:
            low = angle
        else:
            high = angle
    return math.sqrt(df) * math.tan((low + high) / 2)


def _within(angle: float, df: int) -> float:
    """P(|T| < sqrt(df) tan(angle))."""
    cosine = math.cos(angle)
    odd = df % 2 == 1
    term = cosine if odd else 1.0
    series = 0.0
    for i in range(df // 2):
        series += term
        term *= cosine * cosine * ((2 * i + 2) / (2 * i + 3) if odd else (2 * i + 1) / (2 * i + 2))
    if odd:
        return 2 / math.pi * (angle + math.sin(angle) * series)
    return math.sin(angle) * series
