"""The sharing of costs: what each animal, sale and loss has cost. No database, no clock.

Weighted-average process costing by bucket = (lot, stage). Each day of a cost falls on the animals in its scope that
are alive and present at the end of that day, by weight or by tub; a bucket takes its share when it is next touched, in
closed form. All in whole steps of a grid, so that what came in is accounted for to the last step.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ledger.costs.closing import close
from ledger.costs.clutches import young_of
from ledger.costs.given import CostLine, Dated, Given, LotInfo, SharingKeys, StageFigures, values_of, with_method
from ledger.costs.grid import GRID
from ledger.costs.movements import act_of, begin_life, come_back
from ledger.costs.result import Shared
from ledger.costs.sharing import Sharing
from ledger.costs.taken_back import take_back
from ledger.costs.turns import Turns, end_day
from ledger.costs.uncollected import uncollected
from ledger.costs.vector import LARGEST
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS

ACTS = {name: act_of(reason) for name, reason in REASONS.items()}
"""What a movement does, by its reason."""


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
    keys: SharingKeys | None = None,
    care: Mapping[str, StageFigures] | None = None,
    by_stage: bool = False,
    to_offspring: Dated = 1,
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
        keys: by category, from which day on it is shared by animal-days or tub-days; animal-days where none is set.
        care: by category, care weights of its own, which count for it before `weights`.
        by_stage: whether to keep apart at which stage cost accrued.
        to_offspring: 1 where breeders' upkeep goes to their young; else it is expensed at each cut and the end.

    Returns:
        All cost by where it is, exact and posted; see `Shared`.

    Raises:
        ValueError: the journal cannot have happened (out of order, more leave than are there, a figure missing).
    """
    given = Given(
        costs=with_method(costs, keys or {}, care or {}),
        lots=lots,
        weights=weights or {},
        losses=losses or {},
        reared=reared or {},
        specimens=frozenset(specimens),
        cuts=frozenset(cuts),
        care=care or {},
        by_stage=by_stage,
        stages=stages_of(events) if by_stage else 1,
        to_offspring=to_offspring,
    )
    return share_given(events, given, until)


def share_given(events: Sequence[Event], given: Given, until: int) -> Shared:
    """As `share`, of what is put together already."""
    survey = Survey(events)
    check(given, survey.prices)
    with uncollected():
        s = Sharing(given)
        s.kept = survey.kept
        turns = Turns(s)
        play(s, turns, events, 0, until)
        turns.start_day(until)
        return close(s, until)


def stages_of(events: Iterable[Event]) -> int:
    """How many stages there are up to the last one that a movement goes to."""
    return 1 + max([event.to_stage for event in events if event.to_stage is not None], default=0)


class Survey:
    """What must be known of all movements before the first is played."""

    __slots__ = ("kept", "prices")

    def __init__(self, events: Iterable[Event]) -> None:
        self.kept: set[int] = set()
        """Movements that others take back, wholly or in part: what they did must be remembered."""
        self.prices = 0
        """Sum of the prices of animals bought, in minor units, none below nought."""
        self.look_at(events)

    def look_at(self, events: Iterable[Event]) -> set[int]:
        """Look at more movements; returns those of earlier ones that must be remembered for them."""
        prices, kept = 0, set[int]()
        for event in events:
            if event.value is not None:
                prices += abs(event.value)
            if event.reverses is not None:
                kept.add(event.reverses)
            elif event.relates_to is not None and ACTS[event.reason] is come_back:
                kept.add(event.relates_to)
        self.prices += prices
        self.kept |= kept
        return kept


def play(s: Sharing, turns: Turns, events: Sequence[Event], start: int, until: int) -> int:
    """Play the movements from a place in the journal up to the day `until`; returns the place of the next one.

    Raises:
        ValueError: the movements are not in the order of `accounting_on`.
    """
    today, acts, place = -1, ACTS, start
    for place in range(start, len(events)):
        event = events[place]
        day = event.accounting_on
        if day != today:
            if day < today:
                raise ValueError("movements must come in the order of accounting_on")
            if day > until:
                break
            if today >= 0:
                end_day(s)
            today = day
            turns.start_day(day)
        if event.reverses is not None:
            take_back(s, event)
            continue
        act = acts[event.reason]
        if act is begin_life and s.young is None:
            s.young = young_of(events, place, s.lots)
        act(s, event)
    else:
        place = len(events)
    if today >= 0:
        end_day(s)
    return place


def check(given: Given, bought: int) -> None:
    """Refuse what the books must never hand over."""
    whole = bought + sum(abs(line.amount) for line in given.costs)
    if whole * GRID >= LARGEST:
        raise ValueError(f"{whole} minor units are more than can be shared out")
    for line in given.costs:
        if line.last < line.first:
            raise ValueError(f"cost {line.id} ends before it starts")
    for number, info in given.lots.items():
        before: int | None = 0
        for first, last in info.breeding:
            if before is None or first <= before or (last is not None and last < first):
                raise ValueError(f"lot {number}: its times of breeding are not in order")
            before = last
        if len(set(info.mothers)) != len(info.mothers):
            raise ValueError(f"lot {number} names a mother twice")
        life = info.breeding_life_days
        if any(days < 1 for days in ([life] if isinstance(life, int) else [days for _, days in life or ()])):
            raise ValueError(f"lot {number}: a breeding life is at least a day")
        if any(weight < 1 for weight in values_of(info.brood_share)):
            raise ValueError(f"lot {number}: the weight of a clutch is at least 1")
