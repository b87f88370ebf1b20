"""From the journal of money to what the sharing engine is given: cost lines over their days.

Reads rows and turns them into the engine's plain values; shares nothing out itself.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, select

from ledger.costs.dated import counts_still
from ledger.costs.given import NOBODY, CostLine, Scope
from ledger.costs.guessing import Before, Used, guess
from ledger.costs.items import Item, item_of, opened_on
from ledger.costs.store import stored_costs
from ledger.costs.windows import Change, Spread, spread
from ledger.costs.years import Years
from ledger.money import round_half_even
from ledger.records import tables as t


@dataclass(frozen=True, slots=True)
class SpreadCost:
    """A cost with the days it is used up over."""

    id: int
    category: str
    kind: str
    text: str
    scope: Scope
    first: int
    last: int
    """Last day as it stands now; for something still in use without an end, a guess."""
    guessed: bool
    """The end is a guess from how long the last of its kind lasted."""
    spread: Spread


def spread_costs(conn: Connection, until: dt.date) -> list[SpreadCost]:
    """Every shared cost (used up, overhead, lasting) accounted by a day, in the order they were entered.

    Refunds, disposals and takings back accounted later are not seen; that something was finished on another day than
    thought is, as long as its years are open.
    """
    rows = conn.execute(
        select(t.cost)
        .where(
            t.cost.c.kind.in_(("used up", "overhead", "lasting")),
            t.cost.c.window_from.is_not(None),
            t.cost.c.accounting_on <= until,
        )
        .order_by(t.cost.c.id)
    ).all()
    by_id = {row.id: row for row in rows}
    gone = {
        number
        for row in rows
        if row.reverses is not None and by_id[row.reverses].accounting_on == row.accounting_on
        for number in (row.id, row.reverses)
    }
    taken_back = {row.reverses: row for row in rows if row.reverses is not None and row.id not in gone}
    scopes = scopes_of(conn)
    changes: dict[int, list[Row[Any]]] = defaultdict(list)
    for change in conn.execute(select(t.cost_change).where(counts_still).order_by(t.cost_change.c.id)).all():
        changes[change.cost_id].append(change)
    years = Years(conn)
    follows = followers([row for row in rows if row.id not in gone and row.reverses is None], scopes)
    result: list[SpreadCost] = []
    before: dict[tuple[Item, Scope], Before] = defaultdict(Before)
    of_category: dict[tuple[str, Scope], Before] = defaultdict(Before)
    for row in sorted(by_id.values(), key=lambda row: (row.window_from, row.id)):
        if row.id in gone or row.reverses is not None:
            continue
        scope = scopes.get(row.id, Scope("all"))
        first = row.window_from.toordinal()
        same, alike = before[item_of(row), scope], of_category[row.category, scope]
        last, guessed, moved = _window(row, first, follows, guess(same, alike, row.operation_id), years)
        refunds = _refunds(row, [change for change in changes[row.id] if change.accounting_on <= until])
        moved += [
            _as_change(change, years, refunds)
            for change in changes[row.id]
            if change.kind == "window" or (change.kind != "paid" and change.accounting_on <= until)
        ]
        if row.id in taken_back:
            back = taken_back[row.id]
            moved.append(
                _Dated(
                    back.operation_id,
                    Change(
                        years.locked(back.operation_id),
                        less=row.basis - row.residual - sum(refunds.values()),
                        on=_day(back.accounting_on),
                    ),
                )
            )
        moved.sort(key=lambda one: one.operation)
        final = spread(first, last, row.basis - row.residual, years.ends, [one.change for one in moved])
        ends = tuple((one.operation, one.change.last) for one in moved if one.change.last is not None)
        if row.kind == "used up":
            used = Used(row.operation_id, first, last, ends)
            same.add(used)
            alike.add(used)
        if ends:
            last, guessed = ends[-1][1], False
        result.append(SpreadCost(row.id, row.category, row.kind, row.text, scope, first, last, guessed, final))
    result += [SpreadCost(*one) for one in stored_costs(conn, until, years.ends)]
    return sorted(result, key=lambda one: one.id)


def cost_lines(costs: Sequence[SpreadCost]) -> list[CostLine]:
    """The engine's lines: one for each part of each cost.

    What comes back of a cost that a closed year has used up (a negative part) lowers no animal's cost: those that
    carried it may be sold, and those there now may carry less than comes back. It stands by itself in the year it
    comes back in.
    """
    return [
        CostLine(cost.id, cost.category, part.amount, part.first, part.last, NOBODY if part.amount < 0 else cost.scope)
        for cost in costs
        for part in cost.spread.parts
    ]


@dataclass(frozen=True, slots=True)
class _Dated:
    operation: int
    change: Change


def _day(day: dt.date) -> int:
    return day.toordinal()


def scopes_of(conn: Connection) -> dict[int, Scope]:
    """For whom each cost is that is not for all animals."""
    named: dict[int, set[int]] = defaultdict(set)
    for row in conn.execute(select(t.cost_scope)):
        named[row.cost_id].add(row.species_id if row.species_id is not None else row.lot_id)
    return {
        row.id: Scope(row.scope, frozenset(named[row.id]))
        for row in conn.execute(
            select(t.cost.c.id, t.cost.c.scope).where(t.cost.c.scope.in_(("species", "lots", "brood")))
        )
    }


def followers(rows: Sequence[Any], scopes: Mapping[int, Scope]) -> dict[int, Any]:
    """For each cost used up, the next one of its item and scope to be opened.

    A bag of a closed year that is recorded late begins on the first open day; it ends nothing that was opened after
    it really was.
    """
    queues: dict[tuple[Item, Scope], list[Any]] = defaultdict(list)
    for row in rows:
        if row.kind == "used up":
            queues[item_of(row), scopes.get(row.id, Scope("all"))].append(row)
    follows = {}
    for queue in queues.values():
        queue.sort(key=lambda row: (row.window_from, row.id))
        for place, before in enumerate(queue):
            was = _opened(before)
            later = (queue[at] for at in range(place + 1, len(queue)))
            after = next((one for one in later if _opened(one) >= was), None)
            if after is not None:
                follows[before.id] = after
    return follows


def _opened(row: Row[Any]) -> dt.date:
    return opened_on(row.bought_on, row.accounting_on, row.window_from)


def _window(
    row: Row[Any], first: int, follows: Mapping[int, Row[Any]], days: int, years: Years
) -> tuple[int, bool, list[_Dated]]:
    """Last day as first said or guessed, whether guessed, and the end that opening the next one brings."""
    if row.kind == "lasting":
        return first + row.life_days - 1, False, []
    if row.window_to is not None:
        return row.window_to.toordinal(), False, []
    moved = []
    if row.id in follows:
        after = follows[row.id]
        end = max(first, after.window_from.toordinal() - 1)
        operation = max(row.operation_id, after.operation_id)
        moved.append(_Dated(operation, Change(years.locked(operation), last=end, on=_day(after.accounting_on))))
    return first + days - 1, True, moved


def _refunds(row: Row[Any], changes: Sequence[Row[Any]]) -> dict[int, int]:
    """Business part of each refund by its number, rounded cumulatively: a full refund gives back the whole basis."""
    parts = {}
    so_far = given = 0
    for change in changes:
        if change.kind == "refund":
            so_far += change.amount
            parts[change.id] = round_half_even(so_far * row.basis, row.gross) - given
            given += parts[change.id]
    return parts


def _as_change(change: Row[Any], years: Years, refunds: Mapping[int, int]) -> _Dated:
    locked = years.locked(change.operation_id)
    on = _day(change.accounting_on)
    if change.kind == "window":
        return _Dated(change.operation_id, Change(locked, last=_day(change.window_to), on=on))
    if change.kind == "refund":
        return _Dated(change.operation_id, Change(locked, less=refunds[change.id], on=on))
    return _Dated(change.operation_id, Change(locked, last=on - 1, stops=True, on=on))
