"""What the sharing of costs comes to: carried by whom, left with whom, written off, not used up; and that it adds up.

Plain rows. Amounts named `cost` are steps of the grid by category; amounts named `posted` are whole minor units by
category. Categories are those of `Shared.categories`, in that order.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain

from ledger.costs.grid import GRID, posted
from ledger.costs.vector import Vector

Amounts = tuple[int, ...]
"""One amount for each category."""


class Kind(StrEnum):
    """Where cost goes. The first four take it out of what is carried, the others are what is there at the end."""

    LEFT = "left"
    """With animals sold, given, used, gone back to their owner; negative when they come back."""
    WRITTEN_OFF = "written off"
    NO_ANIMALS = "no animals to carry it"
    BROOD_ENDED = "brood of breeders that ended"
    """Breeders' upkeep no young will carry: they ended or stopped, or upkeep is expensed as it arises."""
    ON_HAND = "on hand"
    BROOD = "brood"
    NOT_USED_UP = "not used up"


KINDS = {kind: place for place, kind in enumerate(Kind)}
_KIND_AT = list(Kind)


@dataclass(frozen=True, slots=True)
class Posting:
    """Cost that goes out, in the order it takes effect."""

    kind: Kind
    day: int
    event: int | None
    """The movement it goes with; `None` for cost without animals and brood that ended."""
    lot: int | None
    cost: Amounts
    posted: Amounts


class Postings:
    """All postings of a run; whole minor units are reckoned when the first row is read, a row when it is."""

    __slots__ = ("_cost", "_day", "_event", "_kind", "_lot", "_posted", "_vector")

    def __init__(
        self,
        kind: bytearray,
        day: array[int],
        event: array[int],
        lot: array[int],
        cost: list[int],
        vector: Vector,
    ) -> None:
        """Args: one item a row (-1: none), `cost` as vectors."""
        self._kind, self._day, self._event, self._lot = kind, day, event, lot
        self._cost, self._vector = cost, vector
        self._posted: array[int] | None = None

    def __len__(self) -> int:
        return len(self._cost)

    def __getitem__(self, place: int) -> Posting:
        if self._posted is None:
            self._posted = posted(map(self._vector.apart, self._cost), self._vector.width)
        event, lot = self._event[place], self._lot[place]
        width = self._vector.width
        row = range(len(self._cost))[place] * width
        return Posting(
            _KIND_AT[self._kind[place]],
            self._day[place],
            None if event < 0 else event,
            None if lot < 0 else lot,
            tuple(self._vector.apart(self._cost[place])),
            tuple(self._posted[row : row + width]),
        )

    def __iter__(self) -> Iterator[Posting]:
        return (self[place] for place in range(len(self._cost)))

    def of(self, kind: Kind) -> Iterator[tuple[int | None, int | None, Amounts]]:
        """Lot, movement and cost of each row of a kind; the others are not looked at, and no minor units reckoned."""
        wanted = KINDS[kind]
        for place, found in enumerate(self._kind):
            if found == wanted:
                lot, event = self._lot[place], self._event[place]
                cost = tuple(self._vector.apart(self._cost[place]))
                yield None if lot < 0 else lot, None if event < 0 else event, cost


@dataclass(frozen=True, slots=True)
class BucketCost:
    """The animals of one lot and stage at the end, with their cost so far."""

    lot: int
    stage: int
    count: int
    units: int
    """Weighted animals, in thousandths, by which it shares costs."""
    cost: Amounts
    by_stage: tuple[Amounts, ...]
    """The same by the stage it accrued at; empty when not asked for."""
    entrants: int
    """Thousandths of an animal, as the next four."""
    early_exits: int
    expected_used: int
    allowed: int | None
    """Deaths to be expected by the loss rate of the stage; `None` without one."""

    @property
    def better_than_expected(self) -> int:
        """Expected deaths that did not happen, in thousandths, once the stage is empty: a memo, never a gain."""
        if self.allowed is None or self.count:
            return 0
        return max(self.allowed - self.expected_used, 0)


@dataclass(frozen=True, slots=True)
class Closing:
    """A line of what is there at the end: animals on hand, a brood pool, or a cost not used up."""

    kind: Kind
    lot: int | None
    stage: int | None
    cost_line: int | None
    """`CostLine.id`; `None` with NOT_USED_UP for what is too small to be shared yet."""
    cost: Amounts
    posted: Amounts


@dataclass(frozen=True, slots=True)
class Reached:
    """Animals of a lot that moved into the reared stage on one day, and the cost that moved with them."""

    lot: int
    day: int
    count: int
    """Negative when taken back."""
    cost: Amounts
    by_stage: tuple[Amounts, ...]
    """The same by the stage it accrued at; empty when not asked for."""


@dataclass(frozen=True, slots=True)
class NoAnimals:
    """Days on which a cost had no animals to carry it."""

    kind: str
    """Kind of its scope, and the species or lots of it."""
    ids: frozenset[int]
    category: str
    first: int
    last: int
    cost: int


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the account of all cost."""

    cost: Amounts
    posted: Amounts


@dataclass(frozen=True, slots=True)
class Shared:
    """All cost up to and including one day."""

    until: int
    categories: tuple[str, ...]
    came_in: Amounts
    """Minor units: the cost lines given and the price of animals bought by then."""
    buckets: tuple[BucketCost, ...]
    postings: Postings
    closing: tuple[Closing, ...]
    reached: tuple[Reached, ...]
    no_animals: tuple[NoAnimals, ...]
    not_known: frozenset[int]
    """Lots with opening stock: part of their cost is not known."""
    mixed: frozenset[int]
    """Lots that took in animals of such lots."""
    mothers_not_known: frozenset[int]
    """Lots of young whose mothers' own cost is not known."""
    settlements: int
    """Times a bucket took its share of costs while the journal was played."""

    def account(self) -> dict[Kind, Line]:
        """Where all cost is: every kind with its sum, exact and posted."""
        cost = {kind: [0] * len(self.categories) for kind in Kind}
        posted = {kind: [0] * len(self.categories) for kind in Kind}
        rows: Iterable[Posting | Closing] = chain(self.postings, self.closing)
        for row in rows:
            for place, (exact, whole) in enumerate(zip(row.cost, row.posted, strict=True)):
                cost[row.kind][place] += exact
                posted[row.kind][place] += whole
        return {kind: Line(tuple(cost[kind]), tuple(posted[kind])) for kind in Kind}

    def adds_up(self) -> bool:
        """Whether all that came in is accounted for, by category, on the grid and in minor units."""
        lines = self.account().values()
        exact = tuple(sum(column) for column in zip(*(line.cost for line in lines), strict=True))
        whole = tuple(sum(column) for column in zip(*(line.posted for line in lines), strict=True))
        return whole == self.came_in and exact == tuple(amount * GRID for amount in self.came_in)

    def written_off(self) -> dict[int, Line]:
        """By lot, the losses beyond what was expected."""
        found: dict[int, Line] = {}
        for row in self.postings:
            if row.kind is Kind.WRITTEN_OFF and row.lot is not None:
                line = found.get(row.lot, Line((0,) * len(row.cost), (0,) * len(row.cost)))
                found[row.lot] = Line(
                    tuple(a + b for a, b in zip(line.cost, row.cost, strict=True)),
                    tuple(a + b for a, b in zip(line.posted, row.posted, strict=True)),
                )
        return found
