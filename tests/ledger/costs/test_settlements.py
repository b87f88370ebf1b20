"""The work of the engine grows with the entries, not with the lots, the days or the costs that are open."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from ledger.costs.given import Dated, LotInfo, Scope
from tests.ledger.costs.book import Book

DAYS = 60


def business(lots: int, entries: int, costs: int = 3) -> Book:
    """Many lots that share heat and feed; each day some of them see a death and an emergence."""
    book = Book({lot: LotInfo(species=1 + lot % 3) for lot in range(1, lots + 1)})
    for place in range(costs):
        scope = Scope("all") if place % 2 else Scope("species", frozenset({1, 2, 3}))
        book.cost("heat" if place % 2 else "feed", 1000 + place, 1 + place % 20, DAYS, scope=scope)
    for lot in book.lots:
        book.add(1, "bought", 200, to=(lot, 0), value=1000)
    for entry in range(entries):
        lot = 1 + entry % lots
        book.add(2 + entry % (DAYS - 2), "next stage", 1, (lot, 0), (lot, 1))
    return book


def settled_by_entries(
    lots: int, entries: int, costs: int = 3, weights: Mapping[tuple[int, int], Dated] | None = None
) -> int:
    """Times a bucket was settled beyond the arrivals, one for each lot."""
    return business(lots, entries, costs).share(DAYS, weights=weights or {}).settlements - lots


@pytest.mark.parametrize("lots", [25, 50, 100, 200])
def test_an_entry_settles_the_two_buckets_it_touches_however_many_lots_there_are(lots: int) -> None:
    assert settled_by_entries(lots, 400) == 2 * 400


def test_twice_the_entries_settle_twice_as_often() -> None:
    assert [settled_by_entries(50, entries) for entries in (0, 100, 200)] == [0, 200, 400]


def test_more_costs_settle_no_more_often() -> None:
    assert settled_by_entries(50, 100, costs=3) == settled_by_entries(50, 100, costs=300)


def test_the_count_would_show_an_engine_that_settles_all_lots_every_day() -> None:
    """A weight set anew each day makes the engine do just that; the count then grows with lots and days."""
    daily: dict[tuple[int, int], Dated] = {
        (species, 0): tuple((day, 1000) for day in range(2, DAYS)) for species in (1, 2, 3)
    }

    few, many = (settled_by_entries(lots, 400, weights=daily) for lots in (50, 100))

    assert few - 2 * 400 == 50 * (DAYS - 2)
    assert many - 2 * 400 == 100 * (DAYS - 2)


@pytest.mark.parametrize("young", [1, 40])
def test_young_settle_their_own_bucket_and_their_mothers_pool_once_each(young: int) -> None:
    book = Book({1: LotInfo(species=1, breeding=((1, None),))} | {
        lot: LotInfo(species=1, mothers=(1,)) for lot in range(2, 2 + young)
    })  # fmt: skip
    book.cost("heat", 1000, 1, DAYS)
    for stage in (2, 3, 4):
        book.add(1, "bought", 2, to=(1, stage), value=100)
    arrivals = 3
    for lot in range(2, 2 + young):
        book.add(lot, "laid", 5, to=(lot, 0))

    assert book.share(DAYS).settlements == arrivals + 2 * young
