"""Movements as every engine reads them, the order they take effect in, and the absence of reversed pairs.

Plain values only: the rows come from the records, the engines for survival, cost and age layers read these.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from ledger.stock.reasons import REASONS, Cost, Survival


@dataclass(frozen=True, slots=True)
class Event:
    """One movement with what its entry says of it. Days are proleptic ordinals (`date.toordinal`)."""

    id: int
    entry: int
    happened_on: int
    accounting_on: int
    reason: str
    count: int
    from_lot: int | None = None
    from_stage: int | None = None
    """Position of the stage in its species' ordered list; `None` with `from_lot`."""
    from_holding: int | None = None
    to_lot: int | None = None
    to_stage: int | None = None
    to_holding: int | None = None
    cause: str | None = None
    """'unknown', 'ordinary' or 'exceptional' for a death, else `None`."""
    reverses: int | None = None
    """The movement this one takes back."""
    relates_to: int | None = None
    """The objects hatched out, the missing animals found again, or the sale movement a return takes back."""
    value: int | None = None
    """Price or agreed value with carriage, in minor units, for animals bought or swapped in."""
    sale_line: int | None = None
    tub_from: str = ""
    tub_to: str = ""

    @property
    def stage(self) -> int:
        """The stage the movement starts at, or arrives at when it comes from outside."""
        stage = self.from_stage if self.from_stage is not None else self.to_stage
        assert stage is not None
        return stage

    @property
    def lot(self) -> int:
        """The lot the movement starts at, or arrives at when it comes from outside."""
        lot = self.from_lot if self.from_lot is not None else self.to_lot
        assert lot is not None
        return lot


@cache
def _turn(reason: str, comes: bool, goes: bool) -> int:
    """Arrivals, deaths, moves on, exits, splits and merges: 0 to 4. What came back alive arrives, or follows its sale.

    Args: the reason, whether the animals come from outside, and whether they leave.
    """
    known = REASONS[reason]
    if known.survival is Survival.LINK:
        return 4
    if known.cost is Cost.BACK:
        return 3
    if comes:
        return 0
    if known.cost in (Cost.DEATH, Cost.DRIED):
        return 1
    if not goes or known.cost is Cost.HATCH:
        return 2
    return 3


def ordered(events: Iterable[Event], depth: Mapping[int, int], *, by: str) -> list[Event]:
    """Events in the order they take effect.

    Args:
        events: in any order.
        depth: for each lot, how many splits, merges and births lie between it and a founder (a source is less deep
            than what comes of it); lots not named count 0.
        by: 'accounting_on' (cost, books) or 'happened_on' (survival, layers, counts).

    Returns:
        Sorted by day, happened_on, stage, depth of the lot, then arrivals, deaths, moves on, exits, splits and
        merges, then entry and movement number. An animal may so arrive, move on and die in one day. Movements that
        take back one of a closed year stand around those of their day: what left comes back first, then what moved on
        moves back (the last first), and what arrived leaves at the end, when what went on from it is there again.

    Raises:
        ValueError: `by` is another day than these two.
    """
    if by not in ("accounting_on", "happened_on"):
        raise ValueError(by)

    accounted = by == "accounting_on"
    rows = list(events)
    back = frozenset(_came_back_later(rows))

    def key(event: Event) -> tuple[int, ...]:
        day = event.accounting_on if accounted else event.happened_on
        comes, goes = event.from_lot is None, event.to_lot is None
        stage, lot = (event.to_stage, event.to_lot) if comes else (event.from_stage, event.from_lot)
        assert stage is not None
        assert lot is not None
        if accounted and event.reverses is not None:
            turn = 0 if comes else 3 if goes else 1
            return (day, turn, -event.happened_on, -stage, -depth.get(lot, 0), event.entry, event.id)
        turn = 0 if event.id in back else _turn(event.reason, comes, goes)
        return (day, 2, event.happened_on, stage, depth.get(lot, 0), turn, event.entry, event.id)

    return sorted(rows, key=key)


def _came_back_later(events: Sequence[Event]) -> Iterable[int]:
    """What came back alive on a later day than it left: it may die or be sold again on the day it is back."""
    returns = [event for event in events if REASONS[event.reason].cost is Cost.BACK and event.reverses is None]
    left = {event.relates_to for event in returns}
    days = {event.id: event.happened_on for event in events if event.id in left} if returns else {}
    return [event.id for event in returns if days.get(event.relates_to or 0) != event.happened_on]


def without_reversed(events: Iterable[Event], *, by: str) -> list[Event]:
    """Events without the pairs that cancel.

    By `happened_on` every reversed movement and its reversal are absent: it never happened. By `accounting_on` the
    pair is absent while both are accounted on the same day; when the movement's year was already closed the reversal
    is accounted on a later day and stands as a movement of its own, so that a closed year never changes.
    """
    rows = list(events)
    known = {event.id: event for event in rows}
    gone: set[int] = set()
    for event in rows:
        if event.reverses is None or event.reverses not in known:
            continue
        if by == "happened_on" or event.accounting_on == known[event.reverses].accounting_on:
            gone.update((event.id, event.reverses))
    return [event for event in rows if event.id not in gone]
