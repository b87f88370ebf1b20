"""State probabilities of a lot from counts: the Aalen-Johansen estimator with its Greenwood-type covariance.

Pure numbers: knows no table, no screen and no reason for a movement. Method: Aalen & Johansen 1978 (Scand J Stat
5:141-150); covariance after Andersen, Borgan, Gill & Keiding 1993, *Statistical Models Based on Counting Processes*,
IV.4.1.3, carried for the row vector p(t) only. The cost is per day on which something happened, not per animal.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int64]
Reals = NDArray[np.float64]

NOTHING_LEFT = 1e-12
"""A probability below this is rounding, not mass."""


@dataclass(frozen=True, slots=True)
class Flow:
    """`count` animals that change state (`move`), go out of sight (`leave`) or come under watch (`enter`) on a day.

    States are positions in the list given to `survival_curve`; `source` is None for `enter`, `target` for `leave`.
    """

    day: int
    """Day on the lot's clock."""
    kind: Literal["move", "leave", "enter"]
    source: int | None
    target: int | None
    count: int


@dataclass(frozen=True, slots=True)
class TakenToZero:
    """The few animals then at risk in a state all moved on or died while others entered it later.

    The product can never recover from it (Lai & Ying 1991, Ann Stat 19:417-442): the estimate says nothing of the
    later ones. A curve started on `enters_again` does.
    """

    state: int
    day: int
    moved: int
    """How many animals decided it."""
    enters_again: int
    """Day on which animals next enter the state from outside."""


@dataclass(frozen=True, slots=True)
class NothingAtRisk:
    """Probability is left in a state no animal is watched in, so the curve is flat over these days for want of data."""

    state: int
    from_day: int
    to_day: int | None
    """Day on which an animal is there again; None if there is none to the end."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Where an animal of the lot is on each day, as a step function.

    Row 0 is the start, before anything happens; each further row is the end of one day on which something happened.
    k is the number of states, m the number of rows.
    """

    states: tuple[str, ...]
    days: Counts
    """Shape (m,). Row 1 may bear the same day as row 0."""
    prob: Reals
    """Shape (m, k); rows sum to 1."""
    se: Reals | None
    """Shape (m, k), or None when no covariance was asked for."""
    cov: Reals | None
    """Shape (k, k): covariance of the last row of `prob`, or None."""
    at_risk: Counts
    """Shape (m, k): animals in each state just before the day's events; in row 0 the animals at the start."""
    now: Counts
    """Shape (k,): animals in each state after the last day. Absorbing states count everyone who got there."""
    moved: Counts
    """Shape (k, k): animals that moved from row to column in all."""
    left: Counts
    """Shape (k,): animals that went out of sight from each state."""
    entered: Counts
    """Shape (k,): animals that came under watch in each state after the start."""
    warnings: tuple[TakenToZero | NothingAtRisk, ...]

    def row(self, day: int) -> int:
        """Row in force at the end of `day`; row 0 before the start."""
        return max(0, int(np.searchsorted(self.days, day, side="right")) - 1)


def survival_curve(
    states: Sequence[str],
    start: Sequence[int] | Counts,
    flows: Sequence[Flow],
    *,
    start_day: int = 0,
    absorbing: Collection[int] = (),
    covariance: bool = True,
) -> Curve:
    """State probabilities and their standard errors from counts.

    An animal is at risk on day t if it came before t and has not left before t; on one day moves come first, then
    leaving, then entering. Where a day's outflow of a state exceeds its number at risk (an animal that emerges and
    dies between two checks), that day is taken flow by flow in the order given, updating the numbers at risk.
    Entering later than the start is delayed entry: it adds to the numbers at risk and to nothing else.

    Args:
        states: names of the k states, in the order flows refer to.
        start: k counts on `start_day`, before anything happens. In several states they are an estimated mix.
        flows: in any order of days; within one day in the order they take effect.
        start_day: day on the clock from which the probabilities count.
        absorbing: states whose onward flows and later entries are to be disregarded ("ever reached").
        covariance: whether to compute standard errors; without them about half the time.

    Raises:
        ValueError: a flow is malformed, precedes the start, or takes out more animals than are there.
    """
    k = len(states)
    count0 = np.asarray(start, dtype=np.int64)
    total = int(count0.sum())
    if count0.shape != (k,) or (count0 < 0).any() or total == 0:
        raise ValueError("the start must be one count per state, none below zero and not all zero")
    kept = _kept(flows, k, start_day, frozenset(absorbing))
    days, moved, left, entered = _tallies(kept, k)

    out = moved.sum(axis=2)
    net = moved.sum(axis=1) - out - left + entered
    after = count0 + np.cumsum(net, axis=0)
    before = np.vstack([count0, after[:-1]]) if len(days) else after
    chain = ((out + left) > before).any(axis=1)
    first = np.searchsorted(np.array([flow.day for flow in kept], dtype=np.int64), days)
    ends = [*first[1:].tolist(), len(kept)]

    risk = np.where(before > 0, before, 1)
    steps = moved / risk[:, :, None]
    own = np.arange(k)
    steps[:, own, own] = (risk - out) / risk
    weight = np.where(out > 0, 1.0 / risk, 0.0)

    p = count0 / total
    cov = (np.diag(p) - np.outer(p, p)) / total if covariance else None
    prob = np.empty((len(days) + 1, k))
    var = np.empty((len(days) + 1, k))
    prob[0] = p
    if cov is not None:
        var[0] = cov.diagonal()
    for d in range(len(days)):
        if chain[d]:
            p, cov = _in_order(p, cov, before[d], kept[first[d] : ends[d]], states)
        else:
            p, cov = _step(p, cov, steps[d], weight[d])
        prob[d + 1] = p
        if cov is not None:
            var[d + 1] = cov.diagonal()

    now = after[-1] if len(days) else count0
    return Curve(
        states=tuple(states),
        days=np.concatenate([np.array([start_day], dtype=np.int64), days]),
        prob=prob,
        se=np.sqrt(np.maximum(var, 0.0)) if covariance else None,
        cov=cov,
        at_risk=np.vstack([count0, before]),
        now=now,
        moved=moved.sum(axis=0),
        left=left.sum(axis=0),
        entered=entered.sum(axis=0),
        warnings=_warnings(start_day, days, prob, np.vstack([count0, after]), out, entered, frozenset(absorbing)),
    )


