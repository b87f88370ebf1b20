"""Breeders' own cost as a lasting cost: it goes to their brood in equal parts each day of their breeding life.

Owns the parts not yet used up of one (lot, stage), by the day they end. What leaves takes its part of what is left.
"""

from __future__ import annotations

from operator import add, sub


class Lasting:
    """Parts of the breeders' own cost, each used up by its own day."""

    __slots__ = ("parts",)

    def __init__(self) -> None:
        self.parts: dict[int, tuple[int, list[int], list[int]]] = {}
        """By end (the first day after the life): start, grid steps at the start, grid steps used up since."""

    def put(self, amounts: list[int], day: int, end: int) -> None:
        """Add a cost on `day`, up to which all parts were released, to be used up by `end`."""
        _, at_start, used = self.parts.get(end, (day, [0] * len(amounts), [0] * len(amounts)))
        left = map(sub, at_start, used)
        self.parts[end] = (day, list(map(add, left, amounts)), [0] * len(amounts))

    def release(self, day: int, width: int) -> list[int]:
        """Use up the days before `day`; returns the grid steps by category (amounts hold `width` for each stage)."""
        out = [0] * width
        for end, (start, at_start, used) in list(self.parts.items()):
            days, life = min(day, end) - start, end - start
            now = [amount * days // life for amount in at_start]
            for place, (newly, before) in enumerate(zip(now, used, strict=True)):
                out[place % width] += newly - before
            if day >= end:
                del self.parts[end]
            else:
                self.parts[end] = (start, at_start, now)
        return out

    def take(self, numerator: int, denominator: int, day: int) -> list[tuple[int, list[int]]]:
        """Take a share of what is left out; returns (end, grid steps) of each part taken."""
        taken = []
        for end, (_, at_start, used) in list(self.parts.items()):
            left = list(map(sub, at_start, used))
            part = [amount * numerator // denominator for amount in left]
            taken.append((end, part))
            if numerator == denominator:
                del self.parts[end]
            else:
                self.parts[end] = (day, list(map(sub, left, part)), [0] * len(left))
        return taken

    def take_up_to(self, wanted: list[int], day: int) -> list[int]:
        """Take amounts by category out, as far as they are there, from the parts that end first."""
        width = len(wanted)
        taken: list[int] = []
        for end in sorted(self.parts):
            _, at_start, used = self.parts[end]
            left = list(map(sub, at_start, used))
            part = up_to(left, wanted)
            wanted = [want - sum(part[place::width]) for place, want in enumerate(wanted)]
            taken = list(map(add, taken, part)) if taken else part
            self.parts[end] = (day, list(map(sub, left, part)), [0] * len(left))
        return taken

    def left(self, width: int) -> list[int]:
        """What is not used up, in `width` amounts."""
        total = [0] * width
        for _, at_start, used in self.parts.values():
            total = [have + amount - gone for have, amount, gone in zip(total, at_start, used, strict=True)]
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
