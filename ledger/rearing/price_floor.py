"""What to charge for a reared animal, and what better rearing would be worth.

Pure numbers, amounts in any one unit of money: plain arithmetic on the cost per reared adult (common practice, no
source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledger.wording import say


@dataclass(frozen=True, slots=True)
class PriceFloor:
    """The least to ask for one animal."""

    cost: float
    """Cost per reared adult."""
    cost_low: float | None
    cost_high: float | None
    """The same at the upper and the lower end of the survival: where better figures may put it."""
    selling: float
    """Selling cost of one animal: of a sale, by the animals in it."""
    margin: float
    """Wanted part of the price, 0 to below 1."""
    floor: float
    floor_high: float | None
    """At the dearer end of the cost."""
    stops: float
    """Of the cost, what would not be spent if the rearing stopped; the rest (shared heat, racks) stays."""

    def verdict(self, price: float) -> str:
        """What a price means, in plain words; empty when it covers the floor."""
        if price >= self.floor:
            return ""
        if price >= self.cost + self.selling:
            return say("covers its cost, but not the wanted margin")
        if price >= self.stops + self.selling:
            return say("below full cost including shared heat; stopping would save only part of it")
        return say("below what would be saved by stopping")


def price_floor(
    cost: float,
    survival: float | None,
    low: float | None,
    high: float | None,
    *,
    selling: float = 0.0,
    margin: float = 0.0,
    stops: float | None = None,
) -> PriceFloor:
    """The price below which a wanted margin is not reached.

    Args:
        cost: per reared adult.
        survival: share reared it was reckoned at, with its limits `low` and `high`; the same spending over more or
            fewer adults makes the cost's own range.
        selling: cost of selling one animal.
        margin: wanted part of the price.
        stops: part of the cost that would not be spent without this rearing; all of it by default.

    Raises:
        ValueError: the margin is not from 0 to below 1, or a cost is below 0.
    """
    if not 0 <= margin < 1 or cost < 0 or selling < 0:
        raise ValueError(f"no price floor at cost {cost}, selling cost {selling} and margin {margin}")
    least = cost * survival / high if survival and high else None
    most = cost * survival / low if survival and low else None
    return PriceFloor(
        cost,
        least,
        most,
        selling,
        margin,
        (cost + selling) / (1 - margin),
        (most + selling) / (1 - margin) if most is not None else None,
        cost if stops is None else stops,
    )


@dataclass(frozen=True, slots=True)
class BetterRearing:
    """What the same spending would come to at another survival."""

    survival: float
    other: float
    cost: float
    cost_other: float
    reared: int
    reared_other: float

    @property
    def saved_each(self) -> float:
        """By how much one reared adult would be cheaper."""
        return self.cost - self.cost_other

    @property
    def more(self) -> float:
        """How many more would be reared of as many started."""
        return self.reared_other - self.reared


def better_rearing(cost: float, survival: float, reared: int, other: float) -> BetterRearing:
    """The worth of another survival: the same spending over more adults.

    Feed for the survivors would cost a little more; how much is not known, and it is left out.

    Raises:
        ValueError: a survival is not above 0 and at most 1, or the cost is not finite.
    """
    if not (0 < survival <= 1 and 0 < other <= 1) or not math.isfinite(cost):
        raise ValueError(f"no comparison of survivals {survival} and {other}")
    return BetterRearing(survival, other, cost, cost * survival / other, reared, reared * other / survival)
