"""Helps with tax: nothing is set until the keeper sets it; totals reached by hand; dates to keep records."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.books.commands import SetTaxHelp
from ledger.books.helps import CONTAINS, LABEL
from ledger.errors import BadInput
from ledger.selling.commands import Charge, CreditLine, CreditSale, LineOf, Sell
from ledger.stock.commands import AddLot, AddSpecies, Arrival, OriginStatement
from tests.exports.small_business import Story, close


def _sold(story: Story) -> None:
    """100.00 in March 2024, 30.00 and 5.00 postage in November 2024, 20.00 in February 2025, 10.00 of it credited."""
    story.clock.today = dt.date(2024, 3, 1)
    say = story.say
    say("2024-03-01", lambda on: AddSpecies("PACH", "pachnoda-marginata"))
    coming = (Arrival("bought", "L3", unsexed=50, value=100),)
    say("2024-03-01", lambda on: AddLot("B01", "PACH", on, coming, origin=OriginStatement("CF")))
    say("2024-03-10", lambda on: Sell((LineOf("B01", 10, 10000, stage="L3"),), on, customer="Wren"))
    say(
        "2024-11-15",
        lambda on: Sell((LineOf("B01", 3, 3000, stage="L3"),), on, customer="Wren", charges=(Charge("postage", 500),)),
    )
    say("2025-02-20", lambda on: Sell((LineOf("B01", 2, 2000, stage="L3"),), on, customer="Tarn"), "last")
    say("2025-02-25", lambda on: CreditSale(story.number("last"), on, "one weak", (CreditLine(1, 1000),)))


def test_nothing_is_compared_until_the_keeper_sets_it(both: Story) -> None:
    _sold(both)

    found = both.ledger.tax_helps()

    assert (found.thresholds, found.keep) == ((), ())


def test_the_totals_of_the_year_and_of_any_twelve_months_are_those_worked_by_hand(both: Story) -> None:
    _sold(both)
    both.say("2025-02-28", lambda on: SetTaxHelp("threshold small seller", 14000, dt.date(2024, 1, 1), "leaflet 3"))

    at = {day: both.ledger.tax_helps(dt.date.fromisoformat(day)).thresholds[0] for day in
          ("2024-12-31", "2025-02-28", "2025-03-09", "2025-03-10")}  # fmt: skip

    assert {day: (one.year_total, one.rolling) for day, one in at.items()} == {
        "2024-12-31": (13500, 13500),
        "2025-02-28": (1000, 14500),
        "2025-03-09": (1000, 14500),
        "2025-03-10": (1000, 4500),
    }
    # In February 2025 twelve months reach what neither year does alone.
    assert [(day, one.reached) for day, one in at.items()] == [
        ("2024-12-31", False), ("2025-02-28", True), ("2025-03-09", True), ("2025-03-10", True),
    ]  # fmt: skip
    assert (at["2025-03-10"].highest, at["2025-03-10"].highest_on) == (14500, dt.date(2025, 2, 28))
    assert at["2025-02-28"].note == "leaflet 3"


def test_a_figure_counts_from_its_day_and_can_be_changed_and_taken_away(story: Story) -> None:
    _sold(story)
    for day, amount in (("2024-06-01", 5000), ("2025-01-01", 6000), ("2025-02-01", None)):
        story.say("2025-02-28", lambda on, d=day, a=amount: SetTaxHelp("threshold one", a, dt.date.fromisoformat(d)))

    seen = [
        [one.threshold for one in story.ledger.tax_helps(dt.date.fromisoformat(day)).thresholds]
        for day in ("2024-05-31", "2024-06-01", "2025-01-01", "2025-02-01")
    ]

    assert seen == [[], [5000], [6000], []]


def test_records_of_a_year_are_kept_until_some_years_after_its_last_day(story: Story) -> None:
    _sold(story)
    story.say("2025-02-28", lambda on: SetTaxHelp("keep years", 7, dt.date(2024, 1, 1), "adviser"))

    keep = story.ledger.tax_helps().keep

    assert [(one.year, one.keep_until) for one in keep] == [
        (2024, dt.date(2031, 12, 31)),
        (2025, dt.date(2032, 12, 31)),
    ]


def test_everything_said_of_them_sends_the_keeper_to_the_rules_of_the_place(story: Story) -> None:
    done = story.say("2024-11-01", lambda on: SetTaxHelp("threshold small seller", 100000, on))

    assert done.sentence == f"From 1 November 2024, threshold small seller: 1000.00 EUR; {LABEL}."
    assert LABEL == "check your local rules"
    assert "before any cost" in CONTAINS


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("threshold", 100, "A help is"),
        ("threshold " + "x" * 60, 100, "60 is the most"),
        ("threshold " + "x" * 48, 100, "at most 46 letters"),
        ("threshold one", 0, "amount"),
        ("threshold one", 10**15, "amount"),
        ("keep years", 0, "from 1 to 100"),
        ("keep years", 101, "from 1 to 100"),
        ("rate", 5, "A help is"),
    ],
)
def test_what_is_no_help_is_refused(story: Story, name: str, value: int, sentence: str) -> None:
    with pytest.raises(BadInput, match=sentence):
        story.say("2024-11-01", lambda on: SetTaxHelp(name, value, on))

    assert story.ledger.methods() == ()


def test_a_closed_year_keeps_its_figures(story: Story) -> None:
    _sold(story)
    close(story, 2024)

    with pytest.raises(BadInput, match="closed"):
        story.say("2025-03-01", lambda on: SetTaxHelp("keep years", 7, dt.date(2024, 6, 1)))
