"""Where a cost went: to which sales, losses, lots still here, brood pools, or to nobody yet.

The cost is shared out alone by the same engine, so that what it says of it is all of it, to the last step of the grid.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain

from ledger.costs.explain.parts import CRUMB, Key, Part, apportion, rounded
from ledger.costs.explain.replay import FINE, Journal, monthly
from ledger.costs.given import CostLine
from ledger.costs.grid import GRID
from ledger.costs.result import Closing, Posting, Shared

Called = Callable[[Posting | Closing], Key]
"""What the place is called that a row of the shared costs belongs to."""


@dataclass(frozen=True, slots=True)
class Landed:
    """A cost with the places it went to, which sum to it."""

    exact: Fraction
    """Minor units."""
    shown: int
    parts: tuple[Part, ...]
    """In the order of their keys."""


def of_lines(
    journal: Journal, lines: Sequence[CostLine], called: Called, beside: Sequence[tuple[Key, int]] = ()
) -> Landed:
    """Where some costs went by the end of the journal.

    Args:
        journal: up to the day looked at.
        lines: the costs, all parts of them.
        called: names the places.
        beside: parts of the costs that no animal ever carries, in minor units (what equipment is still worth).
    """
    return _landed(replace(journal.with_prices(()), lines=lines).shared(), called, 1, beside)


def of_month(journal: Journal, lines: Sequence[CostLine], month: str, called: Called) -> Landed:
    """Where that part of some costs went that was borne in one month (2025-07)."""
    parts = [part for line in lines for name, part in monthly(line, journal.until) if name == month]
    return _landed(replace(journal.with_prices(()), lines=parts).shared(), called, FINE)


def of_purchase(journal: Journal, event: int, called: Called) -> Landed:
    """Where the price of animals bought went."""
    return _landed(journal.without_costs().with_prices([event]).shared(), called, 1)


def _landed(shared: Shared, called: Called, fine: int, beside: Sequence[tuple[Key, int]] = ()) -> Landed:
    found: dict[Key, Fraction] = defaultdict(Fraction)
    for row in chain[Posting | Closing](shared.postings, shared.closing):
        found[called(row)] += Fraction(sum(row.cost), GRID * fine)
    for key, whole in beside:
        found[key] += whole
    exact = Fraction(sum(shared.came_in), fine) + sum(whole for _, whole in beside)
    # Crumbs have no place of their own; they go to the largest, and with it all adds up to the last step.
    keys = sorted(key for key, amount in found.items() if abs(amount) > CRUMB)
    if keys:
        largest = max(keys, key=lambda key: abs(found[key]))
        found[largest] += exact - sum(found[key] for key in keys)
    shown = rounded(exact)
    wholes = apportion(shown, [found[key] for key in keys]) if keys else []
    parts = tuple(Part(key, found[key], whole, ()) for key, whole in zip(keys, wholes, strict=True))
    return Landed(exact, shown, parts)