def _kept(flows: Sequence[Flow], k: int, start_day: int, absorbing: frozenset[int]) -> list[Flow]:
    """The flows that count, by day, each day in the order given."""
    kept: list[Flow] = []
    for flow in flows:
        source, target, kind = flow.source, flow.target, flow.kind
        well_formed = (
            flow.count > 0
            and flow.day >= start_day
            and (source is None) == (kind == "enter")
            and (target is None) == (kind == "leave")
            and (source is None or 0 <= source < k)
            and (target is None or 0 <= target < k)
            and source != target
        )
        if not well_formed:
            raise ValueError(f"malformed flow: {flow}")
        if (source if source is not None else target) not in absorbing:
            kept.append(flow)
    kept.sort(key=lambda flow: flow.day)
    return kept


def _tallies(kept: Sequence[Flow], k: int) -> tuple[Counts, Counts, Counts, Counts]:
    """Event days (D,), moves (D, k, k), leavings (D, k) and entries (D, k)."""
    days = sorted({flow.day for flow in kept})
    place = {day: i for i, day in enumerate(days)}
    # One spare row and column stand for "outside", so that every flow is one addition.
    grid = np.zeros((len(days), k + 1, k + 1), dtype=np.int64)
    at = (
        [place[flow.day] for flow in kept],
        [k if flow.source is None else flow.source for flow in kept],
        [k if flow.target is None else flow.target for flow in kept],
    )
    np.add.at(grid, at, [flow.count for flow in kept])
    return np.array(days, dtype=np.int64), grid[:, :k, :k], grid[:, :k, k], grid[:, k, :k]


def _step(p: Reals, cov: Reals | None, step: Reals, weight: Reals) -> tuple[Reals, Reals | None]:
    """One factor (I + dA) of the product.

    With m_h the rows of `step` and w_h = p_h^2 `weight`_h, the covariance becomes
    M'VM + sum_h w_h [diag(m_h) - m_h m_h'], gathered here into two products.
    """
    if cov is not None:
        w = p * p * weight
        cov = step.T @ (cov - np.diag(w)) @ step
        np.einsum("ii->i", cov)[:] += w @ step
    return p @ step, cov


def _in_order(
    p: Reals, cov: Reals | None, before: Counts, flows: Sequence[Flow], states: Sequence[str]
) -> tuple[Reals, Reals | None]:
    """One day taken flow by flow, the numbers at risk following."""
    k = len(p)
    there = before.tolist()
    for flow in flows:
        if flow.source is not None and flow.count > there[flow.source]:
            raise ValueError(
                f"{flow.count} animals leave {states[flow.source]} on day {flow.day} "
                f"where {there[flow.source]} are at risk: {flow}"
            )
        if flow.source is not None and flow.target is not None:
            at_risk = there[flow.source]
            step = np.eye(k)
            step[flow.source, flow.source] = (at_risk - flow.count) / at_risk
            step[flow.source, flow.target] = flow.count / at_risk
            weight = np.zeros(k)
            weight[flow.source] = 1.0 / at_risk
            p, cov = _step(p, cov, step, weight)
        if flow.source is not None:
            there[flow.source] -= flow.count
        if flow.target is not None:
            there[flow.target] += flow.count
    return p, cov


def _warnings(
    start_day: int,
    days: Counts,
    prob: Reals,
    present: Counts,
    out: Counts,
    entered: Counts,
    absorbing: frozenset[int],
) -> tuple[TakenToZero | NothingAtRisk, ...]:
    """What the curve cannot say. `present` is (m, k): animals at the end of each row's day."""
    clock = [start_day, *days.tolist()]
    found: list[TakenToZero | NothingAtRisk] = []
    for h in range(prob.shape[1]):
        if h in absorbing:
            continue
        mass = prob[:, h] > NOTHING_LEFT
        enters = np.flatnonzero(entered[:, h] > 0)
        for i in np.flatnonzero(mass[:-1] & ~mass[1:]).tolist():
            # Same-day entries were at risk already where the day was taken in order; else they are still there.
            later = enters[enters >= (i if present[i + 1, h] > 0 else i + 1)]
            if len(later):
                found.append(TakenToZero(h, clock[i + 1], int(out[i, h]), clock[int(later[0]) + 1]))
        unwatched = [False, *(mass & (present[:, h] == 0)).tolist(), False]
        edges = [i for i, (was, is_) in enumerate(pairwise(unwatched)) if was != is_]
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            found.append(NothingAtRisk(h, clock[begin], clock[end] if end < len(clock) else None))
    return tuple(found)
