"""Amounts of all cost categories in one whole number, so that one addition or multiplication serves them all.

Each amount has a lane of bits of its own; amounts may be below nought, as long as the sum of lanes is read by `apart`.
Adding, subtracting and multiplying by a whole number need nothing special; sharing out does, and is here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

_PRECISION = 112
"""Bits of a fraction in `share`; as many as an amount may have, so that a share is at most one step beside."""

LANE = 2 * _PRECISION + 1
"""Bits of one amount."""

LARGEST = 1 << _PRECISION
"""Amounts must lie below this, either side of nought."""

_HALF = 1 << (LANE - 1)
_WHOLE = (1 << LANE) - 1


class Vector:
    """How to put `width` amounts into one number and take them out again."""

    __slots__ = ("_half", "_keep", "_lifted", "width")

    def __init__(self, width: int) -> None:
        self.width = width
        ones = sum(1 << LANE * place for place in range(width))
        self._half = ones * _HALF
        self._keep = ones * ((1 << (LANE - _PRECISION)) - 1)
        self._lifted = ones << (LANE - 1 - _PRECISION)

    def together(self, amounts: Sequence[int]) -> int:
        """One number of `width` amounts."""
        return sum(amount << LANE * place for place, amount in enumerate(amounts))

    def apart(self, amounts: int) -> list[int]:
        """The `width` amounts in a number."""
        lifted = amounts + self._half
        out = []
        for _ in range(self.width):
            out.append((lifted & _WHOLE) - _HALF)
            lifted >>= LANE
        return out

    def share(self, amounts: int, numerator: int, denominator: int) -> int:
        """A share of each amount, 0 <= numerator <= denominator.

        Rounded down; exactly so for amounts from nought up to LARGEST / denominator, else at most one step beside it.
        """
        if numerator == denominator or not amounts:
            return amounts
        # The fraction is rounded up, so that what divides comes out even. Lanes are lifted above nought, multiplied,
        # and cut off below; what of a lane slides into the next one is masked away.
        fraction = -((-numerator << _PRECISION) // denominator)
        return (((amounts * fraction + self._half) >> _PRECISION) & self._keep) - self._lifted

    def folded(self, amounts: int, times: int) -> int:
        """Sum of `times` such numbers that lie behind each other in one."""
        lifted = amounts + sum(self._half << LANE * self.width * place for place in range(times))
        whole = (1 << LANE * self.width) - 1
        total = 0
        for _ in range(times):
            total += (lifted & whole) - self._half
            lifted >>= LANE * self.width
        return total


class Lanes:
    """Some of the amounts of a wide number as a number of their own, and back."""

    __slots__ = ("_lift", "_narrow", "_places")

    def __init__(self, places: Sequence[int], width: int) -> None:
        """Args: places in the wide number of those amounts, in order; amounts in the wide number."""
        self._places = tuple(places)
        self._narrow = Vector(len(places))
        self._lift = sum(_HALF << LANE * place for place in range(width))

    def take(self, amounts: int) -> int:
        """Those amounts by themselves."""
        if not amounts:
            return 0
        lifted = amounts + self._lift
        out = 0
        for at, place in enumerate(self._places):
            out += ((lifted >> LANE * place & _WHOLE) - _HALF) << LANE * at
        return out

    def put(self, amounts: int, few: int) -> int:
        """The wide number with `few` in place of those amounts; all others are as they were."""
        there = self.take(amounts)
        if there == few:
            return amounts
        if len(self._places) == 1:
            return amounts + ((few - there) << LANE * self._places[0])
        return amounts + self._spread(few) - self._spread(there)

    def _spread(self, few: int) -> int:
        return sum(amount << LANE * place for place, amount in zip(self._places, self._narrow.apart(few), strict=True))


@dataclass(frozen=True)
class Cut:
    """Some categories cut out of all, in amounts by category and in those that keep stages apart."""

    columns: tuple[int, ...]
    """Their places among all."""
    width: int
    """How many there are in all."""
    stages: int

    @cached_property
    def by_category(self) -> Lanes:
        """Of amounts by category."""
        return Lanes(self.columns, self.width)

    @cached_property
    def whole(self) -> Lanes:
        """Of amounts by stage and category."""
        places = [stage * self.width + column for stage in range(self.stages) for column in self.columns]
        return Lanes(places, self.width * self.stages)
