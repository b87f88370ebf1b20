"""Costs on their way to the animals: for each scope the running cost of one weighted animal present since the start.

A pool is advanced in closed form from one touched day to the next, so its work does not grow with days or lots.
What does not divide waits for the next advance. Knows weights and costs, not lots or stages.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.costs.given import CostLine
from ledger.costs.grid import GRID
from ledger.costs.vector import LANE


class Pool:
    """The costs of one scope."""

    __slots__ = ("active", "changes", "costs", "day", "idle", "next_change", "rate", "rest", "spells", "weight")

    def __init__(self, lines: Sequence[CostLine], column: dict[str, int]) -> None:
        """Args: the lines of this scope, and the place of each category."""
        width = len(column)
        self.weight = 0
        """Sum of the weighted animals in the scope."""
        self.costs = 0
        """Grid steps that one weighted animal present from the start would have taken, a vector by category."""
        self.rest = [0] * width
        """Grid steps released and not shared, by category; fewer than `weight` when animals carry the cost."""
        self.rate = [0] * width
        """Grid steps released each day, by category."""
        self.active: list[int] = []
        """Categories with a daily rate."""
        self.idle = [0] * width
        """Released while there were no animals to carry it, and not yet posted."""
        self.spells: list[list[int]] = []
        """Times without animals: category, first and last day, grid steps."""
        changes: list[tuple[int, int, int, int]] = []
        for line in lines:
            place = column[line.category]
            daily, over = divmod(line.amount * GRID, line.last - line.first + 1)
            changes.append((line.first, place, daily, over))
            changes.append((line.last + 1, place, -daily, 0))
        changes.sort()
        self.changes = changes
        """Day, category, change of the daily rate, and what does not divide by the days and falls on the first."""
        self.next_change = 0
        self.day = changes[0][0]
        """Everything before this day is released."""

    def advance(self, day: int) -> None:
        """Release all costs of the days before `day`."""
        while self.day < day:
            until = self._change_rates(day)
            if self.active:
                self._release(until)
            self.day = until

    def _change_rates(self, day: int) -> int:
        """Apply the changes of today; returns the day of the next one, at most `day`."""
        changes, place = self.changes, self.next_change
        while place < len(changes) and changes[place][0] == self.day:
            _, category, daily, over = changes[place]
            self.rate[category] += daily
            self.rest[category] += over
            place += 1
        if place != self.next_change:
            self.next_change = place
            self.active = [category for category, rate in enumerate(self.rate) if rate]
        return min(day, changes[place][0]) if place < len(changes) else day

    def _release(self, until: int) -> None:
        days = until - self.day
        weight, rest, rate = self.weight, self.rest, self.rate
        if weight:
            for c in self.active:
                each, rest[c] = divmod(rate[c] * days + rest[c], weight)
                self.costs += each << LANE * c
            return
        for c in self.active:
            amount = rate[c] * days + rest[c]
            rest[c] = 0
            if amount:
                self.idle[c] += amount
                self._note(c, until - 1, amount)

    def _note(self, category: int, last: int, amount: int) -> None:
        for spell in reversed(self.spells):
            if spell[2] < self.day - 1:
                break
            if spell[0] == category and spell[2] == self.day - 1:
                spell[2] = last
                spell[3] += amount
                return
        self.spells.append([category, self.day, last, amount])


class Bundle:
    """The pools that one lot takes part in, added up once a day for all lots that take part in the same."""

    __slots__ = ("costs", "day", "pools")

    def __init__(self, pools: Sequence[Pool]) -> None:
        self.pools = tuple(pools)
        self.day = -1
        self.costs = 0
        """Grid steps for one weighted animal, a vector by category."""

    def refresh(self, day: int) -> None:
        """Bring all its pools to `day`."""
        self.day = day
        costs = 0
        for pool in self.pools:
            if pool.day < day:
                pool.advance(day)
            costs += pool.costs
        self.costs = costs
