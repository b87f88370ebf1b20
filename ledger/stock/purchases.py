"""The cost rows of animals bought: one beside each movement that brought animals in for a price, so that books see it.

The price itself is on the movement, where the costing reads it; a row here is only what was paid. Taking the movement
back takes the row back.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, insert, select

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.drafts import Draft, EntryWritten

CATEGORY = "animals"


def write_purchases(
    conn: Connection, act: Act, drafts: Sequence[Draft], written: Sequence[EntryWritten], supplier: str = ""
) -> tuple[int, ...]:
    """Write what entries just written mean for money spent on animals; returns the numbers of the costs.

    A movement of reason 'bought' with a price gets a cost paid on the day; a movement taken back that had one gets a
    cost that takes it back.
    """
    costs: list[int] = []
    for draft, entry in zip(drafts, written, strict=True):
        for move, movement in zip(draft.moves, entry.movement_ids, strict=True):
            if move.reverses is not None:
                costs.extend(_take_back(conn, act, move.reverses, movement))
            elif move.reason == "bought" and move.value:
                costs.append(_buy(conn, act, draft, movement, move.value, supplier))
    return tuple(costs)


def _buy(conn: Connection, act: Act, draft: Draft, movement: int, value: int, supplier: str) -> int:
    accounted = draft.accounting_on or accounting_day(conn, draft.happened_on)
    row = {
        "bought_on": draft.happened_on,
        "accounting_on": accounted,
        "supplier": supplier,
        "category": CATEGORY,
        "text": "",
        "net": value,
        "tax": 0,
        "gross": value,
        "basis": value,
        "share": 10000,
        "quantity": "",
        "unit": "",
        "kind": "animals",
        "scope": "none",
        "residual": 0,
        "movement_id": movement,
        "original_currency": "",
        "original_amount": "",
        "rate": "",
        "note": "",
        "operation_id": act.operation,
    }
    cost: int = conn.execute(insert(t.cost).values(row).returning(t.cost.c.id)).scalar_one()
    conn.execute(
        insert(t.cost_change).values(
            cost_id=cost,
            kind="paid",
            happened_on=draft.happened_on,
            accounting_on=accounted,
            amount=value,
            note="",
            operation_id=act.operation,
        )
    )
    return cost


def _take_back(conn: Connection, act: Act, reversed_movement: int, movement: int) -> list[int]:
    found = conn.execute(select(t.cost).where(t.cost.c.movement_id == reversed_movement)).one_or_none()
    if found is None:
        return []
    row = dict(found._mapping)
    row["reverses"] = row.pop("id")
    row["movement_id"] = movement
    row["accounting_on"] = accounting_day(conn, row["accounting_on"])
    row["operation_id"] = act.operation
    return [conn.execute(insert(t.cost).values(row).returning(t.cost.c.id)).scalar_one()]
