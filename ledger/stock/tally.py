"""What a plan knows: lots and stages looked up once, and what is in a lot on a day with the moves planned so far.

Reads only. Moves of one record take animals that were there before it as long as there are enough of them, and only
then animals the same record brings: ten animals put into ten tubs all come from where the ten were.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from sqlalchemy import Connection, select

from ledger.act import Scene
from ledger.errors import BadInput, NotEnough
from ledger.records import tables as t
from ledger.records.periods import accounting_day
from ledger.stock.balance import first_gap, not_enough
from ledger.stock.drafts import Draft, Place
from ledger.stock.holdings import Asked, Group, HoldingKey, asked, choose, groups_of
from ledger.stock.journal import DayChange, changes_since, newest_day
from ledger.stock.naming import LotRef, StageRef, find_lot, stages
from ledger.stock.steps import among_late, came_back_the_same_day, check_steps, planned_events
from ledger.stock.words import when
from ledger.wording import say

_RETURNS = select(came_back_the_same_day)
_PLANNED = -1
"""Stands for the operation of the act that is being planned."""


@dataclass(frozen=True, slots=True)
class _Change:
    on: dt.date
    key: HoldingKey
    count: int
    record: int
    aside: bool = False
    """They were set aside: as many are free as before."""


@dataclass(slots=True)
class Tally:
    """The working knowledge of one plan."""

    conn: Connection
    scene: Scene
    _lots: dict[str, LotRef] = field(default_factory=dict)
    _stages: dict[int, tuple[StageRef, ...]] = field(default_factory=dict)
    _groups: dict[tuple[int, dt.date | None], list[Group]] = field(default_factory=dict)
    _changes: dict[int, list[_Change]] = field(default_factory=lambda: defaultdict(list))
    _ids: dict[HoldingKey, int] = field(default_factory=dict)
    _keys: dict[int, HoldingKey] = field(default_factory=dict)
    _record: int = 0

    def lot(self, code: str) -> LotRef:
        """The lot of that code; raises NotFound."""
        if code not in self._lots:
            self._lots[code] = find_lot(self.conn, code)
        return self._lots[code]

    def stages(self, species_id: int) -> tuple[StageRef, ...]:
        """The stages of a species in the order of life."""
        if species_id not in self._stages:
            self._stages[species_id] = stages(self.conn, species_id)
        return self._stages[species_id]

    def day(self, on: dt.date, *, field_name: str = "on") -> dt.date:
        """A day on which something can have happened; raises BadInput for a day to come."""
        if on > self.scene.today:
            raise BadInput(
                say(
                    "{day} is still to come; record what has happened, up to today ({today}).",
                    day=when(on),
                    today=when(self.scene.today),
                ),
                field=field_name,
                facts={"date": on, "today": self.scene.today},
            )
        return on

    def next_record(self) -> None:
        """What follows belongs to another record."""
        self._record += 1

    def groups(self, lot: LotRef, on: dt.date, *, brought: bool = True) -> list[Group]:
        """What is in a lot at the end of a day, the planned moves counted in.

        Args:
            lot: the lot.
            on: the day.
            brought: with the animals the present record brings.
        """
        past = on if on < self.scene.today else None
        if (lot.id, past) not in self._groups:
            self._groups[lot.id, past] = groups_of(self.conn, lot.id, past)
        found = {group.key: group for group in self._groups[lot.id, past]}
        self._note(found.values())
        for change in self._changes.get(lot.id, ()):
            if change.on > on or (change.count > 0 and change.record == self._record and not brought):
                continue
            group = found.get(change.key) or self._empty(lot, change.key)
            count = group.count + change.count
            free = max(0, min(count, group.free if change.aside else group.free + change.count))
            found[change.key] = Group(group.key, group.stage, group.holding, count, free)
        return [group for group in found.values() if group.count > 0]

    def _empty(self, lot: LotRef, key: HoldingKey) -> Group:
        stage = next(stage for stage in self.stages(lot.species_id) if stage.id == key.stage_id)
        return Group(key, stage, self._ids.get(key), 0, 0)

    def _note(self, groups: Iterable[Group]) -> None:
        for group in groups:
            if group.holding is not None:
                self._ids[group.key] = group.holding
                self._keys[group.holding] = group.key

    def asked(self, lot: LotRef, stage: str | None, sex: str | None, tub: str | None, units: Collection[str]) -> Asked:
        """The words of a command about a lot as a question."""
        known = self.stages(lot.species_id) if stage is not None else ()
        return asked(known, stage, sex, tub, units)

    def choose(
        self, lot: LotRef, which: Asked, count: int, on: dt.date, *, all_at_once: bool = True, free_only: bool = False
    ) -> list[tuple[Group, int]]:
        """The animals that were meant: see `holdings.choose`."""

        def of(groups: list[Group]) -> list[tuple[Group, int]]:
            return choose(lot.code, groups, which, count, on, all_at_once=all_at_once, free_only=free_only)

        before = self.groups(lot, on, brought=False)
        try:
            return of(before)
        except NotEnough:
            after = self.groups(lot, on)
            if after == before:
                raise
            return of(after)

    def move(self, on: dt.date, source: Place | None, target: Place | None, count: int, *, aside: bool = False) -> None:
        """Count a planned movement in; `aside`: of animals that are set aside, and stay so where they go."""
        for place, change in ((source, -count), (target, count)):
            if place is not None:
                key = place if isinstance(place, HoldingKey) else self.key(place)
                self._changes[key.lot_id].append(_Change(on, key, change, self._record, aside))

    def key(self, holding: int) -> HoldingKey:
        """What makes a holding one."""
        if holding not in self._keys:
            h = t.holding.c
            row = self.conn.execute(select(h.lot_id, h.stage_id, h.sex, h.sure, h.tub).where(h.id == holding)).one()
            self._keys[holding] = HoldingKey(*row)
            self._ids[self._keys[holding]] = holding
        return self._keys[holding]

    def check_later_days(self, drafts: Iterable[Draft]) -> None:
        """Refuse what would leave a holding below nothing on a later day, or a (lot, stage) at a step of a day.

        Raises:
            NotEnough: it would, and on which day.
        """
        drafts = list(drafts)
        self._check_ends_of_days(drafts)
        spots = {
            place: self._spot(place)
            for draft in drafts
            for move in draft.moves
            for place in (move.source, move.target)
            if place is not None
        }
        if spots and (among_late(self.conn, drafts) or self._came_back(drafts, {lot for lot, _ in spots.values()})):
            check_steps(self.conn, drafts, set(spots.values()), planned_events(self.conn, drafts, spots))

    def _check_ends_of_days(self, drafts: Sequence[Draft]) -> None:
        planned = [
            DayChange(self._id(place), draft.happened_on, _PLANNED, change)
            for draft in drafts
            for move in draft.moves
            for place, change in ((move.source, -move.count), (move.target, move.count))
            if place is not None and self._id(place)
        ]
        if not planned:
            return
        since = min(change.happened_on for change in planned)
        newest = newest_day(self.conn) if since < self.scene.today else None
        if newest is None or newest <= since:
            return
        holdings = sorted({change.holding for change in planned})
        h = t.holding.c
        rows = self.conn.execute(select(h.id, h.count).where(h.id.in_(holdings)))
        now: dict[int, int] = {row[0]: row[1] for row in rows}
        for change in planned:
            now[change.holding] += change.change
        gap = first_gap(now, [*changes_since(self.conn, holdings, since), *planned], since)
        if gap is not None:
            own = [one for one in planned if one.holding == gap.holding and one.happened_on <= gap.on]
            raise not_enough(self.conn, gap, -sum(one.change for one in own))

    def _spot(self, place: Place) -> tuple[int, int]:
        key = self.key(place) if isinstance(place, int) else place
        return key.lot_id, key.stage_id

    def _came_back(self, drafts: Iterable[Draft], lots: Iterable[int]) -> bool:
        bounds = {"lots": sorted(lots), "since": min(draft.happened_on for draft in drafts)}
        return bool(self.conn.execute(_RETURNS, bounds).scalar())

    def _id(self, place: Place) -> int:
        """The id of a holding, 0 for one without a row."""
        return place if isinstance(place, int) else self._ids.get(place, 0)

    def accounting(self, on: dt.date) -> tuple[dt.date, tuple[str, ...]]:
        """The day something that happened on `on` is accounted on, with what the keeper should know of it."""
        accounted = accounting_day(self.conn, on)
        if accounted == on:
            return on, ()
        return accounted, (
            say(
                "The year of {day} is closed: this is accounted on {accounted} and keeps its date.",
                day=when(on),
                accounted=when(accounted),
            ),
        )

    def cautions(self, on: dt.date) -> tuple[str, ...]:
        """What a keeper should look at twice about a date."""
        if (self.scene.today - on).days > 366:
            return (say("{when} is more than a year ago; check the date.", when=when(on)),)
        return ()
