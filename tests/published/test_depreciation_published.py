"""Equipment against the published examples of depreciation: straight line as costed, declining balance as a column.

OpenStax, Principles of Accounting, volume 1, ch. 11 (Kenzie: 58,000 over five years down to 10,000; Liam: 10,000 over
five years down to 1,000), numbers only. Units of production are not offered, so not here.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from ledger.costs.declining import declining_left
from ledger.costs.windows import spread

YEAR = 365


def taken(cost: int, residual: int, life: int = 5 * YEAR, years: int = 5) -> list[Fraction]:
    """What each year of a life takes."""
    left = [declining_left(cost, residual, life, year * YEAR) for year in range(years + 1)]
    return [before - after for before, after in pairwise(left)]


@pytest.mark.parametrize(
    ("cost", "residual", "each"),
    [pytest.param(58_000, 10_000, 9_600, id="Kenzie"), pytest.param(10_000, 1_000, 1_800, id="Liam")],
)
def test_straight_line_takes_the_same_each_year(cost: int, residual: int, each: int) -> None:
    ends = [year * YEAR for year in range(1, 7)]

    parts = spread(1, 5 * YEAR, cost - residual, ends).parts

    assert [part.amount for part in parts] == [each] * 5
    assert cost - sum(part.amount for part in parts) == residual


def test_double_declining_balance_stops_at_what_it_will_still_be_worth() -> None:
    """Kenzie: the fourth year takes 2,528 and no more, the fifth nothing."""
    assert taken(58_000, 10_000) == [23_200, 13_920, 8_352, 2_528, 0]
    left = [declining_left(58_000, 10_000, 5 * YEAR, days * YEAR) for days in range(1, 6)]
    assert left == [34_800, 20_880, 12_528, 10_000, 10_000]


def test_double_declining_balance_of_a_smaller_thing() -> None:
    """Liam: 4,000, then 2,400."""
    assert taken(10_000, 1_000)[:2] == [4_000, 2_400]
    assert declining_left(10_000, 1_000, 5 * YEAR, 2 * YEAR) == 3_600


def test_within_a_year_of_use_it_declines_in_equal_parts_a_day() -> None:
    assert declining_left(58_000, 10_000, 5 * YEAR, 73) == 58_000 - Fraction(23_200, 5)
    assert declining_left(58_000, 10_000, 5 * YEAR, 0) == 58_000


def test_a_life_below_two_years_never_goes_below_the_residual_value() -> None:
    """A control of the cap: a rate above the whole would."""
    assert taken(1_000, 100, YEAR, 1) == [900]
    assert declining_left(1_000, 100, 200, 365) == 100
