"""The awkward cases of costing: breeders, their brood, clutches, colonies and animals on loan."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from ledger.costs.given import LotInfo, Scope
from ledger.costs.result import Kind
from tests.ledger.costs.book import Book, breeders, brood, carried, exact, gone, near, of_category, picked

EGG, YOUNG, ADULT, DRIED = 0, 1, 2, 3
ONE = {1: LotInfo(species=1)}


def test_breeders_are_a_lasting_cost_that_goes_to_their_brood() -> None:
    shared = [breeders().share(day) for day in (15, 60, 80)]

    assert [round(carried(one, 1, ADULT)) for one in shared] == [450, 0, 0]
    assert [round(brood(one, 1)) for one in shared] == [150 + 150, 600 + 600, 600 + 800]


def test_a_breeder_sold_takes_what_is_left_of_its_cost_along() -> None:
    book = breeders()
    sale = book.add(31, "sold", 1, (1, ADULT))

    shared = book.share(60)

    assert near(gone(shared, Kind.LEFT, sale), 100)
    assert near(carried(shared, 1, ADULT), 0)
    assert near(brood(shared, 1), 600 + 300 + 200)


def test_a_dead_breeder_leaves_the_rest_of_its_cost_to_the_others_and_the_last_one_is_written_off() -> None:
    book = breeders()
    book.add(31, "died", 1, (1, ADULT), cause="unknown")
    last = book.add(46, "died", 2, (1, ADULT), cause="unknown")

    shared = book.share(60)

    assert near(gone(shared, Kind.WRITTEN_OFF, last), 150)
    assert near(gone(shared, Kind.BROOD_ENDED, lot=1), 450 + 450)
    assert brood(shared, 1) == 0


def test_the_brood_pool_is_expensed_when_the_breeders_stop() -> None:
    book = breeders(breeding=((1, 30),))
    book.add(30, "laid", 5, to=(2, EGG))

    shared = book.share(40)

    assert near(carried(shared, 2, EGG), 290 + 290 + 10 * Fraction(5, 8) + 10 * 10 * Fraction(5, 8))
    ended = picked(shared, Kind.BROOD_ENDED)
    assert [(row.day, row.lot) for row in ended] == [(31, 1)]
    assert near(exact(ended[0].cost), 10 * Fraction(3, 8) + 10)
    assert near(carried(shared, 1, ADULT), 300 + 10 * 10 * Fraction(3, 8))


def test_young_laid_on_the_day_the_breeders_die_still_take_the_pool() -> None:
    book = breeders()
    book.add(21, "died", 3, (1, ADULT), cause="unknown")
    book.add(21, "laid", 5, to=(2, EGG))

    shared = book.share(21)

    assert near(carried(shared, 2, EGG), 200 + 200 + 10)
    assert gone(shared, Kind.BROOD_ENDED) == 0


def test_reared_adults_kept_to_breed_become_a_lasting_cost_from_that_day() -> None:
    lots = {1: LotInfo(species=1), 2: LotInfo(species=1, breeding=((11, None),), breeding_life_days=100)}
    book = Book(lots, {2: 1})
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(11, "next stage", 10, (1, YOUNG), (1, ADULT))
    book.add(11, "split", 4, (1, ADULT), (2, ADULT))

    shared = book.share(35, reared={1: ADULT})

    assert carried(shared, 1, ADULT) == 600
    assert near(carried(shared, 2, ADULT), 300)
    assert near(brood(shared, 2), 100)
    assert [(row.lot, row.count, exact(row.cost)) for row in shared.reached] == [(1, 10, 1000)]


def test_a_lot_whose_purpose_turns_to_breeding_spreads_its_cost_from_that_day() -> None:
    book = Book({1: LotInfo(species=1, breeding=((21, None),), breeding_life_days=50)})
    book.add(1, "bought", 4, to=(1, ADULT), value=500)
    book.cost("heat", 1000, 1, 100)

    shared = book.share(30)

    assert near(carried(shared, 1, ADULT), 700 * Fraction(40, 50))
    assert near(brood(shared, 1), 700 * Fraction(10, 50) + 100)


def test_breeders_without_a_breeding_life_keep_their_own_cost() -> None:
    shared = breeders(breeding_life_days=None).share(50)

    assert near(carried(shared, 1, ADULT), 600)
    assert near(brood(shared, 1), 500)


def test_breeders_upkeep_goes_to_offspring_or_to_expense_by_a_switch() -> None:
    book = breeders()
    book.add(31, "laid", 10, to=(2, EGG))

    to_young, expensed = book.share(31), book.share(31, to_offspring=False)

    assert near(carried(to_young, 2, EGG), 600 + 10 * Fraction(10, 13))
    assert near(carried(expensed, 2, EGG), 10 * Fraction(10, 13))
    assert gone(to_young, Kind.BROOD_ENDED) == 0
    assert near(gone(expensed, Kind.BROOD_ENDED, lot=1), 600 + 10 + 10 * Fraction(3, 13))
    assert brood(expensed, 1) == 0


def test_upkeep_that_is_expensed_falls_in_the_period_in_which_it_arose() -> None:
    shared = breeders().share(30, to_offspring=False, cuts=[10])

    assert [(row.day, round(exact(row.cost))) for row in shared.postings] == [(10, 200), (30, 400)]


def test_two_clutches_on_one_day_share_the_pool_by_their_count() -> None:
    book = breeders()
    book.add(31, "laid", 30, to=(2, EGG))
    book.add(31, "laid", 4, to=(3, EGG))
    book.add(31, "laid", 6, to=(3, EGG))

    shared = book.share(31, weights={(1, EGG): 0})

    assert near(carried(shared, 2, EGG), 450)
    assert near(carried(shared, 3, EGG), 150)
    assert near(brood(shared, 1), 20)


def test_two_clutches_on_one_day_share_the_pool_by_stated_weight() -> None:
    book = breeders()
    book.lots[2] = replace(book.lots[2], brood_share=1)
    book.lots[3] = replace(book.lots[3], brood_share=3)
    book.add(31, "laid", 30, to=(2, EGG))
    book.add(31, "laid", 4, to=(3, EGG))
    book.add(31, "laid", 6, to=(3, YOUNG))

    shared = book.share(31, weights={(1, EGG): 0, (1, YOUNG): 0})

    assert near(carried(shared, 2, EGG), 150)
    assert near(carried(shared, 3, EGG), 450 * Fraction(4, 10))
    assert near(carried(shared, 3, YOUNG), 450 * Fraction(6, 10))


def test_young_of_two_mothers_take_the_pools_of_both() -> None:
    book = Book(
        {
            1: LotInfo(species=1, breeding=((1, None),)),
            2: LotInfo(species=1, breeding=((1, None),)),
            3: LotInfo(species=1, mothers=(1, 2)),
        },
        {3: 1},
    )
    for mother, amount in ((1, 100), (2, 50)):
        book.cost("feed", amount, 1, 10, scope=Scope("lots", frozenset({mother})))
        book.add(1, "found", 1, to=(mother, ADULT))
    book.add(11, "laid", 5, to=(3, EGG))

    assert carried(book.share(11), 3, EGG) == 150


def test_a_cost_for_a_groups_brood_goes_to_its_pool_while_it_breeds_and_else_has_nobody() -> None:
    book = breeders(breeding=((11, 20), (31, None)), breeding_life_days=None)
    book.cost("nests", 400, 1, 40, scope=Scope("brood", frozenset({1})))

    shared = book.share(40)

    nests = of_category(shared, next(row.cost for row in shared.closing if row.kind is Kind.BROOD), "nests")
    assert near(exact([nests]), 100)
    assert [(row.first, row.last) for row in shared.no_animals if row.category == "nests"] == [(1, 10), (21, 30)]


def test_objects_that_hatch_pass_their_cost_on_and_leave_the_mothers_pool_alone() -> None:
    book = breeders()
    book.add(11, "laid", 2, to=(2, EGG))
    out = book.add(51, "hatched out", 1, (2, EGG))
    book.add(51, "hatched", 25, to=(2, YOUNG), relates_to=out)
    book.add(51, "hatched", 15, to=(3, YOUNG), relates_to=out)

    before, after = book.share(50), book.share(51, weights={(1, YOUNG): 0})

    half = carried(before, 2, EGG) / 2
    assert near(carried(after, 2, YOUNG), half * Fraction(25, 40))
    assert near(carried(after, 3, YOUNG), half * Fraction(15, 40))
    assert near(brood(after, 1), brood(before, 1) + 10 + 10 * Fraction(3, 4))


def test_objects_nothing_hatches_from_are_written_off() -> None:
    book = breeders()
    book.add(11, "laid", 2, to=(2, EGG))
    out = book.add(21, "hatched out", 2, (2, EGG))

    shared = book.share(21)

    assert near(gone(shared, Kind.WRITTEN_OFF, out), 100 + 100 + 10 * 10 * Fraction(2, 5))


def test_animals_cannot_hatch_before_their_objects() -> None:
    book = Book(ONE)
    book.add(1, "found", 1, to=(1, EGG))
    book.add(2, "hatched", 5, to=(1, YOUNG), relates_to=3)
    book.add(3, "hatched out", 1, (1, EGG))

    with pytest.raises(ValueError, match="must hatch out before"):
        book.share(5)


def test_a_colony_that_is_only_estimated_counts_as_its_container_and_a_harvest_takes_its_pool() -> None:
    """Two colonies in a box each, whatever their estimates; care weight stands for a box."""
    box = LotInfo(species=1, breeding=((1, None),), breeding_life_days=365)
    book = Book({1: box, 2: box, 3: LotInfo(species=1, mothers=(1,))}, {3: 1})
    book.cost("feed", 1000, 1, 100)
    book.add(1, "bought", 1, to=(1, ADULT), value=730)
    book.add(1, "bought", 1, to=(2, ADULT), value=0)
    book.add(31, "harvested", 40, to=(3, ADULT))
    book.add(61, "harvested", 60, to=(3, ADULT))

    first, second = book.share(31), book.share(61)

    assert near(carried(first, 3, ADULT), 30 * (2 + 5) + 10 * Fraction(40, 42))
    feed_since = 30 * 10 * Fraction(40, 42) + 10 * Fraction(100, 102)
    assert near(carried(second, 3, ADULT), 30 * (2 + 5) + 30 * (2 + Fraction(10, 42)) + feed_since)
    assert near(carried(second, 1, ADULT), 730 - 2 * 61)


def test_animals_on_loan_carry_no_cost_and_their_share_goes_to_their_brood() -> None:
    book = Book({1: LotInfo(species=1, lent=True), 2: LotInfo(species=1, mothers=(1,))}, {2: 1})
    book.cost("heat", 400, 1, 40)
    book.add(1, "lent in", 2, to=(1, ADULT))
    book.add(21, "laid", 10, to=(2, EGG))
    home = book.add(31, "loan returned", 2, (1, ADULT))

    shared = [book.share(day) for day in (20, 21, 31)]

    assert [carried(one, 1, ADULT) for one in shared] == [0, 0, 0]
    assert near(brood(shared[0], 1), 200)
    assert near(carried(shared[1], 2, EGG), 200 + 10 * Fraction(10, 12))
    assert gone(shared[2], Kind.LEFT, home) == 0
    assert near(gone(shared[2], Kind.BROOD_ENDED, lot=1), 100 * Fraction(2, 12))


def test_animals_on_loan_need_a_lot_of_their_own() -> None:
    book = Book(ONE)
    book.add(1, "lent in", 2, to=(1, ADULT))

    with pytest.raises(ValueError, match="not marked lent"):
        book.share(1)
