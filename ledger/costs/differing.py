"""The first day on which what the sharing of costs is given may come to something else than before. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ledger.costs.cost_lines import other_lines
from ledger.costs.given import FULL_WEIGHT, Dated, Given, LotInfo, figure_on
from ledger.costs.sharing import measures_of

NEVER = 10**9
FROM_THE_START = 0


def first_difference(old: Given, new: Given) -> int:
    """The first day on which anything but costs may differ.

    `FROM_THE_START` where nothing of before can be kept, costs or no costs; `NEVER` where all else is the same.
    """
    if old is new:
        return NEVER
    if _shape(old) != _shape(new):
        return FROM_THE_START
    return min(_days(old, new), default=NEVER)


def _shape(given: Given) -> tuple[object, ...]:
    return given.categories, given.by_stage, given.specimens, measures_of(given.costs)


def other_costs(old: Given, new: Given) -> tuple[int, tuple[str, ...]]:
    """The first day on which costs may differ (`NEVER`: they do not), and of which categories."""
    lines = [line for lines in other_lines(old.costs, new.costs) for line in lines]
    return min((line.first for line in lines), default=NEVER), tuple(sorted({line.category for line in lines}))


def only_costs(old: Given, new: Given) -> bool:
    """Whether all but the costs is said alike."""
    return replace(old, costs=()) == replace(new, costs=())


def _days(old: Given, new: Given) -> Iterator[int]:
    yield from _figures(old.weights, new.weights, FULL_WEIGHT)
    yield from _figures(old.losses, new.losses, None)
    for name in old.care.keys() | new.care.keys():
        yield from _figures(old.care.get(name, {}), new.care.get(name, {}), None)
    yield from (day + 1 for day in old.cuts ^ new.cuts)
    yield _figure(old.to_offspring, new.to_offspring, 1)
    if old.lots is not new.lots:
        for number, info in old.lots.items():
            now = new.lots.get(number)
            if now is not info:
                yield FROM_THE_START if now is None else _lot(info, now)
            if old.reared.get(info.species) != new.reared.get(info.species):
                yield FROM_THE_START


def _figures(
    old: Mapping[tuple[int, int], Dated], new: Mapping[tuple[int, int], Dated], default: int | None
) -> Iterator[int]:
    for key in old.keys() | new.keys():
        yield _figure(old.get(key), new.get(key), default)


def _figure(old: Dated | None, new: Dated | None, default: int | None) -> int:
    """The first day on which two dated figures differ."""
    if old == new:
        return NEVER
    days = {0}
    for figure in (old, new):
        if isinstance(figure, tuple):
            days.update(day for day, _ in figure)
    return min((day for day in days if figure_on(old, day, default) != figure_on(new, day, default)), default=NEVER)


def _lot(old: LotInfo, new: LotInfo) -> int:
    if old == new:
        return NEVER
    fixed = [(i.species, i.mothers, i.lent) for i in (old, new)]
    if fixed[0] != fixed[1]:
        return FROM_THE_START
    first = min(
        _figure(old.containers, new.containers, 1),
        _figure(old.breeding_life_days, new.breeding_life_days, None),
        _figure(old.brood_share, new.brood_share, None),
    )
    for one, other in zip(old.breeding, new.breeding, strict=False):
        if one != other:
            ends = [NEVER if last is None else last for _, last in (one, other)]
            return min(first, *(one[0], other[0]) if one[0] != other[0] else (min(ends) + 1,))
    more = [*old.breeding[len(new.breeding) :], *new.breeding[len(old.breeding) :]]
    return min([first, *(start for start, _ in more[:1])])
