"""Totals of a year taken straight from the records, to hold the rows of the books against.

Each is reached on another way than the rows are: sums in the database, or differences between two days.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from sqlalchemy import BigInteger, Connection, Select, case, cast, func, select

from ledger.books.late import count_late
from ledger.books.material import Material
from ledger.books.paper_numbers import paper_numbers
from ledger.books.sold import SWAPPED, upto, within
from ledger.books.spent import SETTLED_BY_SWAP
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.records.undone import stands


@dataclass(frozen=True, slots=True)
class Controls:
    """Totals of one year; amounts in minor units."""

    sales: int
    """Earned less credits."""
    received: int
    """Money from customers, deposits with it, less what was given back."""
    costs: int
    """Business part of what was accounted, less what was taken back; refunds not taken off."""
    gross: int
    """The same before tax and private parts are taken off: what stands on the bills."""
    paid: int
    refunded: int
    proceeds: int
    kept: int
    """Deposits kept."""
    on_receipt: int
    """Deposits held at the end of the year less at its start, as far as the method counts them on receipt."""
    assets: int
    """Change in everything that is there: animals, brood, costs not used up, equipment."""
    equipment: int
    """Equipment at the end of the year."""
    animals_at_start: int
    cost_at_start: int
    from_closing: bool
    """The two above are those of last year's closing; else reckoned anew."""
    animals_at_end: int
    numbers_given: int
    """Highest sale and credit number of the year, added up."""
    numbers_used: int
    counted: int
    """Animals counted in the counts of the year, added up."""
    late: int
    """Facts of earlier years accounted in this one, and of this one accounted later."""
    not_counted: int
    """Lots with animals at the end of the year that were not counted in it."""

    @property
    def cash_result(self) -> int:
        """Result on the cash basis."""
        return self.received + self.proceeds - self.paid + self.refunded

    @property
    def accruals_result(self) -> int:
        """Result on the accruals basis."""
        return self.sales + self.kept + self.on_receipt + self.proceeds - self.costs + self.refunded + self.assets


def controls(conn: Connection, given: Material) -> Controls:
    """The control totals of a year."""
    first, last = given.first, given.last
    opening = _last_closing(conn, given.period.year - 1)
    papers = paper_numbers(conn, (given.period.year, first, last))
    return Controls(
        sales=sum(sale.earned(last) - sale.earned(given.eve) for sale in given.sales),
        received=_received(conn, first, last),
        costs=_accounted(conn, first, last),
        gross=_on_bills(conn, first, last),
        paid=_paid(conn, last) - _paid(conn, given.eve),
        refunded=sum(within(cost.refunds, first, last) for cost in given.costs),
        proceeds=sum(cost.disposal.amount for cost in given.costs if cost.disposal and given.in_year(cost.disposal.on)),
        kept=sum(upto(hold.kept, last) - upto(hold.kept, given.eve) for hold in given.deposits),
        on_receipt=given.on_receipt[1] * sum(hold.held(last) for hold in given.deposits)
        - given.on_receipt[0] * sum(hold.held(given.eve) for hold in given.deposits),
        assets=given.after.assets - given.before.assets,
        equipment=sum(given.after.equipment.values()),
        animals_at_start=animals_on(conn, given.eve) if opening is None else opening[0],
        cost_at_start=given.before.carried if opening is None else opening[1],
        from_closing=opening is not None,
        animals_at_end=animals_on(conn, last),
        numbers_given=sum(paper.given for paper in papers),
        numbers_used=sum(paper.used for paper in papers),
        counted=_sum(conn, _counted_in(first, last)),
        late=count_late(conn, first, last),
        not_counted=len(uncounted_lots(conn, first, last)),
    )


def _sum(conn: Connection, amount: object) -> int:
    return int(conn.execute(amount).scalar() or 0)  # type: ignore[call-overload]


def _counted_in(first: dt.date, last: dt.date) -> Select[int]:
    o = t.observation.c
    total = select(cast(func.sum(t.observation.c["count"]), BigInteger))
    return total.where(o.kind == "counted", o.happened_on.between(first, last), stands(o.operation_id))


def _received(conn: Connection, first: dt.date, last: dt.date) -> int:
    p = t.payment.c
    return _sum(
        conn,
        select(cast(func.sum(p.amount), BigInteger)).where(p.accounting_on.between(first, last), p.method != SWAPPED),
    )


