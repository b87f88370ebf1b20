"""A store at its average price: what was bought goes in, what is weighed out leaves at the average of what is there.

Pure. Weighted average perpetual (OpenStax, Principles of Accounting, volume 1, ch. 10): each purchase makes a new
average, a refund lowers it. Exact on the grid; in whole minor units by cumulative rounding, so that a store that is
empty has given out to the minor unit what was paid. Which purchase a taking is put down to changes no average: the
oldest first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ledger.costs.grid import GRID, rounded
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class In:
    """Bought: `quantity` in thousandths of the unit, `amount` in minor units."""

    cost: int
    quantity: int
    amount: int


@dataclass(frozen=True, slots=True)
class Back:
    """The supplier gave money back for a purchase."""

    cost: int
    amount: int


@dataclass(frozen=True, slots=True)
class Undone:
    """A purchase nothing was taken of since was taken back."""

    cost: int
    quantity: int
    amount: int


@dataclass(frozen=True, slots=True)
class Out:
    """Taken out: `quantity` in thousandths of the unit."""

    issue: int
    quantity: int


Move = In | Back | Undone | Out


class Lacking(Exception):
    """More is taken out than there is."""

    def __init__(self, place: int, there: int) -> None:
        super().__init__(say("move {place} takes more than {there}", place=place, there=there))
        self.place = place
        """Place of the move."""
        self.there = there
        """What there is, in thousandths."""


@dataclass(slots=True)
class Store:
    """A store while its moves are played, and as it stands after them."""

    quantity: int = 0
    """Thousandths of the unit."""
    value: int = 0
    """Steps of the grid."""
    rest: dict[int, int] = field(default_factory=dict)
    """By purchase, minor units that have not been given out."""
    exact: int = 0
    """Steps of the grid that the last taking came to."""
    _out: int = 0
    _posted: int = 0

    def play(self, move: Move) -> list[tuple[int, int]]:
        """Play one move.

        Returns:
            What leaves, as (purchase, minor units); of a refund what the store no longer holds, below nought.

        Raises:
            Lacking: there is not so much; the place is 0.
        """
        match move:
            case In(cost, quantity, amount):
                self.quantity += quantity
                self.value += amount * GRID
                self.rest[cost] = amount
            case Undone(cost, quantity, amount):
                if quantity > self.quantity:
                    raise Lacking(0, self.quantity)
                self.quantity -= quantity
                self.value -= amount * GRID
                self.rest[cost] -= amount
            case Back(cost, amount):
                held = min(self.value, amount * GRID)
                self.value -= held
                self.rest[cost] -= amount
                if held < amount * GRID:
                    return self._leave(held - amount * GRID, cost)
            case Out(_, quantity):
                if quantity > self.quantity:
                    raise Lacking(0, self.quantity)
                self.exact = self.value * quantity // self.quantity
                self.quantity -= quantity
                self.value -= self.exact
                return self._leave(self.exact, None)
        return []

    def _leave(self, exact: int, cost: int | None) -> list[tuple[int, int]]:
        self._out += exact
        whole = rounded(self._out) - self._posted
        self._posted += whole
        if cost is not None:
            self.rest[cost] -= whole
            return [(cost, whole)] if whole else []
        parts = []
        for number, rest in self.rest.items():
            give = min(rest, whole)
            if give:
                self.rest[number] -= give
                whole -= give
                parts.append((number, give))
        return parts


def played(moves: Iterable[Move]) -> tuple[Store, list[list[tuple[int, int]]]]:
    """A store after all its moves, and what left with each.

    Raises:
        Lacking: a move takes more than there is, and which.
    """
    store, left = Store(), []
    for place, move in enumerate(moves):
        try:
            left.append(store.play(move))
        except Lacking as lacking:
            raise Lacking(place, lacking.there) from None
    return store, left
