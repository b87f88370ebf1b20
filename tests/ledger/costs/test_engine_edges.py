"""The awkward cases of costing, one test named after each: costs and days, deaths, leaving, lots split and merged."""

from __future__ import annotations

from fractions import Fraction

import pytest

from ledger.costs.allowance import lost_share, normal
from ledger.costs.engine import share
from ledger.costs.given import CostLine, LotInfo, Scope
from ledger.costs.result import Kind
from tests.ledger.costs.book import Book, brood, carried, closed, exact, gone, near

EGG, YOUNG, ADULT, DRIED = 0, 1, 2, 3
ONE = {1: LotInfo(species=1)}


# --- costs and their windows -----------------------------------------------------------------------------


def test_a_cost_with_no_animals_is_shown_as_such_with_its_days() -> None:
    book = Book(ONE)
    book.cost("heat", 1000, 1, 10)
    book.add(4, "found", 2, to=(1, YOUNG))
    book.add(9, "sold", 2, (1, YOUNG))

    shared, cut = book.share(20), book.share(20, cuts=[1, 2, 9])

    assert [(row.kind, row.category, row.first, row.last) for row in shared.no_animals] == [
        ("all", "heat", 1, 3),
        ("all", "heat", 9, 10),
    ]
    assert cut.no_animals == shared.no_animals
    assert near(gone(shared, Kind.NO_ANIMALS), 500)
    assert near(gone(shared, Kind.LEFT), 500)


def test_a_business_without_any_animals_carries_nothing() -> None:
    book = Book(ONE)
    book.cost("heat", 999, 5, 14)

    shared = book.share(9)

    assert gone(shared, Kind.NO_ANIMALS) + Fraction(999, 2) == 999
    assert closed(shared, Kind.NOT_USED_UP) + sum(sum(row.posted) for row in shared.postings) == 999


def test_animals_of_weight_nought_bear_nothing_and_alone_leave_nobody_to_bear_it() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=1)})
    book.cost("feed", 1000, 1, 10)
    book.add(1, "found", 5, to=(1, EGG))
    book.add(6, "found", 1, to=(2, YOUNG))

    shared = book.share(10, weights={(1, EGG): 0})

    assert carried(shared, 1, EGG) == 0
    assert near(carried(shared, 2, YOUNG), 500)
    assert gone(shared, Kind.NO_ANIMALS) == 500


def test_a_weight_counts_from_its_day() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=2)})
    book.cost("feed", 1000, 1, 10)
    book.add(1, "found", 1, to=(1, YOUNG))
    book.add(1, "found", 1, to=(2, YOUNG))

    shared = book.share(10, weights={(1, YOUNG): ((1, 1000), (6, 4000))})

    assert near(carried(shared, 1, YOUNG), 250 + 400)
    assert near(carried(shared, 2, YOUNG), 250 + 100)


def test_a_bag_finished_early_is_spread_anew_over_the_days_that_are_not_locked() -> None:
    book = Book(ONE)
    book.add(1, "found", 1, to=(1, YOUNG))
    whole = [CostLine(1, "feed", 600, 1, 60)]
    finished = [CostLine(1, "feed", 100, 1, 10), CostLine(1, "feed", 500, 11, 30)]

    before = share(book.journal(), whole, book.lots, 10)
    after = [share(book.journal(), finished, book.lots, day) for day in (10, 20, 30)]

    assert near(carried(before, 1, YOUNG), 100)
    assert [round(carried(shared, 1, YOUNG)) for shared in after] == [100, 350, 600]
    assert closed(after[1], Kind.NOT_USED_UP, cost_line=1) == 250


def test_equipment_disposed_of_early_has_cost_the_same_until_then_and_nothing_after() -> None:
    book = Book(ONE)
    book.add(1, "found", 1, to=(1, YOUNG))
    whole, disposed = [CostLine(1, "rack", 730, 1, 730)], [CostLine(1, "rack", 20, 1, 20)]

    until_then = [share(book.journal(), rack, book.lots, 20) for rack in (whole, disposed)]
    after = share(book.journal(), disposed, book.lots, 30)

    assert [round(carried(shared, 1, YOUNG)) for shared in until_then] == [20, 20]
    assert near(carried(after, 1, YOUNG), 20)
    assert [closed(shared, Kind.NOT_USED_UP) for shared in (*until_then, after)] == [710, 0, 0]


