"""Whether a cost may be one that is recorded already: the same day, shop and amount.

Two equal purchases on one day are possible, so nothing is ever refused for it; it is only said.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, bindparam, select

from ledger.days import long_day
from ledger.money import Currency, said
from ledger.records import tables as t
from ledger.records.later import Later, later
from ledger.wording import say, word

_BACK = t.cost.alias("back")
_BOUGHT = tuple(t.cost.c[name] for name in ("id", "bought_on", "gross", "supplier", "category", "sale_id"))
"""What `Bought` is made of."""
_STANDING = (
    select(*_BOUGHT)
    .outerjoin(_BACK, _BACK.c.reverses == t.cost.c.id)
    .where(t.cost.c.reverses.is_(None), _BACK.c.id.is_(None), t.cost.c.kind != "animals")
    .order_by(t.cost.c.id)
)
_LIKE = _STANDING.where(t.cost.c.bought_on == bindparam("of_day"), t.cost.c.gross == bindparam("of_gross"))
_SINCE = (
    select(*_BOUGHT, t.cost.c.reverses)
    .where(t.cost.c.id > bindparam("seen"), t.cost.c.kind != "animals")
    .order_by(t.cost.c.id)
)


@dataclass(frozen=True, slots=True)
class Bought:
    """What of a cost tells whether it may be the same as another."""

    id: int
    on: dt.date
    gross: int
    supplier: str
    category: str
    sale: int | None

    def like(self, other: Bought) -> bool:
        """Whether both may be one purchase: of the same shop, or of the same kind where a shop is not known."""
        if (self.on, self.gross) != (other.on, other.gross):
            return False
        if self.sale is not None and other.sale is not None and self.sale != other.sale:
            return False
        if self.supplier and other.supplier:
            return self.supplier.casefold() == other.supplier.casefold()
        return self.category.casefold() == other.category.casefold()


def _bought(row: Any) -> Bought:
    return Bought(row.id, row.bought_on, row.gross, row.supplier, row.category, row.sale_id)


def _of_row(number: int, row: Mapping[str, Any]) -> Bought:
    return Bought(number, row["bought_on"], row["gross"], row["supplier"], row["category"], row["sale_id"])


class _Known:
    """All costs, while many rows are recorded together; read on as they are added, those kept back one by one."""

    def __init__(self) -> None:
        self.new: set[int] = set()
        """Numbers of those recorded in the same act."""
        self._seen = 0
        self._others = -1
        self._gone: set[int] = set()
        self._by_day: dict[tuple[dt.date, int], list[Bought]] = defaultdict(list)

    def read_on(self, conn: Connection, waiting: Later) -> None:
        """Read what was added since, unless nothing can have been."""
        if waiting.others == self._others:
            return
        for row in conn.execute(_SINCE, {"seen": self._seen}):
            self._seen = row.id
            if row.reverses is not None:
                self._gone.add(row.reverses)
            else:
                self._by_day[row.bought_on, row.gross].append(_bought(row))
        self._others = waiting.others

    def note(self, one: Bought) -> None:
        """Add one that waits to be written."""
        self._seen = one.id
        self.new.add(one.id)
        self._by_day[one.on, one.gross].append(one)

    def of(self, on: dt.date, gross: int) -> list[Bought]:
        """Those of a day and an amount that stand."""
        there = self._by_day.get((on, gross))
        return [one for one in there if one.id not in self._gone] if there else []


_SEEN: WeakKeyDictionary[Later, _Known] = WeakKeyDictionary()
"""For as long as rows are kept back: a sheet that is brought in asks once a row."""


def maybe_twice(conn: Connection, row: Mapping[str, Any], currency: Currency, without: int = 0) -> tuple[str, ...]:
    """What to say of a cost that is about to be recorded: which one may be the same.

    Args:
        conn: an open connection.
        row: its columns.
        currency: of the amount.
        without: a cost that is about to be taken back.
    """
    on, gross, waiting = row["bought_on"], row["gross"], later(conn)
    new: set[int] = set()
    if waiting is None:
        found: Iterable[Bought] = map(_bought, conn.execute(_LIKE, {"of_day": on, "of_gross": gross}))
    else:
        known = _SEEN.get(waiting)
        if known is None:
            known = _SEEN[waiting] = _Known()
        known.read_on(conn, waiting)
        found, new = known.of(on, gross), known.new
        if not found:
            return ()
    asked = _of_row(0, row)
    first = next((one for one in found if one.id != without and asked.like(one)), None)
    if first is None:
        return ()
    about = {
        "what": asked.supplier or word(asked.category),
        "amount": said(asked.gross, currency),
        "day": long_day(asked.on),
    }
    if first.id in new:
        return (say("Two rows have the same day, shop and amount: {what}, {amount}, {day}.", **about),)
    return (
        say(
            "There is already cost {number} of the same day, shop and amount ({what}, {amount}, {day}); record it only "
            "if it is another purchase.",
            number=first.id,
            **about,
        )
        if asked.supplier and first.supplier
        else say(
            "There is already cost {number} of the same day, kind and amount ({what}, {amount}, {day}); record it only "
            "if it is another purchase.",
            number=first.id,
            **about,
        ),
    )


def note_bought(conn: Connection, number: int, row: Mapping[str, Any]) -> None:
    """Remember a cost that waits to be written with others."""
    waiting = later(conn)
    known = None if waiting is None else _SEEN.get(waiting)
    if known is not None:
        known.note(_of_row(number, row))


def alike(conn: Connection, first: dt.date, last: dt.date) -> tuple[tuple[int, int], ...]:
    """Costs bought from one day to another that may be one purchase: each with the one recorded before it."""
    by_day: dict[tuple[dt.date, int], list[Bought]] = defaultdict(list)
    pairs = []
    for row in conn.execute(_STANDING.where(t.cost.c.bought_on.between(first, last))):
        one = _bought(row)
        before = by_day[one.on, one.gross]
        same = next((other for other in before if one.like(other)), None)
        if same is not None:
            pairs.append((same.id, one.id))
        before.append(one)
    return tuple(pairs)
