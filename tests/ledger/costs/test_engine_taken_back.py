"""The awkward cases of costing: movements taken back after their year was closed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from ledger.costs.given import LotInfo
from ledger.costs.result import Kind
from tests.ledger.costs.book import Book, breeders, brood, carried, exact, gone, near, picked

EGG, YOUNG, ADULT, DRIED = 0, 1, 2, 3
ONE = {1: LotInfo(species=1)}


def test_a_sale_taken_back_after_the_year_was_closed_brings_back_its_cost_and_leaves_the_year_alone() -> None:
    book = Book(ONE)
    book.cost("heat", 200, 1, 20)
    book.add(1, "bought", 4, to=(1, ADULT), value=400)
    sale = book.add(5, "sold", 2, (1, ADULT))
    year = book.share(10)
    back = book.take_back(11, sale)

    shared = book.share(11)

    assert (list(book.share(10).postings), book.share(10).closing) == (list(year.postings), year.closing)
    assert near(gone(shared, Kind.LEFT, sale), 220)
    assert near(gone(shared, Kind.LEFT, back), -220)
    assert near(carried(shared, 1, ADULT), 400 + 110)


def test_a_move_taken_back_moves_back_the_cost_originally_moved() -> None:
    book = Book(ONE)
    book.cost("heat", 1000, 6, 10)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    on = book.add(5, "next stage", 4, (1, YOUNG), (1, ADULT))
    book.add(5, "bought", 4, to=(1, ADULT), value=0)
    book.take_back(11, on)

    shared = book.share(11, reared={1: ADULT}, weights={(1, YOUNG): 0})

    assert near(carried(shared, 1, YOUNG), 1000)
    assert near(carried(shared, 1, ADULT), 1000)
    assert [(row.day, row.count, exact(row.cost)) for row in shared.reached] == [(5, 4, 400), (11, -4, -400)]
    young = next(row for row in shared.buckets if row.stage == YOUNG)
    assert young.entrants == 10_000


def test_a_move_taken_back_moves_no_more_than_is_there() -> None:
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    on = book.add(5, "next stage", 4, (1, YOUNG), (1, ADULT))
    book.add(6, "found", 4, to=(1, ADULT))
    book.add(7, "sold", 3, (1, ADULT))
    book.take_back(11, on)

    shared = book.share(11)

    assert carried(shared, 1, ADULT) == 0
    assert carried(shared, 1, YOUNG) == 600 + 250


def test_a_purchase_taken_back_takes_its_price_out_and_writes_off_what_the_animals_had_borne() -> None:
    book = Book(ONE)
    book.cost("heat", 100, 1, 10)
    bought = book.add(1, "bought", 4, to=(1, ADULT), value=400)
    back = book.take_back(11, bought)

    shared = book.share(11)

    assert shared.came_in == (0, 100)
    assert near(gone(shared, Kind.WRITTEN_OFF, back), 100)
    assert carried(shared, 1, ADULT) == 0


def test_a_clutch_taken_back_gives_its_mothers_their_pool_back() -> None:
    book = breeders()
    clutch = book.add(31, "laid", 10, to=(2, EGG))
    back = book.take_back(41, clutch)

    shared = book.share(41, weights={(1, EGG): 0})

    assert near(brood(shared, 1), 600 + 10 * 20 + 20)
    assert gone(shared, Kind.WRITTEN_OFF, back) == 0
    assert carried(shared, 2, EGG) == 0


def test_breeders_that_go_back_to_a_group_that_has_stopped_bring_their_pool_to_an_end() -> None:
    group = LotInfo(species=1, breeding=((1, 30),))
    book = Book({1: group, 2: replace(group, breeding=((1, None),))}, {2: 1})
    book.cost("heat", 1000, 1, 100)
    book.add(1, "found", 4, to=(1, 2))
    split = book.add(21, "split", 1, (1, 2), (2, 2))
    book.take_back(41, split)

    shared = book.share(41)

    moved = 200 * Fraction(1, 4)
    assert [(row.day, row.lot) for row in picked(shared, Kind.BROOD_ENDED)] == [(31, 1), (41, 1), (41, 2)]
    assert near(exact(picked(shared, Kind.BROOD_ENDED)[1].cost), moved)
    assert brood(shared, 1) == brood(shared, 2) == 0


def test_a_loss_taken_back_takes_the_write_off_and_the_allowance_back() -> None:
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    death = book.add(2, "died", 4, (1, YOUNG), cause="unknown")
    back = book.take_back(11, death)

    shared = book.share(11, losses={(1, YOUNG): 200_000})

    assert gone(shared, Kind.WRITTEN_OFF, death) == 250
    assert gone(shared, Kind.WRITTEN_OFF, back) == -250
    assert carried(shared, 1, YOUNG) == 1000
    assert [row.expected_used for row in shared.buckets] == [0]


def test_a_hatching_taken_back_gives_the_objects_their_cost_back() -> None:
    book = Book(ONE)
    book.add(1, "bought", 2, to=(1, EGG), value=600)
    out = book.add(5, "hatched out", 1, (1, EGG))
    young = book.add(5, "hatched", 20, to=(1, YOUNG), relates_to=out)
    for number in (out, young):
        book.take_back(11, number)

    shared = book.share(11)

    assert carried(shared, 1, EGG) == 600
    assert gone(shared, Kind.WRITTEN_OFF) == 0


def test_taking_back_what_is_not_in_the_books_is_an_error() -> None:
    book = Book(ONE)
    book.add(1, "found", 1, to=(1, YOUNG))
    number = book.add(2, "sold", 1, (1, YOUNG))
    book.take_back(3, number)
    book.events = [event for event in book.events if event.id != number]

    with pytest.raises(ValueError, match="not before it"):
        book.share(5)
