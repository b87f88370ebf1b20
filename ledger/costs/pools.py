"""Costs on their way to the animals: for each scope the running cost of one unit present since the start.

A unit is a weighted animal, or a tub. A pool is advanced in closed form from one touched day to the next, so its work
does not grow with days or lots. What does not divide waits for the next advance. Knows units and costs, not stages.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

from ledger.costs.given import LotInfo, Scope
from ledger.costs.undo import Undo
from ledger.costs.vector import LANE, Cut


class Stretch:
    """Days over which a cost is used up in equal parts."""

    __slots__ = ("daily", "first", "last", "over", "place")

    def __init__(self, place: int, daily: int, over: int, first: int, last: int) -> None:
        """Args: place of the category, grid steps each day, grid steps more on the first day, first and last day."""
        self.place, self.daily, self.over, self.first, self.last = place, daily, over, first, last


Change = tuple[int, int, int, int]
"""Day, category, change of the daily rate, and what does not divide by the days and falls on the first."""


def _changes(one: Stretch) -> tuple[Change, Change]:
    return (one.first, one.place, one.daily, one.over), (one.last + 1, one.place, -one.daily, 0)


class Pool:
    """The costs of one scope."""

    __slots__ = (
        "active", "bundles", "changes", "costs", "day", "idle", "next_change", "rate", "rest", "saved", "spells",
        "undo",
    )  # fmt: skip

    def __init__(self, width: int, undo: Undo) -> None:
        """Args: number of categories, and where to keep what it was like."""
        self.undo = undo
        self.saved = 0
        self.bundles: list[Bundle] = []
        """Those it is in: their units are the ones in the scope."""
        self.costs = 0
        """Grid steps that one unit present from the start would have taken, a vector by category."""
        self.rest = [0] * width
        """Grid steps released and not shared, by category; fewer than there are units."""
        self.rate = [0] * width
        """Grid steps released each day, by category."""
        self.active: list[int] = []
        """Categories with a daily rate."""
        self.idle = [0] * width
        """Released while there was nobody to carry it, and not yet posted."""
        self.spells: list[list[tuple[int, int, int]]] = [[] for _ in range(width)]
        """Times without animals by category: first and last day, grid steps; a time may be in several parts."""
        self.changes: list[Change] = []
        self.next_change = 0
        self.day = 0
        """Everything before this day is released, and nothing of this day or later."""

    def plan(self, stretches: Sequence[Stretch]) -> None:
        """Say all that it is to release."""
        self.changes = sorted(change for one in stretches for change in _changes(one))

    def release(self, stretch: Stretch) -> None:
        """Say more that it is to release; what of it lies before today counts as released."""
        for change in _changes(stretch):
            insort(self.changes, change)
        self._find_next()

    def release_no_longer(self, stretch: Stretch) -> None:
        """Take back what it was to release."""
        for change in _changes(stretch):
            del self.changes[bisect_left(self.changes, change)]
        self._find_next()

    def image(self) -> tuple[Any, ...]:
        return (
            self.costs, self.rest[:], self.rate[:], self.active, self.idle[:],
            [len(of_category) for of_category in self.spells], self.day,
        )  # fmt: skip

    def restore(self, image: tuple[Any, ...]) -> None:
        self.costs, rest, rate, self.active, idle, spells, self.day = image
        self.rest, self.rate, self.idle = rest[:], rate[:], idle[:]
        for of_category, length in zip(self.spells, spells, strict=True):
            del of_category[length:]
        self._find_next()

    @property
    def is_empty(self) -> bool:
        """Whether nothing ever was in it, nor will be."""
        return not (self.costs or self.changes or any(self.rate) or any(self.rest) or any(self.idle))

    def few(self) -> tuple[Any, ...]:
        """The amounts in it, and the day."""
        spells = [len(of_category) for of_category in self.spells]
        return self.costs, self.rest[:], self.rate[:], self.idle[:], spells, self.day

    def mended(self, image: tuple[Any, ...], few: tuple[Any, ...], cut: Cut) -> tuple[Any, ...]:
        rest, rate, idle, spells = ([*image[place]] for place in (1, 2, 4, 5))
        costs, few_rest, few_rate, few_idle, few_spells, day = few
        for at, column in enumerate(cut.columns):
            rest[column], rate[column] = few_rest[at], few_rate[at]
            idle[column], spells[column] = few_idle[at], few_spells[at]
        active = [column for column, steps in enumerate(rate) if steps]
        return cut.by_category.put(image[0], costs), rest, rate, active, idle, spells, max(day, image[6])

    def be_part_of(self, other: Pool, image: tuple[Any, ...], cut: Cut) -> None:
        """Be like an image of a pool of all categories, with those cut out, and go on with what it has to release."""
        costs, rest, rate, _, idle, spells, self.day = image
        self.costs = cut.by_category.take(costs)
        self.rest, self.rate, self.idle = ([one[column] for column in cut.columns] for one in (rest, rate, idle))
        self.active = [at for at, steps in enumerate(self.rate) if steps]
        self.spells = [other.spells[column][: spells[column]] for column in cut.columns]
        places = {column: at for at, column in enumerate(cut.columns)}
        self.changes = [
            (day, places[column], daily, over)
            for day, column, daily, over in islice(other.changes, bisect_left(other.changes, (self.day,)), None)
            if column in places
        ]
        self.next_change = 0

    def _find_next(self) -> None:
        """The changes of the days before `day` are in the rates."""
        self.next_change = bisect_left(self.changes, (self.day,))

    def advance(self, day: int) -> None:
        """Release all costs of the days before `day`."""
        if self.saved != self.undo.serial:
            self.undo.keep(self)
        while self.day < day:
            until = self._change_rates(day)
            if self.active:
                self._release(until)
            self.day = until

    def take_idle(self) -> list[int]:
        """What was released while there was nobody to carry it, once."""
        if self.saved != self.undo.serial:
            self.undo.keep(self)
        idle, self.idle = self.idle, [0] * len(self.idle)
        return idle

    def _change_rates(self, day: int) -> int:
        """Apply the changes of today; returns the day of the next one, at most `day`."""
        changes, place = self.changes, self.next_change
        while place < len(changes) and changes[place][0] == self.day:
            _, category, daily, over = changes[place]
            self.rate[category] += daily
            self.rest[category] += over
            place += 1
        if place != self.next_change:
            self.next_change = place
            self.active = [category for category, rate in enumerate(self.rate) if rate]
        return min(day, changes[place][0]) if place < len(changes) else day

    def _release(self, until: int) -> None:
        days = until - self.day
        rest, rate = self.rest, self.rate
        units = sum([bundle.units for bundle in self.bundles])
        if units:
            for c in self.active:
                each, rest[c] = divmod(rate[c] * days + rest[c], units)
                self.costs += each << LANE * c
            return
        for c in self.active:
            amount = rate[c] * days + rest[c]
            rest[c] = 0
            if amount:
                self.idle[c] += amount
                self.spells[c].append((self.day, until - 1, amount))


class Bundle:
    """The pools that one lot takes part in, added up once a day for all lots that take part in the same."""

    __slots__ = ("costs", "day", "pools", "units")

    def __init__(self, pools: Sequence[Pool]) -> None:
        self.pools = tuple(pools)
        for pool in pools:
            pool.bundles.append(self)
        self.units = 0
        """By which the lots in it share."""
        self.day = -1
        self.costs = sum(pool.costs for pool in pools)
        """Grid steps for one unit, a vector by category."""

    def refresh(self, day: int) -> None:
        """Bring all its pools to `day`."""
        self.day = day
        costs = 0
        for pool in self.pools:
            if pool.day < day:
                pool.advance(day)
            costs += pool.costs
        if costs != self.costs:
            self.costs = costs


class Pools:
    """The pools of all scopes that share by one key, and which of them a lot takes part in."""

    def __init__(self, width: int, undo: Undo) -> None:
        self._width, self._undo = width, undo
        self.by_scope: dict[Scope, Pool] = {}
        self._everyone: list[Pool] = []
        self._homes: dict[str, dict[int, list[Pool]]] = {}
        self._bundles: dict[tuple[int, ...], Bundle] = {}
        self._of_lots: dict[tuple[int, bool], Bundle] = {}

    def plan(self, stretches: Mapping[Scope, Sequence[Stretch]]) -> None:
        """Say all that is to be released, by scope."""
        for scope, of_scope in stretches.items():
            self.by_scope[scope] = pool = Pool(self._width, self._undo)
            pool.plan(of_scope)
        self.sort()

    def add(self, scope: Scope) -> bool:
        """See that a scope has a pool; returns whether it is new: then lots must ask anew for their bundle."""
        if scope in self.by_scope:
            return False
        self.by_scope[scope] = pool = Pool(self._width, self._undo)
        self._undo.keep_in_all(pool)
        self.sort()
        return True

    def sort(self) -> None:
        """Find anew which lots take part in which: there are pools of other scopes than before."""
        self._of_lots = {}
        self._everyone = [pool for scope, pool in self.by_scope.items() if scope.kind == "all"]
        self._homes = {"species": {}, "lots": {}, "brood": {}, "nobody": {}}
        for scope, pool in self.by_scope.items():
            for owner in scope.ids if scope.kind != "all" else ():
                self._homes[scope.kind].setdefault(owner, []).append(pool)

    def bundle_of(self, lot_id: int, info: LotInfo, collects: bool) -> Bundle:
        """The pools a lot takes part in: all, its species, itself, and those for its brood while it breeds."""
        found = self._of_lots.get((lot_id, collects))
        if found is None:
            found = self._of_lots[lot_id, collects] = self._find(lot_id, info, collects)
        return found

    def _find(self, lot_id: int, info: LotInfo, collects: bool) -> Bundle:
        homes = self._homes
        pools = list(self._everyone)
        if homes:
            pools += homes["species"].get(info.species, ())
            pools += homes["lots"].get(lot_id, ())
            if collects:
                pools += homes["brood"].get(lot_id, ())
        return self.bundle_with(pools)

    def bundle_with(self, pools: Sequence[Pool]) -> Bundle:
        """The one of these pools, in this order."""
        key = tuple(map(id, pools))
        bundle = self._bundles.get(key)
        if bundle is None:
            bundle = self._bundles[key] = Bundle(pools)
        return bundle

    def bundles(self) -> Iterable[Bundle]:
        """All there are."""
        return self._bundles.values()

    def stale(self, *, and_units: bool = False) -> None:
        """Nothing added up before holds any more: the pools were restored; perhaps units too are to be added anew."""
        for bundle in self._bundles.values():
            bundle.day = -1
            if and_units:
                bundle.units = 0