def test_of_mixed_household_use_only_the_business_share_is_given_and_all_of_it_is_borne() -> None:
    book = Book(ONE)
    book.add(1, "found", 1, to=(1, YOUNG))
    bill, share_of_business = 9000, Fraction(35, 100)
    book.cost("heat", int(bill * share_of_business), 1, 90)

    assert near(carried(book.share(90), 1, YOUNG), 3150)


def test_a_supplier_refund_takes_cost_off_over_its_own_days() -> None:
    book = Book(ONE)
    book.cost("feed", 1000, 1, 100)
    book.cost("feed", -400, 51, 100)
    book.add(1, "found", 4, to=(1, YOUNG))
    sale = book.add(51, "sold", 2, (1, YOUNG))

    shared = book.share(100)

    assert near(gone(shared, Kind.LEFT, sale), 250)
    assert near(carried(shared, 1, YOUNG), 250 + 500 - 400)
    assert shared.came_in[shared.categories.index("feed")] == 600


def test_a_refund_without_animals_left_is_a_gain_nobody_carries() -> None:
    book = Book(ONE)
    book.cost("feed", 1000, 1, 10)
    book.cost("feed", -300, 20, 20)
    book.add(1, "found", 4, to=(1, YOUNG))
    book.add(11, "sold", 4, (1, YOUNG))

    assert gone(book.share(30), Kind.NO_ANIMALS) == -300


def test_two_species_share_heat_and_each_bears_its_own_feed() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=2)})
    book.cost("heat", 1000, 1, 10)
    book.cost("feed", 300, 1, 10, scope=Scope("species", frozenset({1})))
    book.cost("feed", 77, 1, 10, scope=Scope("lots", frozenset({2})))
    book.add(1, "found", 3, to=(1, YOUNG))
    book.add(1, "found", 1, to=(2, YOUNG))

    shared = book.share(10)

    assert near(carried(shared, 1, YOUNG), 750 + 300)
    assert near(carried(shared, 2, YOUNG), 250 + 77)


# --- days and their order --------------------------------------------------------------------------------


def test_a_death_and_an_emergence_on_the_day_of_arrival_are_played_in_the_order_they_can_have_happened() -> None:
    book = Book(ONE)
    book.cost("heat", 900, 1, 3)
    book.add(2, "next stage", 4, (1, YOUNG), (1, ADULT))
    death = book.add(2, "died", 1, (1, YOUNG), cause="exceptional")
    sale = book.add(2, "sold", 1, (1, ADULT))
    book.add(2, "bought", 5, to=(1, YOUNG), value=1000)

    shared = book.share(2, reared={1: ADULT})

    assert gone(shared, Kind.WRITTEN_OFF, death) == 200
    assert gone(shared, Kind.LEFT, sale) == 200
    assert near(carried(shared, 1, ADULT), 600 + 300)
    assert carried(shared, 1, YOUNG) == 0
    assert [(row.day, row.count, exact(row.cost)) for row in shared.reached] == [(2, 4, 800)]


def test_animals_bear_the_cost_of_a_day_if_they_are_there_at_its_end() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=1)})
    book.cost("heat", 300, 1, 3)
    book.add(1, "found", 1, to=(1, YOUNG))
    book.add(2, "found", 1, to=(2, YOUNG))
    sale = book.add(3, "sold", 1, (1, YOUNG))

    shared = book.share(3)

    assert near(gone(shared, Kind.LEFT, sale), 100 + 50)
    assert near(carried(shared, 2, YOUNG), 50 + 100)


@pytest.mark.parametrize("closed_until", [0, 30])
def test_a_late_entry_falls_in_the_open_period_and_the_closed_one_keeps_its_figures(closed_until: int) -> None:
    """Hatched on day 25, sold on day 40, entered on day 50; the year may have been closed at day 30 meanwhile."""
    book = Book({1: LotInfo(species=1, breeding=((1, None),)), 2: LotInfo(species=1, mothers=(1,))}, depth={2: 1})
    book.cost("heat", 6000, 1, 60)
    book.add(1, "found", 2, to=(1, ADULT))
    before = book.share(30)

    book.add(max(25, closed_until + 1), "hatched", 10, to=(2, YOUNG), happened_on=25)
    sale = book.add(40, "sold", 10, (2, YOUNG))
    after, later = book.share(30), book.share(60)

    if closed_until:
        assert (list(after.postings), after.closing) == (list(before.postings), before.closing)
        assert near(brood(after, 1), 3000)
        assert near(gone(later, Kind.LEFT, sale), 3000 + 1000 * Fraction(9 * 10, 12) / 10)
    else:
        assert near(brood(after, 1), Fraction(6 * 200, 12))
        assert near(gone(later, Kind.LEFT, sale), 2400 + 1500 * Fraction(10, 12))


