"""Parts of a figure that sum to it: exactly, and in whole minor units by the largest remainder (Hamilton).

Pure arithmetic. Knows neither what the figure is nor where its parts come from.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from ledger.money import round_half_even
from ledger.wording import say

K = TypeVar("K", bound=Hashable)

NEAR = Fraction(1, 1000)
"""Minor units by which reckoned parts may miss their figure: steps of the grid, and months cut to millionths."""

FINEST = 10**6
"""Parts of a minor unit to which a figure is known: what is below came of steps of the grid that did not divide."""

CRUMB = NEAR / 10**6
"""Minor units that are no part of their own: steps of the grid that did not divide."""


class NotExplained(Exception):
    """The parts do not add up to the figure: a fault of the program, never shown as an explanation."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a figure."""

    key: Key
    exact: Fraction
    """Minor units."""
    shown: int
    """Whole minor units; those of all parts sum to the figure shown."""
    categories: tuple[tuple[str, Fraction], ...]
    """What the part is made of by category; sums to `exact`. Empty of a place that one cost went to."""


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """What a part is called by: a category, a month (2025-07), a stage (of the species in `name`), a cost ..."""

    kind: str
    name: str = ""
    number: int = 0


Cell = tuple[str, Key]
"""A category of a part."""

REST = Key("rest")
"""What moved when a movement of a closed year was taken back: it is sized by category, not by single costs."""

ROUNDING = Key("rounding")
"""A minor unit that is there by rounding alone."""


def apportion(total: int, exact: Sequence[Fraction]) -> list[int]:
    """Whole numbers near to the parts that sum to `total`.

    Args:
        total: what they must sum to; near to the sum of the parts (posting may leave it some units beside).
        exact: the parts, at least one.

    Returns:
        Each part rounded down, and what is left spread one by one from the largest fraction on, the first winning a
        tie; more than one unit each only where `total` is that far from the sum.
    """
    # Steps of the grid that did not divide must not decide a tie: two runs of the sharing differ in them.
    near = [Fraction(round(amount * FINEST), FINEST) for amount in exact]
    whole = [amount.numerator // amount.denominator for amount in near]
    each, over = divmod(total - sum(whole), len(whole))
    for place in sorted(range(len(whole)), key=lambda i: whole[i] - near[i])[:over]:
        whole[place] += 1
    return [amount + each for amount in whole]


def settle(total: Fraction, parts: Mapping[K, Fraction]) -> dict[K, Fraction]:
    """Let parts that miss their total by next to nothing sum to it; the largest takes what is missing.

    Raises:
        NotExplained: they miss it by more than `NEAR`.
    """
    missing = total - sum(parts.values(), Fraction(0))
    if abs(missing) > NEAR:
        raise NotExplained(say("the parts miss the figure by {missing} minor units", missing=f"{float(missing):.6f}"))
    settled = dict(parts)
    if missing:
        largest = max(settled, key=lambda key: abs(settled[key]))
        settled[largest] += missing
    return settled


def rounded(exact: Fraction) -> int:
    """Whole minor units, a half (within a millionth) to the even one."""
    return round_half_even(round(exact * FINEST), FINEST)


def for_each(total: Fraction, number: int) -> int:
    """Whole minor units for each of a number of animals, at least one, of what they cost together.

    Of the total in whole minor units, a half away from nought: as the workbook divides it, so that whoever divides the
    two figures shown finds the third.
    """
    whole = rounded(total)
    return (2 * abs(whole) + number) // (2 * number) * (-1 if whole < 0 else 1)
