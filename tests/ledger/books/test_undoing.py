"""Undo takes back one's own latest act, whatever it was: never an earlier one in its place."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import select

from ledger.costs.commands import NoteHours, PayCost, RefundCost, ReverseCost, Spend, TakeOut
from ledger.errors import NotFound, Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.selling.commands import LineOf, Paid, Pick, PlaceHold, Sell, TakePayment
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Mark, Move, Record, SaveRound, StageSpec, Undo

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


def test_what_was_taken_out_of_the_store_last_is_put_back(loft: Ledger) -> None:
    loft.do(Spend(TODAY, "feed", 1000, text="flake", stored=True, quantity="10", unit="kg"))
    loft.do(TakeOut("flake", 4000, TODAY))

    loft.do(Undo())
    (row,) = loft.store_items()
    assert (alive(loft), row.quantity, row.value) == (18, 10_000, 1000)

    loft.do(Undo())
    assert all(row.taken_back for row in loft.costs())
    assert alive(loft) == 18


def test_hours_noted_last_are_dropped_and_the_deaths_before_them_stay(loft: Ledger) -> None:
    loft.do(NoteHours(TODAY, 30))

    loft.do(Undo())

    assert loft.own_hours() == ()
    assert alive(loft) == 18


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


@pytest.fixture
def payer(loft: Ledger) -> Ledger:
    """Two dead, then a bill of 3.33 that was not paid."""
    loft.do(Spend(TODAY, "feed", 333, unpaid=True))
    return loft


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (RefundCost(1, TODAY, 100), "Cost 1 (feed): 1.00 EUR came back, 2 June 2025"),
        (ReverseCost(1), "Cost 1 (feed) is taken back"),
    ],
    ids=lambda value: type(value).__name__,
)
def test_an_act_that_undo_does_not_take_back_is_never_reached_past_to_an_older_one(
    payer: Ledger, act: object, sentence: str
) -> None:
    payer.do(act)
    before = payer.costs()

    with pytest.raises(Refused) as refused:
        payer.do(Undo())

    assert refused.value.sentence.startswith(f"Not undone: your last act was “{sentence}")
    assert alive(payer) == 18
    assert payer.costs() == before
    with pytest.raises(Refused, match="Not undone"):
        payer.preview(Undo())


def test_what_somebody_else_recorded_does_not_stand_in_the_way(payer: Ledger) -> None:
    other = Ledger(payer.store, clock=lambda: dt.datetime(2025, 6, 2, 10), by="somebody else")
    other.do(PayCost(1, TODAY, 333))

    payer.do(Undo())

    assert [row.taken_back for row in payer.costs()] == [True, True]


def test_an_act_that_was_taken_back_by_its_number_does_not_stand_in_the_way(loft: Ledger) -> None:
    other = Ledger(loft.store, clock=lambda: dt.datetime(2025, 6, 2, 10), by="somebody else")
    loft.do(Spend(TODAY, "feed", 333))
    other.do(ReverseCost(1))

    loft.do(Undo())

    assert alive(loft) == 20


def test_several_lines_of_which_one_is_a_cost_are_taken_back_together(loft: Ledger) -> None:
    lines = (Record("B01", (Move("died", 1),), TODAY), Spend(TODAY, "feed", 100))
    loft.do_all([(str(n), lambda _conn, line=line: line) for n, line in enumerate(lines)], content="lines")

    loft.do(Undo())

    assert alive(loft) == 18
    assert all(row.taken_back for row in loft.costs())


def test_payments_deposits_holds_and_marks_are_taken_back_one_after_the_other(loft: Ledger) -> None:
    loft.do(Sell((LineOf("B01", 3, 900),), TODAY, "Tarn"))
    loft.do(TakePayment("S-2025-0001", 400, TODAY))
    loft.do(PlaceHold("Velo", (Pick("B01", 2),), TODAY, "2025-06-10", 250))
    loft.do(SaveRound((Mark("B01", "seen hard", stage="larva"), Mark("B01", "fed")), TODAY))

    said = [loft.do(Undo()).sentence for _ in range(3)]

    assert said[0].startswith("Taken back: B01: larvae seen hard; B01: fed")
    assert said[1].startswith("Taken back: R-001 for Velo")
    assert said[2] == "Taken back: S-2025-0001: 4.00 EUR paid, 2 June 2025."
    assert [(row.number, row.owed) for row in loft.owed()] == [("S-2025-0001", 900)]
    assert loft.prove() == ()
    assert sum(loft.ask(lambda conn: conn.execute(select(t.payment.c.amount)).scalars().all())) == 0