# --- deaths ----------------------------------------------------------------------------------------------


def test_an_outbreak_after_sales_leaves_the_sales_as_they_were() -> None:
    book = Book(ONE)
    book.add(1, "bought", 20, to=(1, YOUNG), value=2000)
    sale = book.add(5, "sold", 8, (1, YOUNG))
    before = book.share(6)
    death = book.add(6, "died", 10, (1, YOUNG), cause="exceptional")

    after = book.share(6, losses={(1, YOUNG): 500_000})

    assert gone(after, Kind.LEFT, sale) == gone(before, Kind.LEFT, sale) == 800
    assert gone(after, Kind.WRITTEN_OFF, death) == 1000
    assert carried(after, 1, YOUNG) == 200
    assert exact(after.written_off()[1].cost) == sum(after.written_off()[1].posted) == 1000


def test_a_lot_that_dies_out_is_written_off_whole_even_within_the_expected_loss() -> None:
    book = Book(ONE)
    book.add(1, "bought", 4, to=(1, YOUNG), value=500)
    book.add(2, "died", 4, (1, YOUNG), cause="ordinary")

    assert gone(book.share(3), Kind.WRITTEN_OFF) == 500


def test_juveniles_sold_early_take_their_part_of_the_allowance_along() -> None:
    """Ten enter, five are sold: of the other five one death is to be expected at 20 %, not two."""
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(2, "sold", 5, (1, YOUNG))
    book.add(3, "died", 2, (1, YOUNG), cause="unknown")

    assert near(gone(book.share(3, losses={(1, YOUNG): 200_000}), Kind.WRITTEN_OFF), Fraction(500, 4))


def test_animals_that_moved_on_do_not_shrink_the_allowance_of_their_stage() -> None:
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(2, "next stage", 7, (1, YOUNG), (1, ADULT))
    book.add(3, "died", 2, (1, YOUNG), cause="unknown")

    assert gone(book.share(3, losses={(1, YOUNG): 200_000}), Kind.WRITTEN_OFF) == 0


def test_an_ordinary_death_uses_the_allowance_up_and_an_exceptional_one_does_not() -> None:
    def written_off_after(cause: str) -> Fraction:
        book = Book(ONE)
        book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
        first = book.add(2, "died", 2, (1, YOUNG), cause=cause)
        book.add(3, "died", 2, (1, YOUNG), cause="unknown")
        shared = book.share(3, losses={(1, YOUNG): 200_000})
        return gone(shared, Kind.WRITTEN_OFF) - gone(shared, Kind.WRITTEN_OFF, first)

    assert near(written_off_after("ordinary"), 1000 * Fraction(2, 8))
    assert written_off_after("exceptional") == 0


def test_past_classifications_stand_when_the_loss_rate_changes() -> None:
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(2, "died", 2, (1, YOUNG), cause="unknown")
    book.add(11, "died", 1, (1, YOUNG), cause="unknown")

    shared = book.share(11, losses={(1, YOUNG): ((1, 200_000), (10, 100_000))})

    assert near(gone(shared, Kind.WRITTEN_OFF), Fraction(1000, 8))
    assert gone(book.share(5, losses={(1, YOUNG): ((1, 200_000), (10, 100_000))}), Kind.WRITTEN_OFF) == 0


def test_before_a_loss_rate_is_set_the_survivors_carry_all() -> None:
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(2, "died", 5, (1, YOUNG), cause="unknown")

    assert gone(book.share(2, losses={(1, YOUNG): ((3, 0),)}), Kind.WRITTEN_OFF) == 0
    assert gone(book.share(2, losses={(1, YOUNG): ((2, 0),)}), Kind.WRITTEN_OFF) == 500


def test_part_of_an_animal_may_be_within_the_allowance() -> None:
    assert normal(deaths=2, cause="unknown", rate=150_000, entrants=10_000, early=0, used=0) == 1500
    assert lost_share(10, 2, 1500) == (500, 8500)
    assert normal(deaths=1, cause=None, rate=150_000, entrants=10_000, early=0, used=1500) == 0
    assert normal(deaths=1, cause=None, rate=150_000, entrants=1000, early=9000, used=0) == 0


