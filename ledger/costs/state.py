"""What the sharing engine remembers: a bucket for each (lot, stage), the lot, and a movement that may be taken back.

Plain state without rules. Amounts are vectors of grid steps: one for each category, or, in the balance of a bucket
when the stages are kept apart, one for each stage and category (stage after stage).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ledger.costs.given import Dated, LotInfo
from ledger.costs.lasting import Flow, Parts
from ledger.costs.pools import Bundle
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
