"""What happens to costs with the turn of a day, apart from movements: breeding starts and stops, weights change,
cost without animals is posted, and brood pools end with their breeders.
"""

from __future__ import annotations

from ledger.costs.given import Given
from ledger.costs.movements import write_off
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import Lot

_CUT, _STOP, _START, _WEIGHT, _CONTAINERS = range(5)


class Turns:
    """The days on which something happens by itself."""

    def __init__(self, s: Sharing) -> None:
        self._s = s
        self._items: list[tuple[int, int, int, int]] = []
        self.next = 0
        """How many of them have happened."""
        self.renew(s.given)

    def renew(self, given: Given) -> None:
        """Go on with what is given now; what has happened already must be the same as before."""
        items = [(day + 1, _CUT, 0, 0) for day in given.cuts]
        for number, info in given.lots.items():
            for first, last in () if info.lent else info.breeding:
                items.append((first, _START, number, 0))
                if last is not None:
                    items.append((last + 1, _STOP, number, 0))
            if not isinstance(info.containers, int):
                items.extend((day, _CONTAINERS, number, 0) for day, _ in info.containers)
        for figures in (given.weights, *given.care.values()):
            for (species, stage), figure in figures.items():
                if not isinstance(figure, int):
                    items.extend((day, _WEIGHT, species, stage) for day, _ in figure)
        self._items = sorted(items)

    def start_day(self, day: int) -> None:
        """Do what is due up to the start of `day`, before its movements."""
        s, items = self._s, self._items
        while self.next < len(items) and items[self.next][0] <= day:
            s.day, kind, one, other = items[self.next]
            self.next += 1
            if kind == _CUT:
                cut(s)
            elif kind == _STOP:
                _stop_breeding(s, s.lots[one])
            elif kind == _START:
                _start_breeding(s, s.lots[one])
            elif kind == _WEIGHT:
                _change_weight(s, one, other)
            else:
                _refit(s, s.lots[one])
        s.day = day


def end_day(s: Sharing) -> None:
    """After the movements of a day: objects nothing hatched from, and breeders that are no more."""
    for event, (cost, bucket) in s.transit.items():
        if cost:
            write_off(s, event, bucket, s.by_category(cost))
    s.transit.clear()
    for lot in s.to_check:
        alive = any(bucket.count for bucket in lot.buckets.values() if bucket.living)
        if lot.brood and not (alive and lot.collects):
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
    if any(idle):
        s.post(Kind.NO_ANIMALS, -1, -1, s.categories.together(idle), s.day - 1)
    if not s.to_offspring:
        for lot in s.lots.values():
            if lot.collects:
                s.settle_brood(lot)
                if lot.brood:
                    _end_brood(s, lot, s.day - 1)


def _end_brood(s: Sharing, lot: Lot, day: int) -> None:
    s.touch(lot)
    s.post(Kind.BROOD_ENDED, -1, lot.id, lot.brood, day)
    lot.brood = 0


def _start_breeding(s: Sharing, lot: Lot) -> None:
    _switch(s, lot, collects=True)
    for bucket in lot.buckets.values():
        s.bring(bucket, s.take(bucket, 1, 1))


def _stop_breeding(s: Sharing, lot: Lot) -> None:
    _switch(s, lot, collects=False)
    for bucket in lot.buckets.values():
        s.bring(bucket, s.take(bucket, 1, 1))
    lot.flow = None
    if lot.brood:
        _end_brood(s, lot, s.day - 1)


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
