"""A journal built by hand for the tests of costing: one call for each movement, in the words of the reason table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from ledger.costs.engine import share
from ledger.costs.given import ANIMALS, CostLine, LotInfo
from ledger.costs.grid import GRID
from ledger.costs.result import Kind, Posting, Shared
from ledger.stock.events import Event, ordered, without_reversed

Place = tuple[int, int]
"""Lot and stage."""

NEAR = Fraction(1, 10**9)
"""Exact to a billionth of a minor unit: a thousand times finer than what rounding looks at."""


class Book:
    """Movements and costs, and the sharing of them."""

    def __init__(self, lots: Mapping[int, LotInfo], depth: Mapping[int, int] | None = None) -> None:
        self.lots = dict(lots)
        self.depth = dict(depth or {})
        self.events: list[Event] = []
        self.costs: list[CostLine] = []

    def add(
        self,
        day: int,
        reason: str,
        count: int,
        source: Place | None = None,
        to: Place | None = None,
        *,
        cause: str | None = None,
        value: int | None = None,
        relates_to: int | None = None,
        reverses: int | None = None,
        happened_on: int | None = None,
        tubs: tuple[str, str] = ("", ""),
    ) -> int:
        """One movement; returns its number."""
        number = len(self.events) + 1
        self.events.append(
            Event(
                id=number,
                entry=number,
                happened_on=day if happened_on is None else happened_on,
                accounting_on=day,
                reason=reason,
                count=count,
                from_lot=source[0] if source else None,
                from_stage=source[1] if source else None,
                to_lot=to[0] if to else None,
                to_stage=to[1] if to else None,
                cause=cause,
                value=value,
                relates_to=relates_to,
                reverses=reverses,
                tub_from=tubs[0],
                tub_to=tubs[1],
            )
        )
        return number

    def take_back(self, day: int, number: int) -> int:
        """The counter-movement of a movement, accounted on a later day."""
        event = self.events[number - 1]
        back = self.add(
            day,
            event.reason,
            event.count,
            (event.to_lot, event.to_stage) if event.to_lot is not None and event.to_stage is not None else None,
            (event.from_lot, event.from_stage) if event.from_lot is not None and event.from_stage is not None else None,
            cause=event.cause,
            reverses=number,
            tubs=(event.tub_to, event.tub_from),
        )
        return back

    def cost(self, category: str, amount: int, first: int, last: int, **scope: object) -> CostLine:
        """One cost line; returns it."""
        line = CostLine(len(self.costs) + 1, category, amount, first, last, **scope)  # type: ignore[arg-type]
        self.costs.append(line)
        return line

    def journal(self) -> list[Event]:
        """The movements as the engine wants them."""
        return ordered(without_reversed(self.events, by="accounting_on"), self.depth, by="accounting_on")

    def share(self, until: int, **more: object) -> Shared:
        """Share all costs; whatever is asked, it must add up."""
        shared = share(self.journal(), self.costs, self.lots, until, **more)  # type: ignore[arg-type]
        assert shared.adds_up()
        return shared


def breeders(**more: object) -> Book:
    """A group bought for 600, breeding from day 1; heat 10 a day; a lot of young."""
    group = replace(LotInfo(species=1, breeding=((1, None),), breeding_life_days=60), **more)  # type: ignore[arg-type]
    book = Book({1: group, 2: LotInfo(species=1, mothers=(1,)), 3: LotInfo(species=1, mothers=(1,))}, {2: 1, 3: 1})
    book.cost("heat", 1000, 1, 100)
    book.add(1, "bought", 3, to=(1, 2), value=600)
    return book


def exact(cost: Sequence[int]) -> Fraction:
    """All categories together, in minor units."""
    return Fraction(sum(cost), GRID)


def near(found: Fraction, wanted: Fraction | int) -> bool:
    return abs(found - wanted) <= NEAR


def carried(shared: Shared, lot: int, stage: int) -> Fraction:
    """Cost so far of a lot and stage, in minor units."""
    return sum((exact(row.cost) for row in shared.buckets if (row.lot, row.stage) == (lot, stage)), Fraction(0))


def brood(shared: Shared, lot: int) -> Fraction:
    """Brood pool of a lot, in minor units."""
    return sum((exact(r.cost) for r in shared.closing if r.kind is Kind.BROOD and r.lot == lot), Fraction(0))


def gone(shared: Shared, kind: Kind, event: int | None = None, lot: int | None = None) -> Fraction:
    """Cost that went out, of one kind, with one movement or all, from one lot or all."""
    return sum((exact(row.cost) for row in picked(shared, kind, event, lot)), Fraction(0))


def picked(shared: Shared, kind: Kind, event: int | None = None, lot: int | None = None) -> list[Posting]:
    return [
        row
        for row in shared.postings
        if row.kind is kind and (event is None or row.event == event) and (lot is None or row.lot == lot)
    ]


def closed(shared: Shared, kind: Kind, lot: int | None = None, cost_line: int | None = None) -> int:
    """Posted closing lines, all categories together, in minor units."""
    return sum(
        sum(row.posted)
        for row in shared.closing
        if row.kind is kind and (lot is None or row.lot == lot) and (cost_line is None or row.cost_line == cost_line)
    )


def of_category(shared: Shared, amounts: Sequence[int], category: str = ANIMALS) -> int:
    return amounts[shared.categories.index(category)]
