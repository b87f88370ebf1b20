"""The survival figure of one lot, and of several lots of a species together.

Pure numbers. Lots pool by adding counts on their common clock, each out of sight after its own last day. The spread
between lots widens the interval: design effect of Rao & Scott 1992 (Biometrics 48:577-585) and Williams 1982 (Appl
Stat 31:144-148), with a t quantile where there is a spread. Two lots do not tell their spread: they are never pooled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.interval import CERTAIN, Z95, Interval, effective_size, t_quantile, wilson
from ledger.rearing.survival import Curve, Flow, survival_curve
from ledger.wording import say, strung, word

FEWEST_LOTS = 3
"""Below this many lots the spread between them cannot be told."""


@dataclass(frozen=True, slots=True)
class LotSurvival:
    """What became of a lot's animals up to its last day. The three shares sum to 1."""

    history: LotHistory
    curve: Curve
    reached: float
    """Estimated share that has reached the reared stage by the last day."""
    lost: float
    rearing: float
    """Share still rearing: not a failure, not a success. Not final while above 0."""
    size: float | None
    """How many fully followed animals the estimate is worth; None when nothing is known yet."""
    interval: Interval | None
    """95 % limits of `reached`; None when nothing is known yet."""
    at_most: float | None = None
    """Where no share can be told though some were lost: the upper 95 % limit of what was not lost, which is all that
    may still reach the reared stage, or might have, had it been kept. None where a share can be told."""

    @property
    def tells(self) -> bool:
        """Whether there is a share to give: something is known, and it is not only that none has got there yet."""
        return self.size is not None and self.at_most is None

    @property
    def watched_to(self) -> int:
        """Last day on which any were there to be seen: of a lot whose young all left, the day the last one left."""
        return self.history.last_day if self.history.tie.pending else int(self.curve.days[-1])


@dataclass(frozen=True, slots=True)
class PooledSurvival:
    """The lots of a species together. `why` says in words why there is no figure; the lots stand beside it anyhow."""

    lots: tuple[LotSurvival, ...]
    compared: int
    """Lots that tell something: those the spread was taken from."""
    curve: Curve | None
    reached: float | None
    lost: float | None
    rearing: float | None
    size: float | None
    """Effective size after the design effect."""
    design_effect: float | None
    """How many times the variance exceeds that of equal lots; at least 1."""
    interval: Interval | None
    """95 % limits of `reached`."""
    why: str | None


def lot_survival(history: LotHistory) -> LotSurvival | None:
    """The figure of one lot; None when no animal ever entered before the reared stage."""
    if not any(history.start):
        return None
    curve = _curve(history.states, history.start, history.flows, history.start_day)
    reached, lost, se = _last(curve)
    animals = max(0, history.tie.entered)
    size = effective_size(reached, se, resolved=_resolved(history.tie), animals=animals)
    return LotSurvival(
        history=history,
        curve=curve,
        reached=reached,
        lost=lost,
        rearing=max(0.0, 1.0 - reached - lost),
        size=size,
        interval=None if size is None else wilson(reached, size),
        at_most=None if size is None else at_most(curve, animals),
    )


def at_most(curve: Curve, animals: int) -> float | None:
    """How large the share may still become, where none has reached the reared stage and not all are lost.

    Then the estimate of having reached it is nought on every day, however many will, and its interval is one of the
    days watched, not of the share. What can be said is that the lost will not: the limit is that of being lost, from
    below. None where some were reared or all are lost: there the curve's own figure stands.
    """
    assert curve.se is not None
    reached, lost = float(curve.prob[-1, -2]), float(curve.prob[-1, -1])
    if reached > CERTAIN or lost >= 1 - CERTAIN:
        return None
    size = effective_size(lost, float(curve.se[-1, -1]), resolved=animals, animals=animals)
    return 1.0 if size is None else 1.0 - wilson(lost, size).low


def pool_lots(histories: Sequence[LotHistory]) -> PooledSurvival:
    """The figure of several lots on their common clock.

    Args:
        histories: one per lot, all of one species. Lots that animals were split or merged into from one another may
            stand side by side: each animal is watched in one of them at a time.

    Raises:
        ValueError: the histories are not of one species.
    """
    if len({history.states for history in histories}) > 1:
        raise ValueError("lots of different species have no common survival")
    lots = tuple(lot for lot in map(lot_survival, histories) if lot is not None)
    known = [lot for lot in lots if lot.tells]
    stages = list(dict.fromkeys(lot.history.first_stage for lot in lots))
    if len(known) < FEWEST_LOTS:
        return _no_figure(lots, len(known), _too_few(lots, len(known)))
    if len(stages) > 1:
        names = strung((word(str(stage)) for stage in stages), say(" and "))
        return _no_figure(
            lots,
            len(known),
            say("counted from different stages ({stages}): look at them apart", stages=names),
        )

    curve = _pooled_curve([lot.history for lot in lots])
    reached, lost, se = _last(curve)
    if at_most(curve, sum(lot.history.tie.entered for lot in lots)) is not None:
        return _no_figure(lots, len(known), say("none has reached it yet"))
    size = effective_size(
        reached,
        se,
        resolved=sum(_resolved(lot.history.tie) for lot in lots),
        animals=sum(lot.history.tie.entered for lot in lots),
    )
    assert size is not None
    seen, sizes, expected = [], [], []
    for lot in lots:
        # Up to the day it was watched to: a lot whose young all left is not one that reared none.
        share = float(curve.prob[curve.row(lot.watched_to), -2])
        if CERTAIN < share < 1 - CERTAIN and lot.size is not None:
            seen.append(lot.reached)
            sizes.append(lot.size)
            expected.append(share)
    certain = not CERTAIN < reached < 1 - CERTAIN
    if not certain and len(seen) < FEWEST_LOTS:
        return _no_figure(lots, len(seen), _too_few(lots, len(seen)))
    effect = design_effect(seen, sizes, expected)
    z = t_quantile(0.975, len(seen) - 1) if effect > 1 else Z95
    return PooledSurvival(
        lots=lots,
        compared=len(known) if certain else len(seen),
        curve=curve,
        reached=reached,
        lost=lost,
        rearing=max(0.0, 1.0 - reached - lost),
        size=size / effect,
        design_effect=effect,
        interval=wilson(reached, size / effect, z),
        why=None,
    )


