"""Rear on or sell now, what to charge and what better survival is worth: the numbers by themselves."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.rearing.beta import Beta, jeffreys
from ledger.rearing.phases import Phases
from ledger.rearing.price_floor import better_rearing, price_floor
from ledger.rearing.rear_or_sell import RearOrSell, how_many_to_rear, still_rearing
from tests.ledger.rearing.forecast_world import true_phases

CHOICE = RearOrSell(now=4, later=9, to_come=1.2, share=jeffreys(13, 20), delay=1.0)


def test_at_the_break_even_share_and_price_both_ways_come_to_the_same() -> None:
    p = CHOICE.break_even_share
    price = CHOICE.break_even_price

    assert 9 * p - 1.2 == pytest.approx(4)
    assert dataclasses.replace(CHOICE, later=price).gain == pytest.approx(0)


def test_money_that_comes_late_is_worth_less() -> None:
    late = dataclasses.replace(CHOICE, delay=0.9)

    assert late.gain == pytest.approx(CHOICE.gain - 0.1 * 9 * CHOICE.share.mean)
    assert late.break_even_share > CHOICE.break_even_share


def test_a_price_later_that_never_pays_says_so_and_knowing_is_worth_nothing() -> None:
    never = dataclasses.replace(CHOICE, later=5)

    assert never.break_even_share > 1
    assert never.sure == 0
    assert never.gain < 0
    assert never.wrong == pytest.approx(0, abs=1e-12)


@settings(deadline=None)
@given(
    now=st.floats(0, 20), later=st.floats(0.1, 40), to_come=st.floats(0, 5), a=st.floats(0.5, 60), b=st.floats(0.5, 60)
)
def test_the_worth_of_knowing_is_that_of_the_integral_and_never_below_nought(
    now: float, later: float, to_come: float, a: float, b: float
) -> None:
    choice = RearOrSell(now, later, to_come, Beta(a, b), 1.0)
    edges = np.linspace(0, 1, 1001)
    below = np.array([choice.share.below(float(x)) for x in edges])
    p = (edges[:-1] + edges[1:]) / 2
    best = float(np.maximum(later * p - to_come, now) @ np.diff(below))

    assert choice.wrong >= 0
    assert choice.wrong == pytest.approx(max(0.0, best - max(now, choice.reared)), abs=0.05)


def test_with_buyers_for_all_rearing_all_or_none_is_best() -> None:
    assert how_many_to_rear(CHOICE, 20, 20).best == 20
    assert how_many_to_rear(dataclasses.replace(CHOICE, later=5), 20, 20).best == 0
    assert how_many_to_rear(CHOICE, 20, 0).best == 0


def test_the_value_of_rearing_more_is_concave() -> None:
    values = np.array(how_many_to_rear(CHOICE, 40, 9).values)

    assert (np.diff(values, 2) <= 1e-9).all()


def test_days_still_to_come_are_those_of_the_living_and_the_dying() -> None:
    """Ten days in the one stage, .8 move on and .2 die then: from day 4 six days for each, reared after six."""
    on, lost = np.zeros((1, 1, 30)), np.zeros((1, 1, 30))
    on[0, 0, 10], lost[0, 0, 10] = 0.8, 0.2
    found = still_rearing(Phases(on, lost), 0, 4)

    assert (found.days, found.reared, found.days_if_reared) == pytest.approx((6, 0.8, 6))


def test_days_of_two_stages_add_up_and_the_dead_of_both_are_counted() -> None:
    on, lost = np.zeros((1, 2, 30)), np.zeros((1, 2, 30))
    on[0, :, 10], lost[0, :, 5] = 0.5, 0.5
    found = still_rearing(Phases(on, lost), 0, 0)

    assert found.reared == pytest.approx(0.25)
    assert found.days_if_reared == pytest.approx(20)
    assert found.days == pytest.approx(0.5 * 5 + 0.5 * (10 + 0.5 * 5 + 0.5 * 10))


def test_in_the_simulated_room_a_larva_is_reared_as_often_as_its_stages_say() -> None:
    found = still_rearing(true_phases(), 0, 0)

    assert found.reared == pytest.approx(0.78 * 0.88 * 0.96, abs=1e-6)
    assert 90 < found.days_if_reared < 100


# --- prices ---


def test_the_floor_leaves_the_margin_after_cost_and_selling() -> None:
    found = price_floor(3.0, 0.6, 0.4, 0.8, selling=0.6, margin=0.4, stops=1.0)

    assert found.floor == pytest.approx(6.0)
    assert (found.floor - 3.6) / found.floor == pytest.approx(0.4)
    assert (found.cost_low, found.cost_high) == pytest.approx((2.25, 4.5))
    assert found.floor_high == pytest.approx(8.5)


@pytest.mark.parametrize(
    ("price", "words"),
    [
        (6.0, ""),
        (4.0, "covers its cost, but not the wanted margin"),
        (2.0, "below full cost including shared heat; stopping would save only part of it"),
        (1.0, "below what would be saved by stopping"),
    ],
)
def test_a_price_is_told_what_it_covers(price: float, words: str) -> None:
    assert price_floor(3.0, 0.6, 0.4, 0.8, selling=0.6, margin=0.4, stops=1.0).verdict(price) == words


def test_without_a_survival_the_cost_has_no_range() -> None:
    assert price_floor(3.0, None, None, None).cost_high is None
    assert price_floor(3.0, 0.5, 0.0, 0.9).cost_high is None


def test_better_rearing_spreads_the_same_spending_over_more() -> None:
    found = better_rearing(3.0, 0.6, 60, 0.8)

    assert found.cost_other == pytest.approx(2.25)
    assert found.saved_each == pytest.approx(0.75)
    assert found.reared_other * found.cost_other == pytest.approx(60 * 3.0)
    assert found.more == pytest.approx(20)


@pytest.mark.parametrize("survival", [0.0, 1.2])
def test_a_survival_that_cannot_be_is_a_mistake_of_the_caller(survival: float) -> None:
    with pytest.raises(ValueError, match="no comparison"):
        better_rearing(3.0, 0.6, 60, survival)
    with pytest.raises(ValueError, match="no price floor"):
        price_floor(3.0, 0.5, 0.4, 0.6, margin=1.0)
