"""What the papers of a sale need beside the sale itself: a credit with its lines, a parcel, a correction note.

Reads only. Nothing is worded here.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import NotFound
from ledger.records import tables as t
from ledger.records.numbers import spellings
from ledger.records.series import CREDITS
from ledger.selling.sale import LineOfSale, Sale, find_sale
from ledger.stock.words import tub_order
from ledger.text import quoted
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class CreditedLine:
    """What one line of a credit takes back."""

    line: LineOfSale | None
    """`None`: a charge."""
    count: int
    back: int
    """Of these, came back alive."""
    amount: int
    """Minor units."""
    text: str


@dataclass(frozen=True, slots=True)
class CreditPaper:
    """A credit with the sale it corrects."""

    number: str
    credited_on: dt.date
    amount: int
    full: bool
    reason: str
    lines: tuple[CreditedLine, ...]
    sale: Sale


def credit_paper(conn: Connection, number: str) -> CreditPaper:
    """A credit by its number; C-2025-1 finds C-2025-0001.

    Raises:
        NotFound: there is none.
    """
    wanted = number.strip().upper()
    of = select(t.credit, t.sale.c.number.label("sale_number")).join(t.sale, t.sale.c.id == t.credit.c.sale_id)
    row = conn.execute(of.where(t.credit.c.number == wanted)).one_or_none()
    if row is None:
        row = conn.execute(of.where(t.credit.c.number.in_(spellings(conn, CREDITS, wanted)))).one_or_none()
    if row is None:
        raise NotFound(
            say("There is no credit {number}; the receipt of its sale names it.", number=quoted(number)), "credit"
        )
    sale = find_sale(conn, row.sale_number)
    sold = {line.id: line for line in sale.lines}
    lines = conn.execute(select(t.credit_line).where(t.credit_line.c.credit_id == row.id).order_by(t.credit_line.c.id))
    return CreditPaper(
        row.number,
        row.credited_on,
        row.amount,
        bool(row.full),
        row.reason,
        tuple(
            CreditedLine(
                None if one.sale_line_id is None else sold[one.sale_line_id],
                one._mapping["count"],
                one.back,
                one.amount,
                one.text,
            )
            for one in lines
        ),
        sale,
    )


@dataclass(frozen=True, slots=True)
class Packed:
    """One line of a parcel."""

    line: LineOfSale
    living: bool
    """False for dried specimens."""
    tubs: tuple[str, ...]
    """Where the animals still are; none once they have left, or if their tub has no label."""
    left: int
    """How many were sold and not credited."""


@dataclass(frozen=True, slots=True)
class Parcel:
    """What is packed for a sale."""

    sale: Sale
    lines: tuple[Packed, ...]


def parcel(conn: Connection, number: str) -> Parcel:
    """What goes into the parcel of a sale.

    Raises:
        NotFound: there is no such sale.
    """
    sale = find_sale(conn, number)
    ids = [line.id for line in sale.lines]
    h, on, mark = t.holding.c, t.earmark_on.c, t.earmark.c
    unit = {
        row.id: row.unit
        for row in conn.execute(
            select(t.sale_line.c.id, t.stage.c.unit)
            .join(t.holding, h.id == t.sale_line.c.holding_id)
            .join(t.stage, t.stage.c.id == h.stage_id)
            .where(t.sale_line.c.id.in_(ids))
        )
    }
    tubs: dict[int, set[str]] = {number: set() for number in ids}
    waiting = (
        select(mark.sale_line_id, h.tub)
        .join(t.earmark_on, on.earmark_id == mark.id)
        .join(t.holding, h.id == on.holding_id)
        .where(mark.sale_line_id.in_(ids), on.count > 0)
    )
    for line_id, tub in conn.execute(waiting):
        tubs[line_id].add(tub)
    return Parcel(
        sale,
        tuple(
            Packed(
                line,
                unit[line.id] != "specimen",
                tuple(sorted((tub for tub in tubs[line.id] if tub), key=tub_order)),
                0 if sale.undone else line.animals - line.credited,
            )
            for line in sale.lines
        ),
    )


@dataclass(frozen=True, slots=True)
class CorrectionNote:
    """A note that tells a buyer of an origin stated wrongly."""

    id: int
    number: str
    """Of the sale."""
    sold_on: dt.date
    customer_id: int | None
    customer: str
    line: LineOfSale
    was: str
    now: str
    why: str
    written_on: dt.date


def correction_notes(conn: Connection) -> tuple[CorrectionNote, ...]:
    """Every note written, newest first."""
    n = t.correction_note.c
    rows = conn.execute(
        select(t.correction_note, t.sale.c.number)
        .join(t.sale_line, t.sale_line.c.id == n.sale_line_id)
        .join(t.sale, t.sale.c.id == t.sale_line.c.sale_id)
        .order_by(n.id.desc())
    ).all()
    found = []
    for row in rows:
        sale = find_sale(conn, row.number)
        line = next(one for one in sale.lines if one.id == row.sale_line_id)
        found.append(
            CorrectionNote(
                row.id,
                sale.number,
                sale.sold_on,
                sale.customer_id,
                sale.customer_name,
                line,
                row.was,
                row.now,
                row.why,
                row.written_on,
            )
        )
    return tuple(found)


def contact_of(conn: Connection, customer_id: int | None) -> str:
    """Where a customer can be reached, as entered; empty if nothing was, or the customer was erased."""
    if customer_id is None:
        return ""
    c = t.customer.c
    found = conn.execute(select(c.contact).where(c.id == customer_id, c.erased_on.is_(None))).scalar_one_or_none()
    return found or ""
