"""One sale as it stands: its lines, charges, payments, credits and posting, and what is still owed. Reads only."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.errors import NotFound
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.records.numbers import spellings
from ledger.records.series import SALES
from ledger.records.undone import reverses_nothing
from ledger.stock.journal import in_parts
from ledger.text import quoted
from ledger.wording import say

IN_KIND = "swap"
"""Method of a payment made in animals: it settles, but is no cash."""


@dataclass(frozen=True, slots=True)
class LineOfSale:
    """One line as it was sold. Amounts in minor units."""

    id: int
    position: int
    """From 1."""
    holding_id: int
    count: int
    extra: int
    pack: str
    price: int
    discount: int
    net: int
    lot_code: str
    species_text: str
    stage_text: str
    sex_text: str
    origin_code: str
    origin_generation: int | None
    origin_or_later: bool
    origin_evidence: int
    origin_lowered: bool
    """The keeper stated less than the records gave."""
    origin_text: str
    provenance_text: str
    together: int
    """Lines of a sale with the same number above 0 were one pack at one price."""
    credited: int
    """Animals credited so far."""
    back: int
    """Of these, came back alive."""
    credited_amount: int

    @property
    def animals(self) -> int:
        """How many animals the buyer gets."""
        return self.count + self.extra

    @property
    def each(self) -> int | None:
        """Price of one, to the nearest coin; `None` for one animal, and for a part of a pack, which has one price."""
        return None if self.count < 2 or self.together else round_half_even(self.price, self.count)

    @property
    def each_is_exact(self) -> bool:
        """Whether that many times the price of one is the price."""
        return self.price % self.count == 0


@dataclass(frozen=True, slots=True)
class ChargeOfSale:
    """Postage, packing or another charge."""

    kind: str
    text: str
    amount: int


@dataclass(frozen=True, slots=True)
class PaymentOfSale:
    """Money received (positive) or given back (negative); `method` 'swap' is settled in animals."""

    paid_on: dt.date
    amount: int
    method: str
    note: str


@dataclass(frozen=True, slots=True)
class CreditOfSale:
    """One credit."""

    id: int
    number: str
    credited_on: dt.date
    amount: int
    full: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Sale:
    """One sale with everything that belongs to it."""

    id: int
    number: str
    sold_on: dt.date
    accounting_on: dt.date
    channel: str
    customer_id: int | None
    customer_name: str
    to_post: bool
    hold_id: int | None
    hold_number: str
    note: str
    """Stands on the receipt."""
    own_note: str
    """What was lacking at the sale, such as a permit in force: for the keeper, on no paper."""
    operation_id: int
    lines: tuple[LineOfSale, ...]
    charges: tuple[ChargeOfSale, ...]
    payments: tuple[PaymentOfSale, ...]
    deposit: int
    """Deposit of the hold taken up."""
    credits: tuple[CreditOfSale, ...]
    charges_credited: int
    posted_on: dt.date | None

    @property
    def total(self) -> int:
        """Lines and charges as sold."""
        return sum(line.net for line in self.lines) + sum(charge.amount for charge in self.charges)

    @property
    def credited(self) -> int:
        """Everything credited."""
        return sum(credit.amount for credit in self.credits)

    @property
    def paid(self) -> int:
        """Everything received less what was given back, the deposit and what was settled in animals included."""
        return sum(payment.amount for payment in self.payments) + self.deposit

    @property
    def owed(self) -> int:
        """Positive: the buyer owes it. Negative: it is to be given back."""
        return self.total - self.credited - self.paid

    @property
    def undone(self) -> bool:
        """Credited in full."""
        return any(credit.full for credit in self.credits)

    @property
    def waits_for_post(self) -> bool:
        """The animals are still here."""
        return self.to_post and self.posted_on is None and not self.undone


def find_sale(conn: Connection, number: str) -> Sale:
    """The sale of that number; S-2025-1 finds S-2025-0001.

    Raises:
        NotFound: there is none.
    """
    wanted = number.strip().upper()
    of = select(t.sale.c.id)
    row = conn.execute(of.where(t.sale.c.number == wanted)).one_or_none()
    if row is None:
        row = conn.execute(of.where(t.sale.c.number.in_(spellings(conn, SALES, wanted)))).one_or_none()
    if row is None:
        raise NotFound(
            say("There is no sale {number}; look its number up in the list of sales.", number=quoted(number)), "sale"
        )
    return sales_by_id(conn, [row.id])[0]


def sales_by_id(conn: Connection, ids: Iterable[int]) -> list[Sale]:
    """Sales by their ids, in the order they were made."""
    return [sale for part in in_parts(ids) for sale in _sales(conn, part)]


def _sales(conn: Connection, ids: Collection[int]) -> list[Sale]:
    lines = _lines(conn, ids)
    charges: dict[int, list[ChargeOfSale]] = defaultdict(list)
    c = t.sale_charge.c
    wanted = select(c.sale_id, c.kind, c.text, c.amount).where(c.sale_id.in_(ids)).order_by(c.id)
    for sale_id, *charge in conn.execute(wanted):
        charges[sale_id].append(ChargeOfSale(*charge))
    payments: dict[int, list[PaymentOfSale]] = defaultdict(list)
    # What was taken back was never paid: neither row of the pair is part of the sale.
    p, back = t.payment.c, t.payment.alias("back")
    paid = (
        select(p.sale_id, p.paid_on, p.amount, p.method, p.note)
        .outerjoin(back, back.c.reverses == p.id)
        .where(p.sale_id.in_(ids), reverses_nothing(p.reverses), back.c.id.is_(None))
        .order_by(p.id)
    )
    for sale_id, *received in conn.execute(paid):
        payments[sale_id].append(PaymentOfSale(*received))
    credits: dict[int, list[CreditOfSale]] = defaultdict(list)
    k = t.credit.c
    given = select(k.sale_id, k.id, k.number, k.credited_on, k.amount, k.full, k.reason).where(k.sale_id.in_(ids))
    for sale_id, number, name, day, amount, full, reason in conn.execute(given.order_by(k.id)):
        credits[sale_id].append(CreditOfSale(number, name, day, amount, bool(full), reason))
    charges_credited: dict[int, int] = defaultdict(int)
    kl = t.credit_line.c
    on_charges = (
        select(k.sale_id, kl.amount)
        .join(t.credit, k.id == kl.credit_id)
        .where(kl.sale_line_id.is_(None), k.sale_id.in_(ids), k.full == 0)
    )
    for sale_id, amount in conn.execute(on_charges):
        charges_credited[sale_id] += amount
    s = t.sale
    rows = conn.execute(
        select(s, t.hold.c.number.label("hold_number"), t.hold.c.deposit, t.hold_fate.c.deposit.label("became"))
        .add_columns(t.posting.c.posted_on)
        .outerjoin(t.hold, t.hold.c.id == s.c.hold_id)
        .outerjoin(t.hold_fate, t.hold_fate.c.hold_id == t.hold.c.id)
        .outerjoin(t.posting, t.posting.c.sale_id == s.c.id)
        .where(s.c.id.in_(ids))
        .order_by(s.c.id)
    )
    return [
        Sale(
            row.id,
            row.number,
            row.sold_on,
            row.accounting_on,
            row.channel,
            row.customer_id,
            row.customer_name,
            bool(row.to_post),
            row.hold_id,
            row.hold_number or "",
            row.note,
            row.own_note,
            row.operation_id,
            tuple(lines[row.id]),
            tuple(charges[row.id]),
            tuple(payments[row.id]),
            row.deposit if row.became == "applied" else 0,
            tuple(credits[row.id]),
            charges_credited[row.id],
            row.posted_on,
        )
        for row in rows
    ]


def _lines(conn: Connection, ids: Collection[int]) -> dict[int, list[LineOfSale]]:
    line, kl = t.sale_line.c, t.credit_line.c
    credited: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    given = (
        select(kl.sale_line_id, kl.count.label("n"), kl.back, kl.amount)
        .join(t.sale_line, line.id == kl.sale_line_id)
        .where(line.sale_id.in_(ids))
    )
    for row in conn.execute(given):
        so_far = credited[row.sale_line_id]
        so_far[0] += row.n
        so_far[1] += row.back
        so_far[2] += row.amount
    lines: dict[int, list[LineOfSale]] = defaultdict(list)
    rows = conn.execute(
        select(
            line.sale_id,
            line.id,
            line.position,
            line.holding_id,
            line.count.label("n"),
            line.extra,
            line.pack,
            line.price,
            line.discount,
            line.net,
            line.lot_code,
            line.species_text,
            line.stage_text,
            line.sex_text,
            line.origin_code,
            line.origin_generation,
            line.origin_or_later,
            line.origin_evidence,
            line.origin_lowered,
            line.origin_text,
            line.provenance_text,
            line.together,
        )
        .where(line.sale_id.in_(ids))
        .order_by(line.sale_id, line.position)
    )
    for sale_id, *values in rows:
        values[15], values[17] = bool(values[15]), bool(values[17])
        lines[sale_id].append(LineOfSale(*values, *credited[values[0]]))
    return lines
