"""The figure of a lot and of several lots: the design effect, each lot's own last day, and when there is no figure."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.rearing.cohort import LotHistory, Tie
from ledger.rearing.interval import Z95, t_quantile, wilson
from ledger.rearing.pooling import design_effect, lot_survival, pool_lots
from ledger.rearing.survival import Flow

LARVA, ADULT, LOST = range(3)


def lot(
    animals: int, reached: int, lost: int, *, day: int = 40, last_day: int = 100, start_day: int = 0, sold: int = 0
) -> LotHistory:
    """A lot in which all that happens happens on one day."""
    flows = [
        Flow(day, "move", LARVA, LOST, lost),
        Flow(day, "move", LARVA, ADULT, reached),
        Flow(day, "leave", LARVA, None, sold),
    ]
    return LotHistory(
        states=("larva", "adult", "lost"),
        start_day=start_day,
        start=(animals, 0, 0),
        flows=tuple(flow for flow in flows if flow.count),
        last_day=last_day,
        tie=Tie(animals, 0, 0, reached, lost, 0, sold, animals - reached - lost - sold, 0),
        first_stage="larva",
    )


def test_a_finished_lot_reads_its_plain_share_with_wilsons_limits() -> None:
    found = lot_survival(lot(20, 13, 7))

    assert found is not None
    assert (found.reached, found.lost, found.rearing) == pytest.approx((0.65, 0.35, 0))
    assert found.size == pytest.approx(20)
    assert found.interval is not None
    assert found.interval.low == pytest.approx(0.4328542767)
    assert found.interval.high == pytest.approx(0.8188081759)


def test_a_lot_still_rearing_shows_reached_lost_and_rearing_apart() -> None:
    found = lot_survival(lot(20, 2, 3))

    assert found is not None
    assert (found.reached, found.lost, found.rearing) == pytest.approx((0.10, 0.15, 0.75))


def test_a_lot_in_which_nothing_was_decided_has_no_interval() -> None:
    found = lot_survival(lot(20, 0, 0))

    assert found is not None
    assert found.size is None
    assert found.interval is None
    assert found.rearing == 1


def test_a_lot_without_young_has_no_figure() -> None:
    assert lot_survival(lot(0, 0, 0)) is None


def test_the_spread_between_five_lots_widens_the_interval_as_worked_by_hand() -> None:
    """Lots of 20 with 8, 11, 13, 15, 18: X^2 = (25 + 4 + 0 + 4 + 25)/(20 * .65 * .35) = 12.7473, D = X^2/4."""
    pooled = pool_lots([lot(20, x, 20 - x) for x in (8, 11, 13, 15, 18)])
    effect = 58 / 4.55 / 4

    assert pooled.reached == pytest.approx(0.65)
    assert pooled.design_effect == pytest.approx(effect)
    assert pooled.size == pytest.approx(100 / effect)
    expected = wilson(0.65, 100 / effect, t_quantile(0.975, 4))
    assert pooled.interval is not None
    assert (pooled.interval.low, pooled.interval.high) == pytest.approx((expected.low, expected.high))
    assert pooled.interval.high - pooled.interval.low > 1.5 * (wilson(0.65, 100).high - wilson(0.65, 100).low)
    assert pooled.compared == 5
    assert pooled.why is None


def test_lots_no_further_apart_than_chance_pool_with_the_normal_quantile() -> None:
    pooled = pool_lots([lot(20, 13, 7)] * 3)

    assert pooled.design_effect == 1
    assert pooled.interval == wilson(pooled.reached or 0, pooled.size or 0, Z95)
    assert pooled.size == pytest.approx(60)


def test_each_lot_is_out_of_sight_after_its_own_last_day() -> None:
    lots = [lot(10, 0, 0, last_day=30), lot(10, 5, 5), lot(10, 6, 4), lot(10, 7, 3)]

    pooled = pool_lots(lots)
    forgotten = pool_lots([replace(lots[0], last_day=100), *lots[1:]])

    assert pooled.reached == pytest.approx(18 / 30)
    assert pooled.rearing == pytest.approx(0)
    assert forgotten.reached == pytest.approx(18 / 40)


def test_a_young_lot_is_held_against_the_pooled_share_of_its_own_age() -> None:
    """Three lots of 20: 10 of each reared on day 40, of two of them 8 more on day 60; the third ends on day 50."""
    young = lot(20, 10, 0, last_day=50)
    old = replace(
        lot(20, 10, 0),
        flows=(Flow(40, "move", LARVA, ADULT, 10), Flow(60, "move", LARVA, ADULT, 8), Flow(60, "move", LARVA, LOST, 2)),
        tie=Tie(20, 0, 0, 18, 2, 0, 0, 0, 0),
    )

    pooled = pool_lots([young, old, old])

    assert pooled.reached == pytest.approx(0.9)
    assert pooled.design_effect == 1
    assert design_effect([0.5, 0.9, 0.9], [20, 20, 20], [0.9] * 3) > 10


def test_a_lot_counted_from_a_later_day_enters_late() -> None:
    late = replace(lot(10, 10, 0, day=60, start_day=50), start_day=50)
    early = replace(lot(10, 5, 5), flows=(Flow(40, "move", LARVA, LOST, 5), Flow(60, "move", LARVA, ADULT, 5)))

    pooled = pool_lots([late, early, early])

    assert pooled.reached == pytest.approx(0.5)
    assert pooled.curve is not None
    assert pooled.curve.entered.tolist() == [10, 0, 0]


def test_a_lot_that_goes_out_of_sight_on_a_busy_day_is_at_risk_on_it() -> None:
    """Four lots of 10, one more found on day 40: of 41, 15 die, then 16 of 26 are reared, then the first lot ends."""
    ends = lot(10, 0, 0, last_day=40)
    busy = replace(
        lot(10, 6, 5),
        flows=(
            Flow(40, "enter", None, LARVA, 1),
            Flow(40, "move", LARVA, LOST, 5),
            Flow(40, "move", LARVA, ADULT, 6),
        ),
        tie=Tie(11, 0, 0, 6, 5, 0, 0, 0, 0),
    )

    pooled = pool_lots([ends, lot(10, 5, 5), lot(10, 5, 5), replace(busy, last_day=40)])

    assert pooled.reached == pytest.approx(16 / 41)


def test_two_lots_are_shown_side_by_side_and_not_pooled() -> None:
    pooled = pool_lots([lot(20, 13, 7), lot(20, 5, 15)])

    assert (pooled.reached, pooled.interval, pooled.curve) == (None, None, None)
    assert [found.reached for found in pooled.lots] == pytest.approx([0.65, 0.25])
    assert pooled.why == "two lots do not show how far lots differ: look at them side by side"


def test_a_third_lot_that_tells_nothing_yet_does_not_make_three() -> None:
    fresh = lot(20, 0, 0, last_day=3)

    assert pool_lots([lot(20, 13, 7), lot(20, 5, 15), fresh]).reached is None
    barely = lot(20, 0, 1, day=2, last_day=3)
    assert pool_lots([lot(20, 13, 7), lot(20, 5, 15), barely]).reached is None
    assert pool_lots([lot(20, 13, 7), lot(20, 5, 15), lot(20, 9, 11)]).reached is not None


def test_two_lots_in_which_all_were_reared_are_not_pooled_either() -> None:
    assert pool_lots([lot(5, 5, 0)] * 2).reached is None


def test_one_lot_or_none_says_why_there_is_no_figure() -> None:
    assert pool_lots([lot(20, 13, 7)]).why == "only one lot is far enough on: its own figure stands"
    assert pool_lots([lot(20, 0, 0)] * 3).why == "nothing is known yet: no animal has been reared or lost"
    assert pool_lots([lot(20, 0, 4)]).why == (
        "none has been reared yet; what is lost says only how many it can be at most, lot by lot"
    )
    assert pool_lots([]).lots == ()


def test_lots_counted_from_different_stages_are_not_pooled() -> None:
    odd = replace(lot(20, 13, 7), first_stage="egg")

    assert pool_lots([lot(20, 13, 7), lot(20, 13, 7), odd]).why == (
        "counted from different stages (larva and egg): look at them apart"
    )


def test_lots_of_different_species_are_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="different species"):
        pool_lots([lot(20, 13, 7), replace(lot(20, 13, 7), states=("nymph", "adult", "lost"))])


def test_three_lots_in_which_all_were_reared_still_have_an_interval() -> None:
    pooled = pool_lots([lot(5, 5, 0)] * 3)

    assert pooled.reached == pytest.approx(1)
    assert pooled.size == 15
    assert pooled.interval == wilson(1.0, 15)
    assert pooled.compared == 3


@given(
    shares=st.lists(st.tuples(st.integers(0, 20), st.integers(0, 5)), min_size=3, max_size=8), seed=st.integers(0, 99)
)
def test_the_order_of_the_lots_changes_nothing(shares: list[tuple[int, int]], seed: int) -> None:
    lots = [lot(30, x, 25 - x, day=30 + x, sold=s) for x, s in shares]
    mixed = list(lots)
    random.Random(seed).shuffle(mixed)
    one, other = pool_lots(lots), pool_lots(mixed)

    assert one.reached == pytest.approx(other.reached)
    assert one.design_effect == pytest.approx(other.design_effect)


def coverage(k: int, sd: float, runs: int) -> tuple[float, float]:
    """Share of 95 % intervals that hold the true .65: with the design effect, and with the lots taken as one."""
    rng = np.random.default_rng(20240304)
    p = 0.65
    spread = p * (1 - p) / sd**2 - 1
    reared = rng.binomial(20, rng.beta(p * spread, (1 - p) * spread, size=(runs, k)))
    spread_held = plain_held = 0
    for row in reared:
        share, n = float(row.sum()) / (20 * k), 20 * k
        effect = design_effect([float(x) / 20 for x in row], [20] * k, [share] * k) if 0 < share < 1 else 1.0
        limits = wilson(share, n / effect, t_quantile(0.975, k - 1) if effect > 1 else Z95)
        plain = wilson(share, n)
        spread_held += limits.low <= p <= limits.high
        plain_held += plain.low <= p <= plain.high
    return spread_held / runs, plain_held / runs


@pytest.mark.parametrize(
    ("k", "sd", "spread", "plain"),
    [(3, 0.10, 0.943, 0.866), (5, 0.10, 0.952, 0.856), (10, 0.10, 0.957, 0.863), (5, 0.15, 0.947, 0.754)],
)
def test_pooled_intervals_of_uneven_lots_hold_the_truth_95_times_in_100_and_plain_ones_do_not(
    k: int, sd: float, spread: float, plain: float
) -> None:
    """Lots of 20, shares spread by `sd`; expected coverages from 20,000 simulated species each."""
    found, taken_as_one = coverage(k, sd, 4000)

    assert found == pytest.approx(spread, abs=0.013)
    assert taken_as_one == pytest.approx(plain, abs=0.022)
    assert taken_as_one < 0.89
