"""How the young of one day share what their mothers' brood pools hold, and the animals hatched from counted objects.

Looks at the whole day before it is played, so that the first clutch entered does not take all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.costs.given import LotInfo
from ledger.costs.state import Lot
from ledger.costs.vector import Vector
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost


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


class Ahead:
    """What must be known of later movements of a day, or of movements that take back earlier ones."""

    __slots__ = ("clutches", "kept", "of_mother", "out_of_objects", "prices")

    def __init__(self) -> None:
        self.prices = 0
        """Sum of the prices of animals bought, in minor units."""
        self.kept: set[int] = set()
        """Movements that a later one takes back, wholly or in part."""
        self.clutches: dict[tuple[int, int], Clutch] = {}
        """By (lot of the young, day), until all young have taken their share."""
        self.of_mother: dict[tuple[int, int], list[Clutch]] = {}
        """By (mother, day), until her pool is handed out."""
        self.out_of_objects: dict[int, int] = {}
        """By the movement of the objects: animals hatched from them that day that have not taken their share."""


def look_ahead(events: Sequence[Event], lots: Mapping[int, LotInfo]) -> Ahead:
    """Read all movements once for what `Ahead` holds.

    Raises:
        ValueError: they are out of order, or animals hatch before their objects.
    """
    ahead = Ahead()
    today = 0
    hatch_day: dict[int, int] = {}
    effects = {name: reason.cost for name, reason in REASONS.items()}
    for event in events:
        if event.accounting_on < today:
            raise ValueError("movements must come in the order of accounting_on")
        today = event.accounting_on
        if event.value is not None:
            ahead.prices += abs(event.value)
        if event.reverses is not None:
            ahead.kept.add(event.reverses)
            continue
        effect = effects[event.reason]
        if effect is Cost.BROOD:
            objects = event.relates_to
            if objects is None:
                _add_young(ahead, event, lots)
            elif objects not in hatch_day:
                raise ValueError(f"movement {event.id}: its objects must hatch out before the animals come of them")
            elif hatch_day[objects] == today:
                ahead.out_of_objects[objects] = ahead.out_of_objects.get(objects, 0) + event.count
        elif effect is Cost.HATCH:
            hatch_day[event.id] = today
        elif effect is Cost.BACK and event.relates_to is not None:
            ahead.kept.add(event.relates_to)
    return ahead


def _add_young(ahead: Ahead, event: Event, lots: Mapping[int, LotInfo]) -> None:
    lot, day = event.lot, event.accounting_on
    info = lots[lot]
    if not info.mothers:
        return
    clutch = ahead.clutches.get((lot, day))
    if clutch is None:
        clutch = ahead.clutches[lot, day] = Clutch(info.brood_share or 0)
        for mother in info.mothers:
            ahead.of_mother.setdefault((mother, day), []).append(clutch)
    clutch.count += event.count
    if info.brood_share is None:
        clutch.share += event.count


def take_share(ahead: Ahead, event: Event, mothers: Sequence[Lot], vector: Vector) -> dict[int, int]:
    """What the young of one movement take of the brood pools of their mothers.

    The first young of a day empty the pool for all clutches of that day.

    Args:
        ahead: of the whole journal.
        event: the arrival of the young.
        mothers: of their lot, with their pools up to date.
        vector: of the categories.

    Returns:
        By mother, the grid steps that go with these young.
    """
    clutch = ahead.clutches[event.lot, event.accounting_on]
    portions = clutch.portions
    for mother in mothers:
        if mother.id not in portions:
            _hand_out(ahead.of_mother.pop((mother.id, event.accounting_on)), mother, vector)
    if event.count == clutch.count:
        del ahead.clutches[event.lot, event.accounting_on]
        return portions
    taken = {}
    for number, portion in portions.items():
        taken[number] = part = vector.share(portion, event.count, clutch.count)
        portions[number] = portion - part
    clutch.count -= event.count
    return taken


def _hand_out(clutches: Sequence[Clutch], mother: Lot, vector: Vector) -> None:
    """Give each clutch of a day its portion of a pool; the last one takes what does not divide."""
    left = sum(clutch.share for clutch in clutches)
    for clutch in clutches:
        clutch.portions[mother.id] = portion = vector.share(mother.brood, clutch.share, left)
        mother.brood -= portion
        left -= clutch.share
