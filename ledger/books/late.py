"""Facts of a year that were recorded after it was closed: where they were accounted, and the stock both ways.

The closed year's figures stand, so a late fact counts in the first open year. What was really there on the last day
is known better now than it was then; both are shown and neither is changed. Reads only.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Column, ColumnElement, Connection, Table, and_, func, or_, select

from ledger.records import tables as t
from ledger.records.periods import Period, period_by_year
from ledger.stock.events import Event
from ledger.stock.journal import events
from ledger.wording import say, strung, word


@dataclass(frozen=True, slots=True)
class LateFact:
    """Something that happened in one year and is accounted in a later one."""

    happened_on: dt.date
    accounted_on: dt.date
    recorded_at: str
    """Date and minute, ISO 8601, in UTC."""
    kind: str
    """entry, cost, change of a cost, out of store, sale, payment, posting, credit or deposit."""
    number: str
    """Of the entry, cost, sale or hold."""
    what: str
    amount: int | None = None
    """Minor units, below nothing where a cost is taken back; None: it is about animals, has none, or is the payment
    that was recorded with a cost, whose amount stands there already."""


@dataclass(frozen=True, slots=True)
class BothWays:
    """The animals of one lot and stage at the end of a year's last day."""

    lot: str
    stage: str
    in_books: int
    """As the year has them: by the day movements are accounted on."""
    known_now: int
    """By the day things happened."""

    @property
    def differs(self) -> int:
        """How many more there really were."""
        return self.known_now - self.in_books


@dataclass(frozen=True, slots=True)
class Late:
    """What came to be known of a year too late for its books."""

    period: Period
    facts: tuple[LateFact, ...]
    """Of that year, accounted in a later one; in the order they were recorded."""
    stock: tuple[BothWays, ...]
    """Every lot and stage with animals either way."""


def late(conn: Connection, year: int) -> Late:
    """Late facts of an accounting year, and its stock at the end both ways.

    Raises:
        BadInput: there is no such year.
    """
    period = period_by_year(conn, year)
    facts = late_facts(conn, happened=(period.first_day, period.last_day), after=period.last_day)
    return Late(period, facts, _both_ways(conn, period.last_day))


_DAYS = {
    "entry": "happened_on",
    "cost": "bought_on",
    "cost_change": "happened_on",
    "store_issue": "happened_on",
    "sale": "sold_on",
    "payment": "paid_on",
    "posting": "posted_on",
    "credit": "credited_on",
    "deposit_decision": "happened_on",
}
"""By accounted table, the day its fact happened on."""
_KINDS = {"cost_change": "change of a cost", "store_issue": "out of store", "deposit_decision": "deposit"}


def late_facts(
    conn: Connection,
    *,
    happened: tuple[dt.date, dt.date] | None = None,
    accounted: tuple[dt.date, dt.date] | None = None,
    after: dt.date,
) -> tuple[LateFact, ...]:
    """Facts that happened up to a day and are accounted after it.

    Args:
        conn: an open reading connection.
        happened: first and last day they happened on, if not any.
        accounted: first and last day they are accounted on, if not any.
        after: the last day of a year.
    """
    found: list[tuple[int, LateFact]] = []
    for name in t.ACCOUNTED:
        table = t.metadata.tables[name]
        day, booked = table.c[_DAYS[name]], table.c.accounting_on
        wanted = [day <= after, booked > after]
        wanted += [day.between(*happened)] if happened else []
        wanted += [booked.between(*accounted)] if accounted else []
        found += _of_table(conn, table, day, wanted)
    return tuple(fact for _, fact in sorted(found, key=lambda one: one[0]))


def count_late(conn: Connection, first: dt.date, last: dt.date) -> int:
    """How many facts of earlier years are accounted in a year, and of this year in later ones: by counting rows."""
    total = 0
    for name in t.ACCOUNTED:
        table = t.metadata.tables[name]
        day, booked = table.c[_DAYS[name]], table.c.accounting_on
        here = and_(day < first, booked.between(first, last))
        elsewhere = and_(day.between(first, last), booked > last)
        total += conn.execute(select(func.count()).select_from(table).where(or_(here, elsewhere))).scalar_one()
    return total


