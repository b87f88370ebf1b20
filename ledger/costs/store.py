"""What is in store: bought, kept unopened, and weighed or counted out at the average price of its item.

Reads the journal of costs and takings, plays it item by item and turns it into lines for the sharing of costs.
Writes nothing.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, select

from ledger.costs.averaging import Back, In, Move, Out, Store, Undone
from ledger.costs.given import EVERYONE, Scope
from ledger.costs.grid import GRID
from ledger.costs.items import Item, item_of, item_words
from ledger.costs.windows import Part, Spread, spread
from ledger.errors import BadInput
from ledger.money import round_half_even
from ledger.records import tables as t
from ledger.records.columns import LAST_DAY
from ledger.text import quoted
from ledger.wording import decimals, say, strung, word

THOUSANDTHS = 1000
MOST = 10**12
"""Most thousandths of a unit in one purchase or taking."""


def thousandths(typed: str, field: str = "quantity") -> int:
    """A quantity as a person writes it, '2.5', in thousandths. Raises BadInput."""
    text = typed.strip().replace(",", ".")
    if text.isascii() and text.replace(".", "", 1).isdigit():
        value = Decimal(text) * THOUSANDTHS
        if value == int(value) and 1 <= value <= MOST:
            return int(value)
    raise BadInput(
        say("{typed} is no quantity; write it like 2.5, with at most three decimals.", typed=quoted(typed)), field=field
    )


def in_words(quantity: int, unit: str) -> str:
    """'2.5 kg'."""
    said = decimals(f"{Decimal(quantity) / THOUSANDTHS:f}")
    return strung((said, word(unit))) if unit else said


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that happened to an item, in order of accounting."""

    on: dt.date
    """Accounted on."""
    happened_on: dt.date
    move: Move
    used_to: dt.date | None = None
    scope: Scope = EVERYONE


@dataclass(frozen=True, slots=True)
class Stored:
    """One item: its name, its unit and all that happened to it."""

    category: str
    text: str
    unit: str
    steps: tuple[Step, ...]


def stores(conn: Connection, until: dt.date | None = None) -> dict[Item, Stored]:
    """Every item that was ever in store, with what was accounted up to a day (all of it: `None`)."""
    rows = conn.execute(
        select(t.cost).where(t.cost.c.kind == "used up", t.cost.c.window_from.is_(None)).order_by(t.cost.c.id)
    ).all()
    if not rows:
        return {}
    by_id = {row.id: row for row in rows}
    refunds: dict[int, list[Any]] = defaultdict(list)
    for change in conn.execute(
        select(t.cost_change).where(t.cost_change.c.kind == "refund").order_by(t.cost_change.c.id)
    ):
        refunds[change.cost_id].append(change)
    seen: dict[Item, list[tuple[tuple[Any, ...], Step]]] = defaultdict(list)
    names: dict[Item, tuple[str, str, str]] = {}

    def put(item: Item, order: int, number: int, step: Step) -> None:
        if until is None or step.on <= until:
            seen[item].append(((step.on, order, step.happened_on, number), step))

    backs = {row.reverses: row for row in rows if row.reverses is not None}
    for row in rows:
        item = item_of(row)
        if row.reverses is not None:
            first = by_id[row.reverses]
            if first.accounting_on != row.accounting_on:
                back = sum(parts for _, parts in _refunded(first, refunds[first.id]))
                undo = Undone(first.id, thousandths(first.quantity), first.basis - back)
                put(item, 2, row.id, Step(row.accounting_on, row.accounting_on, undo))
            continue
        undone = backs.get(row.id)
        if undone is not None and undone.accounting_on == row.accounting_on:
            continue
        names.setdefault(item, (row.category, row.text, row.unit))
        move = In(row.id, thousandths(row.quantity), row.basis)
        put(item, 0, row.id, Step(row.accounting_on, row.bought_on, move))
        for change, part in _refunded(row, refunds[row.id]):
            put(item, 1, change.id, Step(change.accounting_on, change.happened_on, Back(row.id, part)))
    issues = conn.execute(select(t.store_issue).order_by(t.store_issue.c.id)).all()
    undone_issues = {row.reverses for row in issues if row.reverses is not None}
    for row in issues:
        if row.reverses is None and row.id not in undone_issues:
            step = Step(
                row.accounting_on,
                row.happened_on,
                Out(row.id, row.quantity),
                row.used_to,
                scope_of(row),
            )
            put((row.category.casefold(), row.item.casefold()), 3, row.id, step)
    return {
        item: Stored(*names[item], tuple(step for _, step in sorted(steps, key=lambda one: one[0])))
        for item, steps in seen.items()
    }


def scope_of(row: Any) -> Scope:
    """The animals a row with `species_id` and `lot_id` is for; all, when both are null."""
    if row.species_id is not None:
        return Scope("species", frozenset((row.species_id,)))
    return EVERYONE if row.lot_id is None else Scope("lots", frozenset((row.lot_id,)))


