"""Costs as the books see them: the business part of what was spent and of what was paid, and what is owed.

Only the business share of a cost (net or gross, as the ledger is kept) is the business's; payments and refunds count
in the same proportion, rounded cumulatively so that a cost paid in full was paid to the minor unit, and so do the
proceeds of equipment (common practice, no source). A cost taken back on the day it is accounted on was never there;
later, it counts with the opposite sign.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import Connection, select

from ledger.books.sold import Amount, upto
from ledger.money import round_half_even
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class CostAccount:
    """One cost with its payments and refunds, business part only. Days are those they are accounted on."""

    id: int
    bought_on: dt.date
    accounting_on: dt.date
    supplier: str
    category: str
    text: str
    note: str
    kind: str
    scope: str
    sale_id: int | None
    net: int
    tax: int
    gross: int
    basis: int
    """What the business bears. A cost taken back in a later year has the opposite sign here and in the three above."""
    residual: int
    """What equipment will still be worth at the end of its life."""
    life_days: int | None
    in_use_from: dt.date
    """The first day it is used up on."""
    reverses: int | None
    """The cost this one takes back."""
    paid: tuple[Amount, ...]
    swapped: tuple[Amount, ...]
    """Settled in animals, without cash."""
    refunds: tuple[Amount, ...]
    """Positive: came back as cash and lowers the cost."""
    disposal: Amount | None
    """Business part of the proceeds of equipment disposed of."""

    def owed(self, until: dt.date) -> int:
        """What the business still owes on it at the end of a day."""
        if self.accounting_on > until:
            return -upto(self.paid, until) - upto(self.swapped, until)
        return self.basis - upto(self.paid, until) - upto(self.swapped, until)


def _business_part(amounts: list[Amount], basis: int, gross: int) -> tuple[Amount, ...]:
    so_far = posted = 0
    parts = []
    for one in amounts:
        so_far += one.amount
        rounded = round_half_even(so_far * basis, gross) if gross else 0
        parts.append(Amount(one.on, rounded - posted))
        posted = rounded
    return tuple(parts)


def cost_accounts(conn: Connection) -> list[CostAccount]:
    """Every cost that stands, in the order they were entered."""
    rows = conn.execute(select(t.cost).order_by(t.cost.c.id)).all()
    by_id = {row.id: row for row in rows}
    absent = {
        number
        for row in rows
        if row.reverses is not None and by_id[row.reverses].accounting_on == row.accounting_on
        for number in (row.id, row.reverses)
    }
    changes: dict[tuple[int, str], list[Amount]] = defaultdict(list)
    for change in conn.execute(select(t.cost_change).order_by(t.cost_change.c.id)):
        if change.kind != "window":
            kind = "swapped" if change.kind == "paid" and change.note == SETTLED_BY_SWAP else change.kind
            changes[change.cost_id, kind].append(Amount(change.accounting_on, change.amount))
    accounts = []
    for row in rows:
        if row.id in absent:
            continue
        if row.reverses is None:
            of, sign, basis = row.id, 1, row.basis
            moved = {kind: changes[of, kind] for kind in ("paid", "swapped", "refund")}
        else:
            of, sign, basis = row.reverses, -1, -row.basis
            moved = {
                kind: [Amount(row.accounting_on, sum(one.amount for one in changes[of, kind]))]
                if changes[of, kind]
                else []
                for kind in ("paid", "swapped", "refund")
            }
        parts = {
            kind: tuple(Amount(one.on, sign * one.amount) for one in _business_part(amounts, row.basis, row.gross))
            for kind, amounts in moved.items()
        }
        disposal = None
        if row.reverses is None and changes[of, "disposal"]:
            got = changes[of, "disposal"][0]
            disposal = Amount(got.on, round_half_even(got.amount * row.share, 10000))
        accounts.append(
            CostAccount(
                id=row.id,
                bought_on=row.bought_on,
                accounting_on=row.accounting_on,
                supplier=row.supplier,
                category=row.category,
                text=row.text,
                note=row.note,
                kind=row.kind,
                scope=row.scope,
                sale_id=row.sale_id,
                net=sign * row.net,
                tax=sign * row.tax,
                gross=sign * row.gross,
                basis=basis,
                residual=row.residual,
                life_days=row.life_days,
                in_use_from=row.window_from or row.bought_on,
                reverses=row.reverses,
                paid=parts["paid"],
                swapped=parts["swapped"],
                refunds=parts["refund"],
                disposal=disposal,
            )
        )
    return accounts


SETTLED_BY_SWAP = "settled by swap"
"""Note of the payment row of animals that came in by swap."""
