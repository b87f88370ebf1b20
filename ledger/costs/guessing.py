"""How long a thing just opened will last: as long as the last of its item, or else of its category. Pure.

Only what was known when it was recorded counts. What is learned later of the one before must not change how much of
this one a closed year has used up.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from ledger.costs.windows import GUESS_DAYS


@dataclass(frozen=True, slots=True)
class Used:
    """Something used up, with what was known of its end and since which act."""

    operation: int
    first: int
    last: int
    ends: tuple[tuple[int, int], ...]
    """(Act, last day as known from then on)."""


class Before:
    """Things of one item or category in the order they were opened, and the last of them recorded before an act.

    A thing after which one was opened that was recorded no later is never that one, and is not kept: those kept are in
    the order of both, so that 100,000 bags recorded in any order are each found at once.
    """

    def __init__(self) -> None:
        self._kept: list[Used] = []
        self._acts: list[int] = []

    def add(self, used: Used) -> None:
        """Add what was opened last."""
        while self._acts and self._acts[-1] >= used.operation:
            self._acts.pop()
            self._kept.pop()
        self._kept.append(used)
        self._acts.append(used.operation)

    def known_to(self, operation: int) -> Used | None:
        """The last thing opened that was recorded before an act."""
        place = bisect_left(self._acts, operation)
        return self._kept[place - 1] if place else None


def guess(item: Before, category: Before, operation: int) -> int:
    """Days that a thing recorded by an act will last, as far as those before of its item and category tell."""
    for before in (item, category):
        one = before.known_to(operation)
        if one is not None:
            last = [end for act, end in one.ends if act <= operation] or [one.last]
            return max(1, last[-1] - one.first + 1)
    return GUESS_DAYS
