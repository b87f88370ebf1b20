"""Breeders' own cost as a lasting cost: it goes to their brood in equal parts each day of their breeding life.

Each (lot, stage) keeps the parts not yet used up as grid steps a day, by the day they end (the first day after the
life); the lot keeps their sum, which flows to its brood pool. Steps are vectors. Knows no animals.
"""

from __future__ import annotations

from ledger.costs.vector import Lanes

_NEVER = 10**9

Parts = dict[int, int]
"""Steps a day, by end."""


class Flow:
    """What all breeders of a lot give to their brood each day."""

    __slots__ = ("day", "next_end", "parts", "rate")

    def __init__(self, day: int) -> None:
        self.day = day
        """The days before it are used up."""
        self.parts: Parts = {}
        self.next_end = _NEVER
        self.rate = 0
        """Steps a day by category, of all parts."""

    def copy(self) -> Flow:
        """The same, to go on by itself."""
        other = Flow(self.day)
        other.parts, other.next_end, other.rate = dict(self.parts), self.next_end, self.rate
        return other

    @classmethod
    def of(cls, day: int, parts: Parts) -> Flow:
        """One of parts that have not ended."""
        flow = cls(day)
        flow.parts, flow.next_end, flow.rate = parts, min(parts, default=_NEVER), sum(parts.values())
        return flow

    def change(self, end: int, rate: int) -> None:
        """Let more flow until `end`, or less."""
        self.parts[end] = self.parts.get(end, 0) + rate
        self.next_end = min(self.next_end, end)
        self.rate += rate

    def release(self, day: int) -> int:
        """Steps by category that are used up in the days before `day`."""
        out = 0
        while self.day < day:
            until = min(day, self.next_end)
            out += self.rate * (until - self.day)
            self.day = until
            if until == self.next_end:
                self.rate -= self.parts.pop(until)
                self.next_end = min(self.parts, default=_NEVER)
        return out


def left(parts: Parts, day: int) -> int:
    """What is not used up at the start of `day`."""
    return sum(rate * (end - day) for end, rate in parts.items() if end > day)


def cut_out(parts: Parts, lanes: Lanes) -> Parts:
    """Some categories of parts."""
    return {end: lanes.take(rate) for end, rate in parts.items()}


def cut_out_flow(flow: Flow | None, lanes: Lanes) -> Flow | None:
    """Some categories of a flow."""
    return flow and Flow.of(flow.day, cut_out(flow.parts, lanes))


def mended(parts: Parts, few: Parts, lanes: Lanes) -> Parts:
    """Parts with some categories as they are in `few`; the days they end may be others."""
    return {end: lanes.put(parts.get(end, 0), few.get(end, 0)) for end in parts | few}


def mended_flow(flow: Flow | None, few: Flow | None, lanes: Lanes) -> Flow | None:
    """The same of flows; both are used up to the same day."""
    if flow is None and few is None:
        return None
    day = flow.day if flow is not None else few.day if few is not None else 0
    return Flow.of(day, mended(flow.parts if flow else {}, few.parts if few else {}, lanes))


def up_to(balance: list[int], wanted: list[int]) -> list[int]:
    """The part of a balance that comes to the amounts wanted by category, or to all there is of one if that is less.

    A balance that keeps stages apart (`wanted` for each stage, one after the other) gives in proportion to what
    accrued at each.
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
