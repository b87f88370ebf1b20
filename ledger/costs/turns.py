"""What happens to costs with the turn of a day, apart from movements: breeding starts and stops, weights change,
cost without animals is posted, and brood pools end with their breeders.
"""

from __future__ import annotations

from collections.abc import Iterable

from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import Lot

_CUT, _STOP, _START, _WEIGHT = range(4)


class Turns:
    """The days up to `until` on which something happens by itself."""

    def __init__(self, s: Sharing, cuts: Iterable[int], until: int) -> None:
        self._s = s
        items: list[tuple[int, int, tuple[int, ...]]] = [(day + 1, _CUT, ()) for day in set(cuts)]
        for lot in s.lots.values():
            for first, last in () if lot.info.lent else lot.info.breeding:
                items.append((first, _START, (lot.id,)))
                if last is not None:
                    items.append((last + 1, _STOP, (lot.id,)))
        for key, figure in s.weights.items():
            if not isinstance(figure, int):
                items.extend((day, _WEIGHT, key) for day, _ in figure)
        self._items = sorted(item for item in items if item[0] <= until)
        self._next = 0

    def start_day(self, day: int) -> None:
        """Do what is due up to the start of `day`, before its movements."""
        s = self._s
        while self._next < len(self._items) and self._items[self._next][0] <= day:
            s.day, kind, about = self._items[self._next]
            self._next += 1
            if kind == _CUT:
                cut(s)
            elif kind == _STOP:
                _stop_breeding(s, s.lots[about[0]])
            elif kind == _START:
                _start_breeding(s, s.lots[about[0]])
            else:
                _change_weight(s, about[0], about[1])
        s.day = day

    def end_day(self) -> None:
        """After the movements of a day: objects nothing hatched from, and breeders that are no more."""
        s = self._s
        for event, (cost, lot) in s.transit.items():
            if cost:
                s.post(Kind.WRITTEN_OFF, event, lot.id, s.by_category(cost), s.day)
        s.transit.clear()
        for lot in s.to_check:
            alive = any(bucket.count for bucket in lot.buckets.values() if bucket.living)
            if lot.brood and not (alive and lot.collects):
                _end_brood(s, lot, s.day)
        s.to_check.clear()


def cut(s: Sharing) -> None:
    """At the start of today: post the cost that had no animals until now, and upkeep that is expensed as it arises."""
    idle = [0] * s.width
    for pool in s.pools.values():
        pool.advance(s.day)
        for place, amount in enumerate(pool.idle):
            idle[place] += amount
        pool.idle = [0] * s.width
    if any(idle):
        s.post(Kind.NO_ANIMALS, -1, -1, s.categories.together(idle), s.day - 1)
    if not s.to_offspring:
        for lot in s.lots.values():
            if lot.collects:
                s.settle_brood(lot)
                if lot.brood:
                    _end_brood(s, lot, s.day - 1)


def _end_brood(s: Sharing, lot: Lot, day: int) -> None:
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
    for bucket in lot.buckets.values():
        s.settle(bucket)
    before, after = lot.bundle, s.bundle_of(lot.id, lot.info, collects)
    before.refresh(s.day)
    after.refresh(s.day)
    for pool in before.pools:
        pool.weight -= lot.units
    for pool in after.pools:
        pool.weight += lot.units
    lot.bundle, lot.collects, lot.seen = after, collects, after.costs
    for bucket in lot.buckets.values():
        bucket.seen = after.costs


def _change_weight(s: Sharing, species: int, stage: int) -> None:
    weight = s.weight_today((species, stage))
    for lot in s.lots.values():
        bucket = lot.buckets.get(stage)
        if bucket is not None and lot.info.species == species and bucket.living:
            s.settle(bucket)
            s.change_units(bucket, bucket.count * (weight - bucket.weight))
            bucket.weight = weight
