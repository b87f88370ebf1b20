"""Intervals at the edges, and the t quantile against closed forms and another program."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.rearing.interval import Z95, effective_size, t_quantile, wilson
from tests.limits import limits_of


def percent(share: float, size: float) -> str:
    limits = wilson(share, size)
    return f"{100 * share:.0f} % {100 * limits.low:.0f}-{100 * limits.high:.0f}"


def test_ten_in_seven_out_reads_70_percent_40_to_89() -> None:
    assert percent(7 / 10, 10) == "70 % 40-89"


def test_six_of_ten_reads_31_to_83_and_thirteen_of_twenty_43_to_82() -> None:
    assert percent(6 / 10, 10) == "60 % 31-83"
    assert percent(13 / 20, 20) == "65 % 43-82"


def test_none_or_all_reared_still_has_an_interval_from_those_resolved() -> None:
    none = limits_of(0.0, 0.0, resolved=10, animals=30)
    every = limits_of(1.0, 0.0, resolved=10, animals=30)

    assert (none.low, none.high) == (0.0, pytest.approx(0.2775327999))
    assert (every.low, every.high) == (pytest.approx(0.7224672001), 1.0)


def test_a_share_of_one_up_to_rounding_counts_as_one() -> None:
    assert effective_size(1 - 1e-16, 1e-9, resolved=10, animals=30) == 10
    assert wilson(1 + 1e-15, 10).high == 1.0


def test_nothing_resolved_is_no_information_rather_than_an_interval() -> None:
    assert effective_size(0.0, 0.0, resolved=0, animals=30) is None


def test_the_effective_size_is_that_of_the_variance_and_never_above_the_animals() -> None:
    assert effective_size(0.5, 0.1, resolved=3, animals=30) == pytest.approx(25)
    assert effective_size(0.5, 0.05, resolved=3, animals=30) == 30
    assert effective_size(0.5, 0.0, resolved=3, animals=30) == 30
    assert effective_size(0.5, 0.1, resolved=0, animals=0) is None


@pytest.mark.parametrize(("share", "size"), [(-0.1, 10), (1.1, 10), (0.5, 0), (0.5, -3)])
def test_a_share_or_size_out_of_range_is_a_mistake_of_the_caller(share: float, size: float) -> None:
    with pytest.raises(ValueError, match="no interval"):
        wilson(share, size)


@given(share=st.floats(0, 1), size=st.floats(0.5, 1e6), wider=st.floats(1.01, 3))
def test_limits_hold_the_share_and_a_larger_quantile_widens_them(share: float, size: float, wider: float) -> None:
    usual, wide = wilson(share, size), wilson(share, size, Z95 * wider)

    assert 0 <= wide.low <= usual.low <= share + 1e-12
    assert share - 1e-12 <= usual.high <= wide.high <= 1


@pytest.mark.parametrize("level", [0.2, 0.5, 0.9, 0.975, 0.9999])
def test_t_quantiles_with_one_and_two_degrees_have_their_closed_forms(level: float) -> None:
    centred = 2 * level - 1

    assert t_quantile(level, 1) == pytest.approx(math.tan(math.pi * centred / 2), rel=1e-12, abs=1e-15)
    assert t_quantile(level, 2) == pytest.approx(centred * math.sqrt(2 / (1 - centred * centred)), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize(
    ("df", "quantile"), [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (9, 2.262), (19, 2.093), (120, 1.980)]
)
def test_t_quantiles_are_those_of_the_printed_table(df: int, quantile: float) -> None:
    """Student's t at 97.5 %, as in Abramowitz & Stegun 1964, table 26.10."""
    assert t_quantile(0.975, df) == pytest.approx(quantile, abs=5e-4)


@pytest.mark.parametrize("df", [1, 2, 3, 4, 7, 12, 29, 100, 501])
@pytest.mark.parametrize("level", [0.025, 0.2, 0.9, 0.975, 0.999])
def test_t_quantiles_agree_with_another_program(df: int, level: float) -> None:
    from scipy import stats

    assert t_quantile(level, df) == pytest.approx(float(stats.t.ppf(level, df)), rel=1e-10)


def test_the_t_quantile_tends_to_the_normal_one_from_above() -> None:
    near = [t_quantile(0.975, df) for df in (5, 50, 500, 5000)]

    assert near == sorted(near, reverse=True)
    assert near[-1] == pytest.approx(Z95, abs=6e-4)
    assert near[-1] > Z95


@pytest.mark.parametrize(("level", "df"), [(0.0, 3), (1.0, 3), (0.9, 0)])
def test_a_level_or_degrees_out_of_range_are_a_mistake_of_the_caller(level: float, df: int) -> None:
    with pytest.raises(ValueError, match="no t quantile"):
        t_quantile(level, df)
