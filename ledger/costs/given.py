"""What the sharing engine is given besides the movements: costs with their windows, lots, and figures of method.

Plain values; the rows come from the records. Days are proleptic ordinals (`date.toordinal`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

ANIMALS = "animals"
"""Category of the price of animals bought."""

Dated = int | tuple[tuple[int, int], ...]
"""One figure for all days, or (from day, figure) rows in order; before the first row the default counts."""

StageFigures = Mapping[tuple[int, int], Dated]
"""By (species, position of the stage)."""

FULL_WEIGHT = 1000
"""Care weight of one animal, in thousandths, where none is set."""

Key = Literal["animal-days", "tub-days"]
"""What a cost is shared by: animals by care weight, or the tubs they are in."""

ANIMAL_DAYS: Key = "animal-days"
TUB_DAYS: Key = "tub-days"

SharingKeys = Mapping[str, Sequence[tuple[int, Key]]]
"""By category, (from day, key) rows in order; before the first row animal-days count."""


@dataclass(frozen=True, slots=True)
class Scope:
    """The animals a cost is for."""

    kind: Literal["all", "species", "lots", "brood", "nobody"]
    """brood: the young of the lots named, so it goes to their brood pools while they breed; nobody: no animals."""
    ids: frozenset[int] = frozenset()
    """Species or lots; empty for all and for nobody."""


EVERYONE = Scope("all")
NOBODY = Scope("nobody")


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
    keys: tuple[tuple[int, Key], ...] = ()
    """(From day, key) rows in order: what it is shared by; before the first row, animal-days."""
    care: str = ""
    """Name of the care weights it has of its own; for a stage they do not name the general ones count."""


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
    breeding_life_days: Dated | None = None
    """Days over which the breeders' own cost goes to their brood, from the day they start; `None`: it does not."""
    brood_share: Dated | None = None
    """Weight of this clutch beside others of the same mothers on the same day; `None`: its count."""
    containers: Dated = 1
    """Containers that the animals without a tub label of their own are in."""


@dataclass(frozen=True, slots=True)
class Given:
    """All that the sharing of costs is given besides the movements."""

    costs: Sequence[CostLine]
    """Any order. Those that start after the last day are not used up."""
    lots: Mapping[int, LotInfo]
    """Every lot the movements or the mothers name."""
    weights: StageFigures
    """Care weights in thousandths; 1000 where none is set."""
    losses: StageFigures
    """Expected losses in millionths of the entrants of a stage; none where none is set."""
    reared: Mapping[int, int]
    """By species, the position of the reared stage."""
    specimens: frozenset[tuple[int, int]]
    """(species, stage) of dried specimens: they bear no cost and breed nothing."""
    cuts: frozenset[int]
    """Days at whose end cost without animals is posted."""
    care: Mapping[str, StageFigures]
    """Care weights that some costs have of their own, by name (`CostLine.care`)."""
    by_stage: bool
    """Whether to keep apart at which stage cost accrued."""
    stages: int
    """How many stages there are to keep apart; 1 when they are not."""
    to_offspring: Dated
    """1 where breeders' upkeep goes to their young, as before the first row; else it is expensed at each cut and the
    end."""

    @property
    def categories(self) -> tuple[str, ...]:
        """Categories of all costs and of animals bought, in order."""
        return tuple(sorted({line.category for line in self.costs} | {ANIMALS}))


def with_method(costs: Sequence[CostLine], keys: SharingKeys, care: Mapping[str, StageFigures]) -> Sequence[CostLine]:
    """Costs that say by what they are shared, as their category has it; those that say so themselves keep it."""
    if not keys and not care:
        return costs
    return [
        replace(
            line,
            keys=line.keys or tuple(keys.get(line.category, ())),
            care=line.care or (line.category if line.category in care else ""),
        )
        if line.category in keys or line.category in care
        else line
        for line in costs
    ]


def values_of(figure: Dated | None) -> tuple[int, ...]:
    """Every value a dated figure ever has."""
    if figure is None or isinstance(figure, int):
        return () if figure is None else (figure,)
    return tuple(value for _, value in figure)


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
