"""The list of sales, newest first, each with what it came to and what is still owed; and the price list in words.

Reads only, a page at a time by key. What was earned when is for the books to say.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, Table, func, select

from ledger.records import tables as t
from ledger.selling.prices import prices_on


@dataclass(frozen=True, slots=True)
class SoldThing:
    """What one line sold, as it was stated then."""

    code: str
    """Of the species."""
    species: str
    """'sun beetle (Pachnoda marginata)'."""
    stage: str
    sex: str
    """'female', 'probable female', 'unsexed'."""
    pack: str
    origin: str


@dataclass(frozen=True, slots=True)
class SaleRow:
    """One sale. Amounts in minor units."""

    id: int
    number: str
    sold_on: dt.date
    customer: str
    channel: str
    animals: int
    """Paid for; extras come on top."""
    extra: int
    lots: tuple[str, ...]
    goods: int
    charges: int
    credited: int
    paid: int
    """Received less given back, with the deposit of the hold that was taken up."""
    to_post: bool
    posted_on: dt.date | None
    undone: bool
    """Credited in full."""
    hold: str
    note: str
    own_note: str
    """What was lacking at the sale, such as a permit in force: for the keeper, on no paper."""
    things: tuple[SoldThing, ...]
    """What its lines sold."""

    @property
    def total(self) -> int:
        """Goods and charges."""
        return self.goods + self.charges

    @property
    def owed(self) -> int:
        """What the buyer still owes; below nought: what is owed to the buyer."""
        return self.total - self.credited - self.paid

    @property
    def waits(self) -> bool:
        """Sold and still to be posted."""
        return self.to_post and self.posted_on is None and not self.undone


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One price that counts on the day asked for, in minor units for the pack."""

    species: str
    stage: str
    sex: str
    pack: str
    animals: int
    buyer: str
    amount: int
    from_on: dt.date
    extra: int
    """Given on top of each."""


def sales(
    conn: Connection, *, limit: int = 200, before: int | None = None, number: str | None = None
) -> tuple[SaleRow, ...]:
    """A page of sales, newest first.

    Args:
        conn: an open reading connection.
        limit: most rows.
        before: `id` of the last row of the page before.
        number: only the sale of that number.
    """
    wanted = (
        select(t.sale, t.posting.c.posted_on, t.hold.c.number.label("hold_number"))
        .outerjoin(t.posting, t.posting.c.sale_id == t.sale.c.id)
        .outerjoin(t.hold, t.hold.c.id == t.sale.c.hold_id)
        .order_by(t.sale.c.id.desc())
        .limit(limit)
    )
    if before is not None:
        wanted = wanted.where(t.sale.c.id < before)
    if number is not None:
        wanted = wanted.where(t.sale.c.number == number)
    rows = conn.execute(wanted).all()
    ids = [row.id for row in rows]
    line = t.sale_line.c
    lines: dict[int, list[tuple[int, int, int, str]]] = {number: [] for number in ids}
    things: dict[int, list[SoldThing]] = {number: [] for number in ids}
    for one in conn.execute(
        select(
            line.sale_id,
            line.count.label("animals"),
            line.extra,
            line.net,
            line.lot_code,
            t.species.c.code,
            line.species_text,
            line.stage_text,
            line.sex_text,
            line.pack,
            line.origin_text,
        )
        .join(t.holding, t.holding.c.id == line.holding_id)
        .join(t.lot, t.lot.c.id == t.holding.c.lot_id)
        .join(t.species, t.species.c.id == t.lot.c.species_id)
        .where(line.sale_id.in_(ids))
        .order_by(line.sale_id, line.position)
    ):
        lines[one.sale_id].append((one.animals, one.extra, one.net, one.lot_code))
        things[one.sale_id].append(SoldThing(*one[5:]))
    charges = _sums(conn, t.sale_charge, t.sale_charge.c.sale_id, ids)
    credited = _sums(conn, t.credit, t.credit.c.sale_id, ids)
    paid = _sums(conn, t.payment, t.payment.c.sale_id, ids)
    undone = set(
        conn.execute(select(t.credit.c.sale_id).where(t.credit.c.full == 1, t.credit.c.sale_id.in_(ids))).scalars()
    )
    applied = set(
        conn.execute(
            select(t.hold_fate.c.hold_id).where(
                t.hold_fate.c.deposit == "applied",
                t.hold_fate.c.hold_id.in_([row.hold_id for row in rows if row.hold_id]),
            )
        ).scalars()
    )
    deposits = _sums(conn, t.payment, t.payment.c.hold_id, sorted(applied))
    return tuple(
        SaleRow(
            id=row.id,
            number=row.number,
            sold_on=row.sold_on,
            customer=row.customer_name,
            channel=row.channel,
            animals=sum(count for count, _, _, _ in lines[row.id]),
            extra=sum(extra for _, extra, _, _ in lines[row.id]),
            lots=tuple(dict.fromkeys(code for _, _, _, code in lines[row.id])),
            goods=sum(net for _, _, net, _ in lines[row.id]),
            charges=charges.get(row.id, 0),
            credited=credited.get(row.id, 0),
            paid=paid.get(row.id, 0) + deposits.get(row.hold_id, 0),
            to_post=bool(row.to_post),
            posted_on=row.posted_on,
            undone=row.id in undone,
            hold=row.hold_number or "",
            note=row.note,
            own_note=row.own_note,
            things=tuple(things[row.id]),
        )
        for row in rows
    )


def _sums(conn: Connection, table: Table, key: ColumnElement[int], keys: Collection[int]) -> dict[int, int]:
    """Sum of `amount` for each key that has any."""
    rows = conn.execute(select(key, func.sum(table.c.amount)).where(key.in_(keys)).group_by(key))
    return {row[0]: int(row[1]) for row in rows}


def prices(conn: Connection, on: dt.date) -> tuple[PriceRow, ...]:
    """The price list of a day, by species, stage, sex and size of the pack."""
    species = {row[0]: row[1] for row in conn.execute(select(t.species.c.id, t.species.c.code))}
    stages = {row[0]: row[1] for row in conn.execute(select(t.stage.c.id, t.stage.c.name))}
    return tuple(
        PriceRow(
            species[one.species_id],
            stages[one.stage_id],
            one.sex,
            one.pack,
            one.animals,
            one.buyer,
            one.amount,
            one.from_on,
            one.extra,
        )
        for one in prices_on(conn, on).all()
    )
