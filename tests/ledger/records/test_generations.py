"""Which backups are kept, on schedules played day by day."""

from __future__ import annotations

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from ledger.records.generations import DAYS, MONTHS, NEWEST, kept

NOW = dt.datetime(2025, 6, 30, 12, 0, tzinfo=dt.UTC)
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


def test_the_ten_newest_are_kept_however_close_they_lie() -> None:
    moments = [NOW - n * HOUR / 10 for n in range(30)]

    assert kept(moments, NOW) == frozenset(moments[:NEWEST])


def test_one_a_day_is_kept_for_a_month_and_it_is_the_last_of_the_day() -> None:
    moments = [NOW - n * DAY - part * HOUR for n in range(70) for part in range(3)]

    keep = kept(moments, NOW)

    last_of_days = {NOW - n * DAY for n in range(DAYS)}
    assert last_of_days <= keep
    assert {one.date() for one in keep} >= {(NOW - n * DAY).date() for n in range(DAYS)}
    older = {one for one in keep if one.date() < (NOW - (DAYS - 1) * DAY).date()}
    assert older == {dt.datetime(2025, 4, 30, 12, 0, tzinfo=dt.UTC)}, "before that, the last one of April"


def test_one_a_month_is_kept_for_two_years() -> None:
    moments = [NOW - n * DAY for n in range(1200)]

    keep = kept(moments, NOW)

    assert len({(one.year, one.month) for one in keep}) == MONTHS
    assert min(keep) == dt.datetime(2023, 7, 31, 12, 0, tzinfo=dt.UTC)
    assert len(keep) <= NEWEST + DAYS + MONTHS


def test_thinning_out_every_day_keeps_what_thinning_out_at_the_end_keeps_of_months() -> None:
    there: set[dt.datetime] = set()
    now = NOW
    for n in range(500):
        now = NOW + n * DAY
        there = set(kept(there | {now}, now))

    assert len({(one.year, one.month) for one in there}) == 18, "June 2025 to November 2026"
    assert {now - n * DAY for n in range(DAYS)} <= there


@given(st.lists(st.datetimes(dt.datetime(2020, 1, 1), dt.datetime(2025, 6, 30), timezones=st.just(dt.UTC))))
def test_the_newest_is_always_kept_and_nothing_is_made_up(moments: list[dt.datetime]) -> None:
    keep = kept(moments, NOW)

    assert keep <= set(moments)
    assert not moments or max(moments) in keep
    assert len(keep) <= NEWEST + DAYS + MONTHS
