"""The line that is drawn of a survival curve: the share reared by each day, and the 95 % band around it.

Pure numbers. Wilson's interval on the effective number of the day, divided by how much more lots differ than chance
would have it. Before the first was reared the share is nought and its error says nothing: there the band is the line,
but on the last day of lots that lost all it is the figure's own interval.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.rearing.interval import CERTAIN, Z95, effective_size, wilson
from ledger.rearing.survival import Curve


@dataclass(frozen=True, slots=True)
class ReachedBy:
    """The share that has reached the reared stage by a day on the clock, with its 95 % interval."""

    day: int
    share: float
    low: float
    high: float


def band(
    curve: Curve, *, resolved: int, animals: int, design_effect: float = 1.0, z: float = Z95
) -> tuple[ReachedBy, ...]:
    """The line and its band, one row for each of the curve's.

    Args:
        curve: with standard errors; its last state but one is the reared one.
        resolved: animals reared or lost by the last day.
        animals: that entered.
        design_effect: how many times the variance exceeds that of equal lots.
        z: normal or t quantile.
    """
    assert curve.se is not None
    found = []
    last = len(curve.days) - 1
    all_lost = float(curve.prob[-1, -1]) >= 1 - CERTAIN
    for at, (day, row, errors) in enumerate(zip(curve.days, curve.prob, curve.se, strict=True)):
        share = float(row[-2])
        size = effective_size(share, float(errors[-2]), resolved=resolved, animals=animals)
        told = share > 0 or (at == last and all_lost)
        limits = wilson(share, size / design_effect, z) if size is not None and told else None
        found.append(ReachedBy(int(day), share, limits.low if limits else share, limits.high if limits else share))
    return tuple(found)
