"""A run of the sharing of costs that stays open: when something is recorded, it goes back only as far as that reaches.

Keeps what it was like at the start of each month, of each week of the last year and of the last day asked for (`undo`),
goes back to the newest of them not later than the first day that changed, and plays on from there. It comes to the same
as a run from the start.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import attrgetter

from ledger.costs.alone import Alone
from ledger.costs.closing import close
from ledger.costs.differing import first_difference, only_costs, other_costs
from ledger.costs.engine import Survey, check, play
from ledger.costs.given import Given
from ledger.costs.result import Amounts, Shared
from ledger.costs.sharing import Sharing
from ledger.costs.state import MIXED, NOT_KNOWN, Lot, Note
from ledger.costs.turns import Turns
from ledger.costs.uncollected import uncollected
from ledger.costs.vector import Vector
from ledger.stock.events import Event

_DAY: Callable[[Event], int] = attrgetter("accounting_on")


MOST_ALONE = 0.5
"""Part of all categories that are played alone when their costs differ; of more, all are played."""

RECENT_DAYS = 366
"""Days before the last one asked for whose weeks have layers of their own; before them, months have."""


def layer_of(day: int, until: int) -> int:
    """A number for each stretch of days that has one layer, in order."""
    if day > until - RECENT_DAYS:
        return 10**6 + day // 7
    date = dt.date.fromordinal(day)
    return 12 * date.year + date.month


class LotReared:
    """What the animals of a lot that moved into the reared stage have cost. Amounts are grid steps by category."""

    __slots__ = ("_cost", "_lost", "_of", "_whole", "by_stages", "count", "known")

    def __init__(self, lot: Lot, of: Vector, whole: Vector, *, by_stages: bool) -> None:
        """Args: the lot, and how its amounts are put together, without and with stages."""
        self.count = lot.reached
        self.known = not lot.marks & (NOT_KNOWN | MIXED)
        """False when part of it was spent before the ledger was opened."""
        self.by_stages = by_stages
        self._cost, self._lost, self._of, self._whole = lot.reached_cost, lot.lost, of, whole

    @property
    def cost(self) -> Amounts:
        """By category."""
        width = self._of.width
        amounts = self._whole.apart(self._cost)
        return tuple(sum(amounts[place::width]) for place in range(width))

    @property
    def by_stage(self) -> tuple[Amounts, ...]:
        """The same by the stage it accrued at; empty when not asked for."""
        width = self._of.width
        amounts = self._whole.apart(self._cost) if self.by_stages else []
        return tuple(tuple(amounts[place : place + width]) for place in range(0, len(amounts), width))

    @property
    def lost(self) -> Amounts:
        """Written off for animals lost before the reared stage."""
        return tuple(self._of.apart(self._lost))


class Live:
    """One open run.

    The journal handed over each time is the whole one; what is said to be unchanged before `since` is not looked at.
    """

    def __init__(
        self, events: Sequence[Event], given: Given, until: int, *, layers: Callable[[int, int], int] = layer_of
    ) -> None:
        """Args: as for `go`; `layers`: days with the same number, given the last day, are of one layer."""
        self._layers = layers
        self._survey: Survey
        self._given: Given
        self._s: Sharing
        self._turns: Turns
        self._until: int
        with uncollected():
            self._start(events, given, until)

    @property
    def until(self) -> int:
        """The last day played."""
        return self._until

    def go(
        self,
        events: Sequence[Event],
        given: Given,
        until: int,
        *,
        since: int | None = None,
        fresh: Iterable[Event] = (),
    ) -> None:
        """Come to what is given now, up to and including a day.

        Args:
            events: the journal, as for `engine.share`.
            given: all else; the same object as before when nothing of it changed.
            until: the last day.
            since: first day on which a movement may be another than before; `None`: none is.
            fresh: movements that were not in the journal before.
        """
        missing = self._survey.look_at(fresh) - self._s.memos.keys()
        back = min(first_difference(self._given, given), until + 1 if since is None else since)
        if missing:
            back = min([back, *(event.accounting_on for event in events if event.id in missing)])
        late, names = other_costs(self._given, given)
        if len(names) > MOST_ALONE * len(self.categories):
            back = min(back, late)
        if not only_costs(self._given, given):
            back = min(back, self._turns.first_other(given))
        again = back <= until or until != self._until
        with uncollected():
            if (again and not self._back_to(min(back, until + 1, self._until + 1))) or (
                given is not self._given and not self._renew(events, given, late, names)
            ):
                self._start(events, given, until)
            elif again:
                self._play(events, until)

    def shared(self) -> Shared:
        """All cost by where it is at the end of the last day."""
        self._begin(self._until + 1)
        shared = close(self._s, self._until)
        self._back_to(self._until + 1)
        return shared

    def reared(self, lots: Iterable[int] | None = None) -> Mapping[int, LotReared]:
        """What animals reared have cost, by lot (all lots: `None`); lots with nothing reared or lost are left out."""
        s = self._s
        return {
            lot.id: LotReared(lot, s.categories, s.whole, by_stages=s.given.by_stage)
            for lot in (s.lots.values() if lots is None else [s.lots[number] for number in lots])
            if lot.reached_cost or lot.reached or lot.lost
        }

    @property
    def categories(self) -> tuple[str, ...]:
        """Of all amounts, in order."""
        return self._s.names

    # --- how --------------------------------------------------------------------------------------------------------

    def _start(self, events: Sequence[Event], given: Given, until: int) -> None:
        self._survey = Survey(events)
        check(given, self._survey.prices)
        self._given = given
        self._s = Sharing(given)
        self._s.kept = self._survey.kept
        self._turns = Turns(self._s)
        self._played = 0
        """The last day with movements that were played."""
        self._until = 0
        self._play(events, until)

    def _renew(self, events: Sequence[Event], given: Given, late: int, names: Sequence[str]) -> bool:
        """Go on with what is given now; costs of `names` are others from the day `late` on. False: not from here."""
        s = self._s
        check(given, self._survey.prices)
        if not only_costs(self._given, given):
            self._turns.renew(given)
        self._given = given
        s.renew(given)
        if late <= max(self._played, self._turns.done):
            start = s.undo.layer_at(late)
            if start is None:
                return False
            Alone(s, names, start, events).play(self._played, self._turns.done)
            s.costs_are_others()
        return True

    def _play(self, events: Sequence[Event], until: int) -> None:
        """Play on; a layer starts with each month and with the last day."""
        place = bisect_left(events, self._played + 1, key=_DAY)
        while place < len(events) and events[place].accounting_on < until:
            self._begin(self._played + 1)
            layer = self._layers(events[place].accounting_on, until)
            at = place
            while at < len(events) and events[at].accounting_on < until:
                if self._layers(events[at].accounting_on, until) != layer:
                    break
                at = bisect_left(events, events[at].accounting_on + 1, lo=at, key=_DAY)
            play(self._s, self._turns, events, place, events[at - 1].accounting_on)
            self._played, place = events[at - 1].accounting_on, at
        self._begin(self._played + 1)
        if play(self._s, self._turns, events, place, until) > place:
            self._played = until
        self._turns.start_day(until)
        self._until = until

    def _begin(self, day: int) -> None:
        s = self._s
        note = Note(
            self._played, self._until, self._turns.done, s.bought, s.settlements,
            s.turn, len(s.memos), len(s.hatched), len(s.unhatched),
        )  # fmt: skip
        s.undo.begin(day, note)
        s.serial = s.undo.serial

    def _back_to(self, day: int) -> bool:
        """Restore the start of the newest layer that began by `day`."""
        s = self._s
        found = s.undo.back_to(day)
        if found is None:
            return False
        s.serial = s.undo.serial
        first, note = found
        self._played, self._until, turned, s.bought, s.settlements, s.turn, memos, hatched, unhatched = note
        self._turns.go_on_after(turned)
        s.take_rows_back()
        for kept, size in ((s.memos, memos), (s.hatched, hatched), (s.unhatched, unhatched)):
            while len(kept) > size:
                kept.popitem()
        while s.reached and next(reversed(s.reached))[1] >= first:
            s.reached.popitem()
        s.day = first
        s.take_part_anew()
        return True
