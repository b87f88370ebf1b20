"""A run that stays open comes to the same as one from the start, whatever was recorded meanwhile and in what order."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from ledger.costs.engine import share, stages_of
from ledger.costs.given import TUB_DAYS, CostLine, Given, LotInfo, Scope, with_method
from ledger.costs.live import Live
from ledger.costs.result import Kind, Shared
from ledger.stock.events import Event
from tests.ledger.costs.book import Book
from tests.ledger.costs.random_book import LAST_DAY, Written, random_book

SEEDS = range(700, 760)


def given_of(written: Written, costs: list[CostLine], *, by_stage: bool = False, to_offspring: bool = True) -> Given:
    method = written.method
    return Given(
        costs=with_method(costs, method["keys"], method["care"]),  # type: ignore[arg-type]
        lots=dict(written.book.lots),
        weights=method["weights"],  # type: ignore[arg-type]
        losses=method["losses"],  # type: ignore[arg-type]
        reared=method["reared"],  # type: ignore[arg-type]
        specimens=frozenset(method["specimens"]),  # type: ignore[call-overload]
        cuts=frozenset(),
        care=method["care"],  # type: ignore[arg-type]
        by_stage=by_stage,
        stages=stages_of(written.book.events) if by_stage else 1,
        to_offspring=to_offspring,
    )


def anew(events: list[Event], given: Given, until: int) -> Shared:
    return share(
        events,
        given.costs,
        given.lots,
        until,
        weights=given.weights,
        losses=given.losses,
        reared=given.reared,
        specimens=given.specimens,
        cuts=given.cuts,
        care=given.care,
        by_stage=given.by_stage,
        to_offspring=given.to_offspring,
    )


def same(one: Shared, other: Shared) -> bool:
    """Every figure to the last step of the grid; not how often a bucket was settled."""
    rows = [list(shared.postings) for shared in (one, other)]
    plain = [replace(shared, postings=one.postings, settlements=0) for shared in (one, other)]
    return rows[0] == rows[1] and plain[0] == plain[1]


def weeks(day: int, until: int) -> int:
    return day // 7


@pytest.mark.parametrize("seed", SEEDS)
def test_a_journal_entered_day_by_day_comes_to_the_same_as_one_read_whole(seed: int) -> None:
    written = random_book(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs)
    live = Live([], given, 1, layers=weeks)
    known: list[Event] = []
    for until in range(1, LAST_DAY + 1, 3):
        now = [event for event in events if event.accounting_on <= until]
        live.go(now, given, until, since=until - 2, fresh=now[len(known) :])
        known = now

        assert same(live.shared(), anew(now, given, until))


@pytest.mark.parametrize("seed", SEEDS)
def test_late_entries_and_days_asked_for_in_any_order_come_to_the_same(seed: int) -> None:
    """A quarter of the arrivals is entered late, one by one; the last day asked for jumps to and fro."""
    written, rng = random_book(seed, entries=80), random.Random(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs, to_offspring=seed % 3 != 0)
    late = [event for event in events if event.reason == "found" or (event.reason == "bought" and rng.random() < 0.5)]
    needed = {event.id for event in late if not can_be_left_out(events, event)}
    late = [event for event in late if event.id not in needed]
    out = {event.id for event in late}
    live = Live([event for event in events if event.id not in out], given, LAST_DAY, layers=weeks)
    for event in rng.sample(late, len(late)):
        out.discard(event.id)
        now = [one for one in events if one.id not in out]
        until = rng.choice([LAST_DAY, LAST_DAY, rng.randint(1, LAST_DAY)])

        live.go(now, given, until, since=event.accounting_on, fresh=[event])

        assert same(live.shared(), anew(now, given, until)), event


def can_be_left_out(events: list[Event], event: Event) -> bool:
    """Whether the journal can have happened without an arrival."""
    lots = {number: LotInfo(1, lent=True) for number in range(1, 10)}
    try:
        share([one for one in events if one is not event], [], lots, LAST_DAY)
    except (ValueError, KeyError):
        return False
    return True


Change = Callable[[Given, random.Random], Given]


def another_cost(given: Given, rng: random.Random) -> Given:
    first = rng.randint(1, LAST_DAY)
    line = CostLine(99, "feed", 777, first, first + 9, Scope("lots", frozenset({rng.randint(1, 9)})))
    return replace(given, costs=with_method([*given.costs, line], {}, given.care))


def a_cost_cut_short(given: Given, rng: random.Random) -> Given:
    costs = list(given.costs)
    place = rng.randrange(len(costs))
    costs[place] = replace(costs[place], last=costs[place].first)
    return replace(given, costs=costs)


def another_weight(given: Given, rng: random.Random) -> Given:
    return replace(given, weights={**given.weights, (1, 1): ((0, 1000), (rng.randint(2, LAST_DAY), 3000))})


def another_loss_rate(given: Given, rng: random.Random) -> Given:
    return replace(given, losses={**given.losses, (1, 0): ((0, 250_000), (rng.randint(2, LAST_DAY), 10_000))})


def a_closed_year(given: Given, rng: random.Random) -> Given:
    return replace(given, cuts=given.cuts | {rng.randint(1, LAST_DAY)})


def breeding_ends(given: Given, rng: random.Random) -> Given:
    first = given.lots[1].breeding[0][0]
    info = replace(given.lots[1], breeding=((first, rng.randint(first, LAST_DAY)),))
    return replace(given, lots={**given.lots, 1: info})


def another_breeding_life(given: Given, rng: random.Random) -> Given:
    info = replace(given.lots[2], breeding_life_days=((0, 50), (rng.randint(1, LAST_DAY), rng.randint(5, 90))))
    return replace(given, lots={**given.lots, 2: info})


def a_weight_said_again(given: Given, rng: random.Random) -> Given:
    """A row that changes nothing, with a day of its own."""
    rows = given.weights[1, 2]
    assert not isinstance(rows, int)
    day = rows[-1][0] + rng.randint(0, 9)
    return replace(given, weights={**given.weights, (1, 2): (*rows, (day, rows[-1][1]))})


def containers_said_at_last(given: Given, rng: random.Random) -> Given:
    """One container, as was taken for granted."""
    info = replace(given.lots[9], containers=((rng.randint(1, 9), 1),))
    return replace(given, lots={**given.lots, 9: info})


def upkeep_expensed(given: Given, rng: random.Random) -> Given:
    return replace(given, to_offspring=((rng.randint(1, LAST_DAY), rng.randint(0, 1)),))


def more_containers(given: Given, rng: random.Random) -> Given:
    info = replace(given.lots[4], containers=((rng.randint(1, LAST_DAY), 7),))
    return replace(given, lots={**given.lots, 4: info})


def another_key(given: Given, rng: random.Random) -> Given:
    costs = [replace(line, keys=((rng.randint(1, LAST_DAY), TUB_DAYS),)) for line in given.costs]
    return replace(given, costs=costs)


CHANGES: list[Change] = [
    another_cost, a_cost_cut_short, another_weight, another_loss_rate, a_closed_year, breeding_ends, more_containers,
    another_key, another_breeding_life, upkeep_expensed, a_weight_said_again,
    containers_said_at_last,
]  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
@pytest.mark.parametrize("seed", range(700, 712))
def test_whatever_else_changes_comes_to_the_same(seed: int, change: Change) -> None:
    written, rng = random_book(seed), random.Random(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs, by_stage=seed % 2 == 0)
    live = Live(events, given, LAST_DAY, layers=weeks)
    for _ in range(3):
        given = change(given, rng)

        live.go(events, given, LAST_DAY)

        assert same(live.shared(), anew(events, given, LAST_DAY))


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
@pytest.mark.parametrize("seed", range(720, 726))
def test_a_late_cost_and_something_else_at_once_come_to_the_same(seed: int, change: Change) -> None:
    written, rng = random_book(seed), random.Random(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs, by_stage=seed % 2 == 0)
    live = Live(events, given, LAST_DAY, layers=weeks)
    for _ in range(3):
        given = change(another_cost(given, rng), rng)

        live.go(events, given, LAST_DAY)

        assert same(live.shared(), anew(events, given, LAST_DAY))


def test_a_run_that_was_not_told_of_a_late_entry_is_found_out() -> None:
    book = Book({1: LotInfo(species=1)})
    book.cost("heat", 100, 1, 10)
    book.add(2, "found", 1, to=(1, 0))
    written = Written(book, {"keys": {}, "care": {}, "weights": {}, "losses": {}, "reared": {}, "specimens": []})
    given = given_of(written, book.costs)
    live = Live(book.journal(), given, 10, layers=weeks)
    book.add(1, "found", 1, to=(1, 0))

    live.go(book.journal(), given, 10, since=9)

    assert not same(live.shared(), anew(book.journal(), given, 10))
    live.go(book.journal(), given, 10, since=1)
    assert same(live.shared(), anew(book.journal(), given, 10))


@pytest.mark.parametrize("seed", SEEDS)
def test_what_reared_animals_cost_can_be_asked_without_closing(seed: int) -> None:
    written = random_book(seed)
    events, given = written.book.journal(), given_of(written, written.book.costs, by_stage=True)
    live = Live(events, given, LAST_DAY)
    shared = live.shared()

    for lot, row in live.reared().items():
        reached = [one for one in shared.reached if one.lot == lot]
        assert row.count == sum(one.count for one in reached)
        assert row.cost == tuple(map(sum, zip(*(one.cost for one in reached), strict=True))) or not reached
        assert tuple(map(sum, zip(*row.by_stage, strict=True))) == row.cost
        assert row.known == (lot not in shared.not_known | shared.mixed)
    reared = {lot for lot in written.book.lots if sum(one.count for one in shared.reached if one.lot == lot)}
    assert reared <= live.reared().keys()


def test_losses_of_animals_already_reared_are_not_among_those_of_rearing() -> None:
    book = Book({1: LotInfo(species=1)})
    book.add(1, "bought", 10, to=(1, 0), value=1000)
    book.add(2, "died", 2, (1, 0), cause="exceptional")
    book.add(3, "next stage", 8, (1, 0), (1, 1))
    book.add(4, "died", 4, (1, 1), cause="exceptional")
    method = {"keys": {}, "care": {}, "weights": {}, "losses": {}, "reared": {1: 1}, "specimens": []}
    live = Live(book.journal(), given_of(Written(book, method), []), 5)

    whole = sum(sum(row.cost) for row in live.shared().postings if row.kind is Kind.WRITTEN_OFF)

    assert sum(live.reared()[1].lost) * 3 == whole


def test_a_late_cost_counts_though_a_sale_is_taken_back_at_the_same_time() -> None:
    """The run goes back as far as the cost reaches, not only as far as the sale whose cost must be remembered."""
    book = Book({1: LotInfo(species=1)})
    book.add(1, "found", 9, to=(1, 0))
    sale = book.add(30, "sold", 3, (1, 0))
    given = given_of(Written(book, PLAIN), [CostLine(1, "heat", 600, 20, 60)])
    live = Live(book.journal(), given, 60, layers=weeks)
    given = replace(given, costs=[*given.costs, CostLine(2, "heat", 700, 8, 21)])
    book.add(40, "returned", 1, to=(1, 0), relates_to=sale)

    live.go(book.journal(), given, 60, since=40, fresh=book.events[-1:])

    assert same(live.shared(), anew(book.journal(), given, 60))


def test_a_late_cost_counts_beside_others_though_a_weight_is_said_again_at_the_same_time() -> None:
    """What is said again is a day on which all costs of the animals are brought up to date, and changes none."""
    book = Book({1: LotInfo(species=1)})
    book.add(1, "found", 9, to=(1, 0))
    book.add(40, "found", 1, to=(1, 1))
    costs = [CostLine(1, "heat", 600, 2, 61), CostLine(2, "feed", 600, 2, 61)]
    given = replace(given_of(Written(book, PLAIN), costs), weights={(1, 0): ((0, 1000),)})
    live = Live(book.journal(), given, 60, layers=weeks)
    weights = {(1, 0): ((0, 1000), (50, 1000))}
    more = [*costs, CostLine(3, "heat", 700, 8, 21)]
    for now in (replace(given, costs=more, weights=weights), replace(given, weights=weights)):
        live.go(book.journal(), now, 60)

        assert same(live.shared(), anew(book.journal(), now, 60))


def test_a_late_cost_counts_beside_others_after_a_weight_was_said_again() -> None:
    book = Book({1: LotInfo(species=1)})
    book.add(1, "found", 9, to=(1, 0))
    book.add(40, "found", 1, to=(1, 1))
    costs = [CostLine(1, "heat", 600, 2, 61), CostLine(2, "feed", 600, 2, 61)]
    given = replace(given_of(Written(book, PLAIN), costs), weights={(1, 0): ((0, 1000),)})
    live = Live(book.journal(), given, 60, layers=weeks)
    given = replace(given, weights={(1, 0): ((0, 1000), (50, 1000))})
    live.go(book.journal(), given, 60)
    given = replace(given, costs=[*costs, CostLine(3, "heat", 700, 8, 21)])

    live.go(book.journal(), given, 60)

    assert same(live.shared(), anew(book.journal(), given, 60))


PLAIN: dict[str, object] = {"keys": {}, "care": {}, "weights": {}, "losses": {}, "reared": {}, "specimens": []}


@pytest.mark.parametrize("first", [20, 50])
@pytest.mark.parametrize("scope", [Scope("all"), Scope("lots", frozenset({1})), Scope("species", frozenset({2}))])
def test_a_cost_entered_late_still_counts_after_a_day_before_it_has_changed(scope: Scope, first: int) -> None:
    """Of animals that had no cost of their own, or only a later one."""
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=2)})
    book.cost("heat", 900, 45, 60)
    for day in range(6, 60, 6):
        book.add(day, "found", day, to=(1 + day % 4 // 2, 0))
    given = given_of(Written(book, PLAIN), list(book.costs))
    live = Live(book.journal(), given, 60, layers=weeks)
    given = replace(given, costs=[*book.costs, CostLine(2, "heat", 700, first, 55, scope)])
    live.go(book.journal(), given, 60)
    book.add(4, "found", 3, to=(1, 0))

    live.go(book.journal(), given, 60, since=4, fresh=book.events[-1:])

    assert same(live.shared(), anew(book.journal(), given, 60))


def test_a_day_before_young_were_laid_knows_nothing_of_their_mothers() -> None:
    """That part of their cost is not known is forgotten with the young, when an earlier day is asked for."""
    book = Book({1: LotInfo(species=1, breeding=((1, None),)), 2: LotInfo(species=1, mothers=(1,))})
    book.add(1, "opening", 4, to=(1, 0))
    book.add(1, "found", 1, to=(2, 0))
    book.add(30, "laid", 9, to=(2, 0))
    given = given_of(Written(book, PLAIN), [])
    live = Live(book.journal(), given, 60, layers=weeks)
    assert live.shared().mothers_not_known == {2}

    live.go(book.journal(), given, 29)

    assert not live.shared().mothers_not_known
