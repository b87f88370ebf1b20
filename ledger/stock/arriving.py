"""Animals that come in with a new lot: arrivals as movements, a price shared over them.

Reads nothing and writes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.errors import BadInput
from ledger.money import largest_remainder
from ledger.records.columns import MOST_ANIMALS, MOST_MONEY
from ledger.stock.commands import Arrival
from ledger.stock.drafts import ResolvedMove
from ledger.stock.holdings import HoldingKey, read_tub
from ledger.stock.naming import StageRef, match_stage
from ledger.stock.phrases import Said
from ledger.stock.reasons import Cost, Direction, reason
from ledger.stock.words import SURE
from ledger.wording import say

BORN_HERE = frozenset({"laid", "hatched", "harvested"})
"""Reasons whose origin follows from parents or a colony, and needs no statement."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """Animals of one sex that come in; the lot has no number yet."""

    reason: str
    count: int
    stage: StageRef
    sex: str
    sure: str
    tub: str
    value: int | None
    estimated: bool

    def key(self, lot_id: int) -> HoldingKey:
        """The holding they come into."""
        return HoldingKey(lot_id, self.stage.id, self.sex, self.sure, self.tub)

    def move(self, lot_id: int) -> ResolvedMove:
        """The movement."""
        return ResolvedMove(
            self.reason, self.count, target=self.key(lot_id), value=self.value, estimated=self.estimated
        )

    @property
    def said(self) -> Said:
        """What is said of it."""
        return Said(self.reason, self.count, self.stage.name, self.key(0), value=self.value, estimated=self.estimated)


def incoming(arrival: Arrival, known: Sequence[StageRef]) -> list[Incoming]:
    """The animals of an arrival, sex by sex; its price is shared over them, exactly.

    Raises:
        NotFound, BadInput: it is not an arrival that can be recorded with a lot.
    """
    why = reason(arrival.reason)
    if why.direction is not Direction.IN or not why.by_hand or why.name == "found":
        raise BadInput(say("“{name}” does not bring the first animals of a lot.", name=why.name), field="reason")
    stage = match_stage(known, arrival.stage)
    if arrival.sure not in SURE:
        raise BadInput(say("A sex is probable or confirmed."), field="sure")
    by_sex = {
        "unsexed": arrival.unsexed,
        "male": arrival.males,
        "female": arrival.females,
        "hermaphrodite": arrival.hermaphrodites,
    }
    for count in by_sex.values():
        if type(count) is not int or not 0 <= count <= MOST_ANIMALS:
            raise BadInput(
                say("The number must be from 1 to {most_animals}.", most_animals=f"{MOST_ANIMALS:,}"), field="count"
            )
    some = {sex: count for sex, count in by_sex.items() if count}
    if not some:
        raise BadInput(say("Say how many came in."), field="count")
    if arrival.value is not None:
        if why.cost is not Cost.PRICE:
            raise BadInput(say("Only animals bought or swapped in have a price; leave it out."), field="value")
        if not 0 <= arrival.value <= MOST_MONEY:
            raise BadInput(say("The price must be nothing or more, and within reason."), field="value")
    shares: Sequence[int | None] = [None] * len(some)
    if arrival.value is not None:
        shares = largest_remainder(arrival.value, list(some.values()))
    tub = read_tub(arrival.tub) or ""
    return [
        Incoming(why.name, count, stage, sex, "" if sex == "unsexed" else arrival.sure, tub, value, arrival.estimated)
        for (sex, count), value in zip(some.items(), shares, strict=True)
    ]
