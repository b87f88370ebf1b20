"""Costs shared by tubs instead of by animals, and care weights that one category has of its own."""

from __future__ import annotations

from fractions import Fraction

from ledger.costs.given import ANIMAL_DAYS, TUB_DAYS, LotInfo
from tests.ledger.costs.book import Book, brood, carried, near

EGG, YOUNG, ADULT, DRIED = 0, 1, 2, 3
BY_TUBS = {"heat": [(0, TUB_DAYS)]}


def two_lots(**first: object) -> Book:
    return Book({1: LotInfo(species=1, **first), 2: LotInfo(species=1)})  # type: ignore[arg-type]


def test_tubs_share_alike_however_many_animals_are_in_them() -> None:
    book = two_lots()
    book.cost("heat", 900, 1, 3)
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "1"))
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "2"))
    book.add(1, "found", 40, to=(2, YOUNG), tubs=("", "1"))

    by_tubs, by_animals = book.share(3, keys=BY_TUBS), book.share(3)

    assert [round(carried(by_tubs, lot, stage)) for lot, stage in ((1, ADULT), (2, YOUNG))] == [600, 300]
    assert near(carried(by_animals, 1, ADULT), Fraction(900 * 2, 42))


def test_animals_without_a_label_share_one_tub_or_the_containers_stated_for_them() -> None:
    book = two_lots(containers=((0, 1), (3, 3)))
    book.cost("heat", 800, 1, 4)
    book.add(1, "found", 50, to=(1, YOUNG))
    book.add(1, "found", 2, to=(2, YOUNG))

    shared = book.share(4, keys=BY_TUBS)

    assert near(carried(shared, 1, YOUNG), 2 * 100 + 2 * 150)
    assert near(carried(shared, 2, YOUNG), 2 * 100 + 2 * 50)


def test_a_mixed_tub_is_divided_by_the_animals_in_it_whatever_they_weigh() -> None:
    book = two_lots()
    book.cost("heat", 700, 1, 7)
    book.add(1, "found", 6, to=(1, YOUNG), tubs=("", "a"))
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "a"))

    shared = book.share(7, keys=BY_TUBS, weights={(1, ADULT): 5000, (1, YOUNG): 0})

    assert near(carried(shared, 1, YOUNG), 600)
    assert near(carried(shared, 1, ADULT), 100)


def test_moving_a_single_animal_into_a_tub_of_its_own_costs_it_a_tub() -> None:
    book = two_lots()
    book.cost("heat", 400, 1, 4)
    book.add(1, "found", 2, to=(1, YOUNG))
    book.add(1, "found", 2, to=(2, YOUNG))
    book.add(3, "tub moved", 1, (1, YOUNG), (1, YOUNG), tubs=("", "own"))

    shared = book.share(4, keys=BY_TUBS)

    assert near(carried(shared, 1, YOUNG), 100 + Fraction(2 * 200, 3))


def test_another_key_from_a_day_on_leaves_the_days_before_as_they_were() -> None:
    book = two_lots()
    book.cost("heat", 1000, 1, 10)
    book.add(1, "found", 9, to=(1, YOUNG))
    book.add(1, "found", 1, to=(2, YOUNG))
    keys = {"heat": [(0, ANIMAL_DAYS), (6, TUB_DAYS)]}

    before, after = book.share(5, keys=keys), book.share(10, keys=keys)

    assert carried(before, 1, YOUNG) == carried(book.share(5), 1, YOUNG) == 450
    assert near(carried(after, 1, YOUNG), 450 + 250)


def test_only_the_category_that_is_shared_by_tubs_is() -> None:
    book = two_lots()
    book.cost("heat", 100, 1, 1)
    book.cost("feed", 100, 1, 1)
    book.add(1, "found", 9, to=(1, YOUNG))
    book.add(1, "found", 1, to=(2, YOUNG))

    assert near(carried(book.share(1, keys=BY_TUBS), 1, YOUNG), 50 + 90)


def test_dried_specimens_fill_no_tub_and_an_empty_tub_bears_nothing() -> None:
    book = two_lots()
    book.cost("heat", 300, 1, 3)
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "a"))
    book.add(1, "found", 1, to=(2, ADULT), tubs=("", "a"))
    book.add(2, "dried", 1, (1, ADULT), (1, DRIED), tubs=("a", "a"))

    shared = book.share(3, keys=BY_TUBS, specimens=[(1, DRIED)])

    assert near(carried(shared, 2, ADULT), 50 + 200)
    assert carried(shared, 1, DRIED) == 0


def test_the_tubs_of_breeders_bear_cost_for_their_brood() -> None:
    book = two_lots(breeding=((1, None),))
    book.cost("heat", 300, 1, 3)
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "a"))
    book.add(1, "found", 1, to=(1, ADULT), tubs=("", "b"))
    book.add(1, "found", 7, to=(2, YOUNG))

    shared = book.share(3, keys=BY_TUBS)

    assert near(brood(shared, 1), 200)
    assert carried(shared, 1, ADULT) == 0


def test_a_category_may_weigh_stages_in_its_own_way_from_a_day_on() -> None:
    book = two_lots()
    book.cost("feed", 400, 1, 4)
    book.cost("heat", 400, 1, 4)
    book.add(1, "found", 1, to=(1, ADULT))
    book.add(1, "found", 1, to=(2, YOUNG))

    shared = book.share(4, weights={(1, ADULT): 3000}, care={"feed": {(1, ADULT): ((3, 1000),)}})

    assert near(carried(shared, 1, ADULT), 300 + 2 * 75 + 2 * 50)
