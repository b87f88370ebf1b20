"""Why one lot is dearer than another: worked by hand, and on random journals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest

from ledger.costs.explain.compare import Compared, compare
from ledger.costs.explain.figure import Reared
from ledger.costs.explain.parts import Part
from ledger.costs.given import LotInfo, Scope
from tests.ledger.costs.book import Book, breeders
from tests.ledger.costs.explained import journal_of, random_journal

YOUNG, ADULT = 0, 1


def two_lots() -> Book:
    """Lot 1: ten young at 100 each, 200 of feed, two die, eight reared: 150 each. Lot 2: ten at 60, 300 of feed, all
    ten reared: 90 each."""
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=1)})
    book.cost("feed", 200, 1, 10, scope=Scope("lots", frozenset({1})))
    book.cost("feed", 300, 1, 10, scope=Scope("lots", frozenset({2})))
    book.add(1, "bought", 10, to=(1, YOUNG), value=1000)
    book.add(1, "bought", 10, to=(2, YOUNG), value=600)
    book.add(11, "died", 2, (1, YOUNG), cause="ordinary")
    book.add(11, "next stage", 8, (1, YOUNG), (1, ADULT))
    book.add(11, "next stage", 10, (2, YOUNG), (2, ADULT))
    return book


def compared(book: Book) -> Compared:
    return compare(journal_of(book, 12, reared={1: ADULT}), 1, 2)


def named(parts: Sequence[Part]) -> dict[tuple[str, str], Fraction]:
    return {(part.key.kind, part.key.name): round(part.exact * 10**6) / Fraction(10**6) for part in parts}


def test_the_difference_is_taken_apart_by_entry_spending_and_losses() -> None:
    found = compared(two_lots())

    assert (found.one.shown, found.other.shown, found.shown) == (150, 90, 60)
    # 40 more at entry and 10 less of feed, each for 1.125 animals; 0.25 animals more, at 105 each.
    assert named(found.causes) == {
        ("came with", "animals"): 45,
        ("spent", "feed"): Fraction(-45, 4),
        ("losses", ""): Fraction(105, 4),
    }
    assert [part.shown for part in found.causes] == [45, -11, 26]
    assert named(found.by_category) == {("category", "animals"): 65, ("category", "feed"): -5}
    assert named(found.by_stage) == {("stage", "1"): 60}


def test_each_side_says_what_it_rests_on() -> None:
    found = compared(two_lots())

    assert (found.one.reared, found.one.lost, found.one.bears) == (8, 2, Fraction(5, 4))
    assert (found.other.reared, found.other.lost, found.other.bears) == (10, 0, 1)
    assert found.one.came_with == {"animals": 100}
    assert {name: round(amount, 6) for name, amount in found.one.spent.items()} == {"feed": 20}


def test_the_keep_of_the_mothers_is_what_young_came_with() -> None:
    book = breeders(breeding_life_days=None)
    book.add(11, "laid", 10, to=(2, YOUNG))
    book.add(12, "laid", 10, to=(3, YOUNG))
    for lot in (2, 3):
        book.add(20, "next stage", 10, (lot, YOUNG), (lot, ADULT))

    found = compare(journal_of(book, 21, reared={1: ADULT}), 2, 3)

    # Ten days of heat for the first clutch; a day's share of it for the second.
    assert round(found.one.came_with["heat"], 6) == 10
    assert round(found.other.came_with["heat"], 6) == round(Fraction(10, 13) * 3 / 10, 6)


def test_what_moved_over_from_another_lot_is_what_they_came_with() -> None:
    book = Book({1: LotInfo(species=1), 2: LotInfo(species=1), 3: LotInfo(species=1)})
    book.cost("feed", 100, 1, 10)
    book.add(1, "bought", 10, to=(3, YOUNG), value=500)
    book.add(1, "found", 10, to=(2, YOUNG))
    book.add(6, "split", 5, (3, YOUNG), (1, YOUNG))
    for lot, count in ((1, 5), (2, 10)):
        book.add(11, "next stage", count, (lot, YOUNG), (lot, ADULT))

    found = compare(journal_of(book, 12, reared={1: ADULT}), 1, 2)

    # Five days at 10 a day over 20 animals before the split, and five after it.
    assert {name: round(amount, 6) for name, amount in found.one.came_with.items()} == {
        "animals": 50,
        "feed": Fraction(5, 2),
    }
    assert {name: round(amount, 6) for name, amount in found.one.spent.items()} == {"feed": Fraction(5, 2)}


def test_a_loss_written_off_is_not_carried_by_those_reared() -> None:
    book = two_lots()
    book.events = [replace(event, cause="exceptional") if event.cause else event for event in book.events]

    found = compared(book)

    assert (found.one.lost, found.one.shown) == (2, 120)
    assert round(found.one.bears, 6) == 1
    assert sum(part.exact for part in found.causes) == found.exact


def test_animals_found_again_are_not_lost() -> None:
    book = two_lots()
    missing = book.add(3, "missing", 1, (2, YOUNG), cause="unknown")
    book.add(4, "found", 1, to=(2, YOUNG), relates_to=missing)

    assert compared(book).other.lost == 0


@pytest.mark.parametrize("seed", range(700, 716))
def test_the_parts_sum_to_the_difference_on_random_journals(seed: int) -> None:
    journal = random_journal(seed)
    plain = journal.shared()
    lots = [lot for lot in sorted({row.lot for row in plain.reached}) if Reared(frozenset({lot})).number(plain) > 0]
    for one, other in combinations(lots, 2):
        if journal.lots[one].species != journal.lots[other].species:
            continue
        found = compare(journal, one, other)
        for parts in (found.causes, found.by_category, found.by_stage):
            assert sum(part.exact for part in parts) == found.exact
            assert sum(part.shown for part in parts) == found.shown


def test_causes_that_leave_the_losses_out_do_not_sum_to_the_difference() -> None:
    found = compared(two_lots())

    assert sum(part.exact for part in found.causes if part.key.kind != "losses") != found.exact
