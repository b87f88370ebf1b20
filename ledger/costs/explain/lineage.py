"""The lots whose cost may be in the cost of a lot: itself and all it came from; and the costs that may have got there.

Only narrows what is replayed. A lot too many costs time, a lot too few would be found out by the sum of the parts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ledger.costs.explain.replay import Journal
from ledger.costs.given import CostLine


def lineage(journal: Journal, lots: Iterable[int]) -> frozenset[int]:
    """The lots with those that cost came to them from: split, merged, mothers, objects hatched, animals returned."""
    by_id = {event.id: event for event in journal.events}
    sources: dict[int, set[int]] = defaultdict(set)
    for event in journal.events:
        undone = by_id[event.reverses] if event.reverses is not None else None
        if event.to_lot is not None:
            if event.from_lot is not None:
                sources[event.to_lot].add(event.from_lot)
            if event.relates_to is not None:
                sources[event.to_lot].add(by_id[event.relates_to].lot)
            sources[event.to_lot].update(journal.lots[event.to_lot].mothers)
        elif undone is not None and undone.relates_to is not None:
            # Animals that did not hatch after all hand their cost back to their objects.
            sources[by_id[undone.relates_to].lot].add(event.lot)
    found: set[int] = set()
    waiting = list(lots)
    while waiting:
        lot = waiting.pop()
        if lot not in found:
            found.add(lot)
            waiting.extend(sources[lot])
    return frozenset(found)


def lines_for(journal: Journal, lots: frozenset[int]) -> list[CostLine]:
    """The costs that may be in the cost of these lots by the end."""
    days = [event.accounting_on for event in journal.events if event.to_lot in lots]
    if not days:
        return []
    species = {journal.lots[lot].species for lot in lots}
    return [
        line
        for line in journal.lines
        if line.first <= journal.until and line.last >= days[0] and _for(line, lots, species)
    ]


def _for(line: CostLine, lots: frozenset[int], species: set[int]) -> bool:
    if line.scope.kind == "all":
        return True
    return bool(line.scope.ids & (species if line.scope.kind == "species" else lots))
