"""A late cost plays its own category alone: an open run of all categories takes nothing of the others in hand.

What flows where, and in which shares, rests on animals and never on amounts, and no category knows of another. So a
run of the few categories that differ begins as the whole run was when the days that differ began, plays the same
movements, and puts its amounts into the whole run and into what that has kept of the days since. It comes to what a
run of all categories from the start would come to.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from operator import attrgetter
from typing import Any

from ledger.costs.engine import play
from ledger.costs.measures import Birth, Measure, Part
from ledger.costs.pools import Pool, Pools
from ledger.costs.result import Kind
from ledger.costs.sharing import Sharing
from ledger.costs.state import Lot
from ledger.costs.turns import Turns
from ledger.costs.undo import Kept, mend, whole_image
from ledger.costs.vector import Cut
from ledger.stock.events import Event

_DAY: Callable[[Event], int] = attrgetter("accounting_on")


class Alone:
    """A run of few categories beside the one of all."""

    def __init__(self, s: Sharing, names: Sequence[str], start: int, events: Sequence[Event]) -> None:
        """
        Args:
            s: the run of all categories, with the costs that are given now; nothing in it changes before `play`.
            names: the categories that differ.
            start: place of the layer this run starts with; no cost differs before its first day.
            events: the journal.
        """
        self._s, self._events = s, events
        self._layers = s.undo.layers[start:]
        self._cut = Cut(tuple(s.column[name] for name in names), s.width, s.stages)
        first, _, _, note = self._layers[0]
        self._images = self._at_the_start()
        memos = self._memos(note.played)
        ids = {thing.id for thing in self._images if isinstance(thing, Lot)} | {one.event.lot for one in memos.values()}
        for measure in s.others:
            ids |= {number for number, part in measure.parts.items() if part in self._images}
        lots = {number: s.given.lots[number] for number in s.lots if number in ids}
        self._one = one = Sharing(replace(s.given, costs=(), lots=lots), names, s.measures)
        one.kept, one.hatched, one.turn, one.day = s.kept, s.hatched, note.turn, first
        one.memos = {number: memo.part_of(self._cut) for number, memo in memos.items()}
        self._pools: dict[Pool, Pool] = {}
        """Of this run, by pool of the whole run."""
        self._take_pools(s.pools, one.pools)
        for number, lot in one.lots.items():
            lot.be_part_of(self._image(s.lots[number]), self._cut, one.width)
        self._parts: dict[Part, tuple[dict[int, Part], int]] = {}
        for name, measure in one.measures.items():
            self._take_pools(s.measures[name].pools, measure.pools)
            self._take_parts(s.measures[name], measure, first)
        one.unhatched = {
            event: one.lots[home.lot.id].buckets[home.stage]
            for event, home in list(s.unhatched.items())[: note.unhatched]
            if home.lot.id in one.lots
        }
        one.take_part_anew()
        self._add_who_is_not_played()
        self._turns = Turns(one)
        self._turns.go_on_after(note.turned)

    def play(self, played: int, turned: int) -> None:
        """Play all days the whole run has played and put in what they come to.

        Args:
            played: the last day with movements that the whole run has played.
            turned: the last day whose turns have happened in it.
        """
        notes = [note for _, _, _, note in self._layers]
        ends = [*((note.played, note.turned) for note in notes[1:]), (played, turned)]
        for (_, _, images, note), (last, last_turned) in zip(self._layers, ends, strict=True):
            self._mend(images)
            play(self._one, self._turns, self._events, bisect_left(self._events, note.played + 1, key=_DAY), last)
            if last_turned > self._turns.done:
                self._turns.start_day(last_turned)
        self._put()

    # --- the start --------------------------------------------------------------------------------------------------

    def _at_the_start(self) -> dict[Kept, Any]:
        """What was kept of all that has changed since, as it was at the start."""
        oldest: dict[Kept, Any] = {}
        for _, _, images, _ in reversed(self._layers):
            oldest.update(reversed(images))
        return {thing: whole_image(thing, image) for thing, image in oldest.items()}

    def _image(self, thing: Kept) -> Any:
        return self._images[thing] if thing in self._images else thing.image()

    def _memos(self, played: int) -> dict[int, Any]:
        """Movements before the start that one since then takes back or returns."""
        known, found = self._s.memos, {}
        if known:
            for event in self._events[bisect_left(self._events, played + 1, key=_DAY) :]:
                number = event.relates_to if event.reverses is None else event.reverses
                if number in known and known[number].event.accounting_on <= played:
                    found[number] = known[number]
        return found

    def _take_pools(self, of_all: Pools, few: Pools) -> None:
        for scope, pool in of_all.by_scope.items():
            if pool in self._images:
                other = self._pools[pool] = Pool(self._one.width, self._one.undo)
                other.be_part_of(pool, self._images[pool], self._cut)
                if not other.is_empty:
                    few.by_scope[scope] = other
        few.sort()

    def _take_parts(self, of_all: Measure, few: Measure, day: int) -> None:
        born = {thing.part for thing in self._images if isinstance(thing, Birth)}
        parts = {number: part for number, part in of_all.parts.items() if number in few.lots}
        self._parts |= {part: (few.parts, number) for number, part in parts.items()}
        few.take_over(
            of_all, {number: self._image(part) for number, part in parts.items() if part not in born}, day, self._cut
        )

    def _add_who_is_not_played(self) -> None:
        """Lots nothing has happened to since share as well, by as much as ever."""
        s, one = self._s, self._one
        played = [s.lots[number] for number in one.lots]
        self._add_units(s.pools, one.pools, [(lot.bundle, lot.units) for lot in played])
        for name, measure in one.measures.items():
            parts = [part for number, part in s.measures[name].parts.items() if number in one.lots]
            self._add_units(s.measures[name].pools, measure.pools, [(part.bundle, part.units) for part in parts])

    def _add_units(self, of_all: Pools, few: Pools, played: Sequence[tuple[Any, int]]) -> None:
        left = {bundle: bundle.units for bundle in of_all.bundles()}
        for bundle, units in played:
            left[bundle] -= units
        there = set(few.by_scope.values())
        for bundle, units in left.items():
            pools = [self._pools[pool] for pool in bundle.pools if self._pools.get(pool) in there]
            if units and pools:
                few.bundle_with(pools).units += units

    # --- what it comes to -------------------------------------------------------------------------------------------

    def _few(self, thing: Kept) -> Any:
        """The amounts here of something in the whole run; `None` if it has none, or none yet."""
        here: Kept | None = None
        if isinstance(thing, Lot):
            here = self._one.lots[thing.id]
        elif isinstance(thing, Pool):
            here = self._pools.get(thing)
        elif isinstance(thing, Part) and thing in self._parts:
            parts, number = self._parts[thing]
            here = parts.get(number)
        return here and here.few()

    def _mend(self, images: list[tuple[Kept, Any]]) -> None:
        """Put what things here are like now into what the whole run has kept of them as they were."""
        for at, (thing, image) in enumerate(images):
            few = self._few(thing)
            if few is not None:
                images[at] = (thing, mend(image, self._cut, few))

    def _put(self) -> None:
        """Put it into the whole run."""
        s, one, cut = self._s, self._one, self._cut
        assert one.turn == s.turn
        for pool, other in self._pools.items():
            for at, column in enumerate(cut.columns):
                pool.spells[column] = other.spells[at]
        for thing in self._images:
            few = self._few(thing)
            if few is not None:
                thing.restore(thing.mended(thing.image(), few, cut))
        for number, memo in one.memos.items():
            s.memos[number] = s.memos[number].mended(memo, cut)
        for key, (count, cost) in one.reached.items():
            s.reached[key] = (count, cut.whole.put(s.reached[key][1], cost))
        self._put_rows(bisect_right(s.out_turn, self._layers[0][3].turn))

    def _put_rows(self, start: int) -> None:
        """The rows posted; there may be others than before, where a cost is the first or was the last of a row."""
        s, one, put = self._s, self._one, self._cut.by_category.put
        if s.out_turn[start:] == one.out_turn:
            s.out_cost[start:] = map(put, s.out_cost[start:], one.out_cost)
            return
        kinds, rows = list(Kind), dict[int, tuple[int, int, int, int]]()
        for run, first in ((s, start), (one, 0)):
            columns = (run.out_kind, run.out_event, run.out_lot, run.out_day)
            rows |= zip(run.out_turn[first:], zip(*(column[first:] for column in columns), strict=True), strict=True)
        costs = dict(zip(s.out_turn[start:], s.out_cost[start:], strict=True))
        few = dict(zip(one.out_turn, one.out_cost, strict=True))
        end, s.turn = s.turn, self._layers[0][3].turn
        s.take_rows_back()
        for turn in sorted(rows):
            kind, event, lot, day = rows[turn]
            s.turn = turn - 1
            s.post(kinds[kind], event, lot, put(costs.get(turn, 0), few.get(turn, 0)), day)
        s.turn = end
