"""Patterns of numbers: what they are read as, and that numbers of two series never meet unseen."""

from __future__ import annotations

import itertools

import pytest

from ledger.errors import BadInput
from ledger.records.series import HOLDS, SALES, Pattern, Series, may_meet, read_pattern

LAYOUTS = (
    "S-YYYY-#",
    "S-YY-#",
    "S-25-#",
    "S-2025.#",
    "S-#",
    "S#",
    "S.#",
    "S-#-YYYY",
    "S-#-YY",
    "S-#-25",
    "S2-#",
    "S-7-#",
    "SA-YYYY-#",
    "S-YYYY-#A",
)


@pytest.mark.parametrize(
    ("typed", "year", "n", "number"),
    [
        ("S-YYYY-0001", 2025, 29, "S-2025-0029"),
        ("re0213", 2025, 213, "RE0213"),
        ("RE-YY.001", 2025, 7, "RE-25.007"),
        ("INV-01-YYYY", 2025, 123, "INV-123-2025"),
        ("B2-1", 2025, 40, "B2-40"),
    ],
)
def test_a_pattern_is_the_first_number_written_out(typed: str, year: int, n: int, number: str) -> None:
    pattern = read_pattern(typed)

    assert pattern.number(year, n) == number
    assert read_pattern(pattern.text) == pattern
    read = Series(SALES, pattern.layout).read(number)
    assert read is not None
    assert read[1] == n


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "begin with a letter"),
        ("0001", "begin with a letter"),
        ("YYYY-0001", "begin with a letter"),
        ("S/0001", "begin with a letter"),
        ("S 0001", "begin with a letter"),
        ("Ä-0001", "begin with a letter"),
        ("S-0001-", "begin with a letter"),
        ("S-YYY-0001", "write the year once"),
        ("S-YY-YYYY-0001", "write the year once"),
        ("S-YYYY", "write the first number out"),
        ("S-YYYY-0000", "1 or higher"),
        ("S-0000001", "at most 6 digits"),
        ("S-YYYY0001", "between the year and other digits"),
        ("S-0001-2025", "write YYYY where the year stands"),
        ("S-2025-0001", "write YYYY where the year stands"),
        ("QUILLMERE-LOFT-01", "at most 12 characters"),
    ],
)
def test_what_is_no_pattern_is_refused_in_one_sentence(typed: str, why: str) -> None:
    with pytest.raises(BadInput, match=why) as seen:
        read_pattern(typed)

    assert str(seen.value).count(". ") == 0


def _numbers(layout: str) -> set[str]:
    return {
        Pattern(layout, digits, 1).number(year, n)
        for year in (2024, 2025, 2124)
        for n in (1, 7, 24, 25, 2025)
        for digits in (1, 2, 4)
    }


def test_layouts_whose_numbers_are_ever_the_same_may_meet() -> None:
    met = 0
    for one, other in itertools.permutations(LAYOUTS, 2):
        same = _numbers(one) & _numbers(other)
        met += bool(same)
        assert may_meet(one, other) or not same, (one, other, same)
    assert met > 4, "a control: some of these do meet"


def test_layouts_that_can_never_meet_may_stand_side_by_side() -> None:
    assert not may_meet("S-YYYY-#", "C-YYYY-#")
    assert not may_meet("S-#", "S-YYYY-#")
    assert not may_meet("S#", "S-#")
    assert not may_meet("S-YYYY-#", "S-YY-#")
    assert may_meet("S-YY-#", "S-25-#")
    assert may_meet("S-YYYY-#", "S-#-YYYY")


def test_every_spelling_of_a_number_is_looked_for() -> None:
    assert "S-2025-0001" in Series(SALES, "S-YYYY-#").spellings("S-2025-1")
    assert "R-014" in Series(HOLDS, "R-#").spellings("R-14")
    assert Series(SALES, "S-YYYY-#").spellings("R-14") == ()
