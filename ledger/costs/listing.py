"""The list of costs, newest first, and the words that come with them: categories and suppliers.

Reads only, a page at a time by key. What a cost lands on is for the sharing to say.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, Select, func, select

from ledger.costs.averaging import played
from ledger.costs.dated import counts_still
from ledger.costs.load import followers, scopes_of
from ledger.costs.store import stores
from ledger.records import tables as t
from ledger.records.undone import reverses_nothing

USUAL_CATEGORIES = {
    "feed": "used up",
    "substrate": "used up",
    "tubs": "lasting",
    "equipment": "lasting",
    "heat": "overhead",
    "power": "overhead",
    "rent": "overhead",
    "postage": "selling",
    "packing": "selling",
    "payment fee": "selling",
    "fair table": "selling",
    "mileage": "selling",
}
"""What such a business spends on, and the kind of each (common practice, no source); the ledger's own come on top."""


@dataclass(frozen=True, slots=True)
class CostRow:
    """One cost. Amounts in minor units."""

    id: int
    bought_on: dt.date
    category: str
    supplier: str
    text: str
    kind: str
    scope: str
    whom: tuple[str, ...]
    """Species or lots it was for; empty: all animals, or none for a selling cost."""
    gross: int
    tax: int
    share: int
    """Business share, in hundredths of a percent."""
    basis: int
    """The business part that the costing uses."""
    paid: int
    refunded: int
    window_from: dt.date | None
    window_to: dt.date | None
    """`None` with a first day: until the next is opened, which nobody has yet."""
    life_days: int | None
    disposed_on: dt.date | None
    sale: str
    """Number of the sale a selling cost belongs to."""
    taken_back: bool
    """It, or the cost it takes back, does not count."""
    note: str
    reverses: int | None = None
    """Number of the cost that this one takes back."""
    taken_back_by: int | None = None
    in_store: int | None = None
    """What of it is still in store, in minor units of its business part; `None`: it was never put there."""

    @property
    def unpaid(self) -> int:
        """What is still to be paid."""
        return 0 if self.taken_back else self.gross - self.paid


def costs(conn: Connection, *, limit: int = 200, before: int | None = None) -> tuple[CostRow, ...]:
    """A page of costs, newest first.

    Args:
        conn: an open reading connection.
        limit: most rows.
        before: `id` of the last row of the page before.
    """
    wanted = (
        select(t.cost, t.sale.c.number.label("sale_number"))
        .outerjoin(t.sale, t.sale.c.id == t.cost.c.sale_id)
        .order_by(t.cost.c.id.desc())
        .limit(limit)
    )
    if before is not None:
        wanted = wanted.where(t.cost.c.id < before)
    rows = conn.execute(wanted).all()
    ids = [row.id for row in rows]
    whom: dict[int, list[str]] = defaultdict(list)
    for one in conn.execute(
        select(t.cost_scope.c.cost_id, func.coalesce(t.species.c.code, t.lot.c.code).label("code"))
        .outerjoin(t.species, t.species.c.id == t.cost_scope.c.species_id)
        .outerjoin(t.lot, t.lot.c.id == t.cost_scope.c.lot_id)
        .where(t.cost_scope.c.cost_id.in_(ids))
        .order_by(t.cost_scope.c.id)
    ):
        whom[one.cost_id].append(one.code)
    amounts: dict[tuple[int, str], int] = defaultdict(int)
    window: dict[int, dt.date] = {}
    disposed: dict[int, dt.date] = {}
    for change in conn.execute(
        select(t.cost_change).where(t.cost_change.c.cost_id.in_(ids), counts_still).order_by(t.cost_change.c.id)
    ):
        amounts[change.cost_id, change.kind] += change.amount
        if change.kind == "window":
            window[change.cost_id] = change.window_to
        elif change.kind == "disposal":
            disposed[change.cost_id] = change.happened_on
    taken = {
        row.reverses: row.id
        for row in conn.execute(select(t.cost.c.id, t.cost.c.reverses).where(t.cost.c.reverses.in_(ids)))
    }
    ended = _ended_by_the_next(conn, rows)
    in_store = _in_store(conn, rows)
    return tuple(
        CostRow(
            id=row.id,
            bought_on=row.bought_on,
            category=row.category,
            supplier=row.supplier,
            text=row.text,
            kind=row.kind,
            scope=row.scope,
            whom=tuple(whom[row.id]),
            gross=row.gross,
            tax=row.tax,
            share=row.share,
            basis=row.basis,
            paid=amounts[row.id, "paid"],
            refunded=amounts[row.id, "refund"],
            window_from=row.window_from,
            window_to=window.get(row.id, row.window_to or ended.get(row.id)),
            life_days=row.life_days,
            disposed_on=disposed.get(row.id),
            sale=row.sale_number or "",
            taken_back=row.reverses is not None or row.id in taken,
            note=row.note,
            reverses=row.reverses,
            taken_back_by=taken.get(row.id),
            in_store=in_store.get(row.id),
        )
        for row in rows
    )


