"""Proof that the ledger adds up: what is kept beside the journals is built anew, and every total is reached twice.

Changes nothing. An empty answer means that everything holds.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import BigInteger, Connection, case, cast, func, select

from ledger.books.checks import checks_of
from ledger.books.closing import Figure, digest_of, figures_of
from ledger.books.paper_numbers import paper_numbers
from ledger.books.position import Position, position
from ledger.books.year import year_books
from ledger.costs.result import Kind
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.seldom import seldom_collected
from ledger.stock.events import ordered, without_reversed
from ledger.stock.journal import depths, events, read_once
from ledger.stock.reasons import REASONS, Cost
from ledger.stock.rebuild import differences
from ledger.wording import say


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that does not add up."""

    what: str
    """stock, costs, closing, numbers, animals bought, origin, or the key of a check."""
    sentence: str


@seldom_collected()
def prove(conn: Connection) -> tuple[Finding, ...]:
    """Everything that does not add up; empty when all does."""
    with read_once(conn):
        return _prove(conn)


def _prove(conn: Connection) -> tuple[Finding, ...]:
    found = [Finding("stock", one.sentence) for one in differences(conn)]
    lacking = _lacking(conn)
    if lacking is not None:
        # Costs cannot be shared over fewer than no animals, so nothing below could be reckoned.
        return (*found, lacking)
    found += _numbers(conn)
    found += _origins(conn)
    found += _animals_bought(conn)
    years = _years(conn)
    if years:
        found += _costs(conn, _last_day(conn, years[-1]))
    found += _closings(conn)
    for year in years:
        found += [
            Finding(
                check.key,
                say(
                    "{year}: {name}: {first} against {second}.",
                    year=year,
                    name=check.name,
                    first=check.first,
                    second=check.second,
                ),
            )
            for check in checks_of(year_books(conn, year))
            if not check.holds
        ]
    return tuple(found)


def _lacking(conn: Connection) -> Finding | None:
    """The first movement that, by the day it is accounted on, takes more animals than its lot and stage have."""
    there: dict[tuple[int | None, int | None], int] = defaultdict(int)
    for event in ordered(without_reversed(events(conn), by="accounting_on"), depths(conn), by="accounting_on"):
        if event.from_lot is not None:
            there[event.from_lot, event.from_stage] -= event.count
            left = there[event.from_lot, event.from_stage]
            if left < 0:
                day = dt.date.fromordinal(event.accounting_on)
                return Finding(
                    "stock",
                    say(
                        "Movement {id}, accounted on {day}, takes {lacking} more than are there.",
                        id=event.id,
                        day=day,
                        lacking=-left,
                    ),
                )
        if event.to_lot is not None:
            there[event.to_lot, event.to_stage] += event.count
    return None


def _years(conn: Connection) -> list[int]:
    """Years from the first to the last in which anything is accounted."""
    days: list[dt.date] = []
    for name in t.ACCOUNTED:
        on = t.metadata.tables[name].c.accounting_on
        row = conn.execute(select(func.min(on, type_=on.type), func.max(on, type_=on.type))).one()
        days += [day for day in row if day is not None]
    if not days:
        return []
    p = t.period.c
    wanted = select(p.year).where(p.last_day >= min(days), p.first_day <= max(days)).order_by(p.year)
    return list(conn.execute(wanted).scalars())


def _last_day(conn: Connection, year: int) -> dt.date:
    day: dt.date = conn.execute(select(t.period.c.last_day).where(t.period.c.year == year)).scalar_one()
    return day


def _numbers(conn: Connection) -> Iterable[Finding]:
    for paper in paper_numbers(conn):
        if paper.used != paper.given:
            yield Finding(
                "numbers",
                say(
                    "The {series} numbers of {year} run to {last}, and {used} of them are used.",
                    series=paper.series,
                    year=paper.year or paper.layout,
                    last=paper.last,
                    used=paper.used,
                ),
            )
        for number in paper.strange:
            yield Finding(
                "numbers",
                say("{series} number {number} lies outside the numbers given.", series=paper.series, number=number),
            )


def _origins(conn: Connection) -> Iterable[Finding]:
    """The database refuses such a line; a ledger restored from elsewhere may still hold one."""
    line = t.sale_line.c
    rows = conn.execute(
        select(t.sale.c.number, line.position)
        .join(t.sale, t.sale.c.id == line.sale_id)
        .where(func.trim(line.origin_text) == "")
        .order_by(line.id)
    )
    for number, place in rows:
        yield Finding("origin", say("Line {place} of sale {number} states no origin.", place=place, number=number))


