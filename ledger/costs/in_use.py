"""Feed in use: what is open, since when, and until when it is thought to last.

A bag opened lasts until the next of the same item is opened, and nobody is asked for days: until then the length of
the last one is the guess; of a first one that of the last of its category, or 30 days (common practice, no source).
Reads only.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, bindparam, select

from ledger.costs.dated import counts_still
from ledger.costs.items import item_words, opened_on
from ledger.costs.load import spread_costs
from ledger.costs.windows import GUESS_DAYS
from ledger.days import long_day
from ledger.records import tables as t
from ledger.records.later import Later, later
from ledger.wording import counted, say, word

_COST, _SCOPE, _CHANGE = t.cost.c, t.cost_scope.c, t.cost_change.c
_IS_OPENED = (
    _COST.category == bindparam("of_category"),
    _COST.scope == bindparam("of_scope"),
    _COST.id > bindparam("seen"),
    _COST.kind == "used up",
    _COST.window_from.is_not(None),
)
_SINCE = (
    select(
        _COST.id,
        _COST.text,
        _COST.window_from,
        _COST.window_to,
        _COST.reverses,
        _COST.bought_on,
        _COST.accounting_on,
    )
    .where(*_IS_OPENED)
    .order_by(_COST.id)
)
_WHOM_SINCE = (
    select(_SCOPE.cost_id, _SCOPE.species_id, _SCOPE.lot_id).join(t.cost, _COST.id == _SCOPE.cost_id).where(*_IS_OPENED)
)
_FINISHED = (
    select(_CHANGE.window_to)
    .where(_CHANGE.cost_id == bindparam("of_cost"), _CHANGE.kind == "window", counts_still)
    .order_by(_CHANGE.id.desc())
    .limit(1)
)


@dataclass(frozen=True, slots=True)
class Before:
    """The thing of the same item that was opened before."""

    id: int
    first: dt.date
    days: int
    """How long it lasted, if the next is opened now."""
    ends: bool
    """Opening the next is what ends it."""
    same: bool
    """It is the same item, and not only of the same category, and was not opened after this one."""
    item: str = ""
    """What it is called."""
    open: bool = False
    """Nobody has said when it was, or will be, used up."""


@dataclass(frozen=True, slots=True)
class _Opened:
    """One thing that was opened."""

    first: dt.date
    id: int
    last: dt.date | None
    """As said when it was bought; `None`: until the next is opened."""
    text: str
    really: dt.date
    """The day it was opened, when a closed year has its days begin later than that."""


def _order(one: _Opened) -> tuple[dt.date, int]:
    return one.first, one.id


class _Openings:
    """What was opened of one category for the same kind of animals, read on as costs are added."""

    def __init__(self) -> None:
        self.seen = 0
        """Number of the newest cost looked at."""
        self.gone: set[int] = set()
        self.by_item: dict[tuple[str, frozenset[int]], list[_Opened]] = defaultdict(list)
        self.by_whom: dict[frozenset[int], list[_Opened]] = defaultdict(list)
        self._finished: dict[int, dt.date | None] = {}
        self._looked = -1
        """While rows are written together: how many other statements there had been when this was read."""

    def read_on(self, conn: Connection, category: str, scope: str) -> None:
        """Read what was added since."""
        waiting = later(conn)
        if waiting is not None and waiting.others == self._looked:
            return
        self._finished.clear()
        self._read(conn, category, scope)
        self._looked = -1 if waiting is None else waiting.others

    def _read(self, conn: Connection, category: str, scope: str) -> None:
        asked = {"of_category": category, "of_scope": scope, "seen": self.seen}
        rows = conn.execute(_SINCE, asked).all()
        if not rows:
            return
        whom: dict[int, set[int]] = defaultdict(set)
        for one in conn.execute(_WHOM_SINCE, asked) if scope != "all" else ():
            whom[one.cost_id].add(one.species_id or one.lot_id)
        for row in rows:
            self.seen = row.id
            if row.reverses is not None:
                self.gone.add(row.reverses)
                continue
            really = opened_on(row.bought_on, row.accounting_on, row.window_from)
            opened = _Opened(row.window_from, row.id, row.window_to, row.text, really)
            self._add(opened, frozenset(whom[row.id]))

    def _add(self, opened: _Opened, ids: frozenset[int]) -> None:
        for queue in (self.by_item[opened.text.casefold(), ids], self.by_whom[ids]):
            # Most are told of in the order of their days.
            if not queue or _order(queue[-1]) < _order(opened):
                queue.append(opened)
            else:
                insort(queue, opened, key=_order)

    def note(self, opened: _Opened, ids: frozenset[int]) -> None:
        """Add one that waits to be written."""
        self.seen = opened.id
        self._finished[opened.id] = None
        self._add(opened, ids)

    def finished(self, conn: Connection, cost: int) -> dt.date | None:
        """The day the keeper said a thing was used up on, if they did."""
        if cost not in self._finished:
            self._finished[cost] = conn.execute(_FINISHED, {"of_cost": cost}).scalar()
        return self._finished[cost]

    def last(self, queue: list[_Opened] | None, first: dt.date, without: int) -> _Opened | None:
        """The last thing of a queue opened by a day that was not taken back."""
        if not queue:
            return None
        by_then = len(queue) if queue[-1].first <= first else bisect_right(queue, first, key=lambda one: one.first)
        for place in range(by_then - 1, -1, -1):
            one = queue[place]
            if one.id not in self.gone and one.id != without:
                return one
        return None


_SEEN: WeakKeyDictionary[Connection | Later, dict[tuple[str, str], _Openings]] = WeakKeyDictionary()
"""For as long as one connection is lent, or rows are kept back: a sheet that is brought in asks once a row."""


def opened_before(
    conn: Connection,
    category: str,
    text: str,
    scope: str,
    whom: Collection[int],
    first: dt.date,
    really: dt.date | None = None,
    without: int = 0,
) -> Before | None:
    """The last thing of an item and scope opened before a day, or else of its category; `None`: it is the first.

    Args:
        conn: an open connection.
        category, text, scope, whom: of what is opened now.
        first: the first day it is used up on.
        really: the day it was opened, if a closed year has its days begin later: it ends nothing opened after that.
        without: a cost that is about to be taken back.
    """
    lender = later(conn) or conn
    lent = _SEEN.get(lender)
    if lent is None:
        lent = _SEEN[lender] = {}
    openings = lent.get((category, scope))
    if openings is None:
        openings = lent[category, scope] = _Openings()
    openings.read_on(conn, category, scope)
    ids = frozenset(whom)
    found = openings.last(openings.by_item.get((text.casefold(), ids)), first, without)
    found = found or openings.last(openings.by_whom.get(ids), first, without)
    if found is None:
        return None
    same = found.text.casefold() == text.casefold() and found.really <= (really or first)
    known = openings.finished(conn, found.id) or found.last
    last = known or first - dt.timedelta(days=1)
    days = max(1, (last - found.first).days + 1)
    item = item_words(category, found.text)
    return Before(found.id, found.first, days, same and known is None, same, item, known is None)


def still_in_use(before: Before | None, ends: bool) -> Iterator[str]:
    """That an older thing for the same animals stays in use beside one that is opened, where it is likely finished.

    Args:
        before: what was opened before.
        ends: whether it ends as the next is opened.
    """
    if before is not None and before.open and not ends and before.days > GUESS_DAYS:
        yield say(
            "Cost {cost} ({item}), opened on {day}, stays in use beside it; say when it was used up, if it was.",
            cost=before.id,
            item=word(before.item),
            day=long_day(before.first),
        )


def note_opened(conn: Connection, cost: int, row: Mapping[str, Any], whom: Collection[int]) -> None:
    """Remember a cost that waits to be written with others, if it opens something; a written one is read."""
    waiting = later(conn)
    if waiting is None or row["kind"] != "used up" or row["window_from"] is None:
        return
    openings = _SEEN.get(waiting, {}).get((row["category"], row["scope"]))
    if openings is not None:
        really = opened_on(row["bought_on"], row["accounting_on"], row["window_from"])
        openings.note(_Opened(row["window_from"], cost, row["window_to"], row["text"], really), frozenset(whom))


def guess_words(before: Before | None) -> str:
    """How long a thing will last, as far as anybody can say."""
    if before is None:
        return say("a first guess: {guess_days} days", guess_days=GUESS_DAYS)
    if not before.same:
        return say("a first guess: as long as the last of its category")
    return counted(before.days, "the last one took {n} day", "the last one took {n} days")


@dataclass(frozen=True, slots=True)
class OpenRow:
    """One thing in use."""

    cost: int
    category: str
    item: str
    whom: tuple[str, ...]
    """Species or lots it is for; empty: all animals."""
    opened_on: dt.date
    thought_until: dt.date
    """As long as the last one lasted."""
    overdue: bool
    """It is thought to be finished; open the next, or say when it was used up."""
    basis: int
    """Minor units, business part."""


def in_use(conn: Connection, today: dt.date) -> tuple[OpenRow, ...]:
    """Everything opened whose end nobody has said, the one thought to end first at the top."""
    found = [
        cost
        for cost in spread_costs(conn, today)
        if cost.kind == "used up" and cost.guessed and cost.first <= today.toordinal()
    ]
    tables = {"species": t.species, "lots": t.lot, "brood": t.lot}
    codes = {
        kind: {row.id: row.code for row in conn.execute(select(tables[kind].c.id, tables[kind].c.code))}
        for kind in {cost.scope.kind for cost in found} & tables.keys()
    }
    rows = []
    for cost in found:
        of_kind = codes.get(cost.scope.kind)
        whom = () if of_kind is None else tuple(sorted(of_kind[number] for number in cost.scope.ids))
        last = dt.date.fromordinal(cost.last)
        amount = sum(part.amount for part in cost.spread.parts)
        rows.append(
            OpenRow(
                cost.id,
                cost.category,
                item_words(cost.category, cost.text),
                whom,
                dt.date.fromordinal(cost.first),
                last,
                last < today,
                amount,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.thought_until, row.cost)))
