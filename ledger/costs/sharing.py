"""The shared costs, the lots and their buckets on one day, and the few acts all rules of movement are made of.

Owns settling on touch: a bucket takes its share of all costs since it was last touched, in closed form. Owns the list
of what left, and the marks of lots whose cost is not known. The rules themselves are in `movements` and `taken_back`.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence

from ledger.costs.clutches import Young
from ledger.costs.cost_lines import other_lines
from ledger.costs.given import ANIMAL_DAYS, ANIMALS, FULL_WEIGHT, TUB_DAYS, CostLine, Given, Scope, figure_on
from ledger.costs.grid import GRID
from ledger.costs.lasting import Flow, up_to
from ledger.costs.measures import Measure, OwnWeights, Tubs
from ledger.costs.pools import Pool, Pools, Stretch
from ledger.costs.result import KINDS, Kind
from ledger.costs.state import Bucket, Lot, Memo
from ledger.costs.undo import Undo
from ledger.costs.vector import LANE, Vector
from ledger.stock.events import Event

OWN = "own weights of "
"""What the measure of a category with care weights of its own is called, before the category."""


def stretches(line: CostLine, place: int) -> Iterator[tuple[str, Stretch]]:
    """The days of a cost by what they are shared by: weighted animals ('') or the name of a measure."""
    daily, over = divmod(line.amount * GRID, line.last - line.first + 1)
    animals = OWN + line.care if line.care else ""
    rows = [(line.first, ANIMAL_DAYS), *line.keys]
    for turn, (day, key) in enumerate(rows):
        until = rows[turn + 1][0] - 1 if turn + 1 < len(rows) else line.last
        first, last = max(day, line.first), min(until, line.last)
        if first <= last:
            extra = over if first == line.first else 0
            yield TUB_DAYS if key == TUB_DAYS else animals, Stretch(place, daily, extra, first, last)


def measures_of(costs: Sequence[CostLine]) -> list[str]:
    """What costs are shared by besides weighted animals, by name and in order."""
    names = {OWN + line.care for line in costs if line.care}
    if any(key == TUB_DAYS for line in costs for _, key in line.keys):
        names.add(TUB_DAYS)
    return sorted(names)


class Sharing:
    """All state of one run."""

    def __init__(self, given: Given, names: Sequence[str] | None = None, measures: Iterable[str] | None = None) -> None:
        """Args: what is given; the categories and measures, unless they are those of its costs."""
        self.given = given
        self.names = tuple(given.categories if names is None else names)
        self.width = len(self.names)
        self.stages = given.stages
        self.column = {category: place for place, category in enumerate(self.names)}
        self.price = GRID << LANE * self.column[ANIMALS] if ANIMALS in self.column else 0
        """Grid steps by category for a minor unit of the price of animals."""
        self.day = 0
        self.settlements = 0
        self.categories = Vector(self.width)
        self.whole = Vector(self.width * self.stages)
        """Of a balance, which may keep stages apart."""
        self.undo = Undo()
        self.serial = 0
        """Of the newest layer."""
        self.lots: dict[int, Lot] = {}
        self.pools = Pools(self.width, self.undo)
        self.measures: dict[str, Measure] = {}
        """What costs are shared by besides weighted animals."""
        for name in measures_of(given.costs) if measures is None else measures:
            pools = Pools(self.width, self.undo)
            if name == TUB_DAYS:
                self.measures[name] = Tubs(pools, self.undo, self.lots, self.categories)
            else:
                own = given.care[name.removeprefix(OWN)]
                self.measures[name] = OwnWeights(pools, self.undo, self.lots, given.weights, own)
        self.others = tuple(self.measures.values())

        self.bought = 0
        """Price of animals bought, in minor units."""
        self.kept: set[int] = set()
        """Movements that a later one takes back, wholly or in part."""
        self.memos: dict[int, Memo] = {}
        """Those of them that were played."""
        self.hatched: dict[int, None] = {}
        """Movements by which objects hatched out."""
        self.transit: dict[int, tuple[int, Bucket]] = {}
        """Cost of objects that hatched out today, by movement, until the animals take it."""
        self.unhatched: dict[int, Bucket] = {}
        """Where objects came back to when their hatching was taken back, by the movement taken back."""
        self.to_check: list[Lot] = []
        """Lots that may have no breeders left at the end of the day."""
        self.young: Young | None = None
        """Today's young, looked at before the first of them is played."""
        self.reached: dict[tuple[int, int], tuple[int, int]] = {}
        """By lot and day: animals that moved into the reared stage, and their cost."""
        self.turn = 0
        """Times something was or might have been posted: the same whatever things cost."""
        self.out_turn = array("q")
        self.out_day = array("q")
        self.out_kind = bytearray()
        self.out_event = array("q")
        self.out_lot = array("q")
        self.out_cost: list[int] = []
        self._take(given)

    # --- what is given ---------------------------------------------------------------------------------------------

    def renew(self, given: Given) -> None:
        """Go on with what is given now; for the days before today it must come to the same as what was given before."""
        before, new = self.given, False
        gone, come = other_lines(before.costs, given.costs)
        for line in gone:
            for key, stretch in stretches(line, self.column[line.category]):
                self.pools_of(key).by_scope[line.scope].release_no_longer(stretch)
        for line in come:
            for key, stretch in stretches(line, self.column[line.category]):
                new = self.pools_of(key).add(line.scope) or new
                self.pools_of(key).by_scope[line.scope].release(stretch)
        self._take_method(given)
        if new or (before.lots, before.losses, before.reared) != (given.lots, given.losses, given.reared):
            self._take_lots(given)

    def _take(self, given: Given) -> None:
        by_key: dict[str, dict[Scope, list[Stretch]]] = {key: {} for key in ("", *self.measures)}
        for line in given.costs:
            for key, stretch in stretches(line, self.column[line.category]):
                by_key[key].setdefault(line.scope, []).append(stretch)
        for key, stretches_of in by_key.items():
            self.pools_of(key).plan(stretches_of)
        self._take_method(given)
        self._take_lots(given)

    def _take_method(self, given: Given) -> None:
        self.given, self.weights, self.losses = given, given.weights, given.losses
        self.stages = given.stages
        self.whole = Vector(self.width * self.stages)
        for key, measure in self.measures.items():
            if isinstance(measure, OwnWeights):
                measure.general, measure.own = given.weights, given.care[key.removeprefix(OWN)]

    def _take_lots(self, given: Given) -> None:
        for lot_id, info in given.lots.items():
            lot = self.lots.get(lot_id)
            if lot is None:
                bundle = self.pools.bundle_of(lot_id, info, info.lent)
                lot = self.lots[lot_id] = Lot(lot_id, info, bundle, given.reared.get(info.species))
            lot.info = info
            for bucket in lot.buckets.values():
                bucket.loss = self.losses.get((info.species, bucket.stage)) if bucket.living else None
        self.take_part_anew()

    def pools_of(self, key: str) -> Pools:
        """The pools that share by a measure, or by weighted animals ('')."""
        return self.measures[key].pools if key else self.pools

    def costs_are_others(self) -> None:
        """Running costs were put into pools: what was added up of them holds no more, who bears them does."""
        for key in ("", *self.measures):
            self.pools_of(key).stale()

    def take_part_anew(self) -> None:
        """Pools were restored or are new: find those of each lot, and add up by how much each lot bears."""
        self.pools.stale(and_units=True)
        for lot in self.lots.values():
            lot.bundle = self.pools.bundle_of(lot.id, lot.info, lot.collects)
            units = lot.units
            if units:
                lot.bundle.units += units
        for measure in self.others:
            measure.take_part_anew()

    def all_pools(self) -> list[tuple[Scope, Pool]]:
        """Every pool with its scope."""
        found = list(self.pools.by_scope.items())
        for measure in self.others:
            found.extend(measure.pools.by_scope.items())
        return found

    # --- the acts -------------------------------------------------------------------------------------------------

    def bucket(self, lot: Lot, stage: int) -> Bucket:
        """The bucket of a lot and stage, made when it is first asked for."""
        bucket = lot.buckets.get(stage)
        if bucket is None:
            self.touch(lot)
            bucket = Bucket(lot, stage, LANE * self.width * stage if self.stages > 1 else 0)
            key = (lot.info.species, stage)
            bucket.living = key not in self.given.specimens
            bucket.weight = self.weight_today(key) if bucket.living else 0
            bucket.loss = self.losses.get(key) if bucket.living else None
            lot.buckets[stage] = bucket
        return bucket

    def weight_today(self, key: tuple[int, int]) -> int:
        """Care weight of one animal of a species and stage today, in thousandths."""
        found = figure_on(self.weights.get(key), self.day, FULL_WEIGHT)
        assert found is not None
        return found

    def to_offspring(self, day: int) -> bool:
        """Whether breeders' upkeep of a day goes to their young."""
        return bool(figure_on(self.given.to_offspring, day, 1))

    def touch(self, lot: Lot) -> None:
        """Keep what a lot is like before it changes."""
        if lot.saved != self.serial:
            self.undo.keep(lot)

    def settle(self, bucket: Bucket) -> None:
        """Take the bucket's share of all costs of the days before today; breeders take it into the brood pool."""
        lot = bucket.lot
        if lot.collects:
            self.settle_brood(lot)
            return
        if lot.saved != self.serial:
            self.undo.keep(lot)
        self.settlements += 1
        bundle = lot.bundle
        if bundle.day != self.day:
            bundle.refresh(self.day)
        costs, seen = bundle.costs, bucket.seen
        if costs is not seen:
            if bucket.units:
                due = bucket.units * (costs - seen)
                bucket.balance += due << bucket.shift if bucket.shift else due
            bucket.seen = costs
        if self.others:
            for measure in self.others:
                bucket.balance += measure.settle(bucket, self.day) << bucket.shift

    def settle_brood(self, lot: Lot) -> None:
        """Bring the brood pool of a lot that collects up to the start of today, for all its buckets at once."""
        if lot.saved != self.serial:
            self.undo.keep(lot)
        self.settlements += 1
        bundle = lot.bundle
        if bundle.day != self.day:
            bundle.refresh(self.day)
        costs, seen = bundle.costs, lot.seen
        if costs is not seen:
            units = lot.units
            if units:
                lot.brood += units * (costs - seen)
            lot.seen = costs
        if lot.flow is not None:
            lot.brood += lot.flow.release(self.day)
        if self.others:
            for measure in self.others:
                lot.brood += measure.settle_brood(lot, self.day)

    def change(self, bucket: Bucket, animals: int, tub: str) -> None:
        """Add animals to a settled bucket, or take them out."""
        lot = bucket.lot
        bucket.count += animals
        if not bucket.count and lot.collects:
            self.to_check.append(lot)
        units = animals * bucket.weight
        if units:
            bucket.units += units
            lot.bundle.units += units
        if self.others:
            for measure in self.others:
                measure.change(bucket, animals, tub, self.day)

    def weigh(self, bucket: Bucket, weight: int) -> None:
        """Let each animal of a settled bucket count for `weight` from today on."""
        lot, units = bucket.lot, bucket.count * (weight - bucket.weight)
        bucket.weight = weight
        bucket.units += units
        lot.bundle.units += units

    def shift(self, source: Bucket, target: Bucket, event: Event) -> None:
        """Move animals from one settled bucket to another."""
        lot, animals = source.lot, event.count
        if lot is not target.lot or self.others:
            self.change(source, -animals, event.tub_from)
            self.change(target, animals, event.tub_to)
            return
        source.count -= animals
        target.count += animals
        less, more = animals * source.weight, animals * target.weight
        source.units -= less
        target.units += more
        lot.bundle.units += more - less

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
        life = lot.info.breeding_life_days
        if life is not None and not isinstance(life, int):
            life = figure_on(life, self.day, None)
        if lot.collects and life is not None and bucket.living:
            self.bring_lasting(bucket, cost, self.day + life)
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

    def take_rows_back(self) -> None:
        """Forget what was posted after the present turn."""
        length = bisect_right(self.out_turn, self.turn)
        for rows in (self.out_turn, self.out_day, self.out_kind, self.out_event, self.out_lot, self.out_cost):
            del rows[length:]

    def post(self, kind: Kind, event: int, lot: int, cost: int, day: int) -> None:
        """Note cost by category that goes; a row of nothing only where animals leave."""
        self.turn += 1
        if not cost and kind is not Kind.LEFT:
            return
        self.out_turn.append(self.turn)
        self.out_day.append(day)
        self.out_kind.append(KINDS[kind])
        self.out_event.append(event)
        self.out_lot.append(lot)
        self.out_cost.append(cost)
