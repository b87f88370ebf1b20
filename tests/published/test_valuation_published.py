"""Valuations at a year's end against published text and figures.

26 CFR 1.471-6(e)-(g), 2015 edition: about 15 to produce a calf and 7.50 a year to raise it give calves 15.00, yearlings
22.50, two-year-olds 30.00, mature 37.50; animals bought step up by the unit price each year, but not in the year of
purchase if acquired in its last six months. The herd and the two calves are constructed from that text. Lower of cost
and market: data of OpenStax, Principles of Accounting, volume 1, ch. 10; the totals follow from them item by item.
"""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from ledger.costs.valuing import at_standard, bought_value, in_last_half, lower, write_down

CALF, STEP = Fraction(1500), Fraction(750)
PRICES = [CALF + age * STEP for age in range(4)]
YEARS = [(dt.date(year, 1, 1), dt.date(year, 12, 31)) for year in (2024, 2025)]


def test_unit_prices_follow_from_the_cost_to_produce_and_to_raise() -> None:
    assert PRICES == [1500, 2250, 3000, 3750]


def test_a_herd_stands_at_its_unit_prices() -> None:
    assert at_standard(zip((30, 25, 20, 100), PRICES, strict=True)) == 450_00 + 562_50 + 600_00 + 3750_00 == 5362_50


def test_a_calf_bought_in_march_steps_up_at_the_first_year_end() -> None:
    assert bought_value(2000, dt.date(2024, 3, 1), YEARS[:1], [STEP]) == 2750


def test_a_calf_bought_in_september_steps_up_a_year_later() -> None:
    bought = dt.date(2024, 9, 1)

    assert bought_value(2000, bought, YEARS[:1], [STEP]) == 2000
    assert bought_value(2000, bought, YEARS, [STEP, STEP]) == 2750


@pytest.mark.parametrize(
    ("day", "late"), [("2024-06-30", False), ("2024-07-01", True), ("2024-12-31", True), ("2025-01-01", False)]
)
def test_the_last_six_months_begin_in_the_middle_of_the_year(day: str, late: bool) -> None:
    assert in_last_half(dt.date.fromisoformat(day), *YEARS[0]) is late


@pytest.mark.parametrize(("day", "late"), [("2024-09-30", False), ("2024-10-05", False), ("2024-10-06", True)])
def test_a_year_that_begins_in_april_has_its_own_last_six_months(day: str, late: bool) -> None:
    assert in_last_half(dt.date.fromisoformat(day), dt.date(2024, 4, 6), dt.date(2025, 4, 5)) is late


@pytest.mark.parametrize(
    ("items", "lowest"),
    [
        ([(10, 36, 35), (25, 20, 20), (12, 6, 8)], 922),
        ([(20, 100, 95), (30, 75, 70), (45, 50, 55)], 6250),
    ],
)
def test_the_lower_of_cost_and_market_is_taken_item_by_item(items: list[tuple[int, int, int]], lowest: int) -> None:
    assert sum(count * lower(cost, market) for count, cost, market in items) == lowest
    cost = sum(count * one for count, one, _ in items)
    assert cost - write_down([(count * one, count * market) for count, one, market in items]) == lowest


def test_a_gain_on_one_item_never_hides_a_loss_on_another() -> None:
    """A control: taken together the second set would stand at its cost of 6,500 less nothing but 125."""
    together = write_down([(20 * 100 + 30 * 75 + 45 * 50, 20 * 95 + 30 * 70 + 45 * 55)])

    assert together == 25
    assert write_down([(2000, 1900), (2250, 2100), (2250, 2475)]) == 250
