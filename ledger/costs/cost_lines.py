"""Two rows of costs put beside each other: which may be others than before. Pure.

Costs are read in one order, so that a late one differs from what was there before in one place only.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.costs.given import CostLine


def other_lines(old: Sequence[CostLine], new: Sequence[CostLine]) -> tuple[Sequence[CostLine], Sequence[CostLine]]:
    """What is left of two rows of costs without those at both ends that are the same in both."""
    if old is new:
        return (), ()
    start, shorter = 0, min(len(old), len(new))
    while start < shorter and _same(old[start], new[start]):
        start += 1
    end = 0
    while end < shorter - start and _same(old[-1 - end], new[-1 - end]):
        end += 1
    return old[start : len(old) - end], new[start : len(new) - end]


def _same(one: CostLine, other: CostLine) -> bool:
    return one is other or one == other
