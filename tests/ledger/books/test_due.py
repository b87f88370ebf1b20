"""What needs doing, each with the words and the act that settles it."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from ledger.books.due import DueRow, due
from ledger.costs.commands import PayCost, ReverseCost, Spend
from ledger.selling.commands import (
    CreditLine,
    CreditSale,
    DecideDeposit,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    TakePayment,
)
from ledger.stock.commands import (
    AddLot,
    AddSpecies,
    Arrival,
    KeepBack,
    Mark,
    Move,
    OriginStatement,
    Record,
    SaveRound,
    SetFigure,
    SetLotFact,
)
from tests.exports.small_business import Story

START = dt.date(2025, 3, 1)


def _stocked(story: Story) -> None:
    story.clock.today = START
    story.ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
    story.ledger.do(AddLot("A01", "PACH", START, (Arrival("bought", "L3", unsexed=20),), origin=OriginStatement("CBU")))


def _on(story: Story, day: str, kind: str | None = None) -> list[DueRow]:
    story.clock.today = max(story.clock.today, dt.date.fromisoformat(day))
    rows = story.ledger.ask(due, story.ledger.scene)
    return [row for row in rows if kind in (None, row.kind)]


def _sentences(rows: list[DueRow]) -> list[str]:
    return [row.sentence for row in rows]


def test_an_empty_ledger_has_nothing_due(both: Story) -> None:
    assert _on(both, "2025-03-01") == []


def test_a_round_is_due_four_days_after_the_animals_came_and_three_after_a_longer_pause(both: Story) -> None:
    _stocked(both)

    assert _on(both, "2025-03-04", "round") == []
    assert _sentences(_on(both, "2025-03-05", "round")) == ["A01: round due today."]
    (row,) = _on(both, "2025-03-07", "round")
    assert row == DueRow(dt.date(2025, 3, 5), "round", "A01", "A01: round due since 5 March 2025.", late=True)
    both.ledger.do(SaveRound((Mark("A01", "fed"),), dt.date(2025, 3, 7)))
    assert _on(both, "2025-03-09", "round") == []
    assert _sentences(_on(both, "2025-03-10", "round")) == ["A01: round due today."]
    both.ledger.do(SaveRound((Mark("A01", "looked"),), dt.date(2025, 3, 10)))
    assert _on(both, "2025-03-13", "round") == []
    assert _sentences(_on(both, "2025-03-14", "round")) == ["A01: round due today."]


def test_who_goes_round_when_it_is_due_goes_twice_a_week_about_104_times_a_year(story: Story) -> None:
    """Tubs are cleaned about twice a week (common practice, no source); eight weeks of it."""
    _stocked(story)
    gone = [START]
    for days in range(1, 7 * 8 + 1):
        today = START + dt.timedelta(days=days)
        if _on(story, today.isoformat(), "round"):
            story.ledger.do(SaveRound((Mark("A01", "fed"),), today))
            gone.append(today)

    assert {(after - before).days for before, after in pairwise(gone)} == {3, 4}
    assert (len(gone) - 1) * 52 / 8 == 104


def test_the_days_between_rounds_can_be_set_for_a_species(story: Story) -> None:
    _stocked(story)
    story.ledger.do(SetFigure("PACH", None, "round days", 9, START))

    assert _on(story, "2025-03-09", "round") == []
    assert len(_on(story, "2025-03-10", "round")) == 1


def test_a_lot_that_rests_or_is_lent_out_asks_for_no_round(story: Story) -> None:
    _stocked(story)
    story.ledger.do(SetLotFact("A01", "rests until", "2025-03-20", START))

    assert _on(story, "2025-03-19", "round") == []
    assert len(_on(story, "2025-03-20", "round")) == 1
    story.ledger.do(SetLotFact("A01", "lent out", "yes", dt.date(2025, 3, 20)))
    assert _on(story, "2025-03-21", "round") == []


def test_only_the_tubs_that_wait_are_named(story: Story) -> None:
    _stocked(story)
    story.ledger.do(Record("A01", (Move("tub moved", 5, to_tub="1"), Move("tub moved", 5, tub="", to_tub="2")), START))
    story.ledger.do(SaveRound((Mark("A01", "looked", tub="1"),), dt.date(2025, 3, 1)))
    story.clock.today = dt.date(2025, 3, 4)
    story.ledger.do(SaveRound((Mark("A01", "looked", tub="1"), Mark("A01", "fed", tub="2")), story.clock.today))

    assert _on(story, "2025-03-04", "round") == []
    (row,) = _on(story, "2025-03-06", "round")
    assert row.sentence == "A01, the unlabelled rest: round due since 5 March 2025."


def test_animals_due_to_be_hard_within_two_weeks_are_told_with_their_day(both: Story) -> None:
    _stocked(both)
    both.ledger.do(SetFigure("PACH", "adult", "hardening days", 20, START))
    both.ledger.do(Record("A01", (Move("next stage", 6, to_stage="cocoon"),), START))
    both.ledger.do(Record("A01", (Move("next stage", 6, stage="cocoon", to_stage="adult"),), START))

    assert _on(both, "2025-03-06", "ready") == []
    (row,) = _on(both, "2025-03-07", "ready")
    assert (row.on, row.ref) == (dt.date(2025, 3, 21), "A01")
    assert row.sentence == "A01: 6 adults due hard 21 March 2025: look first."
    assert _on(both, "2025-03-21", "ready") == []


def test_holds_about_to_lapse_and_deposits_of_those_that_did_are_told(both: Story) -> None:
    _stocked(both)
    both.ledger.do(PlaceHold("Tarn", (Pick("A01", 2),), START, "2025-03-10T18:00", deposit=500))

    assert _on(both, "2025-03-07", "hold") == []
    (row,) = _on(both, "2025-03-08", "hold")
    assert (row.ref, row.sentence) == ("R-001", "R-001 for Tarn lapses Monday 10 March, 18:00.")
    assert _on(both, "2025-03-11", "hold") == []
    (row,) = _on(both, "2025-03-11", "deposit")
    assert row.sentence == "R-001 for Tarn is over: decide what becomes of the deposit of 5.00 EUR."
    both.ledger.do(DecideDeposit("R-001", "kept", both.clock.today))
    assert _on(both, "2025-03-11", "deposit") == []


def test_parcels_wait_until_they_are_posted_and_say_what_is_lacking(both: Story) -> None:
    _stocked(both)
    both.ledger.do(
        Sell((LineOf("A01", 20, 6000),), START, customer="Wren", channel="post", to_post=True, paid=(Paid(6000),))
    )
    assert _sentences(_on(both, "2025-03-02", "post")) == ["S-2025-0001 for Wren is to be posted, sold 1 March 2025."]
    assert _on(both, "2025-03-02", "short") == []

    both.ledger.do(Record("A01", (Move("died", 3),), dt.date(2025, 3, 2)))
    short = "S-2025-0001, line 1: 3 animals are lacking; replace, credit or wait."
    assert _sentences(_on(both, "2025-03-02", "short")) == [short]
    both.ledger.do(CreditSale("S-2025-0001", dt.date(2025, 3, 2), "died", (CreditLine(1, 900, count=3),), refund=False))
    assert _on(both, "2025-03-02", "short") == []
    both.ledger.do(PostSale("S-2025-0001", dt.date(2025, 3, 2)))
    assert _on(both, "2025-03-02", "post") == []
    assert _sentences(_on(both, "2025-03-02", "give back")) == ["S-2025-0001 (Wren): 9.00 EUR is to be given back."]


def test_holds_and_animals_kept_back_say_what_is_lacking(story: Story) -> None:
    _stocked(story)
    story.ledger.do(PlaceHold("Tarn", (Pick("A01", 12),), START, "2025-06-01"))
    story.ledger.do(KeepBack("A01", 8, "future breeders", START))
    story.ledger.do(Record("A01", (Move("died", 9),), START))

    assert _sentences(_on(story, "2025-03-01", "short")) == [
        "Kept back (future breeders): 8 animals are lacking.",
        "R-001 for Tarn: 1 animal is lacking; tell the buyer.",
    ]


def test_money_owed_either_way_is_told_until_it_is_paid(both: Story) -> None:
    _stocked(both)
    both.ledger.do(Sell((LineOf("A01", 2, 900),), START, customer="Wren", paid=(Paid(300),)))
    cost = both.ledger.do(Spend(START, "heat", 7301, supplier="the mill", unpaid=True)).refs["cost"]
    both.ledger.do(PayCost(int(cost), START, 301))
    wrong = both.ledger.do(Spend(START, "feed", 100, unpaid=True)).refs["cost"]
    both.ledger.do(ReverseCost(int(wrong)))

    assert _sentences(_on(both, "2025-03-02", "unpaid")) == ["S-2025-0001 (Wren): 6.00 EUR unpaid since 1 March 2025."]
    (row,) = _on(both, "2025-03-02", "cost")
    assert (row.ref, row.sentence) == (
        str(cost),
        f"Cost {cost} (heat): 70.00 EUR unpaid to the mill, bought 1 March 2025.",
    )
    both.ledger.do(TakePayment("S-2025-0001", 600, dt.date(2025, 3, 2)))
    both.ledger.do(PayCost(int(cost), dt.date(2025, 3, 2), 7000))
    assert _on(both, "2025-03-02", "unpaid") + _on(both, "2025-03-02", "cost") == []


def test_the_longest_due_comes_first(told: Story) -> None:
    rows = told.ledger.ask(due, told.ledger.scene)

    assert [row.on for row in rows] == sorted(row.on for row in rows)
    assert len(rows) > 4
