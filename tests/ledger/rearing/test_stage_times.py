"""How long a stage takes: intervals, areas, pairing, templates, and which of them the figure says it is."""

from __future__ import annotations

import datetime as dt
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.rearing.spells import Fate, Spell
from ledger.rearing.stage_times import area_mean, expected_on, stage_time
from ledger.rearing.turnbull import Times, turnbull


def stays(*days: tuple[int, int], fate: Fate = Fate.ON, dated: bool = True) -> list[Spell]:
    return [Spell(0, 0, length, fate, count, dated) for length, count in days]


def test_pupated_on_1_march_and_42_days_later_adult_then_a_week_to_harden() -> None:
    pupated = dt.date(2025, 3, 1)

    assert expected_on(pupated, 42) == dt.date(2025, 4, 12)
    assert expected_on(pupated, 42, 7) == dt.date(2025, 4, 19)


# --- Turnbull ---


def test_times_known_to_the_day_are_their_own_distribution() -> None:
    found = turnbull([(9, 10), (9, 10), (11, 12), (14, 15)])

    assert [(piece.low, piece.high, piece.mass) for piece in found.pieces] == [
        (9, 10, pytest.approx(0.5)),
        (11, 12, pytest.approx(0.25)),
        (14, 15, pytest.approx(0.25)),
    ]
    assert found.median == (9, 10)
    assert found.quantile(0.9) == (14, 15)


def test_with_right_censoring_only_it_is_the_product_limit() -> None:
    """Times 6 6 6+ 7 10+: after 7 the product limit is 3/5 x 1/2."""
    exact = [(5, 6), (5, 6), (6, math.inf), (6, 7), (10, math.inf)]
    found = turnbull([(float(low), float(high)) for low, high in exact])

    assert [piece.mass for piece in found.pieces] == pytest.approx([2 / 5, 3 / 10, 3 / 10])
    assert found.unseen == pytest.approx(3 / 10)


def test_intervals_that_only_touch_do_not_meet() -> None:
    found = turnbull([(4, 11), (11, 15)])

    assert [(piece.low, piece.high) for piece in found.pieces] == [(4, 11), (11, 15)]


def best(found: Times, intervals: list[tuple[float, float]]) -> bool:
    """Whether no shift of mass between any two innermost intervals could raise the likelihood."""

    def likelihood(pieces: list[tuple[float, float, float]]) -> float:
        return sum(
            math.log(max(1e-300, sum(mass for a, b, mass in pieces if low <= a and b <= high)))
            for low, high in intervals
        )

    pieces = [(piece.low, piece.high, piece.mass) for piece in found.pieces]
    top = likelihood(pieces)
    for i in range(len(pieces)):
        for j in range(len(pieces)):
            if i != j and pieces[i][2] > 2e-4:
                moved = list(pieces)
                moved[i] = (*pieces[i][:2], pieces[i][2] - 1e-4)
                moved[j] = (*pieces[j][:2], pieces[j][2] + 1e-4)
                if likelihood(moved) > top + 1e-9:
                    return False
    return True


@settings(deadline=None)
@given(seed=st.integers(0, 10**6), animals=st.integers(1, 25))
def test_it_is_the_most_likely_distribution_and_sums_to_one(seed: int, animals: int) -> None:
    rng = random.Random(seed)
    intervals = []
    for _ in range(animals):
        low = rng.randint(0, 30)
        intervals.append((float(low), math.inf if rng.random() < 0.2 else float(low + rng.randint(1, 12))))
    found = turnbull(intervals)

    assert sum(piece.mass for piece in found.pieces) == pytest.approx(1)
    assert best(found, intervals)


def test_a_weight_is_as_good_as_as_many_animals() -> None:
    single = turnbull([(3, 6), (3, 6), (5, 9), (8, math.inf)])
    heavy = turnbull([(3, 6), (5, 9), (8, math.inf)], [2, 1, 1])

    assert heavy.log_likelihood == pytest.approx(single.log_likelihood)
    assert [piece.mass for piece in heavy.pieces] == pytest.approx([piece.mass for piece in single.pieces])


@pytest.mark.parametrize("intervals", [[], [(3.0, 3.0)], [(-1.0, 4.0)], [(5.0, 4.0)]])
def test_an_empty_interval_is_a_mistake_of_the_caller(intervals: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="every time needs an interval"):
        turnbull(intervals)


