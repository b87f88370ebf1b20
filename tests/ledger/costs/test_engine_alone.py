"""A late cost plays its own category alone: what the others came to is neither reckoned again nor written again.

That it comes to the same as a run from the start is shown with all other changes, in `test_engine_live` and
`test_engine_histories`; here is what it leaves alone.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import NoReturn

import pytest

from ledger.costs import live as open_run
from ledger.costs.given import ANIMALS, CostLine, Given, Scope, with_method
from ledger.costs.live import Live
from ledger.costs.undo import Mended
from ledger.costs.vector import LANE
from ledger.stock.events import Event
from tests.ledger.costs.random_book import LAST_DAY, Written, random_book
from tests.ledger.costs.test_engine_live import anew, given_of, same, weeks

POISON = 10**20 + 7
SEEDS = range(760, 780)


def late_cost(written: Written, given: Given, rng: random.Random) -> tuple[Given, str]:
    """One more cost, of a category there is already."""
    category = rng.choice([name for name in given.categories if name != ANIMALS] or [ANIMALS])
    scope = rng.choice([line.scope for line in given.costs] + [Scope("lots", frozenset({rng.randint(1, 9)}))])
    first = rng.randint(1, LAST_DAY)
    line = CostLine(99, category, rng.randint(1, 9999), first, first + rng.choice([0, 9, 40]), scope)
    method = written.method
    more = with_method([line], method["keys"], method["care"])  # type: ignore[arg-type]
    return replace(given, costs=[*given.costs, *more]), category


def one_more_animal(events: list[Event]) -> list[Event]:
    """A late movement, on the first day."""
    first = next(event for event in events if event.reason == "found" or event.reason == "bought")
    late = replace(first, id=10**6, entry=10**6, reason="found", value=None)
    return sorted([late, *events], key=lambda event: event.accounting_on)


def amounts(live: Live) -> Iterator[tuple[object, list[int]]]:
    """Every balance, brood pool and posting of a run by category, with what it is of."""
    s = live._s
    for lot in s.lots.values():
        if lot.buckets:
            yield ("brood", lot.id), s.categories.apart(lot.brood)
        for bucket in lot.buckets.values():
            yield ("balance", lot.id, bucket.stage), s.categories.apart(bucket.balance)
    for turn, cost in zip(s.out_turn, s.out_cost, strict=True):
        yield ("posted", turn), s.categories.apart(cost)


def poison(live: Live, category: str) -> set[object]:
    """Put into all other categories what a run would never come to; returns where."""
    s = live._s
    more = sum(POISON << LANE * column for name, column in s.column.items() if name != category)
    for lot in s.lots.values():
        lot.brood += more if lot.buckets else 0
        for bucket in lot.buckets.values():
            bucket.balance += more
    s.out_cost = [cost + more for cost in s.out_cost]
    return {what for what, _ in amounts(live)}


def poisoned(live: Live, clean: Live, where: set[object]) -> dict[str, set[int]]:
    """By category, how far its amounts are from those of another run."""
    other = dict(amounts(clean))
    found: dict[str, set[int]] = {name: set() for name in live.categories}
    for what, of_all in amounts(live):
        if what in where:
            for name, here, there in zip(live.categories, of_all, other.get(what, [0] * len(of_all)), strict=True):
                found[name].add(here - there)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_a_late_cost_leaves_every_amount_of_other_categories_as_it_lies(seed: int) -> None:
    written, rng = random_book(seed), random.Random(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs)
    live = Live(events, given, LAST_DAY, layers=weeks)
    after, category = late_cost(written, given, rng)
    where = poison(live, category)

    live.go(events, after, LAST_DAY)

    clean = Live(events, after, LAST_DAY, layers=weeks)
    assert poisoned(live, clean, where) == {name: {0} if name == category else {POISON} for name in live.categories}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_late_movement_reckons_all_categories_anew(seed: int) -> None:
    """The control: what was put there wrongly is gone."""
    written = random_book(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs)
    live = Live(events, given, LAST_DAY, layers=weeks)
    where = poison(live, "feed")
    now = one_more_animal(events)

    live.go(now, given, LAST_DAY, since=1, fresh=now)

    clean = Live(now, given, LAST_DAY, layers=weeks)
    assert poisoned(live, clean, where) == {name: {0} for name in live.categories}


def test_the_run_of_all_categories_plays_no_movement_for_a_late_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    written, rng = random_book(760), random.Random(1)
    events, given = written.book.journal(), given_of(written, written.book.costs)
    live = Live(events, given, LAST_DAY, layers=weeks)

    def played(*_: object) -> NoReturn:
        raise AssertionError("the run of all categories was played")

    monkeypatch.setattr(open_run, "play", played)
    for _ in range(5):
        given, _category = late_cost(written, given, rng)
        live.go(events, given, LAST_DAY)
    monkeypatch.undo()

    assert same(live.shared(), anew(events, given, LAST_DAY))
    monkeypatch.setattr(open_run, "play", played)
    with pytest.raises(AssertionError, match="was played"):
        live.go(one_more_animal(events), given, LAST_DAY, since=1)


@pytest.mark.parametrize("by_stage", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_late_costs_of_many_categories_and_late_movements_in_turn_come_to_the_same(seed: int, by_stage: bool) -> None:
    """A late movement goes back to what was kept, into which the late costs before it were put."""
    written, rng = random_book(seed), random.Random(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs, by_stage=by_stage)
    live, put = Live(events, given, LAST_DAY, layers=weeks), 0
    for turn in range(12):
        since, until = None, rng.choice([LAST_DAY, LAST_DAY, rng.randint(2, LAST_DAY)])
        if turn % 4 == 3:
            since = rng.randint(1, LAST_DAY)
            put += sum(isinstance(image, Mended) for layer in live._s.undo.layers for _, image in layer[2])
        elif given.costs and rng.random() < 0.3:
            given = replace(given, costs=rng.sample(given.costs, len(given.costs) - 1))
        else:
            given, _ = late_cost(written, given, rng)
            if rng.random() < 0.3:
                given, _ = late_cost(written, given, rng)

        live.go(events, given, until, since=since)

        assert same(live.shared(), anew(events, given, until)), turn
    assert put
