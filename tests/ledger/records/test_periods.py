"""Accounting years: laid out without a gap, closed once, never opened again."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
from sqlalchemy import select

from ledger.errors import BadInput, PeriodClosed
from ledger.records import periods
from ledger.records.store import Store, create
from ledger.records.tables import period

ONE_DAY = dt.timedelta(days=1)


@pytest.mark.parametrize("year_start", [(1, 1), (4, 6), (3, 1), (12, 31)])
def test_years_follow_each_other_without_a_gap_from_1990_to_2199(
    tmp_path_factory: pytest.TempPathFactory, year_start: tuple[int, int]
) -> None:
    path = tmp_path_factory.mktemp("years") / "l.ledger"
    store = create(str(path), currency="EUR", year_start=year_start, made_at="2025-01-01T00:00:00+00:00")

    with store.reading() as conn:
        rows = conn.execute(select(period).order_by(period.c.first_day)).all()
        own = periods.period_of(conn, dt.date(2025, *year_start))
        before = periods.period_of(conn, dt.date(2025, *year_start) - ONE_DAY)
    store.close()

    assert (rows[0].first_day, rows[-1].last_day) == (dt.date(1990, 1, 1), dt.date(2199, 12, 31))
    assert all(later.first_day == earlier.last_day + ONE_DAY for earlier, later in pairwise(rows))
    assert all(later.year == earlier.year + 1 for earlier, later in pairwise(rows))
    assert (before.year, own.year) == (2024, 2025)
    assert own.last_day == dt.date(2026, *year_start) - ONE_DAY


@pytest.mark.parametrize("year_start", [(2, 29), (13, 1), (4, 31)])
def test_a_year_begins_on_a_day_that_every_year_has(
    tmp_path_factory: pytest.TempPathFactory, year_start: tuple[int, int]
) -> None:
    path = tmp_path_factory.mktemp("years") / "l.ledger"

    with pytest.raises(BadInput, match="a day that every year has"):
        create(str(path), currency="EUR", year_start=year_start)

    assert not path.exists()


def test_a_late_fact_is_accounted_on_the_first_open_day(store: Store) -> None:
    with store.writing() as conn:
        periods.close(conn, 2024)

    with store.reading() as conn:
        assert periods.accounting_day(conn, dt.date(2024, 12, 30)) == dt.date(2025, 1, 1)
        assert periods.accounting_day(conn, dt.date(2023, 5, 1)) == dt.date(2025, 1, 1)
        assert periods.accounting_day(conn, dt.date(2025, 5, 1)) == dt.date(2025, 5, 1)


def test_closing_a_year_closes_the_years_before_it_and_no_other(store: Store) -> None:
    with store.writing() as conn:
        periods.close(conn, 2024)

    with store.reading() as conn:
        assert periods.period_by_year(conn, 1990).closed
        assert periods.period_by_year(conn, 2024).closed
        assert not periods.period_by_year(conn, 2025).closed


def test_a_year_is_closed_only_once(store: Store) -> None:
    with store.writing() as conn:
        periods.close(conn, 2024)

    with pytest.raises(PeriodClosed, match="2023 is closed already"), store.writing() as conn:
        periods.close(conn, 2023)


def test_no_open_day_is_left_when_the_last_year_is_closed(store: Store) -> None:
    with store.writing() as conn:
        periods.close(conn, 2199)

    with store.reading() as conn, pytest.raises(PeriodClosed, match="Every year from 2025 on is closed"):
        periods.accounting_day(conn, dt.date(2025, 1, 1))


@pytest.mark.parametrize("day", [dt.date(1989, 12, 31), dt.date(2200, 1, 1)])
def test_a_day_outside_the_laid_out_years_is_refused(store: Store, day: dt.date) -> None:
    with store.reading() as conn, pytest.raises(BadInput, match="outside the days a ledger can hold"):
        periods.year_of(conn, day)


def test_there_is_no_year_outside_the_laid_out_ones(store: Store) -> None:
    with pytest.raises(BadInput, match="no accounting year 1900"), store.writing() as conn:
        periods.close(conn, 1900)
