"""Undo takes back one's own latest act, whatever it was: never an earlier one in its place."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.costs.commands import Spend
from ledger.errors import NotFound
from ledger.ledger import Ledger
from ledger.selling.commands import LineOf, Paid, Sell
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec, Undo

TODAY = dt.date(2025, 6, 2)


@pytest.fixture
def loft(ledger: Ledger) -> Ledger:
    stages = (StageSpec("larva", saleable=True), StageSpec("adult", saleable=True))
    ledger.do(DescribeSpecies("BUG", "Species inventa", "bug", "beetle", stages, "adult"))
    ledger.do(AddLot("B01", "BUG", TODAY, (Arrival("hatched", "larva", unsexed=20),)))
    ledger.do(Record("B01", (Move("died", 2),), TODAY))
    return ledger


def alive(ledger: Ledger) -> int:
    return sum(row.count for row in ledger.stock(lot="B01"))


def test_a_cost_recorded_last_is_taken_back_and_the_deaths_before_it_stay(loft: Ledger) -> None:
    loft.do(Spend(TODAY, "feed", 333))

    done = loft.do(Undo())

    assert "feed" in done.sentence
    assert alive(loft) == 18
    assert all(row.taken_back for row in loft.costs())


def test_a_sale_recorded_last_is_credited_in_full(loft: Ledger) -> None:
    loft.do(Sell((LineOf("B01", 3, 900),), TODAY, paid=(Paid(None),)))
    assert alive(loft) == 15

    loft.do(Undo())

    assert alive(loft) == 18
    assert [row.undone for row in loft.sales()] == [True]


def test_undo_goes_further_back_each_time(loft: Ledger) -> None:
    loft.do(Spend(TODAY, "feed", 333))
    loft.do(Record("B01", (Move("died", 1),), TODAY))

    loft.do(Undo())
    assert alive(loft) == 18
    loft.do(Undo())
    loft.do(Undo())

    assert alive(loft) == 20


def test_what_somebody_else_recorded_since_is_left_alone(loft: Ledger) -> None:
    loft.by = "other"
    loft.do(Spend(TODAY, "feed", 333))
    loft.by = "keeper"

    loft.do(Undo())

    assert alive(loft) == 20
    assert not any(row.taken_back for row in loft.costs())


def test_with_nothing_of_ones_own_there_is_nothing_to_undo(loft: Ledger) -> None:
    loft.by = "other"

    with pytest.raises(NotFound, match="nothing of yours"):
        loft.do(Undo())


def test_the_preview_says_what_would_be_taken_back(loft: Ledger) -> None:
    loft.do(Spend(TODAY, "feed", 333))

    assert "feed" in loft.preview(Undo()).sentence
