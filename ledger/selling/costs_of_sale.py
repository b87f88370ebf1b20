"""Selling costs: postage, packing and fees of one sale, entered with it. They are never part of what animals cost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from ledger.act import Act
from ledger.costs.spending import write_cost
from ledger.errors import BadInput
from ledger.records.columns import MOST_MONEY
from ledger.records.periods import accounting_day
from ledger.selling.commands import SellingCost
from ledger.text import clean
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class SellingCostDraft:
    """One selling cost, checked."""

    category: str
    amount: int
    supplier: str
    text: str


def check_selling_costs(costs: Sequence[SellingCost]) -> tuple[SellingCostDraft, ...]:
    """Check the selling costs of a sale.

    Raises:
        BadInput: a category or an amount is missing.
    """
    drafts = []
    for cost in costs:
        category = clean(cost.category, limit=40, field="category").lower()
        if not category:
            raise BadInput(say("Say what the selling cost was for: postage, packing or a fee."), "category")
        if not 1 <= cost.amount <= MOST_MONEY:
            raise BadInput(say("A selling cost must be more than nothing, and within reason."), "amount")
        supplier = clean(cost.supplier, limit=120, field="supplier")
        drafts.append(SellingCostDraft(category, cost.amount, supplier, clean(cost.text, limit=200, field="text")))
    return tuple(drafts)


def write_selling_costs(
    conn: Connection, act: Act, costs: Sequence[SellingCostDraft], sale_id: int | None, on: dt.date
) -> tuple[int, ...]:
    """Write selling costs as paid on the day; returns their numbers. `sale_id` `None`: of no single sale."""
    accounted = accounting_day(conn, on)
    return tuple(
        write_cost(
            conn,
            act,
            {
                "bought_on": on,
                "accounting_on": accounted,
                "supplier": cost.supplier,
                "category": cost.category,
                "text": cost.text,
                "net": cost.amount,
                "tax": 0,
                "gross": cost.amount,
                "basis": cost.amount,
                "share": 10000,
                "quantity": "",
                "unit": "",
                "kind": "selling",
                "scope": "none",
                "residual": 0,
                "sale_id": sale_id,
                "original_currency": "",
                "original_amount": "",
                "rate": "",
                "note": "",
            },
            paid_on=on,
        )
        for cost in costs
    )