def _accounted(conn: Connection, first: dt.date, last: dt.date) -> int:
    """Both halves of a pair taken back at once fall in the same year and cancel."""
    c = t.cost.c
    signed = case((c.reverses.is_(None), c.basis), else_=-c.basis)
    return _sum(conn, select(cast(func.sum(signed), BigInteger)).where(c.accounting_on.between(first, last)))


def _on_bills(conn: Connection, first: dt.date, last: dt.date) -> int:
    """Gross amounts, without what is no cost of the business at all."""
    c = t.cost.c
    signed = case((c.reverses.is_(None), c.gross), else_=-c.gross)
    total = select(cast(func.sum(signed), BigInteger))
    return _sum(conn, total.where(c.accounting_on.between(first, last), c.basis != 0))


def _paid(conn: Connection, until: dt.date) -> int:
    """Business part of all that was paid in money by a day, cost by cost."""
    c, ch, back = t.cost.c, t.cost_change.c, t.cost.alias("back")
    rows = conn.execute(
        select(
            c.basis,
            c.gross,
            c.accounting_on,
            back.c.accounting_on.label("back_on"),
            cast(func.sum(case((ch.accounting_on <= until, ch.amount), else_=0)), BigInteger).label("paid"),
        )
        .join(t.cost_change, ch.cost_id == c.id)
        .outerjoin(back, back.c.reverses == c.id)
        .where(ch.kind == "paid", ch.note != SETTLED_BY_SWAP)
        .group_by(c.id, c.basis, c.gross, c.accounting_on, back.c.accounting_on)
    )
    total = 0
    for row in rows:
        if row.back_on is None or until < row.back_on != row.accounting_on:
            total += round_half_even(row.paid * row.basis, row.gross) if row.gross else 0
    return total


def animals_on(conn: Connection, until: dt.date) -> int:
    """Animals, objects and specimens in all, by the day their movements are accounted on."""
    m, e = t.movement.c, t.entry.c
    came = case((m.to_holding_id.is_not(None), m.count), else_=0)
    went = case((m.from_holding_id.is_not(None), m.count), else_=0)
    return _sum(
        conn,
        select(cast(func.sum(came - went), BigInteger))
        .join(t.entry, e.id == m.entry_id)
        .where(e.accounting_on <= until),
    )


def _last_closing(conn: Connection, year: int) -> tuple[int, int] | None:
    """Animals and their cost so far as the closing of a year has them."""
    f = t.closing_figure.c
    totals: dict[str, int] = defaultdict(int)
    for row in conn.execute(
        select(f.figure, f.value).join(t.closing, t.closing.c.id == f.closing_id).where(t.closing.c.year == year)
    ):
        totals[row.figure] += row.value
    return (totals["animals"], totals["cost so far"] + totals["brood"]) if totals else None


LAST_DAYS = 31
"""A count this near to a year's end is taken as its stock count (common practice, no source)."""


def uncounted_lots(conn: Connection, first: dt.date, last: dt.date) -> tuple[str, ...]:
    """Codes of lots with animals at the end of the year that nobody counted in it."""
    return tuple(code for code, on in _counted_lots(conn, last) if on is None or on < first)


def last_counts(conn: Connection, last: dt.date) -> tuple[tuple[str, dt.date], ...]:
    """Codes of lots with animals at the end of a day that were ever counted, each with the last day it was."""
    return tuple((code, on) for code, on in _counted_lots(conn, last) if on is not None)


def _counted_lots(conn: Connection, last: dt.date) -> list[tuple[str, dt.date | None]]:
    """Lots with animals at the end of a day, by their codes, and when each was last counted up to then."""
    o, h, m = t.observation.c, t.holding.c, t.movement.c
    counts: dict[int, int] = defaultdict(int)
    for column, sign in ((m.to_holding_id, 1), (m.from_holding_id, -1)):
        for lot_id, n in conn.execute(
            select(h.lot_id, cast(func.sum(m.count), BigInteger))
            .join(t.movement, column == h.id)
            .join(t.entry, t.entry.c.id == m.entry_id)
            .where(t.entry.c.accounting_on <= last)
            .group_by(h.lot_id)
        ):
            counts[lot_id] += sign * n
    counted = {
        row[0]: row[1]
        for row in conn.execute(
            select(o.lot_id, func.max(o.happened_on, type_=o.happened_on.type))
            .where(o.kind == "counted", o.happened_on <= last, stands(o.operation_id))
            .group_by(o.lot_id)
        )
    }
    codes = {row.id: row.code for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    return sorted(
        ((codes[lot_id], counted.get(lot_id)) for lot_id in counts if counts[lot_id] > 0), key=lambda one: one[0]
    )
