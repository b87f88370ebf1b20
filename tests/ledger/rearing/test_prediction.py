"""What the next lot may come to: the range must hold as often as it says, and how many to start."""

from __future__ import annotations

import math
import os

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from ledger.rearing.beta import Beta, at_least, beta_binomial, incomplete_beta, jeffreys, matched, quantile
from ledger.rearing.how_many import to_start
from ledger.rearing.pooling import design_effect, pool_lots
from ledger.rearing.prediction import correlation, next_count, predict_next, share_of_next
from tests.ledger.rearing.lives import ADULT, LARVA, LOST, lot

LONG = bool(os.environ.get("REARLEDGER_LONG"))


def finished(reached: int, lost: int, pending: int = 0) -> object:
    steps = [(40, "died", LARVA, LOST, lost), (41, "next stage", LARVA, ADULT, reached)]
    return lot(reached + lost + pending, *(step for step in steps if step[4]))


def test_from_one_lot_of_thirteen_in_twenty_the_next_twenty_are_expected_within_a_range_widened_by_a_guess() -> None:
    plain = next_count(20, jeffreys(13, 20))
    with_spread = predict_next(pool_lots([finished(13, 7)]), 20)

    assert with_spread is not None
    assert with_spread.guessed
    assert (plain.low, plain.middle, plain.high) == (9, 13, 17)
    assert with_spread.low < plain.low
    assert with_spread.high > plain.high
    assert with_spread.words == "of 20 started, 13 are to be expected; 7 to 18 in four lots of five"


def test_nothing_known_is_no_prediction_and_a_lot_still_rearing_does_not_pass_for_a_bad_one() -> None:
    assert predict_next(pool_lots([finished(0, 0, 20)]), 20) is None
    young_and_old = predict_next(pool_lots([finished(0, 1, 19), finished(13, 7)]), 20)
    assert young_and_old is not None
    assert young_and_old.mean == pytest.approx(13, abs=0.6)


def test_lots_that_differ_widen_the_range_and_lots_alike_do_not() -> None:
    apart = predict_next(pool_lots([finished(x, 20 - x) for x in (5, 10, 13, 16, 20)]), 20)
    alike = predict_next(pool_lots([finished(13, 7)] * 5), 20)

    assert apart is not None
    assert alike is not None
    assert not apart.guessed
    assert alike.rho == 0
    assert apart.rho > 0.05
    assert apart.high - apart.low > 1.5 * (alike.high - alike.low)


def coverage(k: int, sd: float, runs: int) -> tuple[float, float]:
    """How often the 80 % range holds the next twenty: with the spread between lots, and with the lots taken as one."""
    rng = np.random.default_rng(20240304)
    p, n = 0.65, 20
    whole = p * (1 - p) / sd**2 - 1
    held = plain = 0
    for _ in range(runs):
        *seen, came = rng.binomial(n, rng.beta(p * whole, (1 - p) * whole, size=k + 1)).tolist()
        share = sum(seen) / (n * k)
        effect = design_effect([x / n for x in seen], [n] * k, [share] * k) if 0 < share < 1 else 1.0
        spread = next_count(n, share_of_next(n, share, n * k / effect, correlation([n] * k, effect)))
        naive = next_count(n, jeffreys(sum(seen), n * k))
        held += spread.low <= came <= spread.high
        plain += naive.low <= came <= naive.high
    return held / runs, plain / runs


@pytest.mark.parametrize(
    ("k", "sd", "least", "most", "plain"), [(5, 0.10, 0.81, 0.85, 0.72), (5, 0.15, 0.78, 0.84, 0.59)]
)
def test_the_range_of_the_next_lot_holds_four_times_in_five_and_the_plain_one_does_not(
    k: int, sd: float, least: float, most: float, plain: float
) -> None:
    """Lots of 20, shares spread by `sd`; coverages expected from simulation, with three standard errors of this one."""
    runs = 20_000 if LONG else 2_000
    found, naive = coverage(k, sd, runs)
    error = 3 * math.sqrt(0.16 / runs)

    assert least - error <= found <= most + error
    assert naive == pytest.approx(plain, abs=0.025 + error)
    assert naive < found - 0.05