def _ended_by_the_next(conn: Connection, rows: Sequence[Row[Any]]) -> dict[int, dt.date]:
    """Last day of what was open until the next of its kind was opened, as it has been."""
    open_ended = {row.category for row in rows if row.kind == "used up" and row.window_from and not row.window_to}
    if not open_ended:
        return {}
    back, c = t.cost.alias("back"), t.cost.c
    used = conn.execute(
        select(c.id, c.kind, c.category, c.text, c.bought_on, c.accounting_on, c.window_from, c.window_to)
        .outerjoin(back, back.c.reverses == c.id)
        .where(
            c.kind == "used up",
            c.category.in_(open_ended),
            c.window_from.is_not(None),
            c.reverses.is_(None),
            back.c.id.is_(None),
        )
        .order_by(c.id)
    ).all()
    follows = followers(used, scopes_of(conn))
    return {
        row.id: max(row.window_from, follows[row.id].window_from - dt.timedelta(days=1))
        for row in rows
        if row.id in follows and row.window_to is None
    }


def _in_store(conn: Connection, rows: Sequence[Row[Any]]) -> dict[int, int]:
    """What is left of those that were put in store: what was bought first is taken out first."""
    put_in = {row.id for row in rows if row.kind == "used up" and row.window_from is None}
    left = dict.fromkeys(put_in, 0)
    for one in stores(conn).values() if put_in else ():
        rest = played([step.move for step in one.steps])[0].rest
        left |= {cost: amount for cost, amount in rest.items() if cost in put_in}
    return left


_USUAL_COUNTS = 2
"""As many costs as it takes of another kind, and more than of the usual one, before a usual word means that kind."""


def _taken_back() -> Select[tuple[int | None]]:
    """Costs that were taken back: found once, not looked for beside each of 100,000."""
    return select(t.cost.c.reverses).where(t.cost.c.reverses.is_not(None))


def categories(conn: Connection) -> dict[str, str]:
    """Each category a keeper may name and its kind: the one it was recorded as most often, of as many the first.

    A single slip changes no word, and what was taken back does not count.
    """
    cost = t.cost.c
    times: dict[str, dict[str, int]] = defaultdict(dict)
    for category, usual in USUAL_CATEGORIES.items():
        times[category][usual] = _USUAL_COUNTS
    for row in conn.execute(
        select(cost.category, cost.kind, func.count().label("times"))
        .where(
            cost.kind != "animals",
            reverses_nothing(cost.reverses),
            cost.id.not_in(_taken_back()),
        )
        .group_by(cost.category, cost.kind)
        .order_by(func.min(cost.id))
    ):
        found = times[row.category]
        found[row.kind] = found.get(row.kind, 0) + row.times
    return {category: max(found, key=found.__getitem__) for category, found in sorted(times.items())}


def suppliers(conn: Connection) -> tuple[str, ...]:
    """Everyone something was bought from, by name; not who stands only in costs that were taken back."""
    cost = t.cost.c
    rows = conn.execute(
        select(cost.supplier)
        .where(cost.supplier != "", reverses_nothing(cost.reverses), cost.id.not_in(_taken_back()))
        .distinct()
    )
    return tuple(sorted(rows.scalars(), key=str.casefold))
