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

Whole = Callable[[Key], Key]
"""What a place is a part of: the whole minor units of a part sum to those of its whole, however both are listed."""


def _same(key: Key) -> Key:
    return key


@dataclass(frozen=True, slots=True)
class Landed:
    """A cost with the places it went to, which sum to it."""

    exact: Fraction
    """Minor units."""
    shown: int
    parts: tuple[Part, ...]
    """In the order of their keys."""


def of_lines(
    journal: Journal,
    lines: Sequence[CostLine],
    called: Called,
    beside: Sequence[tuple[Key, int]] = (),
    whole_of: Whole = _same,
) -> Landed:
    """Where some costs went by the end of the journal.

    Args:
        journal: up to the day looked at.
        lines: the costs, all parts of them.
        called: names the places.
        beside: parts of the costs that no animal ever carries, in minor units (what equipment is still worth).
        whole_of: what a place is a part of.
    """
    return _landed(replace(journal.with_prices(()), lines=lines).shared(), called, 1, whole_of, beside)


def of_month(
    journal: Journal, lines: Sequence[CostLine], month: str, called: Called, whole_of: Whole = _same
) -> Landed:
    """Where that part of some costs went that was borne in one month (2025-07)."""
    parts = [part for line in lines for name, part in monthly(line, journal.until) if name == month]
    return _landed(replace(journal.with_prices(()), lines=parts).shared(), called, FINE, whole_of)


def of_purchase(journal: Journal, event: int, called: Called, whole_of: Whole = _same) -> Landed:
    """Where the price of animals bought went."""
    return _landed(journal.without_costs().with_prices([event]).shared(), called, 1, whole_of)


def _landed(
    shared: Shared, called: Called, fine: int, whole_of: Whole, beside: Sequence[tuple[Key, int]] = ()
) -> Landed:
    found: dict[Key, Fraction] = defaultdict(Fraction)
    for row in chain[Posting | Closing](shared.postings, shared.closing):
        found[called(row)] += Fraction(sum(row.cost), GRID * fine)
    for key, units in beside:
        found[key] += units
    exact = Fraction(sum(shared.came_in), fine) + sum(units for _, units in beside)
    # Crumbs have no place of their own; they go to the largest, and with it all adds up to the last step.
    keys = sorted(key for key, amount in found.items() if abs(amount) > CRUMB)
    if keys:
        largest = max(keys, key=lambda key: abs(found[key]))
        found[largest] += exact - sum(found[key] for key in keys)
    shown = rounded(exact)
    wholes: dict[Key, list[Key]] = defaultdict(list)
    for key in keys:
        wholes[whole_of(key)].append(key)
    amounts = {whole: sum((found[key] for key in own), Fraction(0)) for whole, own in wholes.items()}
    of_wholes = apportion(shown, list(amounts.values())) if keys else []
    whole_units: dict[Key, int] = {}
    for own, units in zip(wholes.values(), of_wholes, strict=True):
        whole_units |= zip(own, apportion(units, [found[key] for key in own]), strict=True)
    return Landed(exact, shown, tuple(Part(key, found[key], whole_units[key], ()) for key in keys))


def together(landed: Landed, listed: Whole) -> Landed:
    """The same places listed with fewer names: each is the sum of those it stands for, in whole minor units too."""
    found: dict[Key, list[Part]] = defaultdict(list)
    for part in landed.parts:
        found[listed(part.key)].append(part)
    parts = (
        Part(key, sum((part.exact for part in own), Fraction(0)), sum(part.shown for part in own), ())
        for key, own in sorted(found.items())
    )
    return Landed(landed.exact, landed.shown, tuple(parts))
