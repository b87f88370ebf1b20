"""The sharing of costs: what each animal, sale and loss has cost. No database, no clock.

Weighted-average process costing by bucket = (lot, stage). Each day of a cost falls on the animals in its scope that
are alive and present at the end of that day, by weight; a bucket takes its share when it is next touched, in closed
form. All in whole steps of a grid, so that what came in is accounted for to the last step.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ledger.costs.closing import close
from ledger.costs.clutches import Ahead, look_ahead
from ledger.costs.given import ANIMALS, CostLine, LotInfo, StageFigures
from ledger.costs.grid import GRID
from ledger.costs.movements import arrive, die, hatch_out, leave, move
from ledger.costs.result import Shared
from ledger.costs.sharing import Sharing
from ledger.costs.taken_back import take_back
from ledger.costs.turns import Turns
from ledger.costs.vector import LARGEST
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost


def share(
    events: Sequence[Event],
    costs: Sequence[CostLine],
    lots: Mapping[int, LotInfo],
    until: int,
    *,
    weights: StageFigures | None = None,
    losses: StageFigures | None = None,
    reared: Mapping[int, int] | None = None,
    specimens: Iterable[tuple[int, int]] = (),
    cuts: Iterable[int] = (),
    by_stage: bool = False,
    to_offspring: bool = True,
) -> Shared:
    """Share all costs up to and including the day `until`.

    Args:
        events: without reversed pairs and in order, both by accounting_on (`without_reversed`, `ordered`); those
            after `until` are left alone.
        costs: lines with their windows; any order. Those that start later are not used up.
        lots: every lot the movements or the mothers name.
        until: day as ordinal; its movements and its costs count.
        weights: care weights in thousandths; 1000 where none is set.
        losses: expected losses in millionths of the entrants of a stage; none where none is set.
        reared: by species, the position of the reared stage.
        specimens: (species, stage) of dried specimens: they bear no cost and breed nothing.
        cuts: days at whose end cost without animals is posted, so that a later run posts it to the same periods:
            the ends of all closed years before `until` belong here.
        by_stage: whether to keep apart at which stage cost accrued.
        to_offspring: whether breeders' upkeep goes to their young; else it is expensed at each cut and the end.

    Returns:
        All cost by where it is, exact and posted; see `Shared`.

    Raises:
        ValueError: the journal cannot have happened (out of order, more leave than are there, a figure missing).
    """
    ahead = look_ahead(events, lots)
    _check(costs, lots, ahead.prices)
    categories = tuple(sorted({line.category for line in costs} | {ANIMALS}))
    stages = 1
    if by_stage:
        stages += max((place for e in events for place in (e.from_stage, e.to_stage) if place is not None), default=0)
    s = Sharing(
        costs,
        lots,
        categories=categories,
        stages=stages,
        weights=weights or {},
        losses=losses or {},
        reared=reared or {},
        specimens=specimens,
        to_offspring=to_offspring,
    )
    turns = Turns(s, cuts, until)
    _play(s, turns, events, ahead, until)
    return close(s, costs, categories, until, by_stage=by_stage)


def _play(s: Sharing, turns: Turns, events: Sequence[Event], ahead: Ahead, until: int) -> None:
    """Play the movements up to `until`, turning the day where it changes."""
    effects = {name: reason.cost for name, reason in REASONS.items()}
    today = None
    for event in events:
        if event.accounting_on != today:
            if event.accounting_on > until:
                break
            if today is not None:
                turns.end_day()
            today = event.accounting_on
            turns.start_day(today)
        effect = effects[event.reason]
        if event.reverses is not None:
            take_back(s, event)
        elif event.from_lot is None:
            arrive(s, event, effect, ahead)
        elif effect is Cost.DEATH or effect is Cost.DRIED:
            die(s, event, ahead)
        elif event.to_lot is not None:
            move(s, event, ahead)
        elif effect is Cost.HATCH:
            hatch_out(s, event, ahead)
        else:
            leave(s, event, ahead)
    if today is not None:
        turns.end_day()
    turns.start_day(until)


def _check(costs: Sequence[CostLine], lots: Mapping[int, LotInfo], prices: int) -> None:
    """Refuse what the books must never hand over."""
    whole = prices + sum(abs(line.amount) for line in costs)
    if whole * GRID >= LARGEST:
        raise ValueError(f"{whole} minor units are more than can be shared out")
    for line in costs:
        if line.last < line.first:
            raise ValueError(f"cost {line.id} ends before it starts")
    for number, info in lots.items():
        before: int | None = 0
        for first, last in info.breeding:
            if before is None or first <= before or (last is not None and last < first):
                raise ValueError(f"lot {number}: its times of breeding are not in order")
            before = last
        if len(set(info.mothers)) != len(info.mothers):
            raise ValueError(f"lot {number} names a mother twice")
        if info.breeding_life_days is not None and info.breeding_life_days < 1:
            raise ValueError(f"lot {number}: a breeding life is at least a day")
        if info.brood_share is not None and info.brood_share < 1:
            raise ValueError(f"lot {number}: the weight of a clutch is at least 1")
