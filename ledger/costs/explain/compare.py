"""Why a reared adult of one lot is dearer than one of another: what they cost when they came, what was spent, losses.

Cost per reared adult = cost of each that was followed to its end x how many of those one reared adult stands for. The
difference of two such products is divided so that the joint part is halved between the two factors (Shapley's value
for two players); so the parts sum to the difference exactly.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from ledger.costs.explain.figure import Gone, Reared, amounts
from ledger.costs.explain.parts import CRUMB, Key, Part, apportion, for_each
from ledger.costs.explain.replay import Journal
from ledger.costs.explain.split import Axis, Explained, explain
from ledger.costs.grid import GRID
from ledger.costs.result import Kind, Shared
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Cost, Survival

WRITTEN_OFF = frozenset({Kind.WRITTEN_OFF})


@dataclass(frozen=True, slots=True)
class Side:
    """What one reared adult of a lot cost, taken apart. Amounts in minor units."""

    lot: int
    each: Fraction
    """Cost per reared adult."""
    shown: int
    reared: int
    lost: int
    """Died or missing before the reared stage."""
    came_with: Mapping[str, Fraction]
    """By category: what each that was reared or lost had cost when it came into the lot."""
    spent: Mapping[str, Fraction]
    """By category: what was then spent on each that was reared or lost."""

    @property
    def without_losses(self) -> Fraction:
        """What each would have cost had none been lost."""
        return sum(self.came_with.values(), Fraction(0)) + sum(self.spent.values(), Fraction(0))

    @property
    def bears(self) -> Fraction:
        """How many that were reared or lost one reared adult carries the cost of, what was written off left out."""
        whole = self.without_losses
        return self.each / whole if whole else Fraction(self.reared + self.lost, self.reared)


@dataclass(frozen=True, slots=True)
class Compared:
    """Two lots side by side; every list of parts sums to the difference, and in minor units to that of the figures."""

    one: Side
    other: Side
    causes: tuple[Part, ...]
    """Keys: `came with` and `spent`, each by category, and `losses`."""
    by_category: tuple[Part, ...]
    by_stage: tuple[Part, ...]
    """Each with its categories."""

    @property
    def exact(self) -> Fraction:
        """One less the other."""
        return self.one.each - self.other.each

    @property
    def shown(self) -> int:
        """One less the other, as they are shown."""
        return self.one.shown - self.other.shown


def compare(journal: Journal, one: int, other: int) -> Compared:
    """Put two lots side by side; both must have reared adults.

    Args:
        journal: up to the day the figures are of.
        one, other: lots of one species.
    """
    plain = journal.shared()
    left, right = _side(journal, one, plain), _side(journal, other, plain)
    shown = left.shown - right.shown
    by_category, by_stage = (
        _less(
            explain(journal, Reared(frozenset({one})), axis, plain),
            explain(journal, Reared(frozenset({other})), axis, plain),
            shown,
        )
        for axis in (Axis.CATEGORY, Axis.STAGE)
    )
    return Compared(left, right, _causes(left, right, shown), by_category, by_stage)


def _less(one: Explained, other: Explained, shown: int) -> tuple[Part, ...]:
    """The parts of one figure less those of another."""
    found: dict[Key, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for sign, side in ((1, one), (-1, other)):
        for part in side.parts:
            for category, amount in part.categories:
                found[part.key][category] += sign * amount
    keys = sorted(found)
    return _parts({key: found[key] for key in keys}, shown)


def _parts(found: Mapping[Key, Mapping[str, Fraction]], shown: int) -> tuple[Part, ...]:
    if not found:
        return ()
    exact = [sum(by.values(), Fraction(0)) for by in found.values()]
    return tuple(
        Part(key, amount, whole, tuple(sorted(by.items(), key=lambda one: -abs(one[1]))))
        for (key, by), amount, whole in zip(found.items(), exact, apportion(shown, exact), strict=True)
    )


def _causes(one: Side, other: Side, shown: int) -> tuple[Part, ...]:
    bears = (one.bears + other.bears) / 2
    found: dict[Key, dict[str, Fraction]] = {}
    for kind, left, right in (
        ("came with", one.came_with, other.came_with),
        ("spent", one.spent, other.spent),
    ):
        for category in sorted(left.keys() | right.keys()):
            more = left.get(category, Fraction(0)) - right.get(category, Fraction(0))
            if more:
                found[Key(kind, category)] = {category: more * bears}
    whole = (one.without_losses + other.without_losses) / 2
    found[Key("losses")] = {"": (one.bears - other.bears) * whole}
    return _parts(found, shown)


def _side(journal: Journal, lot: int, plain: Shared) -> Side:
    figure = Reared(frozenset({lot}))
    number = figure.number(plain)
    reared = journal.reared[journal.lots[lot].species]
    young = frozenset(
        event.id for event in journal.events if event.from_lot == lot and _before(event.from_stage, reared)
    )
    lost = sum(_lost(event, lot, reared) for event in journal.events if event.accounting_on <= journal.until)
    written = Gone(WRITTEN_OFF, figure.lots, young | frozenset(_backs(journal, young)))
    all_of_it = _each(plain, figure, written, number + lost)
    there = _each(_come_for_nothing(journal, lot).shared(), figure, written, number + lost)
    came_with = {name: amount - there[name] for name, amount in all_of_it.items() if abs(amount - there[name]) > CRUMB}
    total = Fraction(sum(amounts(figure, plain)), GRID)
    return Side(
        lot,
        total / number,
        for_each(total, number),
        number,
        lost,
        came_with,
        {name: spent for name, amount in all_of_it.items() if (spent := amount - came_with.get(name, 0))},
    )


def _before(stage: int | None, reared: int) -> bool:
    return stage is not None and stage < reared


def _lost(event: Event, lot: int, reared: int) -> int:
    """Animals of a lot lost before the reared stage by a movement; negative when it takes such a loss back, or finds
    again what was missing."""
    if REASONS[event.reason].cost is Cost.NOTHING and event.relates_to is not None:
        sign = 1 if event.reverses is None else -1
        found = (event.to_lot, event.to_stage) if sign > 0 else (event.from_lot, event.from_stage)
        return -sign * event.count if found[0] == lot and _before(found[1], reared) else 0
    if REASONS[event.reason].survival is not Survival.LOST:
        return 0
    if event.reverses is None:
        return event.count if event.from_lot == lot and _before(event.from_stage, reared) else 0
    return -event.count if event.to_lot == lot and _before(event.to_stage, reared) else 0


def _backs(journal: Journal, events: frozenset[int]) -> Iterator[int]:
    return (event.id for event in journal.events if event.reverses in events)


def _each(shared: Shared, figure: Reared, written: Gone, animals: int) -> dict[str, Fraction]:
    """Cost that was reared or written off, by each that was reared or lost, by category."""
    pairs = zip(shared.categories, amounts(figure, shared), amounts(written, shared), strict=True)
    return {name: Fraction(reared + lost, GRID * animals) for name, reared, lost in pairs}


def _come_for_nothing(journal: Journal, lot: int) -> Journal:
    """The same, but whatever comes into the lot has cost nothing so far: what is then in it was spent there."""
    home = {event.id: event.lot for event in journal.events}
    number = max(home, default=0)
    events: list[Event] = []
    for event in journal.events:
        if event.to_lot != lot or event.from_lot == lot:
            events.append(event)
        elif event.from_lot is not None:
            number += 1
            events.append(
                replace(event, id=number, reason="given away", to_lot=None, to_stage=None, cause=None, reverses=None)
            )
            events.append(replace(event, reason="found", from_lot=None, from_stage=None, cause=None, reverses=None))
        elif event.reverses is None and REASONS[event.reason].cost is Cost.BROOD and event.relates_to is not None:
            own = home[event.relates_to] == lot
            events.append(event if own else replace(event, relates_to=None))
        else:
            events.append(replace(event, value=0) if event.value else event)
    lots = {**journal.lots, lot: replace(journal.lots[lot], mothers=())}
    return replace(journal, events=events, lots=lots)
