"""Rows of what is owed both ways: by customers, to buyers for their deposits, to suppliers."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.books.material import Material
from ledger.books.sold import upto


@dataclass(frozen=True, slots=True)
class OwedRow:
    """A sale, hold or cost on which something was owed or moved in the year. Positive: owed to the business."""

    kind: str
    """sale, hold or cost."""
    number: str
    who: str
    at_start: int
    added: int
    settled: int
    at_end: int


def owed_rows(given: Material) -> list[OwedRow]:
    """Who owed what at the start and the end of the year, and what changed it."""
    eve, last = given.eve, given.last
    rows = []
    for sale in given.sales:
        added = sale.earned(last) - sale.earned(eve)
        settled = sale.settled(last) - sale.settled(eve)
        rows.append(OwedRow("sale", sale.number, sale.customer, sale.balance(eve), added, settled, sale.balance(last)))
    for hold in given.deposits:
        received = upto(hold.received, last) - upto(hold.received, eve)
        used = sum(upto(part, last) - upto(part, eve) for part in (hold.applied, hold.kept))
        rows.append(OwedRow("hold", hold.number, hold.customer, -hold.held(eve), 0, received - used, -hold.held(last)))
    for cost in given.costs:
        added = -cost.basis if given.in_year(cost.accounting_on) else 0
        settled = -sum(upto(part, last) - upto(part, eve) for part in (cost.paid, cost.swapped))
        rows.append(OwedRow("cost", str(cost.id), cost.supplier, -cost.owed(eve), added, settled, -cost.owed(last)))
    return [row for row in rows if row.at_start or row.added or row.settled or row.at_end]
