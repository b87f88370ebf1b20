"""Writes sales: the animals out (or set aside to be posted), then the number, then the papers.

The number comes as late as it can, because taking one locks the series until the act is over: holdings first, in the
order of their ids, then the series. Whoever changes something about a sale afterwards locks the holdings of its lines.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import Connection, insert, select

from ledger.act import Act
from ledger.records import tables as t
from ledger.records.later import later, write_one
from ledger.records.numbers import number_for
from ledger.records.periods import accounting_day, year_of
from ledger.records.series import SALES
from ledger.selling.commands import Charge
from ledger.selling.costs_of_sale import SellingCostDraft, write_selling_costs
from ledger.selling.customers import find_or_add
from ledger.selling.lines import LineDraft, sex_text
from ledger.selling.sale import Sale, sales_by_id
from ledger.selling.stating import reads_as
from ledger.stock import earmarks
from ledger.stock.drafts import ResolvedMove
from ledger.stock.locks import lock
from ledger.stock.moving import write_entry


class PaidDraft(NamedTuple):
    """A payment, checked."""

    amount: int
    method: str
    on: dt.date


class SaleDraft(NamedTuple):
    """A sale, decided."""

    lines: tuple[LineDraft, ...]
    sold_on: dt.date
    customer: str
    """Empty: nobody is named."""
    channel: str
    charges: tuple[Charge, ...]
    paid: tuple[PaidDraft, ...]
    selling_costs: tuple[SellingCostDraft, ...]
    to_post: bool
    hold_id: int | None
    note: str
    """For the buyer too: it stands on the receipt."""
    reason: str = "sold"
    """Of the movements."""
    own_note: str = ""
    """For the keeper alone: what was lacking at the sale."""


class SaleWritten(NamedTuple):
    """The numbers of a sale that was written."""

    sale_id: int
    number: str
    entry: int | None
    """None: the animals wait to be posted."""
    movements: tuple[int, ...]


def write_sale(conn: Connection, act: Act, draft: SaleDraft) -> SaleWritten:
    """Write a sale; the holdings of its lines must be locked and the animals be there.

    Raises:
        NotEnough: they are not.
    """
    accounted = accounting_day(conn, draft.sold_on)
    entry = None
    movements: tuple[int, ...] = ()
    if not draft.to_post:
        moves = [
            ResolvedMove(draft.reason, count, holding, free_only=True)
            for line in draft.lines
            for holding, count in line.part.picks
        ]
        written = write_entry(conn, act, happened_on=draft.sold_on, accounting_on=accounted, moves=moves)
        entry, movements = written.entry_id, written.movement_ids
    customer_id = find_or_add(conn, draft.customer) if draft.customer else None
    number = number_for(conn, SALES, year_of(conn, accounted))
    sale_id = _write_sale_row(conn, act, draft, customer_id, accounted, number)
    line_ids = _write_lines(conn, sale_id, draft.lines)
    left = iter(movements)
    for line, line_id in zip(draft.lines, line_ids, strict=True):
        if draft.to_post:
            earmarks.make(conn, act, "to post", line.part.count, line.part.picks, sale_line_id=line_id)
        else:
            link_movements(conn, line_id, [next(left) for _ in line.part.picks])
    if draft.charges:
        conn.execute(
            insert(t.sale_charge),
            [{"sale_id": sale_id, "kind": c.kind, "text": c.text, "amount": c.amount} for c in draft.charges],
        )
    for paid in draft.paid:
        pay(conn, act, sale_id, paid, accounting_on=accounted if paid.on == draft.sold_on else None)
    if draft.selling_costs:
        write_selling_costs(conn, act, draft.selling_costs, sale_id, draft.sold_on)
    return SaleWritten(sale_id, number, entry, movements)


def _write_sale_row(
    conn: Connection, act: Act, draft: SaleDraft, customer_id: int | None, accounted: dt.date, number: str
) -> int:
    row = {
        "number": number,
        "sold_on": draft.sold_on,
        "accounting_on": accounted,
        "channel": draft.channel,
        "customer_id": customer_id,
        "customer_name": draft.customer,
        "to_post": int(draft.to_post),
        "hold_id": draft.hold_id,
        "note": draft.note,
        "own_note": draft.own_note,
        "operation_id": act.operation,
    }
    return write_one(conn, _NEW_SALE, t.sale, row)


_NEW_SALE = insert(t.sale).returning(t.sale.c.id)


def _write_lines(conn: Connection, sale_id: int, lines: Sequence[LineDraft]) -> list[int]:
    rows = [
        {
            "sale_id": sale_id,
            "position": position,
            "holding_id": line.part.picks[0][0],
            "count": line.count,
            "extra": line.extra,
            "pack": line.pack,
            "together": line.together,
            "price": line.price,
            "discount": line.discount,
            "net": line.net,
            "lot_code": line.part.lot.code,
            "species_text": line.species_text,
            "stage_text": line.part.stage.name,
            "sex_text": sex_text(line.part.sex, line.part.sure),
            **reads_as(line.stated.origin),
            "origin_lowered": int(line.stated.less),
            "origin_text": line.stated.text,
            "provenance_text": line.stated.sentence,
        }
        for position, line in enumerate(lines, start=1)
    ]
    if later(conn) is not None:
        return [write_one(conn, _NEW_LINE, t.sale_line, row) for row in rows]
    return list(conn.execute(_NEW_LINES, rows).scalars())


_NEW_LINE = insert(t.sale_line).returning(t.sale_line.c.id)
_NEW_LINES = insert(t.sale_line).returning(t.sale_line.c.id, sort_by_parameter_order=True)


def link_movements(conn: Connection, line_id: int, movements: Sequence[int]) -> None:
    """Say which movements took the animals of a line out."""
    for number in movements:
        write_one(conn, _LINK, t.sale_movement, {"sale_line_id": line_id, "movement_id": number})


_LINK = insert(t.sale_movement).returning(t.sale_movement.c.id)


def pay(
    conn: Connection,
    act: Act,
    sale_id: int,
    paid: PaidDraft,
    note: str = "",
    *,
    accounting_on: dt.date | None = None,
) -> None:
    """Record money received for a sale (positive) or given back (negative); `accounting_on` where it is known."""
    row = {
        "sale_id": sale_id,
        "hold_id": None,
        "paid_on": paid.on,
        "accounting_on": accounting_on or accounting_day(conn, paid.on),
        "amount": paid.amount,
        "method": paid.method,
        "note": note,
        "operation_id": act.operation,
    }
    write_one(conn, _NEW_PAYMENT, t.payment, row)


_NEW_PAYMENT = insert(t.payment).returning(t.payment.c.id)


def locked_sale(conn: Connection, sale_id: int) -> Sale:
    """Lock a sale against everybody else who posts, credits or pays it, and read it again."""
    line, o = t.sale_line.c, t.earmark_on.c
    rows = conn.execute(
        select(line.holding_id, o.holding_id.label("now_in"))
        .outerjoin(t.earmark, t.earmark.c.sale_line_id == line.id)
        .outerjoin(t.earmark_on, o.earmark_id == t.earmark.c.id)
        .where(line.sale_id == sale_id)
    )
    lock(conn, {holding for row in rows for holding in row if holding is not None})
    return sales_by_id(conn, [sale_id])[0]