def test_checks_twice_a_week_find_the_mean_and_the_middle_of_a_true_stage() -> None:
    """Three hundred pupae of 22 days (sd 3), entry and exit each seen at the next check."""
    rng = np.random.default_rng(7)
    days = [day for week in range(30) for day in (7 * week + 3, 7 * week + 7)]
    intervals = []
    true = np.maximum(8.0, rng.normal(22, 3, 300))
    for length in true.tolist():
        enters = rng.uniform(0, 60)
        leaves = enters + length
        after = [next(day for day in days if day >= moment) for moment in (enters, leaves)]
        before = [max([day for day in days if day < moment], default=0) for moment in (enters, leaves)]
        intervals.append((float(max(0, before[1] - after[0])), float(after[1] - before[0])))
    found = stage_time("pupa", 0, [], intervals)

    assert found.how == "tubs"
    assert found.days == pytest.approx(float(true.mean()), abs=0.3)
    assert found.median is not None
    assert found.median[0] - 1 <= 22 <= found.median[1] + 1


# --- counts ---


def test_the_area_under_the_stock_gives_the_mean_time_whatever_the_pairing() -> None:
    """Animals in on days 0, 2, 4 and out on 10, 12, 20: (42 - 6)/3 = 12 however they are paired."""
    first_out = [Spell(0, came, left, Fate.ON, 1, True) for came, left in ((0, 10), (2, 12), (4, 20))]
    last_out = [Spell(0, came, left, Fate.ON, 1, True) for came, left in ((4, 10), (2, 12), (0, 20))]

    assert area_mean([first_out], 0) == area_mean([last_out], 0) == (12, 3)


def test_the_area_counts_the_dead_and_leaves_out_lots_with_animals_still_there() -> None:
    done = [*stays((20, 3)), *stays((5, 1), fate=Fate.LOST)]
    open_ = [*stays((40, 9)), *stays((50, 1), fate=Fate.HERE)]

    assert area_mean([done, open_], 0) == (pytest.approx(65 / 4), 4)
    assert area_mean([open_], 0) is None


def test_many_counted_animals_of_three_lots_stand_by_themselves() -> None:
    lots = [stays((20, 4), (24, 8)), stays((22, 10)), stays((21, 10))]
    found = stage_time("pupa", 0, lots, guess=(30, 40), source="a book")

    assert (found.how, found.animals, found.lots, found.own_weight) == ("counts", 32, 3, 1.0)
    assert found.days == pytest.approx((80 + 192 + 220 + 210) / 32)
    assert found.median == (22, 22)
    assert found.words == (
        "pupa: 22 days (half of your own took 21 to 22), from counts of 32 animals in 3 lots, "
        "the first in taken as the first out"
    )


def test_few_own_animals_are_blended_with_the_usual_figure_and_it_says_so() -> None:
    found = stage_time("pupa", 0, [stays((20, 10))], guess=(30, 40), source="a book")

    assert found.how == "blended"
    assert found.own_weight == pytest.approx(0.5)
    assert found.days == pytest.approx((20 + 35) / 2)
    assert "10 animals of your own in 1 lot, and the usual figure counted as 10 more" in found.words


def test_without_own_animals_the_template_stands_with_its_source_and_without_either_nothing_is_known() -> None:
    usual = stage_time("pupa", 0, [stays((20, 4))], guess=(30, 40), source="a book")

    assert (usual.how, usual.days, usual.own_weight) == ("template", 35, 0)
    assert usual.words == "pupa: 35 days (usually 30 to 40), the usual figure, not your own (a book)"
    assert stage_time("pupa", 0, [stays((20, 4))]).words == "pupa: nothing is known of its time yet"


def test_stages_passed_within_a_day_or_entered_at_an_unknown_age_tell_no_time() -> None:
    passed = [*stays((0, 30)), *stays((12, 30), dated=False)]

    assert stage_time("pupa", 0, [passed] * 3).days is None


def test_a_few_animals_in_tubs_do_not_speak_for_many_counted_ones() -> None:
    counted = [stays((20, 30))] * 3
    tubs = [(0.0, 47.0)] * 7

    assert stage_time("pupa", 0, counted, tubs).how == "counts"
    assert stage_time("pupa", 0, [], tubs).how == "tubs"
