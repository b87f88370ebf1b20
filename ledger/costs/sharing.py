"""The shared costs, the lots and their buckets on one day, and the few acts all rules of movement are made of.

Owns settling on touch: a bucket takes its share of all costs since it was last touched, in closed form. Owns the list
of what left, and the marks of lots whose cost is not known. The rules themselves are in `movements` and `taken_back`.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence

from ledger.costs.given import ANIMALS, FULL_WEIGHT, CostLine, LotInfo, Scope, StageFigures, figure_on
from ledger.costs.lasting import Flow, up_to
from ledger.costs.pools import Bundle, Pool
from ledger.costs.result import KINDS, Kind
from ledger.costs.state import Bucket, Lot, Memo
from ledger.costs.vector import LANE, Vector


class Sharing:
    """All state of one run."""

    def __init__(
        self,
        costs: Sequence[CostLine],
        lots: Mapping[int, LotInfo],
        *,
        categories: Sequence[str],
        stages: int,
        weights: StageFigures,
        losses: StageFigures,
        reared: Mapping[int, int],
        specimens: Iterable[tuple[int, int]],
        to_offspring: bool,
    ) -> None:
        """Args as in `engine.share`; `stages`: how many are kept apart in a balance (1: none)."""
        self.width = len(categories)
        self.stages = stages
        self.column = {category: place for place, category in enumerate(categories)}
        self.animals_at = LANE * self.column[ANIMALS]
        self.weights = weights
        self.losses = losses
        self.specimens = frozenset(specimens)
        self.to_offspring = to_offspring
        self.day = 0
        self.settlements = 0
        self.categories = Vector(self.width)
        self.whole = Vector(self.width * stages)
        """Of a balance, which may keep stages apart."""

        lines: dict[Scope, list[CostLine]] = {}
        for line in costs:
            lines.setdefault(line.scope, []).append(line)
        self.pools = {scope: Pool(own, self.column) for scope, own in lines.items()}
        self._by_species: dict[int, list[Pool]] = {}
        self._by_lot: dict[int, list[Pool]] = {}
        self._by_mother: dict[int, list[Pool]] = {}
        homes = {"species": self._by_species, "lots": self._by_lot, "brood": self._by_mother}
        for scope, pool in self.pools.items():
            for owner in scope.ids if scope.kind != "all" else ():
                homes[scope.kind].setdefault(owner, []).append(pool)
        self._everyone = [pool for scope, pool in self.pools.items() if scope.kind == "all"]
        self._bundles: dict[tuple[int, ...], Bundle] = {}
        self.lots = {
            lot_id: Lot(lot_id, info, self.bundle_of(lot_id, info, info.lent), reared.get(info.species))
            for lot_id, info in lots.items()
        }

        self.bought = 0
        """Price of animals bought, in minor units."""
        self.memos: dict[int, Memo] = {}
        """Movements that a later one takes back, wholly or in part."""
        self.transit: dict[int, tuple[int, Lot]] = {}
        """Cost of objects that hatched out today, by movement, until the animals take it."""
        self.unhatched: dict[int, Bucket] = {}
        """Where objects came back to when their hatching was taken back, by the movement taken back."""
        self.to_check: list[Lot] = []
        """Lots that may have no breeders left at the end of the day."""
        self.reached: dict[tuple[int, int], tuple[int, int]] = {}
        """By lot and day: animals that moved into the reared stage, and their cost."""
        self.out_day = array("q")
        self.out_kind = bytearray()
        self.out_event = array("q")
        self.out_lot = array("q")
        self.out_cost: list[int] = []

    # --- where a lot takes part -----------------------------------------------------------------------------------

    def bundle_of(self, lot_id: int, info: LotInfo, collects: bool) -> Bundle:
        """The pools a lot takes part in: all, its species, itself, and those for its brood while it breeds."""
        pools = self._everyone + self._by_species.get(info.species, []) + self._by_lot.get(lot_id, [])
        if collects:
            pools = pools + self._by_mother.get(lot_id, [])
        key = tuple(map(id, pools))
        bundle = self._bundles.get(key)
        if bundle is None:
            bundle = self._bundles[key] = Bundle(pools)
        return bundle

    def bucket(self, lot: Lot, stage: int) -> Bucket:
        """The bucket of a lot and stage, made when it is first asked for."""
        bucket = lot.buckets.get(stage)
        if bucket is None:
            bucket = Bucket(lot, stage, LANE * self.width * stage if self.stages > 1 else 0)
            key = (lot.info.species, stage)
            bucket.living = key not in self.specimens
            bucket.weight = self.weight_today(key) if bucket.living else 0
            bucket.loss = self.losses.get(key) if bucket.living else None
            lot.buckets[stage] = bucket
        return bucket

    def weight_today(self, key: tuple[int, int]) -> int:
        """Care weight of one animal of a species and stage today, in thousandths."""
        found = figure_on(self.weights.get(key), self.day, FULL_WEIGHT)
        assert found is not None
        return found

    # --- the acts -------------------------------------------------------------------------------------------------

    def settle(self, bucket: Bucket) -> None:
        """Take the bucket's share of all costs of the days before today; breeders take it into the brood pool."""
        lot = bucket.lot
        if lot.collects:
            self.settle_brood(lot)
            return
        self.settlements += 1
        bundle = lot.bundle
        if bundle.day != self.day:
            bundle.refresh(self.day)
        costs, seen = bundle.costs, bucket.seen
        if costs is not seen:
            bucket.balance += bucket.units * (costs - seen) << bucket.shift
            bucket.seen = costs

    def settle_brood(self, lot: Lot) -> None:
        """Bring the brood pool of a lot that collects up to the start of today, for all its buckets at once."""
        self.settlements += 1
        bundle = lot.bundle
        if bundle.day != self.day:
            bundle.refresh(self.day)
        costs, seen = bundle.costs, lot.seen
        if costs is not seen:
            lot.brood += lot.units * (costs - seen)
            lot.seen = costs
        if lot.flow is not None:
            lot.brood += lot.flow.release(self.day)

    def change(self, bucket: Bucket, animals: int) -> None:
        """Add animals to a settled bucket, or take them out."""
        bucket.count += animals
        if not bucket.count and bucket.lot.collects:
            self.to_check.append(bucket.lot)
        units = animals * bucket.weight
        if units:
            self.change_units(bucket, units)

    def change_units(self, bucket: Bucket, units: int) -> None:
        """Let a settled bucket bear more of the costs from today on, or less."""
        bucket.units += units
        bucket.lot.units += units
        for pool in bucket.lot.bundle.pools:
            pool.weight += units

    def shift(self, source: Bucket, target: Bucket, animals: int) -> None:
        """Move animals from one settled bucket to another."""
        lot = source.lot
        if lot is not target.lot:
            self.change(source, -animals)
            self.change(target, animals)
            return
        source.count -= animals
        target.count += animals
        less, more = animals * source.weight, animals * target.weight
        source.units -= less
        target.units += more
        if less != more:
            lot.units += more - less
            for pool in lot.bundle.pools:
                pool.weight += more - less

    def take(self, bucket: Bucket, numerator: int, denominator: int) -> int:
        """Take a share of the cost of a settled bucket; returns its grid steps."""
        part = self.take_plain(bucket, numerator, denominator)
        if bucket.lasting:
            part += sum(amount for _, amount in self.take_lasting(bucket, numerator, denominator))
        return part

    def take_plain(self, bucket: Bucket, numerator: int, denominator: int) -> int:
        """As `take`, but leaves what is a lasting cost of breeders."""
        part = self.whole.share(bucket.balance, numerator, denominator)
        bucket.balance -= part
        return part

    def take_lasting(self, bucket: Bucket, numerator: int, denominator: int) -> list[tuple[int, int]]:
        """Take a share of what breeders' own cost is not used up; returns (end, grid steps) of each part."""
        taken = []
        for end, part in self._take_parts(bucket, numerator, denominator):
            self._flow_less(bucket, end, part)
            taken.append((end, part * (end - self.day)))
        return taken

    def hand_over_lasting(self, source: Bucket, target: Bucket, numerator: int, denominator: int) -> int:
        """Move a share of what is not used up to another bucket of the same breeders; returns its grid steps."""
        moved = 0
        for end, part in self._take_parts(source, numerator, denominator):
            target.lasting[end] = target.lasting.get(end, 0) + part
            moved += part * (end - self.day)
        return moved

    def _take_parts(self, bucket: Bucket, numerator: int, denominator: int) -> list[tuple[int, int]]:
        parts = {end: rate for end, rate in bucket.lasting.items() if end > self.day}
        taken = [(end, self.whole.share(rate, numerator, denominator)) for end, rate in parts.items()]
        bucket.lasting = {} if numerator == denominator else {end: parts[end] - part for end, part in taken}
        return taken

    def take_up_to(self, bucket: Bucket, cost: int, animals: int) -> int:
        """Take a given cost, category by category, as far as it is there; all when the last animals leave.

        Of breeders, what is not a lasting cost goes first, then what ends first.
        """
        if animals == bucket.count:
            return self.take(bucket, 1, 1)
        taken = self._up_to(bucket.balance, self.by_category(cost))
        bucket.balance -= taken
        for end in sorted(end for end in bucket.lasting if end > self.day):
            rate = bucket.lasting.pop(end)
            self._flow_less(bucket, end, rate)
            there = rate * (end - self.day)
            part = self._up_to(there, self.by_category(cost - taken))
            taken += part
            self.bring_lasting(bucket, there - part, end)
        return taken

    def _up_to(self, balance: int, wanted: int) -> int:
        return self.whole.together(up_to(self.whole.apart(balance), self.categories.apart(wanted)))

    def bring(self, bucket: Bucket, cost: int) -> None:
        """Add cost to a settled bucket; for breeders with a breeding life it starts to be used up today."""
        lot = bucket.lot
        if lot.collects and lot.info.breeding_life_days is not None and bucket.living:
            self.bring_lasting(bucket, cost, self.day + lot.info.breeding_life_days)
        else:
            bucket.balance += cost

    def bring_lasting(self, bucket: Bucket, cost: int, end: int) -> None:
        """Add cost that is used up by `end`; the few steps that do not divide by the days stay with the animals."""
        lot, days = bucket.lot, end - self.day
        rate = self.whole.share(cost, 1, days)
        bucket.balance += cost - rate * days
        if rate:
            bucket.lasting[end] = bucket.lasting.get(end, 0) + rate
            if lot.flow is None:
                lot.flow = Flow(self.day)
            lot.flow.change(end, self.by_category(rate))

    def _flow_less(self, bucket: Bucket, end: int, rate: int) -> None:
        flow = bucket.lot.flow
        assert flow is not None
        flow.change(end, -self.by_category(rate))

    def by_category(self, cost: int) -> int:
        """Amounts by category of a balance that may keep its stages apart."""
        return cost if self.stages == 1 else self.categories.folded(cost, self.stages)

    def post(self, kind: Kind, event: int, lot: int, cost: int, day: int) -> None:
        """Note cost by category that leaves."""
        self.out_day.append(day)
        self.out_kind.append(KINDS[kind])
        self.out_event.append(event)
        self.out_lot.append(lot)
        self.out_cost.append(cost)
