"""The journal an explanation is replayed from, and its costs under other names.

The sharing of costs is linear in each cost: run again with a name of its own for each cost (or for each month of it),
the same engine says how much of each is in a figure. Only `share` is called; no rule of movement is repeated here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

from ledger.costs.engine import share
from ledger.costs.given import CostLine, Dated, LotInfo, SharingKeys, StageFigures, with_method
from ledger.costs.result import Amounts, Shared
from ledger.money import round_half_even
from ledger.stock.events import Event

T = TypeVar("T", bound=Hashable)

FINE = 10**6
"""Parts of a minor unit that a month of a cost is cut to."""


@dataclass(frozen=True, slots=True)
class Journal:
    """All that the sharing of costs up to a day is given; the fields are the arguments of `engine.share`."""

    events: Sequence[Event]
    lines: Sequence[CostLine]
    lots: Mapping[int, LotInfo]
    until: int
    weights: StageFigures = field(default_factory=dict)
    losses: StageFigures = field(default_factory=dict)
    reared: Mapping[int, int] = field(default_factory=dict)
    specimens: Sequence[tuple[int, int]] = ()
    cuts: Sequence[int] = ()
    to_offspring: Dated = 1
    keys: SharingKeys = field(default_factory=dict)
    care: Mapping[str, StageFigures] = field(default_factory=dict)

    def shared(self, *, by_stage: bool = False) -> Shared:
        """The shared costs."""
        return share(
            self.events,
            self.lines,
            self.lots,
            self.until,
            weights=self.weights,
            losses=self.losses,
            reared=self.reared,
            specimens=self.specimens,
            cuts=[day for day in self.cuts if day <= self.until],
            by_stage=by_stage,
            to_offspring=self.to_offspring,
            keys=self.keys,
            care=self.care,
        )

    def without_costs(self) -> Journal:
        """The same animals, and nothing spent on them but their price."""
        return replace(self, lines=())

    def with_prices(self, kept: Iterable[int]) -> Journal:
        """The same with the price of those movements alone."""
        wanted = frozenset(kept)
        events = [replace(event, value=0) if event.value and event.id not in wanted else event for event in self.events]
        return replace(self, events=events)


@dataclass(frozen=True, slots=True)
class Tagged(Generic[T]):
    """Shared costs by tag instead of by category."""

    shared: Shared
    journal: Journal
    """The costs under the names they were shared by."""
    places: Mapping[T, int]
    """Of a tag in the amounts."""
    fine: int
    """Parts of a minor unit that the amounts were given in."""

    def of(self, amounts: Amounts) -> Iterator[tuple[T, int]]:
        """Tags with the steps of the grid they have in some amounts, in `fine` parts; those with none left out."""
        for tag, place in self.places.items():
            if amounts[place]:
                yield tag, amounts[place]


def tagged(journal: Journal, lines: Iterable[tuple[T, CostLine]], fine: int = 1) -> Tagged[T]:
    """Share costs by tag.

    Args:
        journal: movements and figures; its own costs and prices are left out.
        lines: costs with the tag of each, amounts in `fine` parts of a minor unit.
        fine: as said.
    """
    tags, plain = [], []
    for tag, line in lines:
        tags.append(tag)
        plain.append(line)
    names: dict[T, str] = {}
    for tag in tags:
        names.setdefault(tag, f"#{len(names):09}")
    # By what a cost is shared hangs on its category, so it is settled before the tag takes the category's place.
    settled = with_method(plain, journal.keys, journal.care)
    renamed = [replace(line, category=names[tag]) for tag, line in zip(tags, settled, strict=True)]
    played = replace(journal.with_prices(()), lines=renamed)
    shared = played.shared()
    at = {name: place for place, name in enumerate(shared.categories)}
    return Tagged(shared, played, {tag: at[name] for tag, name in names.items()}, fine)


def monthly(line: CostLine, until: int) -> Iterator[tuple[str, CostLine]]:
    """A cost month by month (2025-07) up to the month of `until`, in millionths of a minor unit.

    A month has the days of the cost that fall in it, cut from the running total, so that all months sum to the cost.
    """
    days = line.last - line.first + 1
    given, start = 0, line.first
    while start <= min(line.last, until):
        end = min(line.last, month_end(start))
        upto = round_half_even(line.amount * FINE * (end - line.first + 1), days)
        yield month_of(start), replace(line, amount=upto - given, first=start, last=end)
        given, start = upto, end + 1


def month_of(day: int) -> str:
    """Month of an ordinal, 2025-07."""
    return dt.date.fromordinal(day).isoformat()[:7]


def month_end(day: int) -> int:
    """Last day of the month of an ordinal."""
    first_of_next = (dt.date.fromordinal(day).replace(day=1) + dt.timedelta(days=32)).replace(day=1)
    return first_of_next.toordinal() - 1
