"""From the movements of a lot, or of a lot and what was split off it, to the counts its survival is computed from.

Reads movements and the reason table only; computes no probability. What counts as reared, lost, left early or pending
is decided here and nowhere else, with the tie that says every animal is accounted for.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from ledger.errors import Refused
from ledger.rearing.survival import Flow
from ledger.stock.events import Event
from ledger.stock.reasons import REASONS, Survival
from ledger.wording import say, word

LOST = "lost"
"""Name of the last state of every history."""

UNSEEN = "missing"
"""The reason of animals not found at a count: lost unless shown otherwise, and the width of the range shown."""


class StageLike(Protocol):
    """What is needed of a species' stage: its name, and whether it is counted in animals, objects or specimens."""

    @property
    def name(self) -> str: ...
    @property
    def unit(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Tie:
    """What became of the animals, which adds up: starts + joined - parted = reached + lost + left early + pending.

    Animals that came already reared, and animals on loan to us, are in none of these.
    """

    starts: int
    """Hatched, laid, collected, bought, found or there at the opening, before the reared stage."""
    joined: int
    """Came by split or merge from a lot not looked at here."""
    parted: int
    """Went by split or merge to a lot not looked at here."""
    reached: int
    """Ever reached the reared stage; what happened to them afterwards does not matter."""
    lost: int
    """Died, culled, dried or missing before it."""
    missing: int
    """Of the lost (or left early, when so asked), those missing and not found since."""
    left_early: int
    """Sold, given away, used or escaped before it, and not returned alive."""
    pending: int
    """Alive here and not yet reared."""
    came_reared: int
    """Came in at the reared stage or beyond: no part of the survival."""

    @property
    def entered(self) -> int:
        """Animals the survival speaks of."""
        return self.starts + self.joined - self.parted

    @property
    def adds_up(self) -> bool:
        """Whether every animal that entered is accounted for."""
        return self.entered == self.reached + self.lost + self.left_early + self.pending


@dataclass(frozen=True, slots=True)
class LotHistory:
    """The counts of one lot, or one lot family, on its own clock; the input of `survival_curve`."""

    states: tuple[str, ...]
    """Animal stages before the reared one in order, the reared stage, 'lost'. The last two are absorbing."""
    start_day: int
    """Day on the clock of the first count; 0 unless nothing was there on day 0."""
    start: tuple[int, ...]
    """Counts per state on that day; all zero when no animal ever entered."""
    flows: tuple[Flow, ...]
    """In the order they take effect."""
    last_day: int
    """Day on the clock up to which the lot was looked at."""
    tie: Tie
    first_stage: str | None
    """Earliest stage of the first count: deaths before it are unseen. None when no animal ever entered."""
    reasons: tuple[str, ...] = ()
    """For each flow the reason of its movement; of animals returned alive, the reason they had left by."""
    start_dated: bool = False
    """Whether the first animals entered their stage on that very day: began life or hatched then, and were not found,
    sieved or bought at an unknown age."""

    @property
    def reared(self) -> int:
        """Position of the reared state."""
        return len(self.states) - 2

    @property
    def lost(self) -> int:
        """Position of the lost state."""
        return len(self.states) - 1


_Kind = Literal["start", "delayed", "joined", "returned", "loan", "move", "lost", "left", "parted", "loan back"]
_COMES: dict[Survival, _Kind] = {
    Survival.START: "start",
    Survival.TRANSITION: "start",
    Survival.DELAYED: "delayed",
    Survival.LINK: "joined",
    Survival.LEFT_OUT: "loan",
}
_GOES: dict[Survival, _Kind] = {
    Survival.LOST: "lost",
    Survival.CENSORED: "left",
    Survival.LINK: "parted",
    Survival.LEFT_OUT: "loan back",
}
_TURN: dict[_Kind, int] = {"lost": 1, "move": 2, "left": 3, "loan back": 3, "parted": 4}


@dataclass(frozen=True, slots=True)
class _Step:
    """One change of state, not yet split into own and lent animals."""

    event: int
    entry: int
    day: int
    kind: _Kind
    source: int | None
    target: int | None
    count: int
    reason: str
    from_object: bool = False

    def order(self) -> tuple[int, int, int, int, int]:
        """Day, stage, then arrivals, deaths, moves on, exits, splits and merges, then entry and movement."""
        stage = self.source if self.source is not None else self.target
        assert stage is not None
        return self.day, stage, _TURN.get(self.kind, 0), self.entry, self.event


def lot_flows(
    events: Iterable[Event],
    lots: Collection[int],
    clock_day: int,
    stages: Sequence[StageLike],
    reared: int,
    on: int,
    *,
    missing_as: Survival = Survival.LOST,
) -> LotHistory:
    """Starts, flows and tie of one lot, or of several that share a clock.

    Movements between the lots named, and within a stage, are nothing. Objects (oothecae, sacs, clutches not counted)
    and specimens are not animals: what hatches from an object starts on the day it hatches. Animals found again cancel
    the missing movement they relate to, up to its number: they were there all along. Animals returned alive cancel
    their having left early, but are at risk again only from that day.

    Args:
        events: movements without the reversed ones, in any order; those of other lots are passed over.
        lots: the lots looked at, all of one species and one clock.
        clock_day: ordinal of the day their clock starts.
        stages: the species' stages in order; `unit` is 'animal', 'object' or 'specimen'.
        reared: position of the reared stage in `stages`.
        on: ordinal of the last day looked at; later movements are passed over.
        missing_as: `Survival.LOST`, or `Survival.CENSORED` for the upper end of the range missing animals leave open.

    Raises:
        Refused: a movement takes animals back to an earlier stage.
        ValueError: the movements take out more animals than are there.
    """
    states = _States(stages, reared)
    inside = frozenset(lots)
    seen = sorted((event for event in events if event.happened_on <= on), key=lambda event: event.happened_on)
    steps = _steps(seen, inside, states, clock_day)
    steps.sort(key=_Step.order)
    return _Count(states, steps, missing_as).history(on - clock_day)


class _States:
    """Which state a stage belongs to: its own before the reared stage, 'reared' from there on, none if no animal."""

    def __init__(self, stages: Sequence[StageLike], reared: int) -> None:
        young = [i for i, stage in enumerate(stages[:reared]) if stage.unit == "animal"]
        self.names = (*(stages[i].name for i in young), stages[reared].name, LOST)
        self.reared = len(young)
        self.lost = len(young) + 1
        self._state = {position: state for state, position in enumerate(young)}
        self._state.update({i: self.reared for i, s in enumerate(stages) if i >= reared and s.unit == "animal"})

    def of(self, lot: int | None, stage: int | None, inside: frozenset[int]) -> int | None:
        """State of the animals at one end of a movement; None when they are elsewhere or no animals."""
        return self._state.get(stage) if lot in inside and stage is not None else None


def _steps(seen: Sequence[Event], inside: frozenset[int], states: _States, clock_day: int) -> list[_Step]:
    """Changes of state of the events in order of date."""
    known = {event.id: event for event in seen}
    undone: dict[int, int] = {}
    steps: list[_Step] = []
    for event in seen:
        source = states.of(event.from_lot, event.from_stage, inside)
        target = states.of(event.to_lot, event.to_stage, inside)
        if source is None and target is None:
            continue
        survival = REASONS[event.reason].survival
        kind: _Kind
        if source is None:
            kind = _COMES[survival]
        elif target is None:
            kind = _GOES[survival]
        elif source == target:
            continue
        elif target < source:
            raise Refused(
                say(
                    "Movement {id} takes {count} animals back from {later} to {earlier}; reverse the movement that "
                    "took them there instead.",
                    id=event.id,
                    count=event.count,
                    later=word(states.names[source]),
                    earlier=word(states.names[target]),
                ),
                facts={"movement": event.id, "count": event.count},
            )
        else:
            kind = "move"
        step = _Step(
            event.id,
            event.entry,
            event.happened_on - clock_day,
            kind,
            source,
            target,
            event.count,
            event.reason,
            from_object=survival is Survival.START and event.relates_to is not None,
        )
        earlier = known.get(event.relates_to) if event.relates_to is not None else None
        if kind == "delayed" and earlier is not None and earlier.happened_on <= event.happened_on:
            before = states.of(earlier.from_lot, earlier.from_stage, inside)
            steps.extend(_taken_back(step, earlier, before, states.reared, undone))
        else:
            steps.append(step)
    kept = []
    for step in steps:
        count = step.count - (undone.get(step.event, 0) if step.kind == "lost" else 0)
        if count > 0:
            kept.append(step if count == step.count else replace(step, count=count))
    return kept


def _taken_back(step: _Step, earlier: Event, before: int | None, reared: int, undone: dict[int, int]) -> list[_Step]:
    """An arrival that takes back an earlier exit, up to its number; `undone` counts what each exit has lost so."""
    survival = REASONS[earlier.reason].survival
    if before is None or step.target is None or before > step.target:
        return [step]
    if survival not in (Survival.LOST, Survival.CENSORED):
        return [step]
    back = min(step.count, earlier.count - undone.get(earlier.id, 0))
    rest = replace(step, count=step.count - back)
    again: list[_Step] = []
    if back and survival is Survival.LOST:
        undone[earlier.id] = undone.get(earlier.id, 0) + back
        if before < step.target:
            again = [replace(step, kind="move", source=before, count=back)]
    elif back:
        # Reared when it left: it has reached already. Left young and came back reared: it was reared elsewhere.
        undone[earlier.id] = undone.get(earlier.id, 0) + back
        if step.target < reared:
            again = [replace(step, kind="returned", count=back, reason=earlier.reason)]
        elif before < reared:
            again = [replace(step, count=back)]
    return again + ([rest] if rest.count else [])


class _Count:
    """Runs through the steps once, keeping own and lent animals apart and counting what became of each."""

    def __init__(self, states: _States, steps: Sequence[_Step], missing_as: Survival) -> None:
        self.states = states
        self.missing_as = missing_as
        young = states.reared
        self.own = [0] * young
        self.lent = [0] * young
        self.flows: list[Flow] = []
        self.reasons: list[str] = []
        self.start = [0] * len(states.names)
        self.starts = self.joined = self.parted = self.reached = self.came_reared = 0
        self.lost = self.missing = self.left_early = 0
        come = [step for step in steps if step.kind in ("start", "delayed", "joined") and step.target != young]
        self.start_day = min((step.day for step in come), default=0)
        first = {step.kind for step in come if step.day == self.start_day}
        self.starters: set[_Kind] = {"start"} if "start" in first else first
        self.start_dated = self.starters == {"start"} and (
            self.start_day == 0 or all(step.from_object for step in come if step.day == self.start_day)
        )
        for step in steps:
            if step.source is None:
                self._arrive(step)
            else:
                self._go_on(step)

    def _arrive(self, step: _Step) -> None:
        target, count = step.target, step.count
        assert target is not None
        if target == self.states.reared:
            self.came_reared += count if step.kind != "loan" else 0
            return
        if step.kind == "loan":
            self.lent[target] += count
            return
        self.own[target] += count
        if step.kind == "returned":
            self.left_early -= count
        elif step.kind == "joined":
            self.joined += count
        else:
            self.starts += count
        if step.day == self.start_day and step.kind in self.starters:
            self.start[target] += count
        else:
            self._add(Flow(step.day, "enter", None, target, count), step)

    def _go_on(self, step: _Step) -> None:
        source, target = step.source, step.target
        assert source is not None
        if source == self.states.reared:
            return
        count = 0 if step.kind == "loan back" else min(step.count, self.own[source])
        borrowed = step.count - count
        self.own[source] -= count
        self.lent[source] -= borrowed
        if self.lent[source] < 0:
            raise ValueError(
                f"movement {step.event} takes {step.count} animals out of {self.states.names[source]} "
                f"where {step.count + self.lent[source]} are"
            )
        if target is not None and target < self.states.reared:
            self.own[target] += count
            self.lent[target] += borrowed
        if count:
            self._tell(step, source, count)

    def _tell(self, step: _Step, source: int, count: int) -> None:
        """Enter own animals that go on into the flows and the tie."""
        if step.kind == "move":
            self.reached += count if step.target == self.states.reared else 0
            self._add(Flow(step.day, "move", source, step.target, count), step)
            return
        unseen = step.reason == UNSEEN
        self.missing += count if unseen else 0
        if step.kind == "lost" and not (unseen and self.missing_as is Survival.CENSORED):
            self.lost += count
            self._add(Flow(step.day, "move", source, self.states.lost, count), step)
            return
        if step.kind == "parted":
            self.parted += count
        else:
            self.left_early += count
        self._add(Flow(step.day, "leave", source, None, count), step)

    def _add(self, flow: Flow, step: _Step) -> None:
        self.flows.append(flow)
        self.reasons.append(step.reason)

    def history(self, last_day: int) -> LotHistory:
        tie = Tie(
            starts=self.starts,
            joined=self.joined,
            parted=self.parted,
            reached=self.reached,
            lost=self.lost,
            missing=self.missing,
            left_early=self.left_early,
            pending=sum(self.own),
            came_reared=self.came_reared,
        )
        first = next((name for name, count in zip(self.states.names, self.start, strict=True) if count), None)
        return LotHistory(
            states=self.states.names,
            start_day=self.start_day,
            start=tuple(self.start),
            flows=tuple(self.flows),
            last_day=last_day,
            tie=tie,
            first_stage=first,
            reasons=tuple(self.reasons),
            start_dated=self.start_dated,
        )