def test_a_dried_specimen_costs_nothing_and_its_death_is_a_death() -> None:
    book = Book(ONE)
    book.cost("feed", 1000, 1, 10)
    book.add(1, "bought", 4, to=(1, ADULT), value=400)
    book.add(6, "dried", 1, (1, ADULT), (1, DRIED), cause="exceptional")
    sale = book.add(9, "sold", 1, (1, DRIED))

    shared = book.share(10, specimens=[(1, DRIED)])

    assert near(gone(shared, Kind.WRITTEN_OFF), Fraction(900, 4))
    assert gone(shared, Kind.LEFT, sale) == 0
    assert near(carried(shared, 1, ADULT), 1400 - Fraction(900, 4))


# --- leaving and coming back -----------------------------------------------------------------------------


def test_animals_returned_alive_come_back_at_the_cost_they_left_at() -> None:
    book = Book(ONE)
    book.cost("heat", 1000, 1, 10)
    book.add(1, "bought", 10, to=(1, ADULT), value=1000)
    sale = book.add(6, "sold", 4, (1, ADULT))
    back = book.add(8, "returned", 1, to=(1, ADULT), relates_to=sale)

    shared = book.share(10)

    assert near(gone(shared, Kind.LEFT, sale), 600)
    assert near(gone(shared, Kind.LEFT, back), -150)
    assert near(carried(shared, 1, ADULT), 2000 - 450)


def test_an_animal_that_came_back_alive_may_die_moult_or_be_sold_again_on_that_day() -> None:
    """All were sold before: what comes back arrives before anything else happens to it."""
    book = Book(ONE)
    book.add(1, "bought", 4, to=(1, YOUNG), value=400)
    sale = book.add(2, "sold", 4, (1, YOUNG))
    book.add(5, "returned", 3, to=(1, YOUNG), relates_to=sale)
    death = book.add(5, "died", 1, (1, YOUNG), cause="exceptional")
    book.add(5, "next stage", 1, (1, YOUNG), (1, ADULT))
    again = book.add(5, "sold", 1, (1, YOUNG))

    shared = book.share(5)

    assert gone(shared, Kind.WRITTEN_OFF, death) == gone(shared, Kind.LEFT, again) == carried(shared, 1, ADULT) == 100


def test_what_is_sold_and_back_on_one_day_is_sold_first() -> None:
    book = Book(ONE)
    book.add(1, "bought", 4, to=(1, YOUNG), value=400)
    sale = book.add(5, "sold", 4, (1, YOUNG))
    back = book.add(5, "returned", 2, to=(1, YOUNG), relates_to=sale)
    book.add(5, "sold", 1, (1, YOUNG))

    shared = book.share(5)

    assert gone(shared, Kind.LEFT, sale) == 400
    assert gone(shared, Kind.LEFT, back) == -200
    assert carried(shared, 1, YOUNG) == 100


def test_animals_dead_on_arrival_stay_with_the_cost_of_their_sale() -> None:
    """A refund for the dead is money only: no movement, no loss of rearing, no cost written off."""
    book = Book(ONE)
    book.add(1, "bought", 10, to=(1, ADULT), value=1000)
    sale = book.add(2, "sold", 4, (1, ADULT))
    replacement = book.add(5, "sold", 1, (1, ADULT))

    shared = book.share(9, losses={(1, ADULT): 0})

    assert gone(shared, Kind.LEFT, sale) == 400
    assert gone(shared, Kind.LEFT, replacement) == 100
    assert gone(shared, Kind.WRITTEN_OFF) == 0


def test_animals_sold_to_post_that_die_first_die_in_stock() -> None:
    """Until they are posted they are here: they bear cost, and their death is the keeper's."""
    book = Book(ONE)
    book.cost("heat", 400, 1, 4)
    book.add(1, "bought", 4, to=(1, ADULT), value=400)
    book.add(3, "died", 2, (1, ADULT), cause="exceptional")
    posted_on = book.add(5, "sold", 2, (1, ADULT))

    shared = book.share(5)

    assert near(gone(shared, Kind.WRITTEN_OFF), 300)
    assert near(gone(shared, Kind.LEFT, posted_on), 500)


def test_animals_found_at_a_count_bring_no_cost_and_make_the_others_cheaper() -> None:
    book = Book(ONE)
    book.add(1, "bought", 4, to=(1, YOUNG), value=400)
    book.add(2, "found", 1, to=(1, YOUNG))
    sale = book.add(3, "sold", 1, (1, YOUNG))

    assert gone(book.share(3), Kind.LEFT, sale) == 80


def test_a_return_of_animals_sold_before_the_books_began_has_no_known_cost() -> None:
    book = Book(ONE)
    book.add(1, "returned", 1, to=(1, ADULT))

    shared = book.share(1)

    assert carried(shared, 1, ADULT) == 0
    assert shared.not_known == {1}


