"""What the sharing engine is given besides the movements: costs with their windows, lots, and figures of method.

Plain values; the rows come from the records. Days are proleptic ordinals (`date.toordinal`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

ANIMALS = "animals"
"""Category of the price of animals bought."""

Dated = int | tuple[tuple[int, int], ...]
"""One figure for all days, or (from day, figure) rows in order; before the first row the default counts."""

StageFigures = Mapping[tuple[int, int], Dated]
"""By (species, position of the stage)."""

FULL_WEIGHT = 1000
"""Care weight of one animal, in thousandths, where none is set."""


@dataclass(frozen=True, slots=True)
class Scope:
    """The animals a cost is for."""

    kind: Literal["all", "species", "lots", "brood"]
    """brood: the young of the lots named, so it goes to their brood pools while they breed."""
    ids: frozenset[int] = frozenset()
    """Species or lots; empty for all."""


EVERYONE = Scope("all")


@dataclass(frozen=True, slots=True)
class CostLine:
    """One cost and the days it is used up over, in equal parts each day.

    A cost whose window was changed while part of it was locked comes as several lines; a refund is a negative one.
    """

    id: int
    category: str
    amount: int
    """Minor units; of equipment what it cost less what it will still be worth."""
    first: int
    last: int
    """The last day, inclusive."""
    scope: Scope = EVERYONE


@dataclass(frozen=True, slots=True)
class LotInfo:
    """What the sharing of costs must know of a lot."""

    species: int
    mothers: tuple[int, ...] = ()
    """Lots whose brood pools young of this lot start with."""
    breeding: tuple[tuple[int, int | None], ...] = ()
    """First and last day (inclusive; `None`: still going on) of each time the lot bred, in order."""
    lent: bool = False
    """Lent to us: it never carries cost; its share of shared costs always goes to its brood pool."""
    breeding_life_days: int | None = None
    """Days over which the breeders' own cost goes to their brood, from the day they start; `None`: it does not."""
    brood_share: int | None = None
    """Weight of this clutch beside others of the same mothers on the same day; `None`: its count."""


def figure_on(figure: Dated | None, day: int, default: int | None) -> int | None:
    """The figure in force on `day`."""
    if figure is None or isinstance(figure, int):
        return default if figure is None else figure
    found = default
    for from_day, value in figure:
        if from_day > day:
            break
        found = value
    return found
