"""What an explanation is, for a reader: rows with names, ready to be written as text, JSON or CSV. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ledger.costs.explain.parts import Key


@dataclass(frozen=True, slots=True)
class Line:
    """One part of a figure."""

    kind: str
    """What sort of part it is: category, month, stage, cost, came with, losses ..."""
    name: str
    about: str
    """What it is, where the name does not say it all."""
    exact: Fraction
    """Minor units."""
    shown: int
    """Whole minor units; those of all lines sum to the figure."""
    in_all: int
    """The same for all reared adults together; of two lots compared for a hundred; else as `shown`."""
    categories: tuple[tuple[str, Fraction], ...]
    """What it is made of by category."""
    cost: int | None = None
    """The cost entry behind it."""
    movement: int | None = None
    """The movement behind it."""
    lot: str = ""
    """The lot it is about."""
    sale: str = ""
    """Number of the sale it went with."""
    key: Key | None = None
    """By what it is cut out of the figure, to be taken apart itself."""


@dataclass(frozen=True, slots=True)
class Other:
    """A lot that another can be compared with."""

    lot: str
    each: Fraction
    """Cost per reared adult, minor units."""
    shown: int
    """Whole minor units."""
    reared: int


@dataclass(frozen=True, slots=True)
class Answer:
    """A figure and its parts."""

    about: str
    """What was asked about: 'lot P11'."""
    figure: str
    """What the figure is: 'cost per reared adult'."""
    exact: Fraction
    shown: int
    in_all: int
    """For all reared adults together; for any other figure as `shown`."""
    number: int | None
    """Reared adults the cost was divided by."""
    by: str
    """What it was taken apart by."""
    axes: tuple[str, ...]
    """By what it can be taken apart."""
    lines: tuple[Line, ...]
    notes: tuple[str, ...]
    asked: str = ""
    """Of a lot: which of its figures this is."""
    figures: tuple[str, ...] = ()
    """Of a lot: which figures it has that are not nothing."""
    others: tuple[Other, ...] = ()
    """Of a lot with a cost per reared adult: lots it can be compared with."""
    no_each: str = ""
    """Of a lot without a cost per reared adult: why it has none."""


@dataclass(frozen=True, slots=True)
class LotSide:
    """One of two lots. Amounts in minor units each; exact."""

    lot: str
    each: Fraction
    shown: int
    reared: int
    lost: int
    came_with: Fraction
    """What each that was reared or lost had cost when it came."""
    spent: Fraction
    """What was then spent on each."""
    bears: Fraction
    """Reared or lost animals whose cost one reared adult carries."""


@dataclass(frozen=True, slots=True)
class Versus:
    """Two lots side by side; each list of lines sums to the difference."""

    one: LotSide
    other: LotSide
    exact: Fraction
    """One less the other."""
    shown: int
    for_a_hundred: int
    """The difference on a hundred reared adults, in minor units."""
    causes: tuple[Line, ...]
    by_category: tuple[Line, ...]
    by_stage: tuple[Line, ...]
    notes: tuple[str, ...]
