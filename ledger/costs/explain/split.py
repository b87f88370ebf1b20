"""One step down from a figure: its parts by category, stage, month, cost entry, or by the movements it went with.

The parts sum to the figure exactly, and in whole minor units to the figure as the books have it. Reads plain values;
who asked, and what things are called, is not known here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ledger.costs.explain.figure import Brood, Carried, Figure, Gone, Reared, amounts, posted
from ledger.costs.explain.lineage import lineage, lines_for
from ledger.costs.explain.parts import (
    CRUMB,
    NEAR,
    REST,
    ROUNDING,
    Cell,
    Key,
    NotExplained,
    Part,
    apportion,
    for_each,
    settle,
)
from ledger.costs.explain.replay import FINE, Journal, Tagged, month_of, monthly, tagged
from ledger.costs.explain.stages import by_stage, stage_key
from ledger.costs.given import ANIMALS
from ledger.costs.grid import GRID
from ledger.costs.result import Amounts, Closing, Kind, Posting, Shared
from ledger.stock.events import Event
from ledger.wording import say


class Axis(StrEnum):
    """By what a figure is taken apart."""

    CATEGORY = "category"
    STAGE = "stage"
    """At which it was borne."""
    MONTH = "month"
    """In which it was borne; the price of animals in the month they came."""
    ENTRY = "entry"
    """The cost recorded, or the animals bought."""
    MOVEMENT = "movement"
    """The movement it went out with; of reared adults, the day they were reared."""
    NOW = "now"
    """The stage the animals are at now."""


def axes(figure: Figure) -> tuple[Axis, ...]:
    """By what a figure can be taken apart, in the order to offer."""
    if isinstance(figure, Carried):
        return Axis.CATEGORY, Axis.STAGE, Axis.MONTH, Axis.ENTRY, Axis.NOW
    if isinstance(figure, Brood) or (isinstance(figure, Gone) and Kind.NO_ANIMALS in figure.kinds):
        return Axis.CATEGORY, Axis.MONTH, Axis.ENTRY
    return Axis.CATEGORY, Axis.STAGE, Axis.MONTH, Axis.ENTRY, Axis.MOVEMENT


@dataclass(frozen=True, slots=True)
class Explained:
    """A figure with its parts."""

    axis: Axis
    exact: Fraction
    """Minor units; of reared adults for each."""
    shown: int
    """Whole minor units as the books have them."""
    number: int | None
    """Reared adults the cost was divided by."""
    parts: tuple[Part, ...]
    """Largest first; months, stages and movements in their order."""


def explain(journal: Journal, figure: Figure, axis: Axis, plain: Shared | None = None) -> Explained:
    """Take a figure apart.

    Args:
        journal: up to the day the figure is of.
        figure: what is explained.
        axis: by what; one of `axes(figure)`.
        plain: the shared costs of the journal, if they are at hand.

    Returns:
        Its parts; none of a figure that is nothing. Of reared adults there must be some.

    Raises:
        NotExplained: the parts do not add up; a fault of the program.
    """
    plain = plain or journal.shared()
    whole = dict(zip(plain.categories, (Fraction(one, GRID) for one in amounts(figure, plain)), strict=True))
    cells = dict(cells_by(journal, figure, axis, plain))
    cells = _settled(cells, whole, taken_back=any(event.reverses is not None for event in journal.events))
    number = figure.number(plain) if isinstance(figure, Reared) else None
    exact = sum(whole.values(), Fraction(0)) / (number or 1)
    if isinstance(figure, Reared):
        shown = for_each(sum(whole.values(), Fraction(0)), number or 1)
        fixed: dict[str, int] = {}
    else:
        fixed = dict(zip(plain.categories, posted(figure, plain), strict=True))
        shown = sum(fixed.values())
    # By name, so that whoever takes the same figure apart elsewhere shares it out alike.
    parts = sorted(_parts({cell: amount / (number or 1) for cell, amount in cells.items() if amount}), key=_key)
    if axis is Axis.CATEGORY and number is None:
        shares = [fixed.pop(part.key.name) for part in parts]
        extra = sum(fixed.values())
    elif parts:
        shares, extra = apportion(shown, [part.exact for part in parts]), 0
    else:
        shares, extra = [], shown
    made = [Part(part.key, part.exact, share, part.categories) for part, share in zip(parts, shares, strict=True)]
    if extra:
        made.append(Part(ROUNDING, Fraction(0), extra, ()))
    return Explained(axis, exact, shown, number, tuple(_in_order(made, axis)))


def _key(part: Part) -> Key:
    return part.key


def _in_order(parts: list[Part], axis: Axis) -> list[Part]:
    if axis in (Axis.CATEGORY, Axis.ENTRY):
        return sorted(parts, key=lambda part: (part.key in (REST, ROUNDING), -part.exact, part.key))
    return sorted(parts, key=lambda part: (part.key in (REST, ROUNDING), part.key))


def _parts(cells: Mapping[Cell, Fraction]) -> list[Part]:
    found: dict[Key, dict[str, Fraction]] = defaultdict(dict)
    for (category, key), amount in cells.items():
        found[key][category] = amount
    return [
        Part(key, sum(by.values(), Fraction(0)), 0, tuple(sorted(by.items(), key=lambda one: -one[1])))
        for key, by in found.items()
    ]


def _settled(
    cells: Mapping[Cell, Fraction], whole: Mapping[str, Fraction], *, taken_back: bool
) -> dict[Cell, Fraction]:
    """Each category brought to its figure on the grid."""
    by_category: dict[str, dict[Cell, Fraction]] = {category: {} for category in whole}
    for cell, amount in cells.items():
        by_category[cell[0]][cell] = amount
    settled: dict[Cell, Fraction] = {}
    for category, total in whole.items():
        all_of_it = by_category[category]
        own = {cell: amount for cell, amount in all_of_it.items() if abs(amount) > CRUMB}
        if not own and all_of_it:
            own = dict([max(all_of_it.items(), key=lambda one: abs(one[1]))])
        missing = total - sum(own.values(), Fraction(0))
        if abs(missing) > NEAR:
            if not taken_back:
                raise NotExplained(
                    say(
                        "{category}: {missing} minor units are in no part",
                        category=category,
                        missing=f"{float(missing):.6f}",
                    )
                )
            own[category, REST] = missing
        elif missing and not own:
            own[category, ROUNDING] = missing
        settled.update(settle(total, own))
    return settled


# --- by each axis -----------------------------------------------------------------------------------------------------


def cells_by(journal: Journal, figure: Figure, axis: Axis, plain: Shared) -> Iterator[tuple[Cell, Fraction]]:
    """What of each category is in each part by an axis, in minor units; of reared adults for all of them together."""
    if axis is Axis.CATEGORY:
        for category, amount in zip(plain.categories, amounts(figure, plain), strict=True):
            yield (category, Key("category", category)), Fraction(amount, GRID)
    elif axis is Axis.STAGE:
        yield from by_stage(journal, figure, plain)
    elif axis in (Axis.MOVEMENT, Axis.NOW):
        yield from _by_movement(journal, figure, plain)
    else:
        yield from _by_cost(journal, figure, axis, plain)


def _by_cost(journal: Journal, figure: Figure, axis: Axis, plain: Shared) -> Iterator[tuple[Cell, Fraction]]:
    """By month or entry: the shared costs under names of their own, and the price of animals bought."""
    everywhere = isinstance(figure, Gone) and figure.lots is None
    lots = frozenset(journal.lots) if everywhere else lineage(journal, figure.lots or ())
    lines = journal.lines if everywhere else lines_for(journal, lots)
    costs: Tagged[Cell]
    if axis is Axis.MONTH:
        costs = tagged(
            journal,
            [
                ((line.category, Key("month", month)), part)
                for line in lines
                for month, part in monthly(line, journal.until)
            ],
            FINE,
        )
    else:
        costs = tagged(journal, [((line.category, Key("cost", number=line.id)), line) for line in lines])
    found: dict[Cell, Fraction] = defaultdict(Fraction)
    for cell, amount in costs.of(amounts(figure, costs.shared)):
        found[cell] += Fraction(amount, GRID * costs.fine)
    left = _left(figure, plain, found)
    for event, price in prices(journal, figure, lots, plain) if abs(left) > NEAR / 1000 else ():
        key = Key("month", month_of(event.accounting_on)) if axis is Axis.MONTH else Key("bought", number=event.id)
        found[ANIMALS, key] += price
    yield from found.items()


def _left(figure: Figure, plain: Shared, found: Mapping[Cell, Fraction]) -> Fraction:
    """What of animals is in the figure besides the costs that were found."""
    whole = Fraction(amounts(figure, plain)[plain.categories.index(ANIMALS)], GRID)
    return whole - sum((amount for (category, _), amount in found.items() if category == ANIMALS), Fraction(0))


def prices(journal: Journal, figure: Figure, lots: frozenset[int], plain: Shared) -> Iterator[tuple[Event, Fraction]]:
    """What the price of each purchase is in the figure; nothing where no animals were bought for it."""
    bought = [
        event
        for event in journal.events
        if event.value and event.to_lot in lots and event.accounting_on <= journal.until
    ]
    if not amounts(figure, plain)[plain.categories.index(ANIMALS)]:
        return
    for event in bought:
        alone = journal.without_costs().with_prices([event.id]).shared()
        yield event, Fraction(sum(amounts(figure, alone)), GRID)


def _by_movement(journal: Journal, figure: Figure, plain: Shared) -> Iterator[tuple[Cell, Fraction]]:
    found: dict[Cell, Fraction] = defaultdict(Fraction)

    def note(key: Key, cost: Amounts) -> None:
        for category, amount in zip(plain.categories, cost, strict=True):
            if amount:
                found[category, key] += Fraction(amount, GRID)

    if isinstance(figure, Reared):
        for reached in plain.reached:
            if reached.lot in figure.lots:
                # The day first, so that they stand in their order; of a species each lot by itself.
                note(Key("reared", f"{reached.day:07}", reached.lot), reached.cost)
    else:
        for row in figure.rows(plain):
            note(_where(journal, row), row.cost)
    yield from found.items()


def _where(journal: Journal, row: Posting | Closing) -> Key:
    """The movement a posting went with, or the stage its animals are at."""
    if isinstance(row, Closing):
        assert row.lot is not None
        assert row.stage is not None
        return stage_key(journal, row.lot, row.stage)
    return Key("day", number=row.day) if row.event is None else Key("movement", number=row.event)
