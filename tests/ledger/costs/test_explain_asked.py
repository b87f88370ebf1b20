"""Explanations asked for by name over a real ledger: the figures agree with every other report, and have names."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest
from sqlalchemy import select

from ledger.costs.commands import SetCare, SetMethod, Spend
from ledger.costs.explain.answers import Answer
from ledger.costs.explain.asked import (
    compare_lots,
    explain_lot,
    explain_sale,
    explain_species,
    explain_uncarried,
)
from ledger.costs.explain.months import months_of_spending
from ledger.costs.explain.went import where_cost_went, where_month_went
from ledger.costs.explain.words import in_words, why_dearer
from ledger.costs.so_far import cost_so_far
from ledger.errors import Refused
from ledger.ledger import Ledger
from ledger.records import tables as t
from ledger.records.store import Store
from tests.ledger.costs.beetles import COST_OF_P01, FEED_OF_P01, HEAT, NOW, POSTAGE, RACK, SOLD, beetles

TODAY = NOW.date()


@pytest.fixture
def kept(store: Store) -> Ledger:
    return beetles(store)


def adds_up(found: Answer) -> bool:
    return (
        sum(line.exact for line in found.lines) == found.exact
        and sum(line.shown for line in found.lines) == found.shown
        and sum(line.in_all for line in found.lines) == found.in_all
    )


def named(found: Answer) -> dict[str, int]:
    return {line.name: line.in_all for line in found.lines}


def test_a_lot_that_reared_adults_is_explained_by_what_each_cost(kept: Ledger) -> None:
    found = kept.ask(explain_lot, "p01", TODAY)

    assert (found.about, found.figure, found.shown, found.in_all, found.number) == (
        "lot P01",
        "cost per reared adult",
        625,
        5000,
        8,
    )
    assert named(found) == {"animals": 3000, "feed": 2000}
    assert [other.lot for other in found.others] == ["P02"]
    assert found.figures == ("each", "carried")


@pytest.mark.parametrize("by", ["category", "stage", "month", "entry", "movement"])
def test_it_adds_up_by_everything_and_is_the_figure_of_the_rearing_report(kept: Ledger, by: str) -> None:
    found = kept.ask(explain_lot, "P01", TODAY, by=by)

    assert adds_up(found)
    (row,) = kept.rearing(lot="P01")
    assert found.exact == row.cost_per_reared


def test_entries_are_called_by_what_was_bought_and_lead_to_the_cost(kept: Ledger) -> None:
    found = kept.ask(explain_lot, "P01", TODAY, by="entry")

    assert [(line.name, line.cost) for line in found.lines] == [
        ("10 larvae bought, lot P01", COST_OF_P01),
        ("cost 3: feed", FEED_OF_P01),
    ]
    assert found.lines[1].about == "Ombrel, bought 10 January 2025"


def test_what_is_carried_is_the_cost_so_far_of_the_lot(kept: Ledger) -> None:
    for by in ("category", "stage", "month", "entry", "now"):
        found = kept.ask(explain_lot, "P01", TODAY, figure="carried", by=by)

        assert adds_up(found)
        assert found.exact == kept.ask(cost_so_far, "P01", TODAY).amount


def test_a_sale_is_explained_as_the_books_have_it(kept: Ledger) -> None:
    number = kept.sales()[0].number
    for by in ("category", "stage", "month", "entry", "movement"):
        assert adds_up(kept.ask(explain_sale, number, TODAY, by=by, line=1))

    found = kept.ask(explain_sale, number, TODAY, by="stage")
    # Three of eight at 6.25 as larvae; a month of heat and rack as adults.
    assert named(found) == {"larva": 1875, "adult": found.shown - 1875}
    assert found.shown > 1875


def test_a_species_is_explained_from_all_its_lots(kept: Ledger) -> None:
    found = kept.ask(explain_species, "BUG", TODAY, by="entry")

    assert adds_up(found)
    assert (found.in_all, found.number) == (8000, 18)


def test_two_lots_compared_say_why_in_words(kept: Ledger) -> None:
    found = kept.ask(compare_lots, "P01", "P02", TODAY)

    assert why_dearer(found, kept.currency) == (
        "A reared adult of P01 cost 6.25 EUR, one of P02 3.00 EUR: 3.25 EUR more.",
        # 1.80 more for 1.125 animals, 0.20 more for 1.125, and 0.25 of an animal at 4.00.
        "2.03 dearer by what they cost when they came: 3.00 against 1.20 for each that was reared or lost, most of it "
        "animals.",
        "0.22 dearer by what was spent on each: 2.00 against 1.80 for each that was reared or lost, most of it feed.",
        "1.00 dearer by losses: of P01 8 were reared and 2 lost, of P02 10 and 0; a reared adult carries the cost of "
        "1.25 and 1.00.",
    )
    assert why_dearer(kept.ask(compare_lots, "P02", "P01", TODAY), kept.currency)[0].startswith(
        "A reared adult of P01 cost"
    )


def test_the_feed_of_a_lot_went_with_its_animals(kept: Ledger) -> None:
    found = kept.ask(where_cost_went, FEED_OF_P01, TODAY)

    assert adds_up(found)
    assert named(found) == {"still carried by living animals": 1250, "went with sales": 750}


@pytest.mark.parametrize("by", ["outcome", "lot", "detail"])
def test_where_each_cost_went_adds_up_to_its_business_part(kept: Ledger, by: str) -> None:
    for number, whole in ((COST_OF_P01, 3000), (FEED_OF_P01, 2000), (HEAT, 3650), (RACK, 1000)):
        found = kept.ask(where_cost_went, number, TODAY, by=by)

        assert adds_up(found)
        assert found.shown == found.exact == whole


def test_a_place_is_the_same_to_the_coin_however_the_places_are_listed(kept: Ledger) -> None:
    """Three ways of rounding three lists would leave a coin of one cost here in one list and there in another."""
    for amount in (100, 101, 1003):
        kept.do(Spend(dt.date(2025, 4, 2), "heat", amount, "Ombrel", window_to=dt.date(2025, 6, 11)))
    for cost in kept.costs():
        if cost.category != "heat":
            continue
        outcome, lot, detail = (kept.ask(where_cost_went, cost.id, TODAY, by=by) for by in ("outcome", "lot", "detail"))
        for line in outcome.lines:
            assert line.shown == sum(one.shown for one in detail.lines if one.kind == line.kind)
        for line in lot.lines:
            same = [one.shown for one in detail.lines if one.lot == line.lot and (line.lot or one.kind == line.kind)]
            assert line.shown == sum(same)


def test_what_equipment_is_still_worth_is_a_place_of_its_own(kept: Ledger) -> None:
    assert named(kept.ask(where_cost_went, RACK, TODAY))["what it will still be worth"] == 200


def test_the_heat_of_april_went_to_who_was_there(kept: Ledger) -> None:
    found = kept.ask(where_month_went, "heat", "2025-04", TODAY, by="lot")

    assert adds_up(found)
    # Thirty days at 10 over eight beetles of P01 and ten of P02.
    assert {line.name: round(line.exact, 6) for line in found.lines} == {
        "lot P01": round(Fraction(300 * 8, 18), 6),
        "lot P02": round(Fraction(300 * 10, 18), 6),
    }


def test_the_months_of_each_kind_are_those_that_are_taken_apart_and_add_up(kept: Ledger) -> None:
    rows = kept.ask(months_of_spending, TODAY)

    assert [row.month for row in rows] == sorted((row.month for row in rows), reverse=True)
    assert ("2025-04", "heat", 300) in [(row.month, row.category, row.shown) for row in rows]
    for row in rows:
        found = kept.ask(where_month_went, row.category, row.month, TODAY)
        assert (found.exact, found.shown) == (row.exact, row.shown)
    # Ten a day from 1 April on: April, May and June.
    assert sum(row.exact for row in rows if row.category == "heat") == 10 * (30 + 31 + 30)


def test_costs_shared_in_ways_of_their_own_are_explained_as_they_are_shared(kept: Ledger) -> None:
    kept.do(SetMethod("sharing heat", "tub-days", dt.date(2025, 4, 11)))
    kept.do(SetCare("rack", "BUG", "adult", 500, dt.date(2025, 4, 1)))
    for by in ("stage", "month", "entry"):
        found = kept.ask(explain_lot, "P01", TODAY, figure="carried", by=by)

        assert adds_up(found)
        assert found.exact == kept.ask(cost_so_far, "P01", TODAY).amount

    # Ten days of April by beetles, twenty by tubs, of which each lot has one.
    april = kept.ask(where_month_went, "heat", "2025-04", TODAY, by="lot")
    assert adds_up(april)
    assert round(april.lines[0].exact, 6) == round(Fraction(100 * 8, 18) + 100, 6)


def test_a_day_in_the_past_is_explained_as_it_was(kept: Ledger) -> None:
    before = kept.ask(where_cost_went, FEED_OF_P01, SOLD - dt.timedelta(1))

    assert named(before) == {"still carried by living animals": 2000}


def test_what_nobody_carried_is_explained_by_entry(kept: Ledger) -> None:
    found = kept.ask(explain_uncarried, TODAY, by="entry")

    assert adds_up(found)
    assert in_words(found, kept.currency) == "The whole ledger: spent with no animals to carry it 0.00 EUR."


@pytest.mark.parametrize(
    ("question", "asked", "words"),
    [
        (explain_lot, ("P09", TODAY), "There is no lot"),
        (explain_species, ("MOTH", TODAY), "There is no species"),
        (explain_species, ("BUG", dt.date(2025, 2, 1)), "No adults of BUG were reared"),
        (explain_sale, ("S-1", TODAY), "There is no sale"),
        (compare_lots, ("P01", "P01", TODAY), "cannot be compared with itself"),
        (compare_lots, ("P01", "P02", dt.date(2025, 2, 1)), "P01 has reared none by then"),
        (where_cost_went, (99, TODAY), "There is no cost 99"),
        (where_cost_went, (POSTAGE, TODAY), "is a selling cost"),
        (where_cost_went, (HEAT, dt.date(2025, 2, 1)), "is accounted on 1 April 2025"),
        (where_month_went, ("heat", "April", TODAY), "is no month"),
        (where_month_went, ("heat", "2025-07", TODAY), "has not come"),
        (where_month_went, ("gold", "2025-04", TODAY), "Nothing was spent on"),
        (where_month_went, ("animals", "2025-01", TODAY), "explain cost NUMBER"),
    ],
)
def test_what_cannot_be_explained_is_refused(kept: Ledger, question: Any, asked: tuple[Any, ...], words: str) -> None:
    with pytest.raises(Refused, match=words):
        kept.ask(question, *asked)


def test_explaining_writes_nothing(kept: Ledger) -> None:
    def operations() -> int:
        return len(kept.ask(lambda conn: conn.execute(select(t.operation.c.id)).all()))

    before = operations()
    kept.ask(explain_lot, "P01", TODAY)
    kept.ask(where_cost_went, HEAT, TODAY)

    assert operations() == before
