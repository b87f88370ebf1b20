"""Reading dates as people type them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.days import FIRST_DAY, LAST_DAY, DayRange, Order, long_day, parse_day, short_day
from ledger.errors import BadInput, Refused
from ledger.text import show

WEDNESDAY = date(2025, 3, 12)
days = st.dates(FIRST_DAY, LAST_DAY)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("2026-02-14", date(2026, 2, 14)),
        ("2026-2-4", date(2026, 2, 4)),
        ("today", WEDNESDAY),
        (" Today ", WEDNESDAY),
        ("yesterday", date(2025, 3, 11)),
        ("tomorrow", date(2025, 3, 13)),
        ("-3", date(2025, 3, 9)),
        ("\u22123", date(2025, 3, 9)),
        ("+3", date(2025, 3, 15)),
        ("-12", date(2025, 2, 28)),
        ("wed", WEDNESDAY),
        ("fri", date(2025, 3, 7)),
        ("Friday", date(2025, 3, 7)),
        ("thurs", date(2025, 3, 6)),
        ("last fri", date(2025, 3, 7)),
        ("last Wed", date(2025, 3, 5)),
        ("3 days ago", date(2025, 3, 9)),
        ("1 day ago", date(2025, 3, 11)),
        ("a week ago", date(2025, 3, 5)),
        ("2 weeks ago", date(2025, 2, 26)),
        ("last tuesday", date(2025, 3, 11)),
        ("12 mar", WEDNESDAY),
        ("13 mar", date(2024, 3, 13)),
        ("12. March", WEDNESDAY),
        ("mar 12", WEDNESDAY),
        ("12 mar 2024", date(2024, 3, 12)),
        ("12 March 24", date(2024, 3, 12)),
        ("Sept 3, 2024", date(2024, 9, 3)),
        ("29 feb", date(2024, 2, 29)),
        ("14/3", date(2024, 3, 14)),
        ("12/3", WEDNESDAY),
        ("14.3.", date(2024, 3, 14)),
        ("14/3/25", date(2025, 3, 14)),
        ("14.3.2025", date(2025, 3, 14)),
        ("14-3-25", date(2025, 3, 14)),
        ("2025/3/14", date(2025, 3, 14)),
        ("1/1/90", date(1990, 1, 1)),
        ("31/12/89", date(2089, 12, 31)),
    ],
)
def test_dates_are_read_day_first(typed: str, expected: date) -> None:
    assert parse_day(typed, WEDNESDAY) == expected


@pytest.mark.parametrize(
    ("typed", "order", "expected"),
    [
        ("3/14", "mdy", date(2024, 3, 14)),
        ("3/14/25", "mdy", date(2025, 3, 14)),
        ("3/12", "ymd", WEDNESDAY),
        ("25/3/14", "ymd", date(2025, 3, 14)),
        ("4/3/25", "dmy", date(2025, 3, 4)),
        ("4/3/25", "mdy", date(2025, 4, 3)),
    ],
)
def test_the_users_order_decides(typed: str, order: Order, expected: date) -> None:
    assert parse_day(typed, WEDNESDAY, order) == expected


@pytest.mark.parametrize(
    ("typed", "order"), [("3/14/25", "dmy"), ("14/3/25", "mdy"), ("14/3", "mdy"), ("14/3/2025", "ymd")]
)
def test_day_and_month_are_never_swapped_to_make_them_fit(typed: str, order: Order) -> None:
    with pytest.raises(BadInput):
        parse_day(typed, WEDNESDAY, order)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("fri", date(2025, 3, 14)),
        ("wed", WEDNESDAY),
        ("tue", date(2025, 3, 18)),
        ("11 mar", date(2026, 3, 11)),
        ("12 mar", WEDNESDAY),
        ("14/3", date(2025, 3, 14)),
        ("29 feb", date(2028, 2, 29)),
        ("today", WEDNESDAY),
        ("2024-01-01", date(2024, 1, 1)),
    ],
)
def test_a_deadline_looks_ahead(typed: str, expected: date) -> None:
    assert parse_day(typed, WEDNESDAY, ahead=True) == expected


@given(days, st.sampled_from(("mon", "tuesday", "wed", "thurs", "fri", "sat", "sunday")), st.booleans())
def test_the_last_such_weekday_is_the_one_before_today(today: date, weekday: str, ahead: bool) -> None:
    if today > FIRST_DAY + timedelta(days=7):
        found = parse_day(f"last {weekday}", today, ahead=ahead)

        assert timedelta(1) <= today - found <= timedelta(7)
        assert found == parse_day(weekday, today - timedelta(1))


def test_a_leap_day_is_found_across_a_century_that_has_none() -> None:
    assert parse_day("29 feb", date(2104, 2, 28)) == date(2096, 2, 29)
    assert parse_day("29 feb", date(2096, 3, 1), ahead=True) == date(2104, 2, 29)


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("2026-02-31", "February 2026 has 28 days"),
        ("2025-02-29", "February 2025 has 28 days"),
        ("31/4", "April 2025 has 30 days"),
        ("31 feb", "no day 31"),
        ("0/3", "no day 0"),
        ("14/13", "no month 13"),
        ("2025-00-10", "no month 0"),
        ("1989-12-31", "1990 to 2199"),
        ("2200-01-01", "1990 to 2199"),
        ("0000-01-01", "1990 to 2199"),
        ("-99999", "1990 to 2199"),
        ("+99999", "1990 to 2199"),
        ("", "no date"),
        ("  ", "no date"),
        ("soon", "not a date"),
        ("last", "not a date"),
        ("last tu", "not a date"),
        ("last week", "not a date"),
        ("fr", "not a date"),
        ("12 foo", "not a date"),
        ("march 2025", "not a date"),
        ("1-10", "not a date"),
        ("20250314", "not a date"),
        ("14/3/225", "not a date"),
        ("14/3-25", "not a date"),
        ("2025-03-14T10:00", "not a date"),
        ("\u0661\u0662 mar", "not a date"),
        ("\x1b[31m", "not a date"),
        ("9" * 5000, "not a date"),
    ],
)
def test_what_names_no_day_is_refused_with_the_reason(typed: str, reason: str) -> None:
    with pytest.raises(BadInput, match=reason) as refusal:
        parse_day(typed, WEDNESDAY)

    assert refusal.value.field == "date"
    assert show(refusal.value.sentence) == refusal.value.sentence


@given(days, days)
def test_iso_and_words_are_read_back(day: date, today: date) -> None:
    assert parse_day(short_day(day), today) == day
    assert parse_day(long_day(day), today) == day


@given(days, days, st.sampled_from(["dmy", "mdy", "ymd"]))
def test_three_numbers_in_the_users_order_are_read_back(day: date, today: date, order: Order) -> None:
    numbers = {"d": day.day, "m": day.month, "y": day.year}

    assert parse_day("/".join(str(numbers[part]) for part in order), today, order) == day


@given(
    st.dates(date(1999, 1, 1), date(2190, 12, 31)),
    st.sampled_from(["mon", "tue", "wed", "thu", "fri", "sat", "sun"]),
)
def test_a_weekday_is_within_the_last_week_or_the_next(today: date, typed: str) -> None:
    back = parse_day(typed, today)
    ahead = parse_day(typed, today, ahead=True)

    assert timedelta(0) <= today - back < timedelta(7)
    assert timedelta(0) <= ahead - today < timedelta(7)
    assert back.strftime("%a").lower() == ahead.strftime("%a").lower() == typed


@given(st.text(max_size=30), days)
def test_any_text_is_either_read_or_refused(typed: str, today: date) -> None:
    try:
        day = parse_day(typed, today)
    except Refused as refused:
        sentence = refused.sentence
    else:
        sentence = long_day(day)
        assert FIRST_DAY <= day <= LAST_DAY
    assert show(sentence) == sentence


def test_a_date_is_written_in_words_and_in_iso() -> None:
    assert long_day(date(2025, 3, 12)) == "12 March 2025"
    assert short_day(date(2025, 3, 2)) == "2025-03-02"


@pytest.mark.parametrize(
    ("first", "last", "middle"),
    [
        (date(2025, 3, 1), date(2025, 3, 1), date(2025, 3, 1)),
        (date(2025, 3, 1), date(2025, 3, 3), date(2025, 3, 2)),
        (date(2025, 3, 1), date(2025, 3, 4), date(2025, 3, 2)),
        (date(2024, 2, 28), date(2024, 3, 1), date(2024, 2, 29)),
    ],
)
def test_the_middle_of_a_range_is_the_earlier_of_two(first: date, last: date, middle: date) -> None:
    assert DayRange(first, last).midpoint == middle


def test_a_range_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(BadInput, match="2025-03-01 before it begins on 2025-03-02"):
        DayRange(date(2025, 3, 2), date(2025, 3, 1))
