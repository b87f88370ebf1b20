"""Parts that sum to their figure: the largest remainder, and what is too little to be a fault."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.costs.explain.parts import NEAR, NotExplained, apportion, settle

FRACTIONS = st.lists(st.integers(-97_000, 97_000).map(lambda whole: Fraction(whole, 97)), min_size=1, max_size=12)


def test_three_equal_parts_of_ten_are_four_three_and_three() -> None:
    assert apportion(10, [Fraction(10, 3)] * 3) == [4, 3, 3]


def test_seats_go_to_the_largest_remainders() -> None:
    # Hamilton's rule on quotas 1.5, 1.6 and 1.9 for five seats.
    assert apportion(5, [Fraction(15, 10), Fraction(16, 10), Fraction(19, 10)]) == [1, 2, 2]


@given(FRACTIONS)
def test_whole_parts_sum_to_the_total_and_lie_within_one_of_their_part(exact: list[Fraction]) -> None:
    total = round(sum(exact))

    parts = apportion(total, exact)

    assert sum(parts) == total
    assert all(abs(whole - part) < 2 for whole, part in zip(parts, exact, strict=True))


@given(FRACTIONS, st.integers(-30, 30))
def test_whole_parts_sum_to_a_total_that_posting_left_beside_them(exact: list[Fraction], beside: int) -> None:
    total = round(sum(exact)) + beside

    assert sum(apportion(total, exact)) == total


def test_what_is_missing_by_a_step_of_the_grid_goes_to_the_largest_part() -> None:
    parts = {"feed": Fraction(3), "heat": Fraction(5)}

    settled = settle(Fraction(8) + NEAR / 2, parts)

    assert settled == {"feed": 3, "heat": 5 + NEAR / 2}


def test_parts_that_miss_their_total_are_never_made_to_fit() -> None:
    with pytest.raises(NotExplained):
        settle(Fraction(9), {"feed": Fraction(3), "heat": Fraction(5)})
