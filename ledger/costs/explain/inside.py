"""One step further down: what was bought that is in one part of a figure; and the places of one kind a cost went to.

The parts sum to the part they are of, exactly and as it is shown. Reads plain values; names nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from ledger.costs.explain.answers import Answer, Line
from ledger.costs.explain.figure import Figure, Gone, Reared, amounts
from ledger.costs.explain.lineage import lineage, lines_for
from ledger.costs.explain.parts import CRUMB, REST, Cell, Key, Part, apportion
from ledger.costs.explain.replay import FINE, Journal, month_of, monthly, tagged
from ledger.costs.explain.split import Axis, cells_by, prices
from ledger.costs.given import ANIMALS, CostLine
from ledger.costs.grid import GRID
from ledger.costs.result import Shared


def entries_inside(journal: Journal, figure: Figure, axis: Axis, part: Part, plain: Shared) -> tuple[Part, ...]:
    """The costs and the animals bought that are in one part of a figure, dearest first.

    Args:
        journal: up to the day the figure is of.
        figure: what is explained.
        axis: by what the part was cut out.
        part: one of `explain(journal, figure, axis, plain).parts`.
        plain: the shared costs of the journal.
    """
    number = figure.number(plain) if isinstance(figure, Reared) else 1
    found: dict[Key, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for (category, key), amount in _cells(journal, figure, axis, part.key, plain):
        if abs(amount) > CRUMB:
            found[key][category] += amount / number
    exact = {key: sum(by.values(), Fraction(0)) for key, by in found.items()}
    missing = part.exact - sum(exact.values(), Fraction(0))
    if missing and exact and abs(missing) <= CRUMB * 1000:
        largest = max(exact, key=lambda key: abs(exact[key]))
        exact[largest] += missing
    elif missing:
        # What was moved when a movement of a closed year was taken back is known by category, not by single costs.
        exact[REST] = missing
    keys = sorted(exact)
    shares = apportion(part.shown, [exact[key] for key in keys]) if keys else []
    made = [
        Part(key, exact[key], share, tuple(sorted(found[key].items(), key=lambda one: -one[1])))
        for key, share in zip(keys, shares, strict=True)
    ]
    return tuple(sorted(made, key=lambda one: (one.key == REST, -one.exact, one.key)))


def _cells(journal: Journal, figure: Figure, axis: Axis, part: Key, plain: Shared) -> Iterator[tuple[Cell, Fraction]]:
    everywhere = isinstance(figure, Gone) and figure.lots is None
    lots = frozenset(journal.lots) if everywhere else lineage(journal, figure.lots or ())
    lines = list(journal.lines if everywhere else lines_for(journal, lots))
    bought = [event for event, _ in prices(journal, figure, lots, plain)]
    if axis is Axis.CATEGORY:
        lines = [line for line in lines if line.category == part.name]
        bought = bought if part.name == ANIMALS else []
    elif axis is Axis.MONTH:
        lines = [piece for line in lines for month, piece in monthly(line, journal.until) if month == part.name]
        bought = [event for event in bought if month_of(event.accounting_on) == part.name]
    fine = FINE if axis is Axis.MONTH else 1
    if axis in (Axis.CATEGORY, Axis.MONTH, Axis.ENTRY):
        costs = tagged(journal, [((line.category, Key("cost", number=line.id)), line) for line in lines], fine)
        for cell, amount in costs.of(amounts(figure, costs.shared)):
            yield cell, Fraction(amount, GRID * fine)
    else:
        yield from _of_stage_or_movement(journal, figure, axis, part, lines)
    for event in bought:
        alone = journal.without_costs().with_prices([event.id])
        cell = ANIMALS, Key("bought", number=event.id)
        if axis in (Axis.CATEGORY, Axis.MONTH, Axis.ENTRY):
            yield cell, Fraction(sum(amounts(figure, alone.shared())), GRID)
        else:
            for (_, key), exact in cells_by(alone, figure, axis, alone.shared()):
                if key == part:
                    yield cell, exact


def _of_stage_or_movement(
    journal: Journal, figure: Figure, axis: Axis, part: Key, lines: Sequence[CostLine]
) -> Iterator[tuple[Cell, Fraction]]:
    """Each cost shared out under a name of its own, and of it what is in the part."""
    costs = tagged(journal, [((line.category, Key("cost", number=line.id)), line) for line in lines])
    cells = {costs.shared.categories[place]: cell for cell, place in costs.places.items()}
    renamed = replace(costs.journal, until=journal.until)
    for (name, key), exact in cells_by(renamed, figure, axis, costs.shared):
        if key == part and name in cells:
            yield cells[name], exact


def of_one_kind(found: Answer, line: Line, about: str) -> Answer:
    """Of the places a cost went to one by one, those of one kind, which add up to what is shown of the kind.

    Args:
        found: the places one by one.
        line: of the places by kind.
        about: what to call it.
    """
    kept = [one for one in found.lines if one.kind == line.kind]
    shares = apportion(line.shown, [one.exact for one in kept]) if kept else []
    lines = tuple(replace(one, shown=share, in_all=share) for one, share in zip(kept, shares, strict=True))
    return replace(found, about=about, exact=line.exact, shown=line.shown, in_all=line.in_all, lines=lines)