def _animals_bought(conn: Connection) -> Iterable[Finding]:
    """Each movement that brought animals in for a price has its cost, of the same amount and day, and no other has."""
    c = t.cost.c
    costs = {
        row.movement_id: row
        for row in conn.execute(select(c.id, c.movement_id, c.basis, c.accounting_on).where(c.kind == "animals"))
    }
    m, e, back = t.movement.c, t.entry.c, t.movement.alias("back")
    movements = conn.execute(
        select(m.id, m.reason, m.value, m.reverses, back.c.value.label("taken_back"), e.accounting_on)
        .join(t.entry, e.id == m.entry_id)
        .outerjoin(back, back.c.id == m.reverses)
        .order_by(m.id)
    )
    for row in movements:
        if REASONS[row.reason].cost is not Cost.PRICE:
            continue
        value = (row.value if row.reverses is None else row.taken_back) or 0
        cost = costs.pop(row.id, None)
        if cost is None:
            if value:
                yield Finding(
                    "animals bought",
                    say("Movement {id} brought in animals for {amount}, but has no cost.", id=row.id, amount=value),
                )
        elif cost.basis != value or cost.accounting_on != row.accounting_on:
            yield Finding(
                "animals bought",
                say(
                    "Cost {cost} is {amount} on {day}; its movement {movement} is {other} on {other_day}.",
                    cost=cost.id,
                    amount=cost.basis,
                    day=cost.accounting_on,
                    movement=row.id,
                    other=value,
                    other_day=row.accounting_on,
                ),
            )
    for cost in costs.values():
        yield Finding(
            "animals bought", say("Cost {id} is for animals bought, but no movement brought them in.", id=cost.id)
        )


def _costs(conn: Connection, until: dt.date) -> Iterable[Finding]:
    """What came into the sharing of costs, and where it is, against plain sums over the records."""
    there = position(conn, until)
    if not there.shared.adds_up():
        yield Finding("costs", say("Not all cost up to {until} is accounted for by the sharing of costs.", until=until))
    came_in = sum(there.shared.came_in)
    expected = _shared_by_sums(conn, until) + _prices(conn, until.toordinal()) - sum(there.disposed.values())
    expected -= sum(there.equipment.values()) - _unused_equipment(there)
    if came_in != expected:
        yield Finding(
            "costs",
            say(
                "{came_in} came into the sharing of costs up to {until}; the records say {expected}.",
                came_in=came_in,
                until=until,
                expected=expected,
            ),
        )


def _shared_by_sums(conn: Connection, until: dt.date) -> int:
    """Business part of all shared costs less refunds, residual values included."""
    c, ch = t.cost.c, t.cost_change.c
    kinds = ("used up", "overhead", "lasting")
    signed = case((c.reverses.is_(None), c.basis), else_=-c.basis)
    spent = select(cast(func.sum(signed), BigInteger)).where(c.kind.in_(kinds), c.accounting_on <= until)
    total = int(conn.execute(spent).scalar() or 0)
    back = t.cost.alias("back")
    refunds = conn.execute(
        select(
            c.basis,
            c.gross,
            c.accounting_on,
            back.c.accounting_on.label("back_on"),
            cast(func.sum(ch.amount), BigInteger).label("amount"),
        )
        .join(t.cost_change, ch.cost_id == c.id)
        .outerjoin(back, back.c.reverses == c.id)
        .where(ch.kind == "refund", ch.accounting_on <= until, c.kind.in_(kinds))
        .group_by(c.id, c.basis, c.gross, c.accounting_on, back.c.accounting_on)
    )
    for row in refunds:
        if row.back_on is None or row.back_on > until:
            total -= round_half_even(row.amount * row.basis, row.gross)
    return total


def _prices(conn: Connection, until: int) -> int:
    """Price of animals that came in, less of those whose coming was taken back later."""
    rows = without_reversed(events(conn), by="accounting_on")
    value = {event.id: event.value or 0 for event in rows if REASONS[event.reason].cost is Cost.PRICE}
    return sum(
        value[event.id] if event.reverses is None else -value[event.reverses]
        for event in rows
        if event.id in value and event.accounting_on <= until
    )


def _unused_equipment(there: Position) -> int:
    """The part of the equipment that is still being shared out."""
    return sum(
        sum(row.posted)
        for row in there.shared.closing
        if row.kind is Kind.NOT_USED_UP and row.cost_line in there.equipment
    )


def _closings(conn: Connection) -> Iterable[Finding]:
    """The figures of closed years as they were written, against those reckoned now."""
    for closing in conn.execute(select(t.closing).order_by(t.closing.c.year)).all():
        f = t.closing_figure.c
        written = {
            (row.figure, row.detail): row.value
            for row in conn.execute(select(t.closing_figure).where(f.closing_id == closing.id))
        }
        now = {(one.figure, one.detail): one.value for one in figures_of(conn, closing.year)}
        for name, detail in sorted(written.keys() | now.keys()):
            then, today = written.get((name, detail)), now.get((name, detail))
            if then != today:
                difference = say(
                    "{closed} was closed, {now} is reckoned now",
                    closed=_or_nothing(then),
                    now=_or_nothing(today),
                )
                yield Finding(
                    "closing",
                    say(
                        "{year}, {name}, {detail}: {difference}.",
                        year=closing.year,
                        name=name,
                        detail=detail,
                        difference=difference,
                    ),
                )
        if digest_of([Figure(*key, value) for key, value in written.items()]) != closing.digest:
            yield Finding("closing", say("The digest of {year} does not fit its figures.", year=closing.year))


def _or_nothing(value: int | None) -> str:
    return say("nothing") if value is None else str(value)