# --- splitting, merging, not known -----------------------------------------------------------------------


def test_a_split_lot_carries_its_part_of_cost_and_allowance_and_a_merge_adds_them() -> None:
    book = Book({lot: LotInfo(species=1) for lot in (1, 2, 3)}, {2: 1, 3: 2})
    book.add(1, "bought", 30, to=(1, YOUNG), value=3000)
    book.add(2, "died", 3, (1, YOUNG), cause="unknown")
    book.add(3, "split", 9, (1, YOUNG), (2, YOUNG))
    apart = book.share(3, losses={(1, YOUNG): 200_000})
    book.add(4, "merged", 18, (1, YOUNG), (3, YOUNG))
    book.add(4, "merged", 9, (2, YOUNG), (3, YOUNG))

    merged = book.share(4, losses={(1, YOUNG): 200_000})

    rows = {row.lot: row for row in apart.buckets}
    assert (rows[2].entrants, rows[2].expected_used, rows[2].allowed) == (10_000, 1000, 2000)
    assert (rows[1].entrants, rows[1].expected_used, rows[1].allowed) == (20_000, 2000, 4000)
    assert [round(carried(apart, lot, YOUNG)) for lot in (1, 2)] == [2000, 1000]
    whole = next(row for row in merged.buckets if row.lot == 3)
    assert (whole.entrants, whole.expected_used, whole.allowed) == (30_000, 3000, 6000)
    assert carried(merged, 3, YOUNG) == 3000


def test_opening_stock_has_no_known_cost_and_marks_what_it_is_mixed_into() -> None:
    book = Book(
        {
            1: LotInfo(species=1),
            2: LotInfo(species=1),
            3: LotInfo(species=1, mothers=(2,)),
            4: LotInfo(species=1),
            5: LotInfo(species=1),
        },
        {2: 1, 3: 2, 5: 3},
    )
    book.add(1, "opening", 5, to=(1, ADULT))
    book.add(1, "bought", 5, to=(4, ADULT), value=500)
    book.add(2, "split", 2, (1, ADULT), (2, ADULT))
    book.add(3, "laid", 10, to=(3, EGG))
    book.add(4, "split", 5, (3, EGG), (5, EGG))

    shared = book.share(5)

    assert shared.not_known == {1}
    assert shared.mixed == {2}
    assert shared.mothers_not_known == {3, 5}
    assert carried(shared, 1, ADULT) == carried(shared, 2, ADULT) == 0


# --- what the books must never hand over -----------------------------------------------------------------


def test_more_animals_cannot_leave_than_are_there() -> None:
    book = Book(ONE)
    book.add(1, "found", 3, to=(1, YOUNG))
    book.add(2, "sold", 4, (1, YOUNG))

    with pytest.raises(ValueError, match="4 leave lot 1, stage 1, where there are 3"):
        book.share(5)


def test_only_animals_bought_have_a_price() -> None:
    book = Book(ONE)
    book.add(1, "found", 3, to=(1, YOUNG), value=100)

    with pytest.raises(ValueError, match="only animals bought"):
        book.share(5)


@pytest.mark.parametrize(
    ("info", "sentence"),
    [
        (LotInfo(1, breeding=((5, None), (9, None))), "breeding"),
        (LotInfo(1, breeding=((5, 4),)), "breeding"),
        (LotInfo(1, breeding=((5, 8), (8, 9))), "breeding"),
        (LotInfo(1, mothers=(1, 1)), "twice"),
        (LotInfo(1, breeding_life_days=0), "at least a day"),
        (LotInfo(1, brood_share=0), "at least 1"),
    ],
)
def test_a_lot_that_cannot_be_so_is_an_error(info: LotInfo, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        share([], [], {1: info}, 10)


def test_a_cost_that_ends_before_it_starts_is_an_error() -> None:
    with pytest.raises(ValueError, match="ends before"):
        share([], [CostLine(1, "heat", 1, 5, 4)], {}, 10)


def test_more_money_than_there_is_cannot_be_shared_out() -> None:
    """About five thousand million million minor units: beyond it the sums would run into each other."""
    book = Book(ONE)
    book.add(1, "found", 3, to=(1, YOUNG))
    share(book.journal(), [CostLine(1, "heat", 5 * 10**15, 1, 5)], book.lots, 3)

    with pytest.raises(ValueError, match="more than can be shared"):
        share(book.journal(), [CostLine(1, "heat", 6 * 10**15, 1, 5)], book.lots, 3)
