"""What else than weighted animals a cost may be shared by: tubs, or care weights of its own category.

Each measure has pools of its own and knows each lot's part in them: what a bucket, or the brood pool of a lot that
collects, has yet to take. A run without such a cost has no measure at all.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from typing import Any

from ledger.costs.given import FULL_WEIGHT, StageFigures, figure_on
from ledger.costs.pools import Bundle, Pools
from ledger.costs.state import Bucket, Lot
from ledger.costs.undo import Undo
from ledger.costs.vector import Cut, Vector


class Part(ABC):
    """What one lot has in the pools of a measure."""

    __slots__ = ("bundle", "saved", "seen", "units")

    def __init__(self, bundle: Bundle) -> None:
        self.bundle = bundle
        self.units = 0
        self.seen = bundle.costs
        """The running costs the brood pool has taken its share of, while the lot collects."""
        self.saved = 0

    def costs(self, day: int) -> int:
        """Running costs of one unit for the days before `day`."""
        if self.bundle.day != day:
            self.bundle.refresh(day)
        return self.bundle.costs

    def more(self, units: int) -> None:
        """Bear more from today on, or less."""
        if units:
            self.units += units
            self.bundle.units += units

    @abstractmethod
    def settle(self, bucket: Bucket, day: int) -> int:
        """What a bucket of a lot that does not collect has yet to take of the days before `day`, by category."""

    @abstractmethod
    def change(self, bucket: Bucket, animals: int, tub: str, day: int) -> None:
        """Add animals to a settled bucket, or take them out."""

    @abstractmethod
    def start_anew(self, day: int) -> None:
        """The settled lot takes part in other pools from `day` on."""

    @abstractmethod
    def refit(self, lot: Lot, day: int) -> None:
        """Figures may be others from `day` on; all buckets are settled."""

    @abstractmethod
    def image(self) -> Any:
        """What it is like now."""

    @abstractmethod
    def restore(self, image: Any) -> None:
        """Be like that again."""

    @abstractmethod
    def few(self) -> Any:
        """The amounts in it."""

    @abstractmethod
    def mended(self, image: Any, few: Any, cut: Cut) -> Any:
        """An image with the amounts of the categories cut out as they are in `few`."""

    @abstractmethod
    def cut_out(self, image: Any, cut: Cut) -> Any:
        """An image with nothing but these categories."""


class Measure(ABC):
    """One more way to share."""

    def __init__(self, pools: Pools, undo: Undo, lots: Mapping[int, Lot]) -> None:
        self.pools, self.undo, self.lots = pools, undo, lots
        self.parts: dict[int, Part] = {}

    def take_over(self, other: Measure, images: Mapping[int, Any], day: int, cut: Cut) -> None:
        """Have the parts of images of a measure of all categories, with those cut out."""
        for number, image in images.items():
            lot = self.lots[number]
            part = self.new_part(lot, self.pools.bundle_of(number, lot.info, lot.collects), day)
            part.restore(other.parts[number].cut_out(image, cut))
            self.parts[number] = part

    @abstractmethod
    def new_part(self, lot: Lot, bundle: Bundle, day: int) -> Part:
        """The part of a lot that has none yet."""

    def waiting(self) -> int:
        """What is too small to be shared yet, besides what waits in the pools; by category."""
        return 0

    def part(self, lot: Lot, day: int) -> Part:
        """The part of a lot, kept before it changes."""
        part = self.parts.get(lot.id)
        if part is None:
            bundle = self.pools.bundle_of(lot.id, lot.info, lot.collects)
            if bundle.day != day:
                bundle.refresh(day)
            part = self.parts[lot.id] = self.new_part(lot, bundle, day)
            if self.undo.serial:
                self.undo.keep(Birth(self.parts, lot.id))
        if part.saved != self.undo.serial:
            self.undo.keep(part)
        return part

    def settle(self, bucket: Bucket, day: int) -> int:
        """As `Part.settle`."""
        return self.part(bucket.lot, day).settle(bucket, day)

    def settle_brood(self, lot: Lot, day: int) -> int:
        """What the brood pool of a lot that collects has yet to take."""
        part = self.part(lot, day)
        costs, seen = part.costs(day), part.seen
        part.seen = costs
        return 0 if costs is seen else part.units * (costs - seen)

    def change(self, bucket: Bucket, animals: int, tub: str, day: int) -> None:
        """As `Part.change`."""
        self.part(bucket.lot, day).change(bucket, animals, tub, day)

    def switch(self, lot: Lot, day: int) -> None:
        """A settled lot has begun to collect, or has stopped."""
        part, after = self.part(lot, day), self.pools.bundle_of(lot.id, lot.info, lot.collects)
        part.bundle.refresh(day)
        after.refresh(day)
        part.bundle.units -= part.units
        after.units += part.units
        part.bundle, part.seen = after, after.costs
        part.start_anew(day)

    def refit(self, lot: Lot, day: int) -> None:
        """Figures of a settled lot may be others from `day` on."""
        self.part(lot, day).refit(lot, day)

    def take_part_anew(self) -> None:
        """Pools were restored or are new: find those of each lot, and add up by how much each lot bears."""
        self.pools.stale(and_units=True)
        for number, part in self.parts.items():
            lot = self.lots[number]
            part.bundle = self.pools.bundle_of(number, lot.info, lot.collects)
            part.bundle.units += part.units


class Birth:
    """That a lot has a part in a measure, to be forgotten when the run goes back before it had."""

    __slots__ = ("_number", "_parts", "saved")

    def __init__(self, parts: dict[int, Part], number: int) -> None:
        self._parts, self._number, self.saved = parts, number, 0

    @property
    def part(self) -> Part:
        """Which was born."""
        return self._parts[self._number]

    def image(self) -> None:
        """There was none."""

    def restore(self, image: None) -> None:
        """Forget it."""
        del self._parts[self._number]

    def few(self) -> None:
        """Nothing is in it."""

    def mended(self, image: None, few: None, cut: Cut) -> None:
        """There was none."""


class OwnWeights(Measure):
    """Animals by the care weights one category has of its own."""

    def __init__(
        self, pools: Pools, undo: Undo, lots: Mapping[int, Lot], general: StageFigures, own: StageFigures
    ) -> None:
        super().__init__(pools, undo, lots)
        self.general, self.own = general, own

    def new_part(self, lot: Lot, bundle: Bundle, day: int) -> Part:
        return _Weighted(self, bundle)

    def weight(self, bucket: Bucket, day: int) -> int:
        """Care weight of one animal, in thousandths; where the category has none, the general one."""
        if not bucket.living:
            return 0
        key = (bucket.lot.info.species, bucket.stage)
        found = figure_on(self.own.get(key), day, figure_on(self.general.get(key), day, FULL_WEIGHT))
        assert found is not None
        return found


class _Weighted(Part):
    """The animals of a lot by stage."""

    __slots__ = ("_measure", "rows")

    def __init__(self, measure: OwnWeights, bundle: Bundle) -> None:
        super().__init__(bundle)
        self._measure = measure
        self.rows: dict[int, tuple[int, int, int]] = {}
        """By stage: units, weight of one animal, running costs its share of which was taken."""

    def settle(self, bucket: Bucket, day: int) -> int:
        row = self.rows.get(bucket.stage)
        if row is None:
            return 0
        units, weight, seen = row
        costs = self.costs(day)
        if costs is seen:
            return 0
        self.rows[bucket.stage] = (units, weight, costs)
        return units * (costs - seen)

    def change(self, bucket: Bucket, animals: int, tub: str, day: int) -> None:
        row = self.rows.get(bucket.stage) or (0, self._measure.weight(bucket, day), 0)
        self.rows[bucket.stage] = (row[0] + animals * row[1], row[1], self.costs(day))
        self.more(animals * row[1])

    def start_anew(self, day: int) -> None:
        costs = self.costs(day)
        self.rows = {stage: (row[0], row[1], costs) for stage, row in self.rows.items()}

    def refit(self, lot: Lot, day: int) -> None:
        for stage, (units, _, seen) in list(self.rows.items()):
            bucket = lot.buckets[stage]
            weight = self._measure.weight(bucket, day)
            self.rows[stage] = (bucket.count * weight, weight, seen)
            self.more(bucket.count * weight - units)

    def image(self) -> Any:
        return self.bundle, self.units, self.seen, dict(self.rows)

    def restore(self, image: Any) -> None:
        self.bundle, self.units, self.seen, rows = image
        self.rows = dict(rows)

    def few(self) -> Any:
        return self.seen, {stage: seen for stage, (_, _, seen) in self.rows.items()}

    def mended(self, image: Any, few: Any, cut: Cut) -> Any:
        bundle, units, seen, rows = image
        put = cut.by_category.put
        after = {stage: (of, weight, put(seen, few[1][stage])) for stage, (of, weight, seen) in rows.items()}
        return bundle, units, put(seen, few[0]), after

    def cut_out(self, image: Any, cut: Cut) -> Any:
        bundle, units, seen, rows = image
        take = cut.by_category.take
        return (
            bundle,
            units,
            take(seen),
            {stage: (of, weight, take(seen)) for stage, (of, weight, seen) in rows.items()},
        )


class Tubs(Measure):
    """Tubs with animals in them: each counts once, and what falls on it is divided by the animals in it.

    The animals of a lot without a label share its stated containers.
    """

    def __init__(self, pools: Pools, undo: Undo, lots: Mapping[int, Lot], vector: Vector) -> None:
        super().__init__(pools, undo, lots)
        self.vector = vector

    def new_part(self, lot: Lot, bundle: Bundle, day: int) -> Part:
        return _InTubs(self, bundle, containers(lot, day))

    def waiting(self) -> int:
        return sum(tub.rest for part in self.parts.values() if isinstance(part, _InTubs) for tub in part.tubs.values())


def containers(lot: Lot, day: int) -> int:
    """Containers of the animals of a lot that have no label."""
    found = figure_on(lot.info.containers, day, 1)
    assert found is not None
    return found


class _Tub:
    """One labelled tub, or all containers without a label. (The animals in it may be below nought within a day.)"""

    __slots__ = ("count", "day", "each", "rest", "seen", "size")

    def __init__(self, size: int, seen: int, day: int) -> None:
        self.size = size
        self.count = 0
        self.day = day
        """The days before it are divided."""
        self.seen = seen
        """Running costs it has taken its share of."""
        self.each = 0
        """Steps one animal in it from the start would have taken, by category."""
        self.rest = 0
        """What did not divide by its animals; fewer than there are."""

    @property
    def units(self) -> int:
        return self.size if self.count > 0 else 0

    def release(self, costs: int, day: int, vector: Vector) -> None:
        """Divide what fell on it before `day`, by the animals of those days: before the first of them moves today.

        (Once a day, even when nothing fell on it: what waits may divide by fewer animals than before, and whether it
        does must not rest on what fell on it of other categories.)
        """
        if day == self.day:
            return
        self.day = day
        if self.count > 0:
            amount = self.size * (costs - self.seen) + self.rest
            each = vector.share(amount, 1, self.count)
            self.each += each
            self.rest = amount - each * self.count
        self.seen = costs

    @property
    def amounts(self) -> tuple[int, int, int]:
        return self.seen, self.each, self.rest

    def with_amounts(self, amounts: Iterable[int]) -> _Tub:
        other = _Tub(self.size, 0, self.day)
        other.count = self.count
        other.seen, other.each, other.rest = amounts
        return other

    def copy(self) -> _Tub:
        return self.with_amounts(self.amounts)


class _InTubs(Part):
    """The tubs of a lot, and which of its animals are in them."""

    __slots__ = ("_vector", "containers", "rows", "tubs")

    def __init__(self, measure: Tubs, bundle: Bundle, unlabelled: int) -> None:
        super().__init__(bundle)
        self._vector = measure.vector
        self.containers = unlabelled
        self.tubs: dict[str, _Tub] = {}
        self.rows: dict[int, dict[str, tuple[int, int]]] = {}
        """By stage and tub: animals, and the steps one animal of it has taken."""

    def settle(self, bucket: Bucket, day: int) -> int:
        rows = self.rows.get(bucket.stage)
        if not rows:
            return 0
        costs, due = self.costs(day), 0
        for label, (count, seen) in rows.items():
            tub = self.tubs[label]
            tub.release(costs, day, self._vector)
            if tub.each is not seen:
                due += count * (tub.each - seen)
                rows[label] = (count, tub.each)
        return due

    def change(self, bucket: Bucket, animals: int, tub: str, day: int) -> None:
        if not bucket.living:
            return
        costs = self.costs(day)
        there = self.tubs.get(tub)
        if there is None:
            there = self.tubs[tub] = _Tub(1 if tub else self.containers, costs, day)
        if bucket.lot.collects:
            there.seen, there.day = costs, day
        else:
            there.release(costs, day, self._vector)
        rows = self.rows.setdefault(bucket.stage, {})
        count = rows[tub][0] + animals if tub in rows else animals
        if count:
            rows[tub] = (count, there.each)
        else:
            del rows[tub]
        before = there.units
        there.count += animals
        self.more(there.units - before)

    def start_anew(self, day: int) -> None:
        costs = self.costs(day)
        for tub in self.tubs.values():
            tub.seen, tub.day = costs, day
        for rows in self.rows.values():
            for label, (count, _) in rows.items():
                rows[label] = (count, self.tubs[label].each)

    def refit(self, lot: Lot, day: int) -> None:
        self.containers = containers(lot, day)
        rest = self.tubs.get("")
        if rest is not None:
            if not lot.collects:
                rest.release(self.costs(day), day, self._vector)
            before = rest.units
            rest.size = self.containers
            self.more(rest.units - before)

    def image(self) -> Any:
        return (
            self.bundle, self.units, self.seen, self.containers,
            {label: tub.copy() for label, tub in self.tubs.items()},
            {stage: dict(rows) for stage, rows in self.rows.items()},
        )  # fmt: skip

    def restore(self, image: Any) -> None:
        self.bundle, self.units, self.seen, self.containers, tubs, rows = image
        self.tubs = {label: tub.copy() for label, tub in tubs.items()}
        self.rows = {stage: dict(of_stage) for stage, of_stage in rows.items()}

    def few(self) -> Any:
        return (
            self.seen,
            {label: tub.amounts for label, tub in self.tubs.items()},
            {stage: dict(rows) for stage, rows in self.rows.items()},
        )

    def mended(self, image: Any, few: Any, cut: Cut) -> Any:
        bundle, units, seen, unlabelled, tubs, rows = image
        few_seen, few_tubs, few_rows = few
        put = cut.by_category.put
        return (
            bundle, units, put(seen, few_seen), unlabelled,
            {label: tub.with_amounts(map(put, tub.amounts, few_tubs[label])) for label, tub in tubs.items()},
            {
                stage: {label: (n, put(seen, few_rows[stage][label][1])) for label, (n, seen) in of_stage.items()}
                for stage, of_stage in rows.items()
            },
        )  # fmt: skip

    def cut_out(self, image: Any, cut: Cut) -> Any:
        bundle, units, seen, unlabelled, tubs, rows = image
        take = cut.by_category.take
        return (
            bundle, units, take(seen), unlabelled,
            {label: tub.with_amounts(map(take, tub.amounts)) for label, tub in tubs.items()},
            {
                stage: {label: (count, take(seen)) for label, (count, seen) in of_stage.items()}
                for stage, of_stage in rows.items()
            },
        )  # fmt: skip
