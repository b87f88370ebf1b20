"""Age layers: how many animals of a holding entered their stage on which day. Pure; knows no database.

Deaths, sales and moves take the oldest first; a split takes of every layer in proportion (largest remainder, method
of Hamilton). Inside a stage the layers go along; entering a stage makes a layer of that day, of a day range its end.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from ledger.money import largest_remainder


@dataclass(frozen=True, slots=True, order=True)
class Layer:
    """Animals that entered their stage on one day."""

    entered_on: dt.date
    soft: bool
    """Not yet seen hard; among animals of one day the hard ones come first."""
    count: int


Layers = tuple[Layer, ...]
"""The layers of one holding, oldest first."""


def total(layers: Iterable[Layer]) -> int:
    """How many animals the layers hold."""
    return sum([layer.count for layer in layers])


def together(*parts: Iterable[Layer]) -> Layers:
    """The layers of several groups as those of one."""
    counts: dict[tuple[dt.date, bool], int] = defaultdict(int)
    for part in parts:
        for layer in part:
            counts[layer.entered_on, layer.soft] += layer.count
    return tuple(Layer(day, soft, count) for (day, soft), count in sorted(counts.items()) if count)


def first_out(layers: Layers, count: int) -> tuple[Layers, Layers]:
    """Take the oldest `count` animals; returns (taken, left).

    Raises:
        ValueError: the layers do not hold so many.
    """
    taken: list[Layer] = []
    left: list[Layer] = []
    for layer in layers:
        part = min(count, layer.count)
        count -= part
        # Most layers are taken or left whole.
        if part:
            taken.append(layer if part == layer.count else Layer(layer.entered_on, layer.soft, part))
        if layer.count > part:
            left.append(Layer(layer.entered_on, layer.soft, layer.count - part) if part else layer)
    if count:
        raise ValueError(f"{count} more asked for than the layers hold")
    return tuple(taken), tuple(left)


def first_out_of_oldest(layers: Layers, count: int) -> Layers | None:
    """What is left where the oldest layer gives all `count` animals and keeps some; `None`: it has not so many."""
    if not layers or layers[0].count <= count:
        return None
    oldest = layers[0]
    return (Layer(oldest.entered_on, oldest.soft, oldest.count - count), *layers[1:])


def in_proportion(layers: Layers, count: int) -> tuple[Layers, Layers]:
    """Take `count` animals, of every layer its share; returns (taken, left).

    Raises:
        ValueError: the layers do not hold so many.
    """
    if count > total(layers):
        raise ValueError(f"{count} asked for of {total(layers)}")
    shares = largest_remainder(count, [layer.count for layer in layers])
    pairs = list(zip(layers, shares, strict=True))
    taken = tuple(replace(layer, count=share) for layer, share in pairs if share)
    left = tuple(replace(layer, count=layer.count - share) for layer, share in pairs if layer.count > share)
    return taken, left


def seen_hard(layers: Layers) -> Layers:
    """The same animals, all of them seen to be hard."""
    return together(replace(layer, soft=False) for layer in layers)


@dataclass(frozen=True, slots=True)
class Flow:
    """Animals that go from one holding to another, or in, or out."""

    count: int
    source: int | None
    target: int | None
    on: dt.date
    keeps_age: bool
    """Stays in its stage: the layers go along. Otherwise the stage is entered on that day."""
    in_proportion: bool = False
    """A split."""


@dataclass(frozen=True, slots=True)
class SeenHard:
    """The animals then in these holdings were seen to be hard."""

    holdings: tuple[int, ...]


Act = Sequence[Flow] | SeenHard
"""What one entry did, or one mark."""

State = dict[int, Layers]
F = TypeVar("F", bound=Flow)


def in_turn(flows: Sequence[F], there: Callable[[int], int], make: Callable[[F], None]) -> list[F]:
    """Carry out flows in order, those that must wait for the arrival of their animals after it.

    Args:
        flows: in the order they were recorded.
        there: how many animals a holding has just then.
        make: carries one out.

    Returns:
        Those whose animals never came.
    """
    waiting = list(flows)
    moved = True
    while waiting and moved:
        moved = False
        still: list[F] = []
        for flow in waiting:
            if flow.source is not None and there(flow.source) < flow.count:
                still.append(flow)
            else:
                make(flow)
                moved = True
        waiting = still
    return waiting


def carry(state: State, flow: Flow) -> None:
    """Carry out one flow whose animals are there."""
    moving: Layers = ()
    if flow.source is not None:
        take = in_proportion if flow.in_proportion else first_out
        moving, state[flow.source] = take(state.get(flow.source, ()), flow.count)
    if flow.target is not None:
        new = moving if flow.keeps_age and flow.source is not None else (Layer(flow.on, True, flow.count),)
        state[flow.target] = together(state.get(flow.target, ()), new)


def play_day(state: State, acts: Iterable[Act]) -> None:
    """Carry out the acts of one day in the order they were recorded; changes `state`.

    Inside a day a tub may seem to give animals before it has them, when an earlier entry was added or taken back
    later. What can't be carried out in turn waits for its animals, and at the day's end goes with as many as there
    are. Since no holding ends the day below nothing, what never finds any animals then only goes round in a circle
    inside one stage, and changes nothing.
    """
    waiting: list[Flow] = []
    for act in acts:
        if isinstance(act, SeenHard):
            for holding in act.holdings:
                state[holding] = seen_hard(state.get(holding, ()))
        else:
            waiting = _carry_in_turn(state, [*waiting, *act])
    while waiting:
        some = next((flow for flow in waiting if _there(state, flow) > 0), None)
        if some is None:
            return
        part = _there(state, some)
        carry(state, replace(some, count=part))
        rest = [replace(flow, count=flow.count - part) if flow is some else flow for flow in waiting]
        waiting = _carry_in_turn(state, rest)


def _carry_in_turn(state: State, flows: Sequence[Flow]) -> list[Flow]:
    return in_turn(flows, lambda holding: total(state.get(holding, ())), lambda flow: carry(state, flow))


def _there(state: State, flow: Flow) -> int:
    """How many animals a flow finds at its source."""
    return flow.count if flow.source is None else total(state.get(flow.source, ()))


@dataclass(frozen=True, slots=True)
class Readiness:
    """Animals of a holding that nobody has set aside, by whether they are hard on a day."""

    ready: int
    soft: tuple[tuple[dt.date, int], ...]
    """(day they are due to be hard, count), soonest first."""


def readiness(layers: Layers, earmarked: int, hardening_days: int, on: dt.date) -> Readiness:
    """How many animals can be offered on a day, and when the others are due.

    Earmarks name a count of a holding, not its layers: the animals set aside are always taken to be the hard ones
    first and then those due soonest, so what is left to offer is counted cautiously.

    Args:
        layers: of the holding, on that day.
        earmarked: animals of it set aside.
        hardening_days: days in the stage before sale.
        on: the day.
    """
    wait = dt.timedelta(days=hardening_days)
    due = [(on if not layer.soft else layer.entered_on + wait, layer.count) for layer in layers]
    ready = sum(count for day, count in due if day <= on)
    aside = max(0, earmarked - ready)
    soft: dict[dt.date, int] = defaultdict(int)
    for day, count in sorted((day, count) for day, count in due if day > on):
        part = min(aside, count)
        aside -= part
        if count > part:
            soft[day] += count - part
    return Readiness(max(0, ready - earmarked), tuple(soft.items()))
