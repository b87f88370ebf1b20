"""From the grid to whole minor units: running totals, halves, closing lines."""

from __future__ import annotations

import random
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest

from ledger.costs.given import LotInfo
from ledger.costs.grid import GRID, SNAP, posted, rounded, whole_lines
from ledger.costs.result import Kind
from tests.ledger.costs.book import Book, carried, near


def steps(amount: str | Fraction) -> int:
    return int(Fraction(amount) * GRID)


def column(*amounts: Fraction | str) -> list[int]:
    return list(posted([(steps(amount),) for amount in amounts], 1))


@pytest.mark.parametrize(
    ("amount", "whole"),
    [("0.5", 0), ("1.5", 2), ("2.5", 2), ("3.5", 4), ("-2.5", -2), ("-0.5", 0), ("2.4", 2), ("2.6", 3), ("-2.6", -3)],
)
def test_a_half_goes_to_the_even_number(amount: str, whole: int) -> None:
    """IEEE 754 default; the decimal module says the same."""
    assert rounded(steps(amount)) == whole
    assert Decimal(amount).quantize(Decimal(1), ROUND_HALF_EVEN) == whole


@pytest.mark.parametrize("whole", range(-3, 4))
def test_what_is_a_millionth_off_a_half_counts_as_a_half(whole: int) -> None:
    half = whole * GRID + GRID // 2
    even = whole + (whole & 1)

    assert [rounded(half + by) for by in (-SNAP, 0, SNAP)] == [even] * 3
    assert rounded(half - SNAP - 1) == whole
    assert rounded(half + SNAP + 1) == whole + 1


def test_a_series_posts_the_differences_of_its_rounded_running_total() -> None:
    sevenths = [Fraction(3000, 7)] * 7

    assert column(*sevenths) == [429, 428, 429, 428, 429, 428, 429]
    assert column(*["0.5"] * 6) == [0, 1, 1, 0, 0, 1]


def test_every_category_is_a_series_of_its_own() -> None:
    rows = [(steps("0.4"), steps("1.6")), (0, steps("1.6")), (steps("0.4"), -steps("1.6"))]

    assert list(posted(rows, 2)) == [0, 2, 0, 1, 1, -1]


def test_a_series_agrees_with_rounding_the_running_total_each_time() -> None:
    rng = random.Random(7)
    rows = [[rng.randint(-3 * GRID, 9 * GRID) for _ in range(3)] for _ in range(500)]
    rows += [[(1 + 2 * place) * GRID // 2] * 3 for place in range(-5, 5)]

    flat = list(posted(rows, 3))

    for place in range(3):
        running, before = 0, 0
        for at, row in enumerate(rows):
            running += row[place]
            assert flat[3 * at + place] == rounded(running) - before
            before = rounded(running)


def test_closing_lines_take_the_largest_remainder() -> None:
    """First US census, 60 seats by the method of Hamilton (electowiki); 42 seats over five states."""
    people = (630560, 475327, 432879, 353523, 331589, 278514, 236841, 206236, 179570, 141822, 85533, 70835, 68705,
              68446, 55540)  # fmt: skip
    quotas = [60 * GRID * number // sum(people) for number in people]
    assert whole_lines(60, quotas) == [11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1]

    states = (247_000, 185_000, 459_000, 400_000, 413_000)
    assert whole_lines(42, [42 * GRID * number // sum(states) for number in states]) == [6, 5, 11, 10, 10]


def test_of_equal_remainders_the_first_line_wins() -> None:
    """Fowler, Patterns of Enterprise Application Architecture, Money: five cents at thirty to seventy."""
    assert whole_lines(5, [steps("1.5"), steps("3.5")]) == [2, 3]
    assert whole_lines(5, [steps("3.5"), steps("1.5")]) == [4, 1]


def test_lines_below_zero_are_rounded_down_too() -> None:
    assert whole_lines(2, [steps("-0.3"), steps("2.5")]) == [0, 2]


@pytest.mark.parametrize("total", [0, 5])
def test_a_total_that_is_no_rounding_of_its_lines_is_an_error(total: int) -> None:
    with pytest.raises(ValueError, match="rounding"):
        whole_lines(total, [steps("1.5"), steps("1.5")])


def test_forty_equal_lots_share_ten_cents_a_day_equally() -> None:
    """Whole cents each day would give ten lots 365 and thirty lots nothing; each must carry 91.25."""
    book = Book({lot: LotInfo(species=1) for lot in range(1, 41)})
    book.cost("heat", 3650, 1, 365)
    for lot in book.lots:
        book.add(1, "found", 5, to=(lot, 0))

    shared = book.share(365)

    assert all(near(carried(shared, lot, 0), Fraction(9125, 100)) for lot in book.lots)
    assert sorted({sum(row.posted) for row in shared.closing}) == [91, 92]
    assert sum(sum(row.posted) for row in shared.closing) == 3650


def test_unequal_lots_share_ten_cents_a_day_by_their_animals() -> None:
    animals = {1: 3, 2: 1, 3: 7, 4: 20, 5: 41, 6: 2, 7: 9}
    book = Book({lot: LotInfo(species=1) for lot in animals})
    book.cost("heat", 3650, 1, 365)
    for lot, count in animals.items():
        book.add(1, "found", count, to=(lot, 0))

    shared = book.share(365)

    cents = [round(float(carried(shared, lot, 0)), 2) for lot in animals]
    assert cents == [131.93, 43.98, 307.83, 879.52, 1803.01, 87.95, 395.78]
    assert [sum(row.posted) for row in shared.closing if row.kind is Kind.ON_HAND] == [132, 44, 308, 879, 1803, 88, 396]


def test_a_row_of_the_postings_can_be_read_from_either_end() -> None:
    book = Book({1: LotInfo(species=1)})
    book.add(1, "bought", 3, to=(1, 0), value=100)
    sales = [book.add(day, "sold", 1, (1, 0)) for day in (2, 3, 4)]

    postings = book.share(5).postings

    assert [row.event for row in postings] == sales
    assert postings[-1] == list(postings)[-1]
    assert [sum(row.posted) for row in postings] == [33, 34, 33]
    with pytest.raises(IndexError):
        postings[3]
