"""What happens to costs with the turn of a day, apart from movements: breeding starts and stops, weights change,
cost without animals is posted, and brood pools end with their breeders.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import zip_longest
from operator import itemgetter

from ledger.costs.differing import NEVER
from ledger.costs.given import Given, figure_on
from ledger.costs.movements import write_off
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import Lot

_CUT, _UPKEEP, _STOP, _LIFE, _START, _WEIGHT, _CONTAINERS = range(7)
_DAY = itemgetter(0)


class Turns:
    """The days on which something happens by itself."""

    def __init__(self, s: Sharing) -> None:
        self._s = s
        self._items: list[tuple[int, int, int, int]] = []
        self.done = 0
        """The last day whose turns have happened."""
        self.renew(s.given)

    def renew(self, given: Given) -> None:
        """Go on with what is given now; what has happened already must be the same as before."""
        self._items = _items(given)
        self.go_on_after(self.done)

    def first_other(self, given: Given) -> int:
        """The first day with other turns than before; there may be one that changes no figure, where it is set anew."""
        pairs = zip_longest(self._items, _items(given))
        return next((min(filter(None, pair))[0] for pair in pairs if pair[0] != pair[1]), NEVER)

    def go_on_after(self, day: int) -> None:
        """The turns up to a day have happened, and no others."""
        self.done = day
        self._next = bisect_right(self._items, day, key=_DAY)

    def start_day(self, day: int) -> None:
        """Do what is due up to the start of `day`, before its movements."""
        s, items = self._s, self._items
        while self._next < len(items) and items[self._next][0] <= day:
            s.day, kind, one, other = items[self._next]
            self._next += 1
            if kind == _CUT:
                cut(s)
            elif kind == _UPKEEP:
                _turn_upkeep(s)
            elif kind == _LIFE:
                _change_life(s, s.lots[one])
            elif kind == _STOP:
                _stop_breeding(s, s.lots[one])
            elif kind == _START:
                _start_breeding(s, s.lots[one])
            elif kind == _WEIGHT:
                _change_weight(s, one, other)
            else:
                _refit(s, s.lots[one])
        s.day = day
        self.done = max(self.done, day)


def _items(given: Given) -> list[tuple[int, int, int, int]]:
    """Every turn there is: day, kind, and what it is of."""
    items = [(day + 1, _CUT, 0, 0) for day in given.cuts]
    for number, info in given.lots.items():
        if info.breeding_life_days is not None and not isinstance(info.breeding_life_days, int):
            items.extend((day, _LIFE, number, 0) for day, _ in info.breeding_life_days)
        for first, last in () if info.lent else info.breeding:
            items.append((first, _START, number, 0))
            if last is not None:
                items.append((last + 1, _STOP, number, 0))
        if not isinstance(info.containers, int):
            items.extend((day, _CONTAINERS, number, 0) for day, _ in info.containers)
    if not isinstance(given.to_offspring, int):
        items.extend((day, _UPKEEP, 0, 0) for day, _ in given.to_offspring)
    for figures in (given.weights, *given.care.values()):
        for (species, stage), figure in figures.items():
            if not isinstance(figure, int):
                items.extend((day, _WEIGHT, species, stage) for day, _ in figure)
    return sorted(items)


def end_day(s: Sharing) -> None:
    """After the movements of a day: objects nothing hatched from, and breeders that are no more."""
    for event, (cost, bucket) in s.transit.items():
        write_off(s, event, bucket, s.by_category(cost))
    s.transit.clear()
    for lot in s.to_check:
        alive = any(bucket.count for bucket in lot.buckets.values() if bucket.living)
        if not (alive and lot.collects):
            _end_brood(s, lot, s.day)
    s.to_check.clear()
    s.young = None


def cut(s: Sharing) -> None:
    """At the start of today: post the cost that had no animals until now, and upkeep that is expensed as it arises."""
    idle = [0] * s.width
    for _, pool in s.all_pools():
        pool.advance(s.day)
        for place, amount in enumerate(pool.take_idle()):
            idle[place] += amount
    s.post(Kind.NO_ANIMALS, -1, -1, s.categories.together(idle), s.day - 1)
    if not s.to_offspring(s.day - 1):
        _end_all_broods(s, s.day - 1)


def _turn_upkeep(s: Sharing) -> None:
    """From today on upkeep is treated in another way: no young will take what the brood pools hold.

    What arose while it was expensed belongs to the days before; what was kept for young goes today, for a year that
    was closed with it keeps it.
    """
    before, now = s.to_offspring(s.day - 1), s.to_offspring(s.day)
    if before != now:
        _end_all_broods(s, s.day if before else s.day - 1)


def _end_all_broods(s: Sharing, day: int) -> None:
    for lot in s.lots.values():
        if lot.collects:
            s.settle_brood(lot)
            _end_brood(s, lot, day)


def _end_brood(s: Sharing, lot: Lot, day: int) -> None:
    s.touch(lot)
    s.post(Kind.BROOD_ENDED, -1, lot.id, lot.brood, day)
    lot.brood = 0


def _start_breeding(s: Sharing, lot: Lot) -> None:
    _switch(s, lot, collects=True)
    for bucket in lot.buckets.values():
        s.bring(bucket, s.take(bucket, 1, 1))


def _change_life(s: Sharing, lot: Lot) -> None:
    """The breeding life is another from today on: what is not used up is, by the new end of the life of each."""
    before, now = (figure_on(lot.info.breeding_life_days, day, None) for day in (s.day - 1, s.day))
    if before == now or now is None or not lot.collects:
        return
    for bucket in lot.buckets.values():
        s.settle(bucket)
        if not bucket.living:
            continue
        if before is None:
            s.bring(bucket, s.take(bucket, 1, 1))
            continue
        for end, cost in s.take_lasting(bucket, 1, 1):
            s.bring_lasting(bucket, cost, max(end + now - before, s.day + 1))


def _stop_breeding(s: Sharing, lot: Lot) -> None:
    _switch(s, lot, collects=False)
    for bucket in lot.buckets.values():
        s.bring(bucket, s.take(bucket, 1, 1))
    lot.flow = None
    _end_brood(s, lot, s.day if s.to_offspring(s.day - 1) else s.day - 1)


def _switch(s: Sharing, lot: Lot, *, collects: bool) -> None:
    """Settle a lot and let it take part in the costs for its brood, or no longer."""
    s.touch(lot)
    for bucket in lot.buckets.values():
        s.settle(bucket)
    before, after = lot.bundle, s.pools.bundle_of(lot.id, lot.info, collects)
    before.refresh(s.day)
    after.refresh(s.day)
    before.units -= lot.units
    after.units += lot.units
    lot.bundle, lot.collects, lot.seen = after, collects, after.costs
    for bucket in lot.buckets.values():
        bucket.seen = after.costs
    for measure in s.others:
        measure.switch(lot, s.day)


def _change_weight(s: Sharing, species: int, stage: int) -> None:
    for lot in s.lots.values():
        bucket = lot.buckets.get(stage) if lot.info.species == species else None
        if bucket is not None and bucket.living:
            s.settle(bucket)
            s.weigh(bucket, s.weight_today((species, stage)))
            if s.others:
                _refit(s, lot)


def _refit(s: Sharing, lot: Lot) -> None:
    for bucket in lot.buckets.values():
        s.settle(bucket)
    for measure in s.others:
        measure.refit(lot, s.day)
