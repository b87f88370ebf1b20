"""Over which days a cost is used up, given what became of it: finished early or late, refunded, disposed of.

Pure. Each accounting year gets whole minor units of a cost (by days, rounded cumulatively, half-even), so that what a
closed year took never changes by a fraction: a later change spreads only what the closed years left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ledger.money import round_half_even

GUESS_DAYS = 30
"""How long something lasts when none of its kind was finished yet (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Part:
    """An amount used up in equal parts from one day to another (ordinals, inclusive), within one accounting year."""

    first: int
    last: int
    amount: int


@dataclass(frozen=True, slots=True)
class Change:
    """Something that changed over which days, or how much of, a cost is used up."""

    locked: int
    """Last day of the years that were closed when it was recorded; 0 if none was."""
    last: int | None = None
    """New last day."""
    less: int = 0
    """Business part of a refund."""
    stops: bool = False
    """Disposed of on `last`: what is left is not used up by any animal."""
    on: int = 0
    """Day it is accounted on; a refund of something used up long ago falls on it."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A cost over its days."""

    parts: tuple[Part, ...]
    stranded: int = 0
    """What was not used up when the thing was disposed of (without its residual value)."""


def spread(first: int, last: int, amount: int, year_ends: Sequence[int], changes: Sequence[Change] = ()) -> Spread:
    """Parts of a cost by accounting year.

    Args:
        first, last: ordinals of the first and last day, inclusive.
        amount: minor units.
        year_ends: ordinals of the last days of the accounting years, in order, from before `first` to beyond `last`.
        changes: in the order they were recorded.

    Returns:
        Parts in order of days; their amounts and `stranded` sum to `amount` less refunds.
    """
    result = Spread(_by_year(first, last, amount, year_ends))
    total = amount
    for change in changes:
        total -= change.less
        locked = tuple(_up_to(result.parts, change.locked))
        taken = sum(part.amount for part in locked)
        begin = max(first, change.locked + 1)
        last = last if change.last is None else change.last
        if result.stranded:
            result = replace(result, stranded=result.stranded - change.less)
        elif change.stops:
            used = [cut for part in _by_year_after(locked, begin, result.parts) if (cut := _until(part, last)).amount]
            kept = (*locked, *used)
            result = Spread(kept, total - sum(part.amount for part in kept))
        elif last < begin:
            rest = total - taken
            day = max(change.on, begin)
            result = Spread((*locked, Part(day, day, rest)) if rest else locked)
        else:
            result = Spread((*locked, *_by_year(begin, last, total - taken, year_ends)))
    return result


def _by_year(first: int, last: int, amount: int, year_ends: Sequence[int]) -> tuple[Part, ...]:
    days = last - first + 1
    parts = []
    given = 0
    start = first
    for end in [day for day in year_ends if first <= day < last] + [last]:
        upto = round_half_even(amount * (end - first + 1), days)
        if upto != given:
            parts.append(Part(start, end, upto - given))
        given = upto
        start = end + 1
    return tuple(parts)


def _up_to(parts: Sequence[Part], day: int) -> list[Part]:
    """Parts of closed years; a closing always falls on the end of a part's year."""
    return [part for part in parts if part.first <= day]


def _by_year_after(locked: Sequence[Part], begin: int, parts: Sequence[Part]) -> list[Part]:
    return [part for part in parts if part not in locked and part.last >= begin]


def _until(part: Part, last: int) -> Part:
    """What a part has used up by the end of a day, in whole minor units."""
    if last >= part.last:
        return part
    days = max(0, last - part.first + 1)
    used = round_half_even(part.amount * days, part.last - part.first + 1)
    return Part(part.first, max(part.first, last), used)
