"""Random histories as a keeper makes them: entries on time and late, splits, merges, closed years, what was taken back.

After every step the open run comes to the same as a run from the start; at the end every figure is that of the slow way
in exact fractions. Short by default; `REARLEDGER_LONG=1` runs many more and longer ones.
"""

from __future__ import annotations

import os
import random
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from ledger.costs.engine import share, stages_of
from ledger.costs.given import Given, with_method
from ledger.costs.live import Live
from ledger.stock.events import Event
from tests.ledger.costs.oracle import Oracle
from tests.ledger.costs.random_book import LAST_DAY, Writer, random_sharing
from tests.ledger.costs.test_engine_against_oracle import differences, of_engine, of_oracle

LONG = os.environ.get("REARLEDGER_LONG") == "1"
EXAMPLES, STEPS = (400, 60) if LONG else (12, 20)


class History(RuleBasedStateMachine):
    """One ledger, and two ways to reckon its costs."""

    @initialize(seed=st.integers(0, 10**6))
    def begin(self, seed: int) -> None:
        self.writer = Writer(seed, entries=0)
        self.sharing = random_sharing(random.Random(seed))
        self.closed = 0
        self.cuts: frozenset[int] = frozenset()
        self.known: list[Event] = []
        self.given = self.all_given()
        self.live = Live([], self.given, LAST_DAY, layers=lambda day, until: day // 7)

    def all_given(self) -> Given:
        method = self.writer.method | self.sharing
        return Given(
            costs=with_method(list(self.writer.book.costs), method["keys"], method["care"]),  # type: ignore[arg-type]
            lots=dict(self.writer.book.lots),
            weights=method["weights"],  # type: ignore[arg-type]
            losses=method["losses"],  # type: ignore[arg-type]
            reared=method["reared"],  # type: ignore[arg-type]
            specimens=frozenset(method["specimens"]),  # type: ignore[call-overload]
            cuts=self.cuts,
            care=method["care"],  # type: ignore[arg-type]
            by_stage=False,
            stages=1,
            to_offspring=True,
        )

    @rule(seed=st.integers(0, 10**6), day=st.integers(1, LAST_DAY))
    def enter(self, seed: int, day: int) -> None:
        """Anything a keeper may record, on any day of an open year: often a late one."""
        self.writer.rng.seed(seed)
        self.writer.entry(min(LAST_DAY, max(day, self.closed + 1)))

    @rule(seed=st.integers(0, 10**6))
    def take_back(self, seed: int) -> None:
        """A movement of a closed year is taken back in the open one."""
        if self.closed:
            self.writer.rng.seed(seed)
            kept = len(self.writer.book.events), self.writer.here.copy(), set(self.writer.free), self.writer.back.copy()
            self.writer.take_back(self.closed + 1)
            if not self.writer.possible():
                del self.writer.book.events[kept[0] :]
                self.writer.here, self.writer.free, self.writer.back = kept[1:]

    @precondition(lambda self: self.closed < LAST_DAY - 20)
    @rule(days=st.integers(5, 20))
    def close_a_year(self, days: int) -> None:
        before = self.now(self.closed + days)
        self.closed += days
        self.cuts |= {self.closed}
        self.given = replace(self.given, cuts=self.cuts)
        assert self.now(self.closed) == before

    @rule(place=st.integers(0, 8), days=st.integers(1, 40))
    def enter_a_cost_late(self, place: int, days: int) -> None:
        costs = self.writer.book.costs
        line = costs[place % len(costs)]
        first = max(self.closed + 1, line.first - days)
        costs.append(replace(line, id=len(costs) + 1, first=first, last=first + days))
        self.given = self.all_given()

    @rule(place=st.integers(0, 8))
    def take_a_late_cost_back(self, place: int) -> None:
        costs = self.writer.book.costs
        line = costs[place % len(costs)]
        if line.first > self.closed and len([one for one in costs if one.category == line.category]) > 1:
            costs.remove(line)
            self.given = self.all_given()

    def now(self, until: int) -> list[object]:
        events = self.writer.book.journal()
        shared = share(events, self.given.costs, self.given.lots, until, **self.method())  # type: ignore[arg-type]
        return [shared.closing, shared.buckets, list(shared.postings)]

    def method(self) -> dict[str, object]:
        names = ("weights", "losses", "reared", "specimens", "cuts", "care")
        return {name: getattr(self.given, name) for name in names}

    @invariant()
    def the_open_run_comes_to_the_same(self) -> None:
        events = self.writer.book.journal()
        known = {event.id for event in self.known}
        fresh = [event for event in events if event.id not in known]
        since = min((event.accounting_on for event in fresh), default=None)
        self.known = events

        self.live.go(events, self.given, LAST_DAY, since=since, fresh=fresh)

        shared = self.live.shared()
        assert [shared.closing, shared.buckets, list(shared.postings)] == self.now(LAST_DAY)
        assert shared.adds_up()
        assert all(min(row.cost) >= 0 for row in shared.buckets)
        assert all(not any(row.cost) for row in shared.buckets if not row.count)

    def teardown(self) -> None:
        given, book = self.given, self.writer.book
        keys = self.sharing["keys"]
        slow = Oracle(
            book.lots, book.costs, given.weights, given.losses, given.reared, given.specimens, True, keys, given.care,  # type: ignore[arg-type]
        ).play(book.journal(), LAST_DAY)  # fmt: skip

        found = differences(of_engine(self.live.shared(), by_stage=False), of_oracle(slow, by_stage=False))

        assert stages_of(book.events) <= 4
        assert not found, "; ".join(sorted(found)[:5])


TestHistories = History.TestCase
TestHistories.settings = settings(
    max_examples=EXAMPLES, stateful_step_count=STEPS, deadline=None, suppress_health_check=list(HealthCheck)
)


def test_an_animal_the_slow_way_does_not_know_of_is_found_out() -> None:
    """The comparison that the histories rest on, with one entry kept from one side."""
    history = History()
    history.begin(7)
    for seed in range(40):
        history.enter(seed, 1 + seed)
    history.the_open_run_comes_to_the_same()
    history.writer.book.events = history.writer.book.events[:-1]

    with pytest.raises(AssertionError):
        history.teardown()
