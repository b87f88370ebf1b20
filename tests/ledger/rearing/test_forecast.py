"""Whether outlooks hold what they say: scored in a simulated room of known truth, from counts alone.

Five conditions: coverage of the 80 % ranges week by week and of totals over four and eight weeks, the ranked
probability score beside that of an oracle, an even probability transform; and exactness with known parameters
(`test_outlook.py`). Power: estimates taken for the truth must fail the totals where lots differ. Long
(REARLEDGER_LONG=1): 250 rooms a scenario and the conditions as they stand. Short: 16 rooms, with three standard errors
of so few.
"""

from __future__ import annotations

import functools
import math
import os

import numpy as np
import pytest

from tests.ledger.rearing.forecast_world import A, B, Scenario, Scores, score

LONG = bool(os.environ.get("REARLEDGER_LONG"))
RUNS = 250 if LONG else 16
SCENARIOS = pytest.mark.parametrize("scenario", [A, B], ids=["lots alike", "lots differ"])
HELD = 0.8


@functools.cache
def scored(scenario: Scenario) -> dict[str, Scores]:
    return score(scenario, RUNS)


def slack(numbers: float) -> float:
    """Three standard errors of a coverage from so many rooms in place of 250; none in the long run."""
    return 0.0 if LONG else 3 * math.sqrt(HELD * (1 - HELD) / numbers)


@SCENARIOS
def test_weekly_ranges_hold_as_often_as_they_should(scenario: Scenario) -> None:
    for share in scored(scenario)["hierarchical"].blocks:
        assert 0.79 - slack(RUNS * 2) <= share <= 0.90 + slack(RUNS * 2)


@SCENARIOS
def test_ranges_of_four_and_eight_week_totals_hold_as_often_as_they_should(scenario: Scenario) -> None:
    for share in scored(scenario)["hierarchical"].of_totals:
        assert 0.73 - slack(RUNS) <= share <= 0.90 + slack(RUNS)


@SCENARIOS
def test_outlooks_are_nearly_as_sharp_as_those_of_an_oracle(scenario: Scenario) -> None:
    found, best = (float(np.mean(scored(scenario)[name].crps)) for name in ("hierarchical", "oracle"))
    most = 1.04 if scenario == A else 1.055

    assert best == pytest.approx(1.53 if scenario == A else 1.72, rel=0.12)
    assert found / best <= most + (0.0 if LONG else 0.03)


@SCENARIOS
def test_what_came_falls_evenly_over_what_was_foretold(scenario: Scenario) -> None:
    bins = scored(scenario)["hierarchical"].bins
    more = 0.0 if LONG else 3 * math.sqrt(0.09 / (RUNS * 6))

    assert bins.sum() == pytest.approx(1)
    assert bins.min() >= 0.07 - more
    assert bins.max() <= 0.13 + more


def test_estimates_taken_for_the_truth_fail_the_totals_where_lots_differ() -> None:
    """The power of the test of totals: without a lot effect the range of eight weeks holds far too seldom."""
    found = scored(B)
    plain, whole = found["plug-in"].of_totals[1], found["hierarchical"].of_totals[1]

    assert plain < 0.73
    assert whole - plain > 0.1
    assert np.mean(found["plug-in"].width) < np.mean(found["hierarchical"].width)


@pytest.mark.skipif(not LONG, reason="long: set REARLEDGER_LONG=1")
def test_with_three_lots_to_learn_from_the_stated_floors_keep_the_totals_honest() -> None:
    found = score(B, 200, training=3)

    assert found["plug-in"].of_totals[1] < 0.60
    assert 0.73 <= found["hierarchical"].of_totals[1] <= 0.92