def _of_table(
    conn: Connection, table: Table, day: Column[dt.date], wanted: Sequence[ColumnElement[bool]]
) -> Iterable[tuple[int, LateFact]]:
    o = t.operation.c
    rows = conn.execute(
        select(table, o.recorded_at).join(t.operation, o.id == table.c.operation_id).where(*wanted).order_by(table.c.id)
    ).all()
    if not rows:
        return
    numbers = _numbers(conn)
    reasons = _reasons(conn) if table.name == "entry" else {}
    # What is paid as a cost is recorded is the same money: it must not be added up twice.
    with_cost = _late_costs(conn) if table.name == "cost_change" else frozenset()
    for row in rows:
        values = row._mapping
        owner = next((name for name in ("sale_id", "hold_id", "cost_id") if values.get(name) is not None), "id")
        number = values.get("number") or numbers.get((owner, values[owner]), str(values[owner]))
        what = reasons.get(row.id, "") or str(
            next((values[name] for name in ("text", "category", "method", "kind", "reason") if values.get(name)), "")
        )
        kind = _KINDS.get(table.name, table.name)
        amount = values.get("gross", values.get("amount"))
        if table.name == "cost" and row.reverses is not None:
            what, amount = say("takes back cost {number}: {what}", number=row.reverses, what=word(what)), -amount
        if (values.get("cost_id"), row.operation_id) in with_cost:
            amount = None
        yield (
            row.operation_id,
            LateFact(
                values[day.name], row.accounting_on, row.recorded_at[:16], kind, str(number), what, amount or None
            ),
        )


def _late_costs(conn: Connection) -> frozenset[tuple[int, int]]:
    """Each cost accounted later than it was bought, with its act; one that takes another back also as that other."""
    c = t.cost.c
    rows = conn.execute(select(c.id, c.reverses, c.operation_id).where(c.accounting_on > c.bought_on)).all()
    return frozenset((number, row.operation_id) for row in rows for number in (row.id, row.reverses) if number)


def _numbers(conn: Connection) -> dict[tuple[str, int], str]:
    found = {("sale_id", row.id): row.number for row in conn.execute(select(t.sale.c.id, t.sale.c.number))}
    found |= {("hold_id", row.id): row.number for row in conn.execute(select(t.hold.c.id, t.hold.c.number))}
    return found


def _reasons(conn: Connection) -> dict[int, str]:
    """By entry, its movements in words: '2 died (P01)'."""
    said: dict[int, list[str]] = defaultdict(list)
    codes = {row.id: row.code for row in conn.execute(select(t.lot.c.id, t.lot.c.code))}
    for event in events(conn):
        lot = event.from_lot if event.from_lot is not None else event.to_lot
        back = say("taken back: ") if event.reverses is not None else ""
        said[event.entry].append(
            say(
                "{back}{count} {reason} ({lot})",
                back=back,
                count=event.count,
                reason=word(event.reason),
                lot=codes[lot],
            )
            if lot
            else event.reason
        )
    return {entry: strung(parts, "; ") for entry, parts in said.items()}


def really_there(journal: Iterable[Event], last: dt.date, *, by: str) -> dict[tuple[int, int], int]:
    """Animals by (lot, position of the stage) at the end of a day.

    Args:
        journal: every movement, those taken back and their takings back included.
        last: the day.
        by: 'happened_on' or 'accounting_on'.
    """
    there: dict[tuple[int, int], int] = defaultdict(int)
    until = last.toordinal()
    for event in journal:
        if (event.happened_on if by == "happened_on" else event.accounting_on) > until:
            continue
        if event.from_lot is not None and event.from_stage is not None:
            there[event.from_lot, event.from_stage] -= event.count
        if event.to_lot is not None and event.to_stage is not None:
            there[event.to_lot, event.to_stage] += event.count
    return {place: count for place, count in there.items() if count}


def _both_ways(conn: Connection, last: dt.date) -> tuple[BothWays, ...]:
    journal = events(conn)
    in_books = really_there(journal, last, by="accounting_on")
    known = really_there(journal, last, by="happened_on")
    names = {
        (row.id, row.position): (row.code, row.name)
        for row in conn.execute(
            select(t.lot.c.id, t.lot.c.code, t.stage.c.position, t.stage.c.name).join(
                t.stage, t.stage.c.species_id == t.lot.c.species_id
            )
        )
    }
    return tuple(
        BothWays(*names[place], in_books.get(place, 0), known.get(place, 0)) for place in sorted({*in_books, *known})
    )
