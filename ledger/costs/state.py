"""What the sharing engine remembers: a bucket for each (lot, stage), the lot, and a movement that may be taken back.

Plain state without rules. Amounts are vectors of grid steps: one for each category, or, in the balance of a bucket
when the stages are kept apart, one for each stage and category (stage after stage).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from ledger.costs.given import Dated, LotInfo
from ledger.costs.lasting import Flow, Parts, cut_out, cut_out_flow, mended, mended_flow
from ledger.costs.pools import Bundle
from ledger.costs.vector import LANE, Cut
from ledger.stock.events import Event

NOT_KNOWN, MIXED, MOTHERS = 1, 2, 4
"""Marks of a lot: opening stock; animals that came from such a lot; young of such a lot."""


_OF_LOT, _OF_BUCKET = 9, 9
"""Fields in the image of a lot, and of each of its buckets."""


class Bucket:
    """The animals of one lot and stage, and the cost they carry."""

    __slots__ = (
        "balance",
        "count",
        "early",
        "entrants",
        "lasting",
        "living",
        "loss",
        "lot",
        "seen",
        "shift",
        "stage",
        "units",
        "used",
        "weight",
    )

    def __init__(self, lot: Lot, stage: int, shift: int) -> None:
        self.lot = lot
        self.stage = stage
        self.count = 0
        self.weight = 0
        """Units of one animal today."""
        self.units = 0
        """By which it shares costs: weighted animals."""
        self.balance = 0
        self.seen = lot.bundle.costs
        """The running costs it has taken its share of, while its lot does not collect."""
        self.shift = shift
        """Bits in the balance before what accrues at this stage."""
        self.entrants = 0
        """Entered the stage, in thousandths of an animal, as the next two."""
        self.early = 0
        """Left the stage alive before its end."""
        self.used = 0
        """Deaths carried by the survivors."""
        self.loss: Dated | None = None
        self.living = True
        """False for dried specimens."""
        self.lasting: Parts = {}
        """Breeders' own cost that is being used up; parts that have ended may still be named."""


