"""The cost so far of one lot: what its living animals carry on a day. Reads only; the sharing engine does the work."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection

from ledger.costs.account import account
from ledger.costs.grid import GRID
from ledger.costs.memo import CostMemo
from ledger.costs.result import Kind
from ledger.stock.naming import find_lot


@dataclass(frozen=True, slots=True)
class CostSoFar:
    """What the animals of a lot carry."""

    amount: Fraction
    """Minor units, exact."""
    shown: int
    """Whole minor units, as an explanation, the valuation and the workbook have it."""
    animals: int
    known: bool
    """False when part of it was spent before the ledger was opened."""


def cost_so_far(conn: Connection, lot: str, on: dt.date, memo: CostMemo | None = None) -> CostSoFar:
    """What the animals of a lot have cost up to and including a day; `memo`: costs kept by the open ledger.

    Raises:
        NotFound: no such lot.
    """
    number = find_lot(conn, lot).id
    shared = account(conn, on, memo=memo).shared
    buckets = [bucket for bucket in shared.buckets if bucket.lot == number]
    return CostSoFar(
        Fraction(sum(sum(bucket.cost) for bucket in buckets), GRID),
        sum(sum(row.posted) for row in shared.closing if row.kind is Kind.ON_HAND and row.lot == number),
        sum(bucket.count for bucket in buckets),
        number not in shared.not_known | shared.mixed,
    )