def _refunded(row: Any, changes: Sequence[Any]) -> list[tuple[Any, int]]:
    """Each refund with its business part, rounded cumulatively."""
    found, so_far, given = [], 0, 0
    for change in changes:
        so_far += change.amount
        part = round_half_even(so_far * row.basis, row.gross) - given
        given += part
        found.append((change, part))
    return found


InStore = tuple[int, str, str, str, Scope, int, int, bool, Spread]
"""A cost in store, or part of it, as the sharing takes it: number, category, kind, text, scope, first and last day,
whether the last is a guess, and its amounts by day."""


def stored_costs(conn: Connection, until: dt.date, year_ends: Sequence[int]) -> list[InStore]:
    """Costs in store for the sharing: what was taken out over its days, and the rest as not used up.

    What comes back of a purchase and is no longer in store lowers what was taken of it in the same accounting year, as
    any refund lowers the days of an open year; of years before it stands by itself (`load.cost_lines`).

    Args:
        conn: an open reading connection.
        until: only what was accounted by then counts.
        year_ends: ordinals of the last days of the accounting years.
    """
    found: list[InStore] = []
    far = LAST_DAY.toordinal()
    for one in stores(conn, until).values():
        store = Store()
        parts: dict[tuple[int, Scope], list[Part]] = defaultdict(list)
        taken: list[_Taken] = []
        for step in one.steps:
            first = step.on.toordinal()
            last = max(first, (step.used_to or step.on).toordinal())
            year = bisect_left(year_ends, first)
            for cost, amount in store.play(step.move):
                if amount < 0:
                    used = [one for one in taken if (one.cost, one.year) == (cost, year) and one.amount > 0]
                    amount += _lowered(used, -amount)
                taken.append(_Taken(cost, step.scope, first, last, year, amount))
        for row in [one for one in taken if one.amount]:
            parts[row.cost, row.scope] += spread(row.first, row.last, row.amount, year_ends).parts
        for cost, rest in store.rest.items():
            if rest:
                parts[cost, EVERYONE].append(Part(far, far, rest))
        for (cost, scope), lines in parts.items():
            first, last = min(part.first for part in lines), max(part.last for part in lines)
            found.append((cost, one.category, "used up", one.text, scope, first, last, False, Spread(tuple(lines))))
    return found


@dataclass(slots=True)
class _Taken:
    """What one taking used of one purchase."""

    cost: int
    scope: Scope
    first: int
    last: int
    year: int
    """Place of the accounting year it was taken out in."""
    amount: int
    """Minor units; below nought what came back of a purchase that years before have used up."""


def _lowered(taken: Sequence[_Taken], back: int) -> int:
    """Let a refund follow to those who used what it is for, each by its part; returns what followed."""
    whole = sum(one.amount for one in taken)
    follows, so_far, given = min(back, whole), 0, 0
    for one in taken:
        so_far += one.amount
        upto = round_half_even(follows * so_far, whole) if whole else 0
        one.amount -= upto - given
        given = upto
    return given


@dataclass(frozen=True, slots=True)
class StoreRow:
    """What is left of one item."""

    category: str
    item: str
    unit: str
    quantity: int
    """Thousandths of the unit."""
    average: Fraction | None
    """Minor units for one unit, exact within the grid; `None` when there is none."""
    value: int
    """Minor units."""
    last_out: dt.date | None


@dataclass(frozen=True, slots=True)
class StoreStep:
    """One line of an item's history."""

    on: dt.date
    """Accounted on."""
    what: str
    number: int
    """Of the cost, or of the taking."""
    quantity: int
    """Thousandths of the unit; below nought when it leaves."""
    amount: Fraction
    """Minor units, exact within the grid; below nought when it leaves."""
    quantity_left: int
    value_left: Fraction


def store_rows(conn: Connection, on: dt.date) -> tuple[StoreRow, ...]:
    """Every item with what is left of it at the end of a day, by category and name."""
    rows = []
    for one in stores(conn, on).values():
        steps = history(one)
        quantity, value = steps[-1].quantity_left, steps[-1].value_left
        rows.append(
            StoreRow(
                one.category,
                item_words(one.category, one.text),
                one.unit,
                quantity,
                value * THOUSANDTHS / quantity if quantity else None,
                round_half_even(value.numerator, value.denominator),
                max((step.on for step in steps if step.what == "taken out"), default=None),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.category, row.item)))


def history(one: Stored) -> tuple[StoreStep, ...]:
    """What happened to an item, with what was left after each step."""
    store, rows = Store(), []
    for step in one.steps:
        quantity, value = store.quantity, store.value
        store.play(step.move)
        match step.move:
            case In(number):
                what = "bought"
            case Back(number):
                what = "refunded"
            case Undone(number):
                what = "taken back"
            case Out(number):
                what = "taken out"
        rows.append(
            StoreStep(
                step.on,
                what,
                number,
                store.quantity - quantity,
                Fraction(store.value - value, GRID),
                store.quantity,
                Fraction(store.value, GRID),
            )
        )
    return tuple(rows)