class Lot:
    """A lot: its buckets, the costs it takes part in and its brood pool."""

    __slots__ = (
        "brood",
        "buckets",
        "bundle",
        "collects",
        "flow",
        "id",
        "info",
        "lost",
        "marks",
        "reached",
        "reached_cost",
        "reared",
        "saved",
        "seen",
    )

    def __init__(self, lot_id: int, info: LotInfo, bundle: Bundle, reared: int | None) -> None:
        self.id = lot_id
        self.info = info
        self.bundle = bundle
        self.collects = info.lent
        """Whether its shared costs go to the brood pool: while breeding, and always when lent."""
        self.brood = 0
        self.seen = bundle.costs
        """The running costs its brood pool has taken its share of, while it collects."""
        self.flow: Flow | None = None
        """Breeders' own cost on its way to the brood pool."""
        self.buckets: dict[int, Bucket] = {}
        self.reared = reared
        """Position of the reared stage of its species."""
        self.marks = 0
        self.reached = 0
        """Animals that moved into the reared stage."""
        self.reached_cost = 0
        """The cost that moved with them."""
        self.lost = 0
        """Written off for animals lost before the reared stage, by category."""
        self.saved = 0

    @property
    def units(self) -> int:
        """By which it shares costs."""
        units = 0
        for bucket in self.buckets.values():
            units += bucket.units
        return units

    def image(self) -> tuple[Any, ...]:
        """One flat row, as there are very many: of the lot, then of each bucket."""
        row: list[Any] = [
            self.bundle, self.collects, self.brood, self.seen, self.flow and self.flow.copy(), self.marks,
            self.reached, self.reached_cost, self.lost,
        ]  # fmt: skip
        for bucket in self.buckets.values():
            row += (
                bucket, bucket.count, bucket.weight, bucket.balance, bucket.seen, bucket.entrants, bucket.early,
                bucket.used, dict(bucket.lasting) if bucket.lasting else None,
            )  # fmt: skip
        return tuple(row)

    def restore(self, image: tuple[Any, ...]) -> None:
        (
            self.bundle, self.collects, self.brood, self.seen, flow, self.marks, self.reached, self.reached_cost,
            self.lost,
        ) = image[:_OF_LOT]  # fmt: skip
        self.flow = flow and flow.copy()
        self.buckets = {}
        for at in range(_OF_LOT, len(image), _OF_BUCKET):
            bucket: Bucket = image[at]
            (
                bucket.count, bucket.weight, bucket.balance, bucket.seen, bucket.entrants, bucket.early, bucket.used,
                lasting,
            ) = image[at + 1 : at + _OF_BUCKET]  # fmt: skip
            bucket.units = bucket.count * bucket.weight
            bucket.lasting = dict(lasting) if lasting else {}
            self.buckets[bucket.stage] = bucket

    def few(self) -> tuple[Any, ...]:
        """The amounts in it: of the lot, then of each bucket."""
        row: list[Any] = [self.brood, self.seen, self.flow and self.flow.copy(), self.reached_cost, self.lost]
        for bucket in self.buckets.values():
            row += bucket.balance, bucket.seen, dict(bucket.lasting) if bucket.lasting else None
        return tuple(row)

    def mended(self, image: tuple[Any, ...], few: tuple[Any, ...], cut: Cut) -> tuple[Any, ...]:
        row, one, whole = list(image), cut.by_category.put, cut.whole.put
        brood, seen, flow, reached_cost, lost = few[:5]
        row[2], row[3], row[4] = one(row[2], brood), one(row[3], seen), mended_flow(row[4], flow, cut.by_category)
        row[7], row[8] = whole(row[7], reached_cost), one(row[8], lost)
        for at, of in zip(range(_OF_LOT, len(row), _OF_BUCKET), range(5, len(few), 3), strict=True):
            balance, seen, lasting = few[of : of + 3]
            row[at + 3], row[at + 4] = whole(row[at + 3], balance), one(row[at + 4], seen)
            if row[at + 8] or lasting:
                row[at + 8] = mended(row[at + 8] or {}, lasting or {}, cut.whole)
        return tuple(row)

    def be_part_of(self, image: tuple[Any, ...], cut: Cut, width: int) -> None:
        """Be like an image of a lot in a run of all categories, with those cut out; `width`: how many they are."""
        row, one, whole = image, cut.by_category.take, cut.whole.take
        self.collects, self.marks, self.reached = row[1], row[5], row[6]
        self.brood, self.seen, self.flow = one(row[2]), one(row[3]), cut_out_flow(row[4], cut.by_category)
        self.reached_cost, self.lost = whole(row[7]), one(row[8])
        for at in range(_OF_LOT, len(row), _OF_BUCKET):
            other: Bucket = row[at]
            bucket = self.buckets[other.stage] = Bucket(
                self, other.stage, LANE * width * other.stage if other.shift else 0
            )
            bucket.living, bucket.loss = other.living, other.loss
            bucket.count, bucket.weight, bucket.entrants, bucket.early, bucket.used = (
                row[at + 1], row[at + 2], row[at + 5], row[at + 6], row[at + 7],
            )  # fmt: skip
            bucket.units = bucket.count * bucket.weight
            bucket.balance, bucket.seen = whole(row[at + 3]), one(row[at + 4])
            bucket.lasting = cut_out(row[at + 8] or {}, cut.whole)


class Note(NamedTuple):
    """How far a run had come when a layer began."""

    played: int
    """The last day with movements that were played."""
    until: int
    """The last day asked for."""
    turned: int
    """The last day whose turns had happened."""
    bought: int
    settlements: int
    turn: int
    memos: int
    """How many there were, as the next two."""
    hatched: int
    unhatched: int


@dataclass(frozen=True, slots=True)
class Memo:
    """What a movement did, kept when a later one takes it back or returns its animals."""

    event: Event
    cost: int
    """The cost that moved, came in, left or was written off."""
    normal: int = 0
    """Thousandths carried by the survivors."""
    link: tuple[int, int, int] | None = None
    """Entrants, early exits and used allowance that moved with a split or merge."""
    brood: Mapping[int, int] | None = None
    """By lot, what came out of its brood pool, by category."""

    def part_of(self, cut: Cut) -> Memo:
        """The same with the amounts of the categories cut out."""
        brood = self.brood and {lot: cut.by_category.take(cost) for lot, cost in self.brood.items()}
        return replace(self, cost=cut.whole.take(self.cost), brood=brood)

    def mended(self, few: Memo, cut: Cut) -> Memo:
        """The same with the amounts of the categories cut out as they are in `few`."""
        broods = few.brood or {}
        brood = self.brood and {lot: cut.by_category.put(cost, broods[lot]) for lot, cost in self.brood.items()}
        return replace(self, cost=cut.whole.put(self.cost, few.cost), brood=brood)
