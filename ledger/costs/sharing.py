"""The shared costs, the lots and their buckets on one day, and the few acts all rules of movement are made of.

Owns settling on touch: a bucket takes its share of all costs since it was last touched, in closed form. Owns the list
of what left, and the marks of lots whose cost is not known. The rules themselves are in `movements` and `taken_back`.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence
from operator import add, sub

from ledger.costs.given import FULL_WEIGHT, CostLine, LotInfo, Scope, StageFigures, figure_on
from ledger.costs.lasting import Lasting, up_to
from ledger.costs.pools import Bundle, Pool
from ledger.costs.result import KINDS, Kind
from ledger.costs.state import Bucket, Lot, Memo


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
        self.weights = weights
        self.losses = losses
        self.specimens = frozenset(specimens)
        self.to_offspring = to_offspring
        self.day = 0
        self.settlements = 0
        self.zeros = [0] * (self.width * stages)

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
            lot_id: Lot(lot_id, info, self.bundle_of(lot_id, info, info.lent), reared.get(info.species), self.width)
            for lot_id, info in lots.items()
        }

        self.came_in = [0] * self.width
        """Price of animals bought, in minor units by category."""
        self.memos: dict[int, Memo] = {}
        """Movements that a later one takes back, wholly or in part."""
        self.transit: dict[int, tuple[list[int], Lot]] = {}
        """Cost of objects that hatched out today, by movement, until the animals take it."""
        self.unhatched: dict[int, Bucket] = {}
        """Where objects came back to when their hatching was taken back, by the movement taken back."""
        self.to_check: list[Lot] = []
        """Lots that may have no breeders left at the end of the day."""
        self.reached: dict[tuple[int, int], tuple[int, list[int]]] = {}
        """By lot and day: animals that moved into the reared stage, and their cost."""
        self.out_day = array("q")
        self.out_kind = bytearray()
        self.out_event = array("q")
        self.out_lot = array("q")
        self.out_cost: list[tuple[int, ...]] = []

    # --- where a lot takes part -----------------------------------------------------------------------------------

    def bundle_of(self, lot_id: int, info: LotInfo, collects: bool) -> Bundle:
        """The pools a lot takes part in: all, its species, itself, and those for its brood while it breeds."""
        pools = self._everyone + self._by_species.get(info.species, []) + self._by_lot.get(lot_id, [])
        if collects:
            pools = pools + self._by_mother.get(lot_id, [])
        key = tuple(map(id, pools))
        bundle = self._bundles.get(key)
        if bundle is None:
            bundle = self._bundles[key] = Bundle(pools, self.width)
        return bundle

    def bucket(self, lot: Lot, stage: int) -> Bucket:
        """The bucket of a lot and stage, made when it is first asked for."""
        bucket = lot.buckets.get(stage)
        if bucket is None:
            bucket = Bucket(lot, stage, stage * self.width if self.stages > 1 else 0, self.zeros[:])
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
        """Take the bucket's share of all costs of the days before today."""
        self.settlements += 1
        lot = bucket.lot
        bundle = lot.bundle
        if bundle.day != self.day:
            bundle.refresh(self.day)
        costs, seen = bundle.costs, bucket.seen
        if costs is not seen:
            units = bucket.units
            if units:
                if lot.collects:
                    lot.brood = [h + units * (k - s) for h, k, s in zip(lot.brood, costs, seen, strict=True)]
                else:
                    at, to = bucket.offset, bucket.offset + self.width
                    own = bucket.balance[at:to]
                    bucket.balance[at:to] = [b + units * (k - s) for b, k, s in zip(own, costs, seen, strict=True)]
            bucket.seen = costs
        if bucket.lasting is not None:
            lot.brood = list(map(add, lot.brood, bucket.lasting.release(self.day, self.width)))

    def settle_lot(self, lot: Lot) -> None:
        """Settle each bucket of a lot, so that its brood pool is complete."""
        for bucket in lot.buckets.values():
            self.settle(bucket)

    def change(self, bucket: Bucket, animals: int) -> None:
        """Add animals to a settled bucket, or take them out."""
        bucket.count += animals
        if bucket.count <= 0:
            if bucket.count < 0:
                raise ValueError(f"lot {bucket.lot.id}, stage {bucket.stage}: more leave than are there")
            self.to_check.append(bucket.lot)
        units = animals * bucket.weight
        if units:
            bucket.units += units
            for pool in bucket.lot.bundle.pools:
                pool.weight += units

    def take(self, bucket: Bucket, numerator: int, denominator: int) -> list[int]:
        """Take a share of the cost of a settled bucket; returns its grid steps."""
        part = self.take_plain(bucket, numerator, denominator)
        if bucket.lasting is not None:
            for _, amounts in bucket.lasting.take(numerator, denominator, self.day):
                part = list(map(add, part, amounts))
        return part

    def take_plain(self, bucket: Bucket, numerator: int, denominator: int) -> list[int]:
        """As `take`, but leaves what is a lasting cost of breeders."""
        if numerator == denominator:
            part, bucket.balance = bucket.balance, self.zeros[:]
        else:
            part = [b * numerator // denominator for b in bucket.balance]
            bucket.balance = list(map(sub, bucket.balance, part))
        return part

    def take_up_to(self, bucket: Bucket, cost: list[int], animals: int) -> list[int]:
        """Take a given cost, category by category, as far as it is there; all when the last animals leave."""
        if animals == bucket.count:
            return self.take(bucket, 1, 1)
        wanted = self.by_category(cost)
        part = up_to(bucket.balance, wanted)
        bucket.balance = list(map(sub, bucket.balance, part))
        if bucket.lasting is not None and bucket.lasting.parts:
            more = bucket.lasting.take_up_to(list(map(sub, wanted, self.by_category(part))), self.day)
            part = list(map(add, part, more))
        return part

    def bring(self, bucket: Bucket, cost: list[int]) -> None:
        """Add cost to a settled bucket; for breeders with a breeding life it starts to be used up today."""
        life = bucket.lot.info.breeding_life_days
        if life is not None and bucket.lot.collects and bucket.living:
            self.bring_lasting(bucket, cost, self.day + life)
        else:
            bucket.balance = list(map(add, bucket.balance, cost))

    def bring_lasting(self, bucket: Bucket, cost: list[int], end: int) -> None:
        """Add cost that is used up by `end`."""
        if any(cost):
            if bucket.lasting is None:
                bucket.lasting = Lasting()
            bucket.lasting.put(cost, self.day, end)

    def by_category(self, cost: list[int]) -> list[int]:
        """Amounts by category of a balance that may keep its stages apart."""
        if self.stages == 1:
            return cost
        return [sum(cost[place :: self.width]) for place in range(self.width)]

    def at_stage(self, bucket: Bucket, cost: list[int]) -> list[int]:
        """A balance of amounts by category that come in at the bucket's stage."""
        if self.stages == 1:
            return cost
        whole = self.zeros[:]
        whole[bucket.offset : bucket.offset + self.width] = cost
        return whole

    def post(self, kind: Kind, event: int, lot: int, cost: Sequence[int], day: int) -> None:
        """Note cost by category that leaves."""
        self.out_day.append(day)
        self.out_kind.append(KINDS[kind])
        self.out_event.append(event)
        self.out_lot.append(lot)
        self.out_cost.append(tuple(cost))
