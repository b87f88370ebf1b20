"""How the young of one day share what their mothers' brood pools hold, and the animals hatched from counted objects.

Looks at the whole day before its first young are played, so that the first clutch entered does not take all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.costs.given import figure_on
from ledger.costs.state import Lot
from ledger.costs.vector import Vector
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost

BROOD = frozenset(name for name, reason in REASONS.items() if reason.cost is Cost.BROOD)
"""Reasons by which animals begin life here."""


class Clutch:
    """The young of one lot on one day."""

    __slots__ = ("count", "portions", "share")

    def __init__(self, stated: int) -> None:
        self.share = stated
        """Its weight beside other clutches."""
        self.count = 0
        """Young that have not taken their share."""
        self.portions: dict[int, int] = {}
        """By mother: what the clutch was given and its young have not taken."""


class Young:
    """All that begins life on one day."""

    __slots__ = ("clutches", "of_mother", "out_of_objects")

    def __init__(self) -> None:
        self.clutches: dict[int, Clutch] = {}
        """By lot of the young, until all young have taken their share."""
        self.of_mother: dict[int, list[Clutch]] = {}
        """By mother, until her pool is handed out."""
        self.out_of_objects: dict[int, int] = {}
        """By the movement of the objects: animals hatched from them today that have not taken their share."""


def young_of(events: Sequence[Event], place: int, lots: Mapping[int, Lot]) -> Young:
    """Look at the movements of a day from `place` on."""
    young = Young()
    clutches, day = young.clutches, events[place].accounting_on
    for at in range(place, len(events)):
        event = events[at]
        if event.accounting_on != day:
            break
        if event.reason not in BROOD or event.reverses is not None:
            continue
        objects = event.relates_to
        if objects is not None:
            young.out_of_objects[objects] = young.out_of_objects.get(objects, 0) + event.count
            continue
        number = event.to_lot
        assert number is not None
        info = lots[number].info
        if not info.mothers:
            continue
        clutch, stated = clutches.get(number), figure_on(info.brood_share, day, None)
        if clutch is None:
            clutch = clutches[number] = Clutch(stated or 0)
            for mother in info.mothers:
                young.of_mother.setdefault(mother, []).append(clutch)
        clutch.count += event.count
        if stated is None:
            clutch.share += event.count
    return young


def take_share(young: Young, lot: Lot, count: int, mothers: Sequence[Lot], vector: Vector) -> dict[int, int]:
    """What the young of one movement take of the brood pools of their mothers.

    The first young of a day empty the pool for all clutches of that day.

    Args:
        young: of the day.
        lot: of the young.
        count: young of the movement.
        mothers: of their lot, with their pools up to date.
        vector: of the categories.

    Returns:
        By mother, the grid steps that go with these young.
    """
    clutch = young.clutches[lot.id]
    portions = clutch.portions
    for mother in mothers:
        if mother.id not in portions:
            _hand_out(young.of_mother.pop(mother.id), mother, vector)
    if count == clutch.count:
        del young.clutches[lot.id]
        return portions
    taken = {}
    for number, portion in portions.items():
        taken[number] = part = vector.share(portion, count, clutch.count) if portion else 0
        portions[number] = portion - part
    clutch.count -= count
    return taken


def _hand_out(clutches: Sequence[Clutch], mother: Lot, vector: Vector) -> None:
    """Give each clutch of a day its portion of a pool; the last one takes what does not divide."""
    if len(clutches) == 1 or not mother.brood:
        for clutch in clutches:
            clutch.portions[mother.id] = mother.brood
        mother.brood = 0
        return
    left = sum(clutch.share for clutch in clutches)
    for clutch in clutches:
        clutch.portions[mother.id] = portion = vector.share(mother.brood, clutch.share, left)
        mother.brood -= portion
        left -= clutch.share
