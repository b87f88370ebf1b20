"""Breeders' own cost as a lasting cost: it goes to their brood in equal parts each day of their breeding life.

Each (lot, stage) keeps the parts not yet used up as grid steps a day, by the day they end (the first day after the
life); the lot keeps their sum, which flows to its brood pool. What leaves takes its part of what is left.
"""

from __future__ import annotations

from operator import add, sub

_NEVER = 10**9

Parts = dict[int, list[int]]
"""Steps a day, by end."""


class Flow:
    """What all breeders of a lot give to their brood each day."""

    __slots__ = ("day", "next_end", "parts", "rate")

    def __init__(self, width: int, day: int) -> None:
        self.day = day
        """The days before it are used up."""
        self.parts: Parts = {}
        self.next_end = _NEVER
        self.rate = [0] * width
        """Steps a day by category, of all parts."""

    def change(self, end: int, rate: list[int]) -> None:
        """Let more flow until `end`, or less."""
        have = self.parts.get(end)
        self.parts[end] = list(map(add, have, rate)) if have else rate
        self.next_end = min(self.next_end, end)
        self.rate = list(map(add, self.rate, rate))

    def release(self, day: int, brood: list[int]) -> list[int]:
        """What is in the brood pool once the days before `day` are used up."""
        while self.day < day:
            until = min(day, self.next_end)
            days = until - self.day
            brood = [amount + each * days for amount, each in zip(brood, self.rate, strict=True)]
            self.day = until
            if until == self.next_end:
                self.rate = list(map(sub, self.rate, self.parts.pop(until)))
                self.next_end = min(self.parts, default=_NEVER)
        return brood


def per_day(amounts: list[int], days: int) -> tuple[list[int], list[int]]:
    """Steps a day of an amount, and the steps that do not divide."""
    rate = [amount // days for amount in amounts]
    return rate, [amount - each * days for amount, each in zip(amounts, rate, strict=True)]


def left(parts: Parts, width: int, day: int) -> list[int]:
    """What is not used up at the start of `day`, in `width` amounts."""
    total = [0] * width
    for end, rate in parts.items():
        if end > day:
            total = [have + each * (end - day) for have, each in zip(total, rate, strict=True)]
    return total


def up_to(balance: list[int], wanted: list[int]) -> list[int]:
    """The part of a balance that comes to the amounts wanted by category, or to all there is of one if that is less.

    A balance that keeps stages apart gives in proportion to what accrued at each.
    """
    width = len(wanted)
    part = [0] * len(balance)
    for place, want in enumerate(wanted):
        have = sum(balance[place::width])
        give = min(want, have)
        if give <= 0:
            continue
        running = given = 0
        for at in range(place, len(balance), width):
            running += balance[at]
            part[at] = running * give // have - given
            given += part[at]
    return part
