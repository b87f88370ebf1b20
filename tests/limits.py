"""The limits of one lot's survival as `ledger.rearing.pooling` makes them: Wilson's, on the effective size."""

from __future__ import annotations

from ledger.rearing.interval import Interval, effective_size, wilson


def limits_of(share: float, se: float, *, resolved: int, animals: int) -> Interval:
    """Of a share with its standard error, of which something is known."""
    size = effective_size(share, se, resolved=resolved, animals=animals)
    assert size is not None
    return wilson(share, size)
