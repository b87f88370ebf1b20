"""Limits of a share that is known as a beta distribution. Pure numbers."""

from __future__ import annotations

from ledger.rearing.beta import Beta
from ledger.rearing.interval import Interval

_STEPS = 60


def limits(share: Beta, inside: float = 0.8) -> Interval:
    """The interval that holds the share with probability `inside`, as much below it as above.

    The distribution function rises with the share, so bisection finds each end to the last digit or so.

    Raises:
        ValueError: `inside` is not between 0 and 1.
    """
    if not 0 < inside < 1:
        raise ValueError(f"no interval holds a share with probability {inside}")
    tail = (1 - inside) / 2
    return Interval(_at(share, tail), _at(share, 1 - tail))


def _at(share: Beta, level: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if share.below(middle) < level:
            low = middle
        else:
            high = middle
    return (low + high) / 2
