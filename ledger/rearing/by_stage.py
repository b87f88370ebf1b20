"""Rearing survival as the product of the survivals of its stages, each on the stage's own clock.

For lots of which many left as young: selling only larvae shifts the curve on the lot's clock in time, and its end a
little, because the chance of moving on depends on the days in the stage. Within a stage the estimator is that of
Aalen & Johansen 1978 with ways out moved on and lost; stays as `spells` pairs them. Pure numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.rearing.interval import Interval, effective_size, wilson
from ledger.rearing.spells import DECIDED, Fate, Spell
from ledger.rearing.survival import Flow, survival_curve

MANY_LEFT = 0.20
"""Share of the animals that left young above which the product is offered beside the curve (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class StageSurvival:
    """How many of those that entered a stage leave it alive."""

    name: str
    entered: int
    moved: int
    lost: int
    away: int
    """Out of sight: sold, given, parted or still there."""
    share: float | None
    """Estimated share that moves on; None when nothing was decided in the stage."""
    se: float | None


@dataclass(frozen=True, slots=True)
class Product:
    """The stages of a life one after the other."""

    stages: tuple[StageSurvival, ...]
    share: float | None
    """The product; None while a stage on the way has no figure."""
    interval: Interval | None
    size: float | None


def stage_survival(name: str, stays: Iterable[Spell]) -> StageSurvival:
    """Survival of one stage on its own clock.

    A stay of zero days counts among those that were decided, on its first day.
    """
    ended: Counter[tuple[int, Fate]] = Counter()
    for stay in stays:
        ended[max(stay.days, 1), stay.fate] += stay.count
    number = {fate: sum(n for (_, how), n in ended.items() if how is fate) for fate in Fate}
    entered = sum(number.values())
    share = se = None
    if number[Fate.ON] + number[Fate.LOST]:
        # On one day those that leave are still at risk, so they come last.
        flows = [
            Flow(day, "move", 0, 1 if fate is Fate.ON else 2, n) if fate in DECIDED else Flow(day, "leave", 0, None, n)
            for (day, fate), n in sorted(ended.items())
        ]
        curve = survival_curve(("there", "on", "lost"), (entered, 0, 0), flows, absorbing=(1, 2))
        assert curve.cov is not None
        on, gone = float(curve.prob[-1, 1]), float(curve.prob[-1, 2])
        # What is left undecided goes as the decided went: the last stays may all be out of sight.
        share = on / (on + gone)
        rest = on + gone
        cov = curve.cov
        by_on, by_lost = gone / rest**2, -on / rest**2
        variance = by_on**2 * cov[1, 1] + by_lost**2 * cov[2, 2] + 2 * by_on * by_lost * cov[1, 2]
        se = max(0.0, float(variance)) ** 0.5
    away = number[Fate.AWAY] + number[Fate.HERE]
    return StageSurvival(name, entered, number[Fate.ON], number[Fate.LOST], away, share, se)


def stage_product(states: Sequence[str], stays: Sequence[Spell], first: int = 0) -> Product:
    """The product from a stage on.

    Args:
        states: names of the young stages in order.
        stays: of one lot or several of one species.
        first: position of the stage the lives counted start in.
    """
    parts = tuple(
        stage_survival(name, [stay for stay in stays if stay.state == place])
        for place, name in enumerate(states)
        if place >= first
    )
    passed = [part for part in parts if part.entered]
    if not passed or any(part.share is None for part in passed):
        return Product(parts, None, None, None)
    if not passed[-1].moved and any(part.away for part in passed):
        # None got to the end, and some left before they could: nought would be a figure of those that were lost.
        return Product(parts, None, None, None)
    share, relative = 1.0, 0.0
    for part in passed:
        assert part.share is not None
        assert part.se is not None
        share *= part.share
        relative += (part.se / part.share) ** 2 if part.share > 0 else 0.0
    se = share * relative**0.5
    decided = sum(part.lost for part in passed) + passed[-1].moved
    size = effective_size(share, se, resolved=decided, animals=max(part.entered for part in passed))
    return Product(parts, share, None if size is None else wilson(share, size), size)