def design_effect(seen: Sequence[float], sizes: Sequence[float], expected: Sequence[float]) -> float:
    """D = max(1, X^2/(k-1)), X^2 = sum of n_i (seen_i - expected_i)^2 / (expected_i (1 - expected_i)).

    For finished lots all expected shares are the pooled one, as in Rao & Scott 1992. A lot still rearing is held
    against the pooled share on its own last day, so that being young does not count as being different (an extension
    without a source). Fewer than two lots have no spread: 1.

    Args:
        seen: share reared of each lot, by its last day.
        sizes: effective size of each lot.
        expected: the pooled share on that day, strictly between 0 and 1.
    """
    if len(seen) < 2:
        return 1.0
    chi = sum(n * (x - p) ** 2 / (p * (1 - p)) for x, n, p in zip(seen, sizes, expected, strict=True))
    return max(1.0, chi / (len(seen) - 1))


_TOO_FEW = (
    say("no lot is far enough on yet"),
    say("only one lot is far enough on: its own figure stands"),
    say("two lots do not show how far lots differ: look at them side by side"),
)


def _too_few(lots: Sequence[LotSurvival], known: int) -> str:
    """Why so few lots that tell something have no figure together; of none, as far as any of theirs were lost."""
    ties = [lot.history.tie for lot in lots]
    return (not known and nothing_yet(sum(tie.reached for tie in ties), sum(tie.lost for tie in ties))) or _TOO_FEW[
        known
    ]


def nothing_yet(reached: int, lost: int) -> str:
    """Why there is no figure where none was reared; empty where some were."""
    if reached:
        return ""
    if lost:
        return say("none has been reared yet; what is lost says only how many it can be at most, lot by lot")
    return say("nothing is known yet: no animal has been reared or lost")


def _no_figure(lots: tuple[LotSurvival, ...], compared: int, why: str) -> PooledSurvival:
    return PooledSurvival(
        lots=lots,
        compared=compared,
        curve=None,
        reached=None,
        lost=None,
        rearing=None,
        size=None,
        design_effect=None,
        interval=None,
        why=why,
    )


def _resolved(tie: Tie) -> int:
    return tie.reached + tie.lost


def _curve(states: Sequence[str], start: Sequence[int], flows: Sequence[Flow], start_day: int) -> Curve:
    """The curve of ever having reached the reared stage: the last two states are absorbing."""
    absorbing = (len(states) - 2, len(states) - 1)
    return survival_curve(states, start, flows, start_day=start_day, absorbing=absorbing)


def _last(curve: Curve) -> tuple[float, float, float]:
    """Share reared, share lost and standard error of the first, on the last day."""
    assert curve.se is not None
    return float(curve.prob[-1, -2]), float(curve.prob[-1, -1]), float(curve.se[-1, -2])


def _pooled_curve(histories: Sequence[LotHistory]) -> Curve:
    """Counts added on the common clock; a lot that starts late enters late, and goes out of sight on its last day."""
    start_day = min(history.start_day for history in histories)
    states = histories[0].states
    young = len(states) - 2
    start = [0] * len(states)
    flows: list[Flow] = []
    for history in histories:
        there = list(history.start)
        if history.start_day == start_day:
            start = [a + b for a, b in zip(start, there, strict=True)]
        else:
            flows += [Flow(history.start_day, "enter", None, s, n) for s, n in enumerate(there) if n]
        flows += history.flows
        for flow in history.flows:
            if flow.source is not None:
                there[flow.source] -= flow.count
            if flow.target is not None:
                there[flow.target] += flow.count
        flows += [Flow(history.last_day, "leave", s, None, n) for s, n in enumerate(there[:young]) if n]
    flows.sort(key=lambda flow: _order(flow, young + 1))
    return _curve(states, start, flows, start_day)


def _order(flow: Flow, lost: int) -> tuple[int, int, int]:
    """Day, stage, then arrivals, deaths, moves on and leavings: the order in which each lot's own flows came."""
    if flow.source is None:
        assert flow.target is not None
        return flow.day, flow.target, 0
    if flow.target is None:
        return flow.day, flow.source, 3
    return flow.day, flow.source, 1 if flow.target == lost else 2
