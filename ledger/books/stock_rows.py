"""Rows of the animals in a year: every movement that changes how many a lot has at a stage, and the stock it leaves.

By the day movements are accounted on. What moves between tubs or is sexed changes no row.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from ledger.books import lines
from ledger.books.late import really_there
from ledger.books.material import Material
from ledger.costs.result import Kind
from ledger.records import tables as t
from ledger.records.undone import stands
from ledger.stock.events import Event
from ledger.stock.journal import events
from ledger.stock.reasons import REASONS, Direction
from ledger.wording import say

Place = tuple[int, int]
"""Lot, position of the stage."""

OPENED, BOUGHT, BRED, RETURNED = say("Opened with"), say("Bought"), say("Bred"), say("Returned")
MOVED_IN, MOVED_OUT = say("Moved in"), say("Moved out")
SOLD, DIED, GIVEN, OTHER = say("Sold"), say("Died"), say("Given or used"), say("Other")
GROUPS = (OPENED, BOUGHT, BRED, RETURNED, MOVED_IN, MOVED_OUT, SOLD, DIED, GIVEN, OTHER)
"""Columns of the stock, in order."""

_GROUP = {
    "opening": OPENED,
    "bought": BOUGHT,
    "bred": BRED,
    "returned": RETURNED,
    "sold": SOLD,
    "goodwill": SOLD,
    "died": DIED,
    "given": GIVEN,
    "own use": GIVEN,
    "used as feed": GIVEN,
}
_MOVES = frozenset({"stage", "split"})


@dataclass(frozen=True, slots=True)
class MovementRow:
    """One change of a lot and stage, or cost that went without one. `cost`: minor units."""

    on: dt.date
    happened_on: dt.date
    entry: int
    """0 for cost that went without a movement."""
    movement: int
    lot: str
    stage: str
    reason: str
    group: str
    """One of GROUPS; empty for cost that went without a movement."""
    change: int
    stock: int
    """Number of its row of the stock; 0 for none."""
    cost: int
    """What went out with it: left, or was written off."""
    line: int
    """Of the income, for the cost; 0 without one."""


@dataclass(frozen=True, slots=True)
class StockRow:
    """One lot and stage over the year, or the brood of a lot. Costs in minor units."""

    number: int
    lot: str
    species: str
    stage: str
    kind: str
    """animal, object, specimen or brood."""
    source: str
    at_start: int
    changes: Mapping[str, int]
    """By group; what goes is negative."""
    on_books: int
    """How many the sharing of costs arrived at, on its own way through the journal."""
    counted_on: dt.date | None
    """Last day up to the end of the year on which the lot was counted."""
    cost_at_start: int
    cost_at_end: int
    known_now: int
    """How many there were at the end by the day things happened, late facts of a closed year included."""

    @property
    def at_end(self) -> int:
        """What the start and the changes come to."""
        return self.at_start + sum(self.changes.values())


def group_of(event: Event, *, coming: bool) -> str:
    """The column of the stock a movement belongs to, at the end it leaves or the end it comes to."""
    reason = REASONS[event.reason]
    if reason.books in _MOVES:
        return MOVED_IN if coming else MOVED_OUT
    if reason.direction is Direction.INSIDE and coming != (event.reverses is not None):
        return OTHER
    return _GROUP.get(reason.books, OTHER)


def _ends(event: Event) -> Iterator[tuple[Place, int, bool]]:
    """The places a movement changes: (place, change, whether it comes there)."""
    source = target = None
    if event.from_lot is not None and event.from_stage is not None:
        source = event.from_lot, event.from_stage
    if event.to_lot is not None and event.to_stage is not None:
        target = event.to_lot, event.to_stage
    if source == target:
        return
    if source is not None:
        yield source, -event.count, False
    if target is not None:
        yield target, event.count, True


def stock_rows(conn: Connection, given: Material) -> list[StockRow]:
    """Every lot and stage that had animals or cost in the year, lots in the order they were opened."""
    first, last = given.first.toordinal(), given.last.toordinal()
    at_start: dict[Place, int] = defaultdict(int)
    changes: dict[Place, dict[str, int]] = defaultdict(lambda: dict.fromkeys(GROUPS, 0))
    for event in given.journal:
        if event.accounting_on > last:
            break
        for place, change, coming in _ends(event):
            if event.accounting_on < first:
                at_start[place] += change
            else:
                changes[place][group_of(event, coming=coming)] += change
    on_books = {(row.lot, row.stage): row.count for row in given.after.shared.buckets}
    before, after = given.before, given.after
    known = really_there(events(conn), given.last, by="happened_on")
    places = sorted(
        place
        for place in {*at_start, *changes, *before.animals, *after.animals, *known}
        if at_start.get(place)
        or place in changes
        or before.animals.get(place)
        or after.animals.get(place)
        or known.get(place)
    )
    counted = _counted(conn, given.last)
    rows: list[StockRow] = []
    for lot_id, stage in places:
        lot = given.lots[lot_id]
        name, unit = given.stages[lot.species_id, stage]
        place = lot_id, stage
        rows.append(
            StockRow(
                number=len(rows) + 1,
                lot=lot.code,
                species=lot.species,
                stage=name,
                kind=unit,
                source=lot.source,
                at_start=at_start.get(place, 0),
                changes=changes[place],
                on_books=on_books.get(place, 0),
                counted_on=counted.get(lot_id),
                cost_at_start=before.animals.get(place, 0),
                cost_at_end=after.animals.get(place, 0),
                known_now=known.get(place, 0),
            )
        )
    for lot_id in sorted({*before.brood, *after.brood}):
        lot = given.lots[lot_id]
        rows.append(
            StockRow(
                number=len(rows) + 1,
                lot=lot.code,
                species=lot.species,
                stage="",
                kind="brood",
                source=lot.source,
                at_start=0,
                changes=dict.fromkeys(GROUPS, 0),
                on_books=0,
                counted_on=None,
                cost_at_start=before.brood.get(lot_id, 0),
                cost_at_end=after.brood.get(lot_id, 0),
                known_now=0,
            )
        )
    return rows


def _counted(conn: Connection, until: dt.date) -> dict[int, dt.date]:
    o = t.observation.c
    rows = conn.execute(
        select(o.lot_id, func.max(o.happened_on, type_=o.happened_on.type))
        .where(o.kind == "counted", o.happened_on <= until, stands(o.operation_id))
        .group_by(o.lot_id)
    )
    return {row[0]: row[1] for row in rows}


def movement_rows(given: Material, stock: list[StockRow]) -> list[MovementRow]:
    """Every movement of the year that changes a row of the stock, in order, and the cost that went with it."""
    first, last = given.first.toordinal(), given.last.toordinal()
    number = {(row.lot, row.stage): row.number for row in stock if row.kind != "brood"}
    went = given.went()
    rows = []
    for event in given.journal:
        if not first <= event.accounting_on <= last:
            continue
        cost = [(kind, went.pop((kind, event.id), 0)) for kind in (Kind.LEFT, Kind.WRITTEN_OFF)]
        gone = sum(amount for _, amount in cost)
        line = next((_line(given, event, kind) for kind, amount in cost if amount), 0)
        for place, change, coming in _ends(event):
            lot = given.lots[place[0]]
            stage = given.stages[lot.species_id, place[1]][0]
            rows.append(
                MovementRow(
                    on=dt.date.fromordinal(event.accounting_on),
                    happened_on=dt.date.fromordinal(event.happened_on),
                    entry=event.entry,
                    movement=event.id,
                    lot=lot.code,
                    stage=stage,
                    reason=event.reason,
                    group=group_of(event, coming=coming),
                    change=change,
                    stock=number[lot.code, stage],
                    cost=gone,
                    line=line,
                )
            )
            gone, line = 0, 0
    by_id = {event.id: event for event in given.journal}
    rest: dict[tuple[int, str], int] = defaultdict(int)
    for (kind, event_id), amount in went.items():
        if event_id is None:
            rest[_WITHOUT[kind]] += amount
        else:
            rest[_line(given, by_id[event_id], kind), "spread anew over earlier movements"] += amount
    for (line, reason), amount in sorted(rest.items()):
        rows.append(MovementRow(given.last, given.last, 0, 0, "", "", reason, "", 0, 0, amount, line))
    return rows


_WITHOUT = {
    Kind.NO_ANIMALS: (lines.NO_ANIMALS, "no animals to carry it"),
    Kind.BROOD_ENDED: (lines.BROOD_ENDED, "brood of breeders that ended"),
}


def _line(given: Material, event: Event, kind: Kind) -> int:
    if kind is Kind.WRITTEN_OFF:
        return lines.WRITTEN_OFF
    books = REASONS[event.reason].books
    lot_id = event.to_lot if event.from_lot is None else event.from_lot
    if books in _SOLD and lot_id is not None:
        return lines.COST_OF_SOLD[given.lots[lot_id].source]
    return lines.OF_BOOKS.get(books, lines.COST_OTHER)


_SOLD = ("sold", "returned")
