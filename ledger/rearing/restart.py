"""A lot counted from a later day: what is offered when one early animal took the whole curve to zero.

Pure numbers. Whatever happened before that day is passed over; those there on it are the start.
"""

from __future__ import annotations

from dataclasses import replace

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.survival import Flow


def from_day(history: LotHistory, day: int) -> LotHistory:
    """The lot as if its count had begun on a day, those that enter on it among the first.

    Raises:
        ValueError: nothing was there on that day.
    """
    young = history.reared
    there = list(history.start) if day >= history.start_day else [0] * len(history.states)
    flows: list[Flow] = []
    reasons: list[str] = []
    for place, flow in enumerate(history.flows):
        if flow.day < day or (flow.day == day and flow.kind == "enter"):
            if flow.source is not None:
                there[flow.source] -= flow.count
            if flow.target is not None:
                there[flow.target] += flow.count
        else:
            flows.append(flow)
            reasons.append(history.reasons[place] if history.reasons else "")
    start = (*there[:young], 0, 0)
    if not any(start):
        raise ValueError(f"no animal was there before the reared stage on day {day}")
    came = sum(flow.count for flow in flows if flow.kind == "enter")
    reached = sum(flow.count for flow in flows if flow.target == history.reared)
    lost = sum(flow.count for flow in flows if flow.target == history.lost)
    left = sum(flow.count for flow in flows if flow.kind == "leave")
    entered = sum(start) + came
    tie = Tie(
        starts=entered,
        joined=0,
        parted=0,
        reached=reached,
        lost=lost,
        missing=sum(flow.count for flow, reason in zip(flows, reasons, strict=True) if reason == "missing"),
        left_early=left,
        pending=entered - reached - lost - left,
        came_reared=0,
    )
    first = next(name for name, count in zip(history.states, start, strict=True) if count)
    return replace(
        history,
        start_day=day,
        start=start,
        flows=tuple(flows),
        tie=tie,
        first_stage=first,
        reasons=tuple(reasons) if history.reasons else (),
        start_dated=False,
    )
