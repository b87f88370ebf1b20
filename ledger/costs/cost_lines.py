"""Two rows of costs put beside each other: which may be others than before. Pure.

Costs are read in one order, so that a late one differs from what was there before in one place only.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from operator import attrgetter

from ledger.costs.given import CostLine

_LINE: Callable[[CostLine], tuple[object, ...]] = attrgetter(
    "category", "first", "last", "amount", "scope", "keys", "care"
)
"""Lines that agree in these are used up alike."""


def other_lines(old: Sequence[CostLine], new: Sequence[CostLine]) -> tuple[Sequence[CostLine], Sequence[CostLine]]:
    """The lines that went and those that came."""
    if old is new:
        return (), ()
    start, shorter = 0, min(len(old), len(new))
    while start < shorter and _same(old[start], new[start]):
        start += 1
    end = 0
    while end < shorter - start and _same(old[-1 - end], new[-1 - end]):
        end += 1
    old, new = old[start : len(old) - end], new[start : len(new) - end]
    return _without(old, new), _without(new, old)


def _same(one: CostLine, other: CostLine) -> bool:
    return one is other or one == other


def _without(lines: Sequence[CostLine], others: Sequence[CostLine]) -> Sequence[CostLine]:
    """Those not among others, each as often as it is there more often."""
    there, left = Counter(map(_LINE, others)), []
    for line in lines if others else ():
        if there[_LINE(line)]:
            there[_LINE(line)] -= 1
        else:
            left.append(line)
    return left if others else lines
