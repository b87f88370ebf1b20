"""Sales, credits, payments and deposits as the books see them: what was earned when, and who owes what on a day.

A sale handed over is earned on its own day, a sale to be posted on the day it is posted; money before that is paid
ahead. A credit counts from its own day; one that undoes the whole sale counts from the day its animals are accounted
as back, so that the animals and their price leave the books together. A deposit belongs to the buyer until it is
applied to a sale or kept. Animals swapped are earned at the agreed value and settled without cash.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, Connection, func, select

from ledger.records import tables as t

SWAPPED = "swap"
"""Method of a payment made in animals: it settles, but is no cash."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount on a day, in minor units."""

    on: dt.date
    amount: int


@dataclass(frozen=True, slots=True)
class SaleAccount:
    """One sale with everything that was earned, credited and paid on it. Days are those they are accounted on."""

    id: int
    number: str
    customer: str
    channel: str
    sold_on: dt.date
    earned_on: dt.date | None
    """`None`: still to be posted."""
    goods: int
    charges: int
    credits: tuple[Amount, ...]
    """Positive, in the order they were written; none is earlier than the day the sale was earned, and a sale never
    earned has none."""
    paid: tuple[Amount, ...]
    """Cash received (negative: given back)."""
    swapped: tuple[Amount, ...]
    applied: tuple[Amount, ...]
    """Deposit of a hold that was taken up."""
    undone: bool
    """Credited in full."""
    credit_ids: tuple[int, ...]
    """Of the rows of `credits`."""

    def earned(self, until: dt.date) -> int:
        """Goods and charges less credits, earned up to and including a day."""
        if self.earned_on is None or self.earned_on > until:
            return 0
        return self.goods + self.charges - upto(self.credits, until)

    def settled(self, until: dt.date) -> int:
        """Cash, swaps and deposits that count for the sale up to and including a day."""
        return upto(self.paid, until) + upto(self.swapped, until) + upto(self.applied, until)

    def balance(self, until: dt.date) -> int:
        """Positive: owed by the customer. Negative: paid ahead, or owed back."""
        return self.earned(until) - self.settled(until)


@dataclass(frozen=True, slots=True)
class DepositAccount:
    """The deposit of one hold."""

    id: int
    number: str
    customer: str
    received: tuple[Amount, ...]
    """Cash received (negative: given back)."""
    applied: tuple[Amount, ...]
    kept: tuple[Amount, ...]

    def held(self, until: dt.date) -> int:
        """What is held for the buyer at the end of a day."""
        return upto(self.received, until) - upto(self.applied, until) - upto(self.kept, until)


def upto(amounts: Iterable[Amount], until: dt.date) -> int:
    """Sum of the amounts up to and including a day."""
    return sum(one.amount for one in amounts if one.on <= until)


def within(amounts: Iterable[Amount], first: dt.date, last: dt.date) -> int:
    """Sum of the amounts from one day to another, both included."""
    return sum(one.amount for one in amounts if first <= one.on <= last)


def deposit_accounts(conn: Connection) -> list[DepositAccount]:
    """Every hold that ever had a deposit, oldest first."""
    received: dict[int, list[Amount]] = defaultdict(list)
    for row in _paid(conn, t.payment.c.hold_id):
        received[row.hold_id].append(Amount(row.accounting_on, row.amount))
    taken = {
        row.hold_id: row.accounting_on
        for row in conn.execute(select(t.sale.c.hold_id, t.sale.c.accounting_on).where(t.sale.c.hold_id.is_not(None)))
    }
    decided = {
        row.hold_id: row.accounting_on
        for row in conn.execute(
            select(t.deposit_decision.c.hold_id, t.deposit_decision.c.accounting_on).where(
                t.deposit_decision.c.outcome == "kept"
            )
        )
    }
    accounts = []
    for hold in conn.execute(
        select(t.hold.c.id, t.hold.c.number, t.customer.c.name, t.hold_fate.c.deposit)
        .join(t.customer, t.customer.c.id == t.hold.c.customer_id)
        .outerjoin(t.hold_fate, t.hold_fate.c.hold_id == t.hold.c.id)
        .order_by(t.hold.c.id)
    ):
        if hold.id not in received:
            continue
        whole = sum(one.amount for one in received[hold.id])
        applied: tuple[Amount, ...] = ()
        kept: tuple[Amount, ...] = ()
        if hold.deposit == "applied" and hold.id in taken:
            applied = (Amount(taken[hold.id], whole),)
        elif hold.id in decided:
            kept = (Amount(decided[hold.id], whole),)
        accounts.append(DepositAccount(hold.id, hold.number, hold.name, tuple(received[hold.id]), applied, kept))
    return accounts


