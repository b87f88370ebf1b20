"""What became of a lot's animals, every way of leaving told apart: the question of the business.

Beside it stands the question of biology, "of 100 left alone, how many become adult?", where leaving is being out of
sight (`pooling.lot_survival`). Here selling a young animal is an outcome of its own, and competes with the others:
cumulative incidence (Putter, Fiocco & Geskus 2007, Stat Med 26:2389-2430). Pure numbers; reads no record.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledger.rearing.cohort import LotHistory
from ledger.rearing.survival import Curve, Flow, survival_curve
from ledger.stock.reasons import REASONS, Survival


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that may become of an animal."""

    name: str
    """The reared stage, 'lost', 'still rearing', or the way they left: sold, given, escaped ..."""
    share: float
    se: float


@dataclass(frozen=True, slots=True)
class Outcomes:
    """What became of the animals by the last day. The shares sum to 1."""

    curve: Curve
    """Its states: the young stages, the reared one, 'lost', and each way of leaving that was taken."""
    outcomes: tuple[Outcome, ...]
    """Reared, lost, each way of leaving, still rearing."""


def outcomes(history: LotHistory) -> Outcomes | None:
    """What became of a lot's animals; None when no animal ever entered before the reared stage.

    Animals parted by a split or merge go out of sight as ever: what becomes of them is told of the other lot. Animals
    that came back alive are young again from that day.

    Raises:
        ValueError: a flow of the history has no reason.
    """
    if not any(history.start):
        return None
    if len(history.reasons) != len(history.flows):
        raise ValueError("the history does not say why its animals left")
    ways: dict[str, int] = {}
    flows: list[Flow] = []
    for flow, reason in zip(history.flows, history.reasons, strict=True):
        left = REASONS[reason].survival is Survival.CENSORED or (
            flow.kind == "leave" and REASONS[reason].survival is Survival.LOST
        )
        if not left:
            flows.append(flow)
            continue
        place = ways.setdefault(_way(reason), len(history.states) + len(ways))
        source, target = (flow.source, place) if flow.kind == "leave" else (place, flow.target)
        flows.append(Flow(flow.day, "move", source, target, flow.count))
    states = (*history.states, *ways)
    start = (*history.start, *(0 for _ in ways))
    curve = survival_curve(states, start, flows, start_day=history.start_day, absorbing=(history.reared, history.lost))
    assert curve.cov is not None
    last, cov = curve.prob[-1], curve.cov
    ends_at = [history.reared, history.lost, *ways.values()]
    young = list(range(history.reared))
    found = [Outcome(states[at], float(last[at]), _root(float(cov[at, at]))) for at in ends_at]
    rearing = float(last[young].sum()), float(cov[young][:, young].sum())
    found.append(Outcome("still rearing", rearing[0], _root(rearing[1])))
    return Outcomes(curve, tuple(found))


def _way(reason: str) -> str:
    """The line of the reconciliation a way of leaving belongs to; one without a line of its own by its own name."""
    known = REASONS[reason]
    return known.name if known.books in ("other", "died") else known.books


def _root(variance: float) -> float:
    return math.sqrt(max(0.0, variance))
