"""What must hold of any journal: nothing appears or vanishes, nothing depends on what comes later or on mere order."""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import replace
from fractions import Fraction

import pytest

from ledger.costs.engine import share
from ledger.costs.given import CostLine, LotInfo, Scope
from ledger.costs.grid import GRID
from ledger.costs.result import BucketCost, Kind, Posting, Shared
from ledger.stock.events import Event, ordered
from ledger.stock.reasons import REASONS, Cost
from tests.ledger.costs.book import NEAR, Book, brood, carried, exact, near
from tests.ledger.costs.random_book import BREEDERS, LAST_DAY, LOTS, Written, random_book

SEEDS = range(500, 520)


def shared_until(written: Written, until: int, **more: object) -> Shared:
    return share(written.book.journal(), written.book.costs, written.book.lots, until, **written.method, **more)  # type: ignore[arg-type]


def out(shared: Shared) -> list[Posting]:
    """All that went out with a movement or an end of breeding, in order."""
    return [row for row in shared.postings if row.kind is not Kind.NO_ANIMALS]


@pytest.mark.parametrize("seed", SEEDS)
def test_all_cost_is_accounted_for_on_every_day_in_every_category(seed: int) -> None:
    written = random_book(seed)
    spent = {line.category: 0 for line in written.book.costs} | {"animals": 0}
    for line in written.book.costs:
        spent[line.category] += line.amount
    for day in range(1, LAST_DAY + 1, 3):
        bought = 0
        for event in written.book.journal():
            if event.accounting_on <= day:
                bought += event.value or 0
                if event.reverses is not None:
                    bought -= written.book.events[event.reverses - 1].value or 0

        shared = shared_until(written, day)

        came_in = dict(zip(shared.categories, shared.came_in, strict=True))
        assert came_in == spent | {"animals": spent["animals"] + bought}
        assert shared.adds_up()


def test_an_account_that_misses_one_step_of_the_grid_does_not_add_up() -> None:
    shared = shared_until(random_book(501), LAST_DAY)
    assert shared.adds_up()
    line = next(row for row in shared.closing if row.kind is Kind.ON_HAND)
    short = replace(line, cost=(line.cost[0] - 1, *line.cost[1:]))
    rest = tuple(row for row in shared.closing if row is not line)

    assert not replace(shared, closing=(short, *rest)).adds_up()


@pytest.mark.parametrize("seed", SEEDS)
def test_no_balance_is_below_zero_and_no_animals_means_no_cost(seed: int) -> None:
    written = random_book(seed)
    for day in range(1, LAST_DAY + 1, 5):
        shared = shared_until(written, day)

        assert all(min(row.cost) >= 0 for row in shared.buckets)
        assert all(not any(row.cost) for row in shared.buckets if not row.count)
        assert all(min(row.cost) >= 0 for row in shared.closing)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_thousand_times_the_cost_is_a_thousand_times_every_figure(seed: int) -> None:
    written = random_book(seed)
    plain = shared_until(written, LAST_DAY)
    book = written.book
    book.costs = [replace(line, amount=1000 * line.amount) for line in book.costs]
    book.events = [event if event.value is None else replace(event, value=1000 * event.value) for event in book.events]

    scaled = shared_until(written, LAST_DAY)

    for one, other in zip(rows(plain), rows(scaled), strict=True):
        assert abs(1000 * exact(one.cost) - exact(other.cost)) <= 1000 * NEAR


def rows(shared: Shared) -> list[Posting | BucketCost]:
    return [*out(shared), *shared.buckets]


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_entered_for_a_later_day_changes_nothing_before_it(seed: int) -> None:
    written = random_book(seed)
    day = 20 + seed % 30
    before = [event for event in written.book.journal() if event.accounting_on < day]

    whole = shared_until(written, day - 1)
    without = share(before, written.book.costs, written.book.lots, day - 1, **written.method)  # type: ignore[arg-type]

    assert list(whole.postings) == list(without.postings)
    assert whole.closing == without.closing
    assert whole.buckets == without.buckets


@pytest.mark.parametrize("seed", SEEDS)
def test_what_went_out_by_a_day_stays_as_it_was_posted_when_days_go_on(seed: int) -> None:
    written = random_book(seed)
    ends = (20, 41)

    early = shared_until(written, ends[1], cuts=ends[:1])
    late = shared_until(written, LAST_DAY, cuts=ends)

    assert list(late.postings)[: len(early.postings)] == list(early.postings)


