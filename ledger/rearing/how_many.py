"""How many to start so that a wanted number is reared.

Pure numbers. From the beta-binomial of the next lot, widened by the spread between lots (`prediction`); with the share
taken as known and lots alike it would be the negative binomial.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.rearing.beta import at_least
from ledger.rearing.prediction import share_of_next
from ledger.wording import say

CONFIDENCES = (0.80, 0.90, 0.95)
MOST_STARTED = 20_000


@dataclass(frozen=True, slots=True)
class ToStart:
    """Animals to start so that at least `wanted` are reared with `confidence`."""

    wanted: int
    confidence: float
    animals: int | None
    """None when no number up to `MOST_STARTED` is enough."""

    @property
    def words(self) -> str:
        """'47 to have 20 reared nine times in ten'."""
        often = {0.80: say("four times in five"), 0.90: say("nine times in ten"), 0.95: say("nineteen times in twenty")}
        sure = often.get(self.confidence) or say("with {percent}% confidence", percent=f"{100 * self.confidence:.0f}")
        if self.animals is None:
            return say(
                "no number is enough to have {wanted} reared {sure}: too little is known of the survival",
                wanted=self.wanted,
                sure=sure,
            )
        return say("{animals} to have {wanted} reared {sure}", animals=self.animals, wanted=self.wanted, sure=sure)


def to_start(wanted: int, reached: float, size: float, rho: float, confidence: float) -> ToStart:
    """The smallest number to start in one lot.

    Args:
        wanted: animals to be reared.
        reached: share reared so far.
        size: effective number of animals it rests on.
        rho: correlation within a lot.
        confidence: probability of having at least as many.

    Raises:
        ValueError: nothing is wanted, or the confidence is not between 0 and 1.
    """
    if wanted < 1 or not 0 < confidence < 1:
        raise ValueError(f"no number to start for {wanted} at {confidence}")

    def enough(n: int) -> bool:
        return at_least(n, wanted, share_of_next(n, reached, size, rho)) >= confidence

    high = wanted
    while not enough(high):
        if high >= MOST_STARTED:
            return ToStart(wanted, confidence, None)
        high = min(2 * high, MOST_STARTED)
    low = wanted - 1
    # The chance of having enough rises with the number started.
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return ToStart(wanted, confidence, high)
