"""The cash of a fair: the change taken along, and all that came in and went out by what is on record.

On its days cash comes in for its sales, as deposits and for older debts, and goes out where money is given back; costs
go out that were said to be paid from it. Cash of sales made otherwise on those days lies elsewhere. What nothing on
record tells is said when the cash is counted.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, func, select

from ledger.money import Currency, said
from ledger.records import tables as t
from ledger.selling.fairs import Fair, sales_of
from ledger.wording import say, strung

CASH = "cash"


@dataclass(frozen=True, slots=True)
class CashLine:
    """A part of the cash there should be; below nothing: it went out. Minor units."""

    what: str
    amount: int


def not_taken_back() -> ColumnElement[bool]:
    """Whether a cost stands."""
    back = t.cost.alias("taken_back")
    return ~select(back.c.id).where(back.c.reverses == t.cost.c.id).exists()


def cash_lines(conn: Connection, fair: Fair) -> tuple[CashLine, ...]:
    """What the cash of a fair is made of; of a settled fair it adds up to what was expected when it was counted."""
    lines = [CashLine(say("float"), fair.cash_float)]
    by_kind = _payments(conn, fair)
    lines.append(CashLine(say("sales in cash"), by_kind.pop("sales", 0)))
    for kind, words in (("deposits", say("deposits")), ("older", say("sales of other days"))):
        if by_kind[kind]:
            lines.append(CashLine(words, by_kind[kind]))
    paid = _costs(conn, fair)
    if paid:
        lines.append(CashLine(say("costs paid from it"), -paid))
    if fair.put_in:
        lines.append(CashLine(say("put in"), fair.put_in))
    if fair.taken_out:
        lines.append(CashLine(say("taken out"), -fair.taken_out))
    late = 0 if fair.expected is None else fair.expected - sum(line.amount for line in lines)
    if late:
        lines.append(CashLine(say("recorded only after it was counted"), late))
    return tuple(lines)


def expected_cash(conn: Connection, fair: Fair) -> int:
    """Cash there should be, in minor units."""
    return sum(line.amount for line in cash_lines(conn, fair))


def cash_words(lines: tuple[CashLine, ...], currency: Currency) -> str:
    """'float 80.00 EUR, sales in cash 24.00 EUR, costs paid from it -18.00 EUR'."""
    return strung((say("{what} {amount}", what=line.what, amount=said(line.amount, currency)) for line in lines), ", ")


def _payments(conn: Connection, fair: Fair) -> dict[str, int]:
    """Cash on the days of a fair, less what was given back, by what it was for."""
    p, s = t.payment.c, t.sale.c
    found: dict[str, int] = defaultdict(int)
    if fair.called_off:
        # Nobody stood there; what came in on that day may be the cash of another fair.
        return found
    here = set(sales_of(conn, fair))
    rows = conn.execute(
        select(p.sale_id, s.sold_on, s.channel, func.sum(p.amount).label("amount"))
        .outerjoin(t.sale, s.id == p.sale_id)
        .where(p.method == CASH, p.paid_on.between(fair.held_on, fair.last_on))
        .group_by(p.sale_id, s.sold_on, s.channel)
    )
    for row in rows:
        if row.sale_id is None:
            found["deposits"] += int(row.amount)
        elif row.sale_id in here:
            found["sales"] += int(row.amount)
        elif not fair.held_on <= row.sold_on <= fair.last_on:
            found["older"] += int(row.amount)
    return found


def _costs(conn: Connection, fair: Fair) -> int:
    """What was paid out of it."""
    c = t.fair_cost.c
    wanted = (
        select(func.coalesce(func.sum(t.cost.c.gross), 0))
        .join(t.fair_cost, c.cost_id == t.cost.c.id)
        .where(c.fair_id == fair.id, c.from_cash == 1, not_taken_back())
    )
    return int(conn.execute(wanted).scalar_one())