def test_cost_without_animals_would_be_posted_to_another_period_without_the_cut() -> None:
    book = Book({1: LotInfo(species=1)})
    book.cost("heat", 100, 1, 10)
    book.add(6, "found", 1, to=(1, 0))
    book.add(8, "sold", 1, (1, 0))

    cut, plain = book.share(10, cuts=[5]), book.share(10)

    assert [(row.kind, row.day, sum(row.posted)) for row in cut.postings] == [
        (Kind.NO_ANIMALS, 5, 50),
        (Kind.LEFT, 8, 20),
        (Kind.NO_ANIMALS, 10, 30),
    ]
    assert [(row.kind, row.day, sum(row.posted)) for row in plain.postings] == [
        (Kind.LEFT, 8, 20),
        (Kind.NO_ANIMALS, 10, 80),
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_splitting_a_lot_and_merging_it_again_on_one_day_changes_nothing(seed: int) -> None:
    written = random_book(seed)
    book = written.book
    plain = shared_until(written, LAST_DAY)
    day = LAST_DAY // 2
    now = shared_until(written, day)
    place = next(row for row in now.buckets if row.count > 1 and row.lot not in (*BREEDERS, 3) and row.stage < 3)
    empty = LOTS + 1
    book.lots[empty] = replace(book.lots[place.lot], mothers=())
    book.depth[empty] = 9
    book.add(day, "split", place.count // 2, (place.lot, place.stage), (empty, place.stage))
    book.add(day, "merged", place.count // 2, (empty, place.stage), (place.lot, place.stage))

    again = shared_until(written, LAST_DAY)

    same = [row for row in again.buckets if row.lot != empty]
    for one, other in zip(plain.buckets, same, strict=True):
        assert abs(exact(one.cost) - exact(other.cost)) <= NEAR
        assert (one.entrants, one.early_exits, one.expected_used) == (
            other.entrants,
            other.early_exits,
            other.expected_used,
        )
    assert all(near(exact(a.cost), exact(b.cost)) for a, b in zip(out(plain), out(again), strict=True))


def test_splitting_breeders_and_merging_them_again_keeps_their_brood_pool_and_their_lasting_cost() -> None:
    def book_of(*, split: bool) -> Book:
        group = LotInfo(species=1, breeding=((1, None),), breeding_life_days=100)
        book = Book({1: group, 2: group, 3: LotInfo(species=1, mothers=(1,))}, depth={2: 1, 3: 2})
        book.cost("heat", 1000, 1, 100)
        book.add(1, "bought", 6, to=(1, 2), value=6000)
        if split:
            book.add(11, "split", 2, (1, 2), (2, 2))
            book.add(31, "merged", 2, (2, 2), (1, 2))
        book.add(51, "laid", 10, to=(3, 0))
        return book

    plain, split = book_of(split=False).share(60), book_of(split=True).share(60)

    assert near(carried(plain, 1, 2), carried(split, 1, 2))
    assert near(brood(plain, 1), brood(split, 1))
    assert near(carried(plain, 3, 0), carried(split, 3, 0))
    assert carried(plain, 1, 2) == 2400 * Fraction(1)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_independent_entries_of_one_day_does_not_matter(seed: int) -> None:
    written = random_book(seed, entries=150)
    book = written.book
    plain = book.journal()
    other = shuffled(book, random.Random(seed))
    assert [event.id for event in plain] != [event.id for event in other]

    one = share(plain, book.costs, book.lots, LAST_DAY, **written.method)  # type: ignore[arg-type]
    two = share(other, book.costs, book.lots, LAST_DAY, **written.method)  # type: ignore[arg-type]

    costs = {(row.lot, row.stage): exact(row.cost) for row in one.buckets}
    for bucket in two.buckets:
        assert abs(costs[bucket.lot, bucket.stage] - exact(bucket.cost)) <= NEAR
    went: dict[tuple[object, ...], Fraction] = defaultdict(Fraction)
    for sign, shared in ((1, one), (-1, two)):
        for row in out(shared):
            went[row.kind, row.event, row.lot, row.day] += sign * exact(row.cost)
    assert went
    assert all(abs(amount) <= NEAR for amount in went.values())


def shuffled(book: Book, rng: random.Random) -> list[Event]:
    """Each day's movements in another order, with those that depend on each other left in theirs."""
    result = []
    days: dict[int, list[Event]] = {}
    for event in book.journal():
        days.setdefault(event.accounting_on, []).append(event)
    for _, left in sorted(days.items()):
        while left:
            free = [
                event
                for place, event in enumerate(left)
                if not any(dependent(book, event, before) for before in left[:place])
            ]
            result.append(rng.choice(free))
            left.remove(result[-1])
    return result


def dependent(book: Book, one: Event, other: Event) -> bool:
    """Whether two movements share a lot, one changes a brood pool the other reads, or one refers to the other.

    Two clutches of the same mothers read one pool and are independent of each other.
    """

    def undone(event: Event) -> Event:
        return event if event.reverses is None else book.events[event.reverses - 1]

    def mothers(event: Event) -> set[int | None]:
        young = REASONS[event.reason].cost is Cost.BROOD and undone(event).relates_to is None
        return set(book.lots[undone(event).lot].mothers) if young else set()

    def changes(event: Event) -> set[int | None]:
        own = {event.from_lot, event.to_lot} - {None}
        return own | (mothers(event) if event.reverses is not None else set())

    def root(event: Event) -> int:
        return undone(event).relates_to or undone(event).id

    return bool(
        changes(one) & changes(other)
        or mothers(one) & changes(other)
        or mothers(other) & changes(one)
        or root(one) == root(other)
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_stages_kept_apart_sum_to_the_same_costs(seed: int) -> None:
    written = random_book(seed)

    plain, apart = shared_until(written, LAST_DAY), shared_until(written, LAST_DAY, by_stage=True)

    for one, other in zip(plain.buckets, apart.buckets, strict=True):
        assert tuple(map(sum, zip(*other.by_stage, strict=True))) == other.cost
        assert abs(exact(one.cost) - exact(other.cost)) <= NEAR
    for reached, of_stage in zip(plain.reached, apart.reached, strict=True):
        assert (reached.lot, reached.day, reached.count) == (of_stage.lot, of_stage.day, of_stage.count)
        assert tuple(map(sum, zip(*of_stage.by_stage, strict=True))) == of_stage.cost
        assert abs(exact(reached.cost) - exact(of_stage.cost)) <= NEAR
    assert not any(row.by_stage for row in plain.buckets)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_category_alone_comes_to_the_same_as_among_others(seed: int) -> None:
    written = random_book(seed)
    together = shared_until(written, LAST_DAY)
    heat = [line for line in written.book.costs if line.category == "heat"]

    alone = share(written.book.journal(), heat, written.book.lots, LAST_DAY, **written.method)  # type: ignore[arg-type]

    if "heat" in together.categories:
        here, there = together.categories.index("heat"), alone.categories.index("heat")
        for one, other in zip(together.buckets, alone.buckets, strict=True):
            # What does not divide by the units waits for the next day on which any cost of the scope changes.
            assert abs(exact([one.cost[here]]) - exact([other.cost[there]])) <= NEAR


def test_the_last_animal_left_of_a_million_carries_its_cost_exactly() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=1)})
    book.cost("feed", 1_000_003, 1, 7)
    book.add(1, "found", 1_000_000, to=(1, 0))
    book.add(1, "found", 1, to=(2, 0))
    for day in range(2, 7):
        book.add(day, "sold", 199_999, (1, 0))

    shared = book.share(7)

    left = [1_000_001 - 199_999 * gone for gone in (0, 1, 2, 3, 4, 5, 5)]
    wanted = sum(Fraction(1_000_003, 7 * count) for count in left)
    assert near(carried(shared, 2, 0), wanted)


def test_days_without_entries_are_not_played_one_by_one() -> None:
    """A century is no more work than a week."""
    century = 36_500
    book = Book({1: LotInfo(species=1)})
    line = CostLine(1, "heat", 3_650_000, 1, century, Scope("species", frozenset({1})))
    book.costs.append(line)
    book.add(1, "found", 3, to=(1, 0))

    shared = book.share(century // 2)

    assert shared.settlements == 1
    assert near(carried(shared, 1, 0), 1_825_000)
    assert sum(row.cost[shared.categories.index("heat")] for row in shared.closing) == line.amount * GRID


def test_a_journal_out_of_order_is_not_played() -> None:
    book = Book({1: LotInfo(species=1)})
    book.add(2, "found", 1, to=(1, 0))
    book.add(1, "found", 1, to=(1, 0))

    with pytest.raises(ValueError, match="order"):
        share(book.events, [], book.lots, 5)
    share(ordered(book.events, {}, by="accounting_on"), [], book.lots, 5)
