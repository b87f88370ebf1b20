"""Lot histories for the tests of rearing, written by hand."""

from __future__ import annotations

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.survival import Flow

LARVA, PUPA, ADULT, LOST = range(4)
STATES = ("larva", "pupa", "adult", "lost")


Step = tuple[int, str, int, int | None, int]


def lot(start: int, *steps: Step, last_day: int = 200, start_day: int = 0, dated: bool = True) -> LotHistory:
    """A lot of larvae. A step is (day, reason, source, target, count); target None: it left; source -1: it came."""
    flows, reasons = [], []
    for day, reason, source, target, count in steps:
        kind = "enter" if source < 0 else "leave" if target is None else "move"
        flows.append(Flow(day, kind, None if source < 0 else source, target, count))  # type: ignore[arg-type]
        reasons.append(reason)
    reached = sum(flow.count for flow in flows if flow.target == ADULT)
    lost = sum(flow.count for flow in flows if flow.target == LOST)
    left = sum(flow.count for flow in flows if flow.kind == "leave")
    came = sum(flow.count for flow in flows if flow.kind == "enter")
    missing = sum(f.count for f, reason in zip(flows, reasons, strict=True) if reason == "missing" and f.target == LOST)
    tie = Tie(start + came, 0, 0, reached, lost, missing, left, start + came - reached - lost - left, 0)
    return LotHistory(
        STATES, start_day, (start, 0, 0, 0), tuple(flows), last_day, tie, "larva", tuple(reasons), start_dated=dated
    )


EIGHT = lot(
    8,
    (7, "died", LARVA, LOST, 1),
    (10, "next stage", LARVA, PUPA, 2),
    (10, "sold", LARVA, None, 1),
    (14, "died", LARVA, LOST, 1),
    (14, "next stage", LARVA, PUPA, 3),
    (17, "died", PUPA, LOST, 1),
    (20, "next stage", PUPA, ADULT, 1),
    (20, "given away", PUPA, None, 1),
    (24, "next stage", PUPA, ADULT, 2),
)
"""Worked by hand: left alone 23/40 become adult."""