def sale_accounts(conn: Connection) -> list[SaleAccount]:
    """Every sale, in the order they were made."""
    goods = _sums(conn, t.sale_line.c.sale_id, t.sale_line.c.net)
    charges = _sums(conn, t.sale_charge.c.sale_id, t.sale_charge.c.amount)
    posted = {
        row.sale_id: row.accounting_on for row in conn.execute(select(t.posting.c.sale_id, t.posting.c.accounting_on))
    }
    back_on = _back_on(conn)
    credits: dict[int, list[tuple[int, Amount]]] = defaultdict(list)
    undone: set[int] = set()
    for row in conn.execute(select(t.credit).order_by(t.credit.c.id)):
        on = back_on.get(row.sale_id, row.accounting_on) if row.full else row.accounting_on
        credits[row.sale_id].append((row.id, Amount(on, row.amount)))
        if row.full:
            undone.add(row.sale_id)
    paid: dict[int, list[Amount]] = defaultdict(list)
    swapped: dict[int, list[Amount]] = defaultdict(list)
    for row in _paid(conn, t.payment.c.sale_id):
        (swapped if row.method == SWAPPED else paid)[row.sale_id].append(Amount(row.accounting_on, row.amount))
    deposits = {one.id: one.applied for one in deposit_accounts(conn)}
    accounts = []
    for row in conn.execute(select(t.sale).order_by(t.sale.c.id)):
        earned_on: dt.date | None = posted.get(row.id) if row.to_post else row.accounting_on
        given = credits[row.id] if earned_on is not None else []
        accounts.append(
            SaleAccount(
                id=row.id,
                number=row.number,
                customer=row.customer_name,
                channel=row.channel,
                sold_on=row.sold_on,
                earned_on=earned_on,
                goods=goods.get(row.id, 0),
                charges=charges.get(row.id, 0),
                credits=tuple(Amount(max(one.on, earned_on or one.on), one.amount) for _, one in given),
                paid=tuple(paid[row.id]),
                swapped=tuple(swapped[row.id]),
                applied=deposits.get(row.hold_id, ()),
                undone=row.id in undone,
                credit_ids=tuple(number for number, _ in given),
            )
        )
    return accounts


def _paid(conn: Connection, of: Column[int]) -> list[Any]:
    """Payments for sales, or of holds; a pair taken back on the day it is accounted on is no payment at all."""
    p = t.payment.c
    rows = conn.execute(select(t.payment).where(of.is_not(None)).order_by(p.id)).all()
    by_id = {row.id: row for row in rows}
    pairs = [(row.id, row.reverses) for row in rows if row.reverses is not None]
    absent = {
        number for pair in pairs if by_id[pair[0]].accounting_on == by_id[pair[1]].accounting_on for number in pair
    }
    return [row for row in rows if row.id not in absent]


def _sums(conn: Connection, key: Column[int], amount: Column[int]) -> dict[int, int]:
    return {number: int(total) for number, total in conn.execute(select(key, func.sum(amount)).group_by(key))}


def _back_on(conn: Connection) -> dict[int, dt.date]:
    """By sale, the day on which the animals of a sale taken back are accounted as back."""
    back = t.movement.alias("back")
    rows = conn.execute(
        select(t.sale_line.c.sale_id, func.max(t.entry.c.accounting_on, type_=t.entry.c.accounting_on.type))
        .join(t.sale_movement, t.sale_movement.c.sale_line_id == t.sale_line.c.id)
        .join(back, back.c.reverses == t.sale_movement.c.movement_id)
        .join(t.entry, t.entry.c.id == back.c.entry_id)
        .group_by(t.sale_line.c.sale_id)
    )
    return {row[0]: row[1] for row in rows}
