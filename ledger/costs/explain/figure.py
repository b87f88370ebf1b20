"""The figures that can be explained, each as the rows of the shared costs it is the sum of.

Knows where a figure is in `Shared`, whatever its categories are called; so the same figure can be read from a replay
by cost or by month. Plain values.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.costs.result import Amounts, Closing, Kind, Posting, Shared


@dataclass(frozen=True, slots=True)
class Carried:
    """Cost so far of the animals of some lots that are there at the end, at every stage or at one."""

    lots: frozenset[int]
    stage: int | None = None

    def rows(self, shared: Shared) -> Iterator[Closing]:
        """Its rows."""
        for row in shared.closing:
            if row.kind is Kind.ON_HAND and row.lot in self.lots and self.stage in (None, row.stage):
                yield row


@dataclass(frozen=True, slots=True)
class Brood:
    """The brood pool of a lot: what its breeders have cost since their last young."""

    lot: int

    @property
    def lots(self) -> frozenset[int]:
        """The lot."""
        return frozenset({self.lot})

    def rows(self, shared: Shared) -> Iterator[Closing]:
        """Its rows."""
        for row in shared.closing:
            if row.kind is Kind.BROOD and row.lot == self.lot:
                yield row


@dataclass(frozen=True, slots=True)
class Gone:
    """Cost that went out: with a sale, written off, with brood that ended, or with no animals to carry it."""

    kinds: frozenset[Kind]
    lots: frozenset[int] | None = None
    """`None`: of every lot, and of none."""
    events: frozenset[int] | None = None
    """The movements it went with; `None`: any."""

    def rows(self, shared: Shared) -> Iterator[Posting]:
        """Its rows."""
        for row in shared.postings:
            if (
                row.kind in self.kinds
                and (self.events is None or row.event in self.events)
                and (self.lots is None or row.lot in self.lots)
            ):
                yield row


@dataclass(frozen=True, slots=True)
class Reared:
    """Cost that moved into the reared stage with the animals of some lots, for each of them."""

    lots: frozenset[int]

    def number(self, shared: Shared) -> int:
        """Animals that reached the reared stage."""
        return sum(row.count for row in shared.reached if row.lot in self.lots)

    def cost(self, shared: Shared) -> Amounts:
        """All that moved with them, by category."""
        rows = [row.cost for row in shared.reached if row.lot in self.lots]
        return tuple(map(sum, zip(*rows, strict=True))) if rows else (0,) * len(shared.categories)


Figure = Carried | Brood | Gone | Reared
"""What can be explained."""


def amounts(figure: Figure, shared: Shared) -> Amounts:
    """The figure in steps of the grid, by the categories (or tags) of `shared`; of reared adults, for all of them."""
    if isinstance(figure, Reared):
        return figure.cost(shared)
    total = [0] * len(shared.categories)
    for row in figure.rows(shared):
        for place, amount in enumerate(row.cost):
            total[place] += amount
    return tuple(total)


def posted(figure: Carried | Brood | Gone, shared: Shared) -> Amounts:
    """The figure in whole minor units by category, as the books have it."""
    total = [0] * len(shared.categories)
    for row in figure.rows(shared):
        for place, amount in enumerate(row.posted):
            total[place] += amount
    return tuple(total)