@pytest.mark.parametrize(("m", "rho"), [(1, 0.0), (1, 0.2), (7, 0.05), (40, 0.3)])
def test_the_share_of_the_next_lot_has_the_variance_it_is_made_for(m: int, rho: float) -> None:
    share = share_of_next(m, 0.6, 50, rho)
    pmf = beta_binomial(m, share)
    p = jeffreys(30, 50).mean
    counts = np.arange(m + 1)
    variance = float(pmf @ (counts - pmf @ counts) ** 2) / m**2

    assert share.mean == pytest.approx(p)
    if m > 1:
        assert variance == pytest.approx(p * (1 - p) * ((1 + (m - 1) * rho) / m + 1 / 51))


@settings(deadline=None)
@given(x=st.floats(0, 1), a=st.floats(0.05, 400), b=st.floats(0.05, 400))
def test_the_incomplete_beta_function_agrees_with_another_program(x: float, a: float, b: float) -> None:
    assert incomplete_beta(x, a, b) == pytest.approx(float(stats.beta.cdf(x, a, b)), abs=2e-11)


@settings(deadline=None)
@given(m=st.integers(0, 60), a=st.floats(0.2, 80), b=st.floats(0.2, 80))
def test_beta_binomial_counts_agree_with_another_program(m: int, a: float, b: float) -> None:
    assert beta_binomial(m, Beta(a, b)) == pytest.approx(stats.betabinom(m, a, b).pmf(np.arange(m + 1)), abs=1e-10)


def test_a_matched_distribution_has_its_mean_and_variance() -> None:
    found = matched(0.3, 0.01)

    assert (found.mean, found.variance) == pytest.approx((0.3, 0.01))
    with pytest.raises(ValueError, match="mean 1"):
        matched(1.0, 0.1)


@pytest.mark.parametrize(("a", "b"), [(0, 1), (1, -1), (math.nan, 1), (math.inf, 1)])
def test_parameters_that_make_no_distribution_are_a_mistake_of_the_caller(a: float, b: float) -> None:
    with pytest.raises(ValueError, match="no beta distribution"):
        Beta(a, b)


def test_a_quantile_of_a_sum_just_short_of_one_is_the_last_count() -> None:
    assert quantile(np.array([0.5, 0.5 - 1e-15]), 1.0) == 1
    assert quantile(np.array([0.1, 0.9]), 0.1) == 0


@pytest.mark.parametrize("confidence", [0.80, 0.90, 0.95])
def test_the_number_to_start_is_the_smallest_that_is_enough(confidence: float) -> None:
    found = to_start(20, 0.65, 60, 0.05, confidence)

    assert found.animals is not None
    assert at_least(found.animals, 20, share_of_next(found.animals, 0.65, 60, 0.05)) >= confidence
    assert at_least(found.animals - 1, 20, share_of_next(found.animals - 1, 0.65, 60, 0.05)) < confidence


@pytest.mark.parametrize(("confidence", "start"), [(0.80, 34), (0.90, 36), (0.95, 38)])
def test_a_share_known_exactly_asks_for_the_negative_binomial_number(confidence: float, start: int) -> None:
    """Trials until the 20th success at .65, from scipy's nbinom: 20 + its quantile."""
    found = to_start(20, 0.65, 1e9, 0.0, confidence).animals

    assert found == 20 + int(stats.nbinom(20, 0.65).ppf(confidence)) == start


def test_more_confidence_fewer_lots_and_lots_that_differ_ask_for_more() -> None:
    def number(confidence: float = 0.9, size: float = 60, rho: float = 0.05) -> int:
        return to_start(20, 0.65, size, rho, confidence).animals or 10**9

    assert number(0.80) < number(0.90) < number(0.95)
    assert number(size=600) < number(size=60) < number(size=6)
    assert number(rho=0.0) < number(rho=0.05) < number(rho=0.2)


def test_what_cannot_be_had_at_any_number_says_so() -> None:
    found = to_start(100, 0.001, 2000, 0.6, 0.95)

    assert found.animals is None
    assert "no number is enough" in found.words


@pytest.mark.parametrize(("wanted", "confidence"), [(0, 0.9), (5, 1.0), (5, 0.0)])
def test_a_number_nobody_can_want_is_a_mistake_of_the_caller(wanted: int, confidence: float) -> None:
    with pytest.raises(ValueError, match="no number to start"):
        to_start(wanted, 0.5, 10, 0.0, confidence)
