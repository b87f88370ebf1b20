"""Over which days a cost is used up: whole minor units by year, and what later changes may still move."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.costs.windows import Change, Part, spread

ENDS = [dt.date(year, 12, 31).toordinal() for year in range(2023, 2031)]


def day(text: str) -> int:
    return dt.date.fromisoformat(text).toordinal()


def total(parts: tuple[Part, ...]) -> int:
    return sum(part.amount for part in parts)


def test_a_cost_within_one_year_is_one_part() -> None:
    assert spread(day("2025-03-01"), day("2025-03-10"), 1000, ENDS).parts == (
        Part(day("2025-03-01"), day("2025-03-10"), 1000),
    )


def test_each_year_gets_whole_minor_units_by_days() -> None:
    parts = spread(day("2024-12-22"), day("2025-01-21"), 1000, ENDS).parts

    # 10 of 31 days: 322.58 rounds to 323
    assert [(part.last, part.amount) for part in parts] == [(day("2024-12-31"), 323), (day("2025-01-21"), 677)]


def test_finishing_early_spreads_again_from_the_start_while_the_year_is_open() -> None:
    result = spread(
        day("2025-03-01"), day("2025-03-30"), 3000, ENDS, [Change(0, last=day("2025-03-10"), on=day("2025-03-10"))]
    )

    assert result.parts == (Part(day("2025-03-01"), day("2025-03-10"), 3000),)


def test_a_change_recorded_after_the_close_leaves_the_closed_year_alone() -> None:
    before = spread(day("2024-12-22"), day("2025-01-21"), 1000, ENDS)
    after = spread(
        day("2024-12-22"),
        day("2025-01-21"),
        1000,
        ENDS,
        [Change(day("2024-12-31"), last=day("2025-01-05"), on=day("2025-01-06"))],
    )

    assert after.parts[0] == before.parts[0]
    assert after.parts[1:] == (Part(day("2025-01-01"), day("2025-01-05"), 677),)


def test_the_same_change_before_the_close_does_move_it() -> None:
    open_still = spread(
        day("2024-12-22"), day("2025-01-21"), 1000, ENDS, [Change(0, last=day("2025-01-05"), on=day("2025-01-06"))]
    )

    assert open_still.parts[0].amount == 667


def test_a_refund_of_something_used_up_in_a_closed_year_falls_on_its_own_day() -> None:
    result = spread(
        day("2024-03-01"),
        day("2024-03-31"),
        1000,
        ENDS,
        [Change(day("2024-12-31"), less=200, on=day("2025-02-03"))],
    )

    assert result.parts == (
        Part(day("2024-03-01"), day("2024-03-31"), 1000),
        Part(day("2025-02-03"), day("2025-02-03"), -200),
    )


def test_what_is_left_of_equipment_disposed_of_is_stranded() -> None:
    first = day("2025-01-01")
    result = spread(first, first + 729, 7300, ENDS, [Change(0, last=first + 99, stops=True, on=first + 100)])

    assert total(result.parts) == 1000
    assert result.stranded == 6300
    assert max(part.last for part in result.parts) == first + 99


changes = st.lists(
    st.builds(
        lambda locked, last, less, on: Change(locked, last, less, on=on),
        locked=st.sampled_from([0, day("2024-12-31"), day("2025-12-31")]),
        last=st.none() | st.integers(day("2024-06-01"), day("2027-06-01")),
        less=st.integers(0, 50),
        on=st.integers(day("2026-01-01"), day("2026-06-01")),
    ),
    max_size=4,
).map(lambda rows: sorted(rows, key=lambda row: row.locked))


@given(st.integers(0, 10**9), st.integers(1, 900), changes)
def test_whatever_changes_all_of_it_is_somewhere(amount: int, days: int, moved: list[Change]) -> None:
    first = day("2024-03-01")

    result = spread(first, first + days - 1, amount, ENDS, moved)

    assert total(result.parts) + result.stranded == amount - sum(change.less for change in moved)


@given(st.integers(0, 10**9), st.integers(1, 900), changes)
def test_no_part_crosses_a_year(amount: int, days: int, moved: list[Change]) -> None:
    first = day("2024-03-01")

    for part in spread(first, first + days - 1, amount, ENDS, moved).parts:
        assert not any(part.first <= end < part.last for end in ENDS)


@pytest.mark.parametrize("locked", [day("2024-12-31"), day("2025-12-31")])
@given(st.integers(0, 10**9), st.integers(1, 900), st.integers(1, 900))
def test_a_closed_year_keeps_what_it_took(locked: int, amount: int, days: int, other: int) -> None:
    first = day("2024-03-01")
    before = spread(first, first + days - 1, amount, ENDS).parts

    after = spread(first, first + days - 1, amount, ENDS, [Change(locked, last=first + other - 1, on=locked + 9)]).parts

    assert [part for part in after if part.last <= locked] == [part for part in before if part.last <= locked]
