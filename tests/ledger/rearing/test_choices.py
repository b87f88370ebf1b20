"""Decisions filled in from a ledger: prices, chances and costs as they stand, and one sentence where one is missing."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.costs.commands import Spend
from ledger.errors import BadInput, NotFound, Refused
from ledger.rearing.rear_or_sell import how_many_to_rear
from ledger.selling.commands import CreditSale, LineOf, Pick, PlaceHold, Sell, SellingCost, SetPrice
from ledger.stock.commands import AddLot, DescribeSpecies, KeepBack, StageSpec
from tests.ledger.rearing.loft import START, Loft


def priced(loft: Loft, young: int = 200, grown: int = 600) -> Loft:
    loft.do(SetPrice("BEET", "larva", young * 10, START, animals=10, pack="group of 10"))
    loft.do(SetPrice("BEET", "adult", grown, START))
    return loft


def test_the_choice_is_filled_in_from_prices_own_survival_and_what_is_used_up(learned: Loft) -> None:
    priced(learned)
    learned.lot("B1", 150, 30)
    today = learned.ledger.today
    learned.do(Spend(today, "feed", 3000, window_from=today - dt.timedelta(days=29), window_to=today))
    learned.do(Spend(today, "heat", 600, kind="overhead", window_from=today - dt.timedelta(days=29), window_to=today))
    alive = 30 + 24 + 22 + 26

    (choice,) = learned.ledger.rear_or_sell("B1").choices

    assert (choice.lot, choice.stage, choice.ready_stage, choice.animals) == ("B1", "larva", "adult", 30)
    assert (choice.price_now, choice.price_later) == (200, 600)
    assert choice.chance == pytest.approx(72 / 90, abs=0.03)
    assert choice.days_if_reared == pytest.approx(52 + 7, abs=6)
    assert choice.upkeep_a_day == pytest.approx(100 / alive, rel=0.01)
    assert choice.goes_on_a_day == pytest.approx(20 / alive, rel=0.01)
    assert choice.numbers.to_come == pytest.approx(choice.upkeep_a_day * (choice.days + 7 * choice.chance))
    assert choice.rear
    assert choice.words[0].startswith("B1: rear on all 30 larvae, ")
    assert "(feed)" in choice.words[2]
    assert any(line.startswith("Shared heat and lasting things") for line in choice.words)


def test_what_is_promised_or_kept_back_is_no_part_of_the_choice_and_is_said(learned: Loft) -> None:
    priced(learned)
    today = learned.ledger.today
    learned.lot("B1", 150, 30)
    learned.do(PlaceHold("Tarn", (Pick("B1", 5, "larva"),), today, (today + dt.timedelta(days=7)).isoformat()))
    learned.do(KeepBack("B1", 3, "to breed from", today, stage="larva"))

    (choice,) = learned.ledger.rear_or_sell("B1").choices

    assert choice.animals == 22
    assert dict(choice.aside) == {"held": 5, "kept": 3}
    assert "all 22 larvae" in choice.words[0]
    assert "Not among them and not to be sold: 5 held for a buyer, 3 kept back." in choice.words
    learned.do(KeepBack("B1", 22, "to breed from", today, stage="larva"))
    with pytest.raises(Refused, match="all of them are promised or kept back"):
        learned.ledger.rear_or_sell("B1")


def test_what_is_given_beats_what_the_ledger_says(learned: Loft) -> None:
    learned.lot("B1", 150, 30)

    (choice,) = learned.ledger.rear_or_sell(
        "B1", price_now=500, price_later=600, upkeep_a_day=2.0, buyers=5, interest=0.05
    ).choices

    assert (choice.price_now, choice.price_later, choice.upkeep_a_day) == (500, 600, 2.0)
    assert choice.numbers.delay < 1
    assert not choice.rear
    assert choice.few is not None
    assert choice.few.best == 0
    assert choice.words[0].startswith("B1: sell all 30 larvae now, ")


def test_a_stage_without_a_price_is_left_out_by_a_sentence_and_the_other_stands(learned: Loft) -> None:
    priced(learned)
    learned.lot("B1", 150, 30)
    learned.move("B1", 160, 10, "larva", "pupa")

    found = learned.ledger.rear_or_sell("B1")

    assert [choice.stage for choice in found.choices] == ["larva"]
    assert found.left_out == ("B1: the price list has no price of pupae; give one.",)
    assert [one.stage for one in learned.ledger.rear_or_sell("B1", stage="pupa", price_now=250).choices] == ["pupa"]


def test_nothing_to_decide_and_nothing_known_are_one_sentence_each(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    learned.do(AddLot("B0", "BEET", learned.ledger.today))
    learned.lot("B2", 150, 5)
    learned.gone("B2", 151, 5, "given away")
    ask = learned.ledger.rear_or_sell

    with pytest.raises(Refused, match="B1: the price list has no price of adults; give one"):
        ask("B1", price_now=100)
    for code in ("B0", "B2", "A1"):
        with pytest.raises(Refused, match=f"{code} has no animals on the way to adult"):
            ask(code)
    with pytest.raises(Refused, match="B1 has no pupae on the way"):
        ask("B1", stage="pupa")
    with pytest.raises(NotFound):
        ask("B1", stage="nymph")
    with pytest.raises(NotFound):
        ask("Z9")
    for wrong in ({"price_now": -1}, {"buyers": -1}, {"upkeep_a_day": -0.1}, {"interest": -1.0}):
        with pytest.raises(BadInput):
            ask("B1", **wrong)  # type: ignore[arg-type]


def test_a_price_now_for_a_lot_of_two_stages_asks_which(learned: Loft) -> None:
    priced(learned)
    learned.lot("B1", 150, 30)
    learned.move("B1", 160, 10, "larva", "pupa")

    with pytest.raises(BadInput, match="B1 has larva and pupa; say which"):
        learned.ledger.rear_or_sell("B1", price_now=100)


def test_a_species_of_which_nothing_is_known_says_what_to_set(sqlite_store: object) -> None:
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    stages = (StageSpec("larva", saleable=True), StageSpec("adult", saleable=True))
    loft.do(DescribeSpecies("BEET", "Inventus beetle", "loft beetle", "beetle", stages, "adult"))
    priced(loft)
    loft.lot("B1", 0, 30)

    with pytest.raises(Refused, match="B1: neither days nor survival of larva are known"):
        loft.ledger.rear_or_sell("B1")
    with pytest.raises(Refused, match="neither days nor survival of larva are known"):
        loft.ledger.how_many_to_start("BEET", 20)


# --- how many ---


def test_how_many_to_start_rises_with_the_confidence_and_names_what_it_rests_on(learned: Loft) -> None:
    found = learned.ledger.how_many_to_start("BEET", 20)

    assert (found.species, found.stage, found.wanted) == ("BEET", "larva", 20)
    numbers = [answer.animals or 0 for answer in found.answers]
    assert numbers == sorted(numbers)
    assert 25 < numbers[0] < numbers[2] < 45
    assert found.words[0] == "BEET: 79 % of larvae become adult, from 3 lots of your own and the usual figures."
    assert found.words[1] == f"Start {numbers[0]} to have 20 reared four times in five."
    later = learned.ledger.how_many_to_start("BEET", 20, stage="pupa")
    assert (later.answers[0].animals or 0) < numbers[0]


def test_how_many_refuses_what_it_cannot_answer(loft: Loft) -> None:
    ask = loft.ledger.how_many_to_start

    with pytest.raises(Refused, match="no lots to learn from; say from which stage"):
        ask("BEET", 20)
    assert ask("BEET", 20, stage="larva").answers[0].animals
    with pytest.raises(BadInput, match="not a stage of young"):
        ask("BEET", 20, stage="adult")
    for wanted in (0, 2001):
        with pytest.raises(BadInput, match="from 1 to 2,000"):
            ask("BEET", wanted)


# --- what to charge ---


def test_the_floor_comes_from_the_cost_per_reared_adult_and_selling(learned: Loft) -> None:
    priced(learned, grown=150)
    day = dt.date(2025, 1, 1)
    learned.do(Spend(day, "feed", 7200, window_from=day, window_to=day + dt.timedelta(days=95)))
    learned.do(Spend(day, "heat", 7200, kind="overhead", window_from=day, window_to=day + dt.timedelta(days=95)))
    learned.do(
        Sell((LineOf("A1", 4, 600),), learned.ledger.today, "Tarn", selling_costs=(SellingCost("postage", 200),))
    )

    found = learned.ledger.what_to_charge("BEET", margin=0.5, survival=0.9)

    assert found.floor.cost > 0
    assert found.floor.selling == pytest.approx(50)
    assert found.floor.floor == pytest.approx(2 * (found.floor.cost + 50))
    assert found.floor.stops == pytest.approx(found.floor.cost / 2, rel=0.01)
    assert found.price == 150
    assert found.verdict
    assert found.better is not None
    assert found.better.cost_other == pytest.approx(found.floor.cost * 0.8 / 0.9, rel=0.01)
    assert len(found.words) == 5
    assert found.words[3] == (
        "Selling one: 2.00 EUR of selling costs in the last 365 days, less 0.00 EUR that buyers were charged for post "
        "and the like, over 4 animals sold."
    )


def test_the_least_to_ask_is_one_so_far_while_some_are_still_rearing(loft: Loft) -> None:
    day = dt.date(2025, 1, 1)
    loft.do(Spend(day, "feed", 7200, window_from=day, window_to=day + dt.timedelta(days=95)))
    loft.lot("A1", 0, 40)
    loft.gone("A1", 14, 6)
    loft.move("A1", 28, 20, "larva", "pupa")
    loft.move("A1", 49, 12, "pupa", "adult")
    loft.on(60)

    early = loft.ledger.what_to_charge("BEET")
    loft.move("A1", 65, 8, "pupa", "adult")
    loft.gone("A1", 66, 14)
    done = loft.ledger.what_to_charge("BEET")

    assert early.pending == 22
    assert early.words[0].startswith("BEET: so far one reared adult cost ")
    assert "and it may rise: 22 are still rearing. Selling it costs 0.00 EUR." in early.words[0]
    assert early.words[-1] == "Nothing was sold in the last 365 days, so selling one counts as nothing."
    assert done.pending == 0
    assert done.words[0].startswith("BEET: one reared adult cost ")


def test_the_only_lot_that_reared_any_gives_the_limits(loft: Loft) -> None:
    """No share of all lots is told from one; its own says how far its cost may be off."""
    day = dt.date(2025, 1, 1)
    loft.do(Spend(day, "feed", 7200, window_from=day, window_to=day + dt.timedelta(days=95)))
    loft.course("A1", 0, reared=14, lost=6)
    loft.lot("A2", 70, 30)

    (species,) = [row for row in loft.ledger.rearing("BEET") if not row.lot]
    (lot,) = [row for row in loft.ledger.rearing("BEET") if row.lot == "A1"]
    floor = loft.ledger.what_to_charge("BEET").floor

    assert species.survival is None
    assert lot.survival == pytest.approx(0.7)
    assert lot.low is not None
    assert lot.high is not None
    assert floor.cost_low == pytest.approx(floor.cost * lot.survival / lot.high)
    assert floor.cost_high == pytest.approx(floor.cost * lot.survival / lot.low)


def test_the_floor_has_its_range_where_lots_were_counted_from_different_stages(learned: Loft) -> None:
    priced(learned)
    day = dt.date(2025, 1, 1)
    learned.do(Spend(day, "feed", 7200, window_from=day, window_to=day + dt.timedelta(days=95)))
    learned.lot("B1", 150, 10, "pupa", reason="bought")
    learned.move("B1", 160, 10, "pupa", "adult")
    (species,) = [row for row in learned.ledger.rearing("BEET") if not row.lot]
    larvae = learned.ledger.survival_of_species("BEET").groups[0].together

    floor = learned.ledger.what_to_charge("BEET").floor

    assert species.survival is None
    assert larvae is not None
    assert floor.cost_low == pytest.approx(floor.cost * larvae.share / larvae.high)
    assert floor.cost_high == pytest.approx(floor.cost * larvae.share / larvae.low)


def test_buyers_to_come_are_filled_in_from_the_sales_a_week_and_said(learned: Loft) -> None:
    """Seven adults in the eight weeks since the first sale, 0.9 a week: over as long as rearing takes about seven."""
    priced(learned)
    learned.lot("B1", 150, 30)
    learned.do(Sell((LineOf("A1", 3, 600),), learned.on(100), "Tarn"))
    learned.do(Sell((LineOf("A1", 4, 600),), learned.on(148), "Tarn"))
    undone = learned.do(Sell((LineOf("A1", 2, 600),), learned.on(149), "Tarn"))
    learned.do(CreditSale(str(undone.refs["number"]), learned.on(150), "entered by mistake"))

    (choice,) = learned.ledger.rear_or_sell("B1").choices
    weeks = choice.days_if_reared / 7

    assert (choice.demand.sold, choice.demand.weeks) == (7, 8)
    assert choice.buyers == choice.demand.buyers == round(7 / 8 * weeks) == 7
    assert choice.few is not None
    assert choice.few == how_many_to_rear(choice.numbers, 30, 7)
    assert 0 < choice.few.best < 30
    said = " ".join(choice.words)
    assert f"7 adults were sold in the last 8 weeks, 0.9 a week; in the {weeks:.0f} weeks that rearing takes" in said
    assert choice.words[0] == f"B1: rear {choice.few.best} and sell {30 - choice.few.best} now, of 30 larvae."
    assert "With 7 buyers to come that makes " in said
    assert "Each one reared while there are buyers brings " in said
    assert "No interest is counted." in said


def test_sales_of_more_than_half_a_year_ago_and_of_other_stages_tell_of_no_buyers(learned: Loft) -> None:
    priced(learned)
    learned.do(Sell((LineOf("A1", 3, 600),), learned.on(100), "Tarn"))
    learned.lot("B1", 100 + 26 * 7, 30)
    learned.do(Sell((LineOf("B1", 5, 200, stage="larva"),), learned.on(100 + 26 * 7), "Tarn"))
    ask = learned.ledger.rear_or_sell

    (late,) = ask("B1").choices
    (given,) = ask("B1", buyers=4).choices

    assert (late.buyers, late.few) == (None, None)
    assert "No adults were sold in the last 26 weeks" in " ".join(late.words)
    assert (given.buyers, given.demand.buyers) == (4, None)


def test_where_buyers_are_enough_or_none_were_counted_all_are_reared(learned: Loft) -> None:
    priced(learned)
    learned.lot("B1", 150, 30)
    learned.lot("B2", 150, 5)
    ask = learned.ledger.rear_or_sell

    (unsold,) = ask("B1").choices
    assert (unsold.buyers, unsold.few) == (None, None)
    assert "No adults were sold yet: every one is taken to find a buyer." in unsold.words
    learned.do(Sell((LineOf("A1", 20, 600),), learned.ledger.today, "Tarn"))
    (enough,) = ask("B2").choices
    (every,) = ask("B1", buyers="all").choices

    assert enough.few is None
    assert "That is enough for all 5." in enough.words
    assert (every.buyers, every.few) == (None, None)
    assert "Every one that is reared is taken to find a buyer." in every.words
    assert every.words[0].startswith("B1: rear on all ")


def test_without_a_cost_and_with_wrong_shares_there_is_one_sentence(loft: Loft) -> None:
    loft.lot("B1", 0, 10)

    with pytest.raises(Refused, match="BEET has no cost per reared adult yet"):
        loft.ledger.what_to_charge("BEET")
    with pytest.raises(BadInput, match="below 100 %"):
        loft.ledger.what_to_charge("BEET", margin=1.0)
    with pytest.raises(BadInput, match="above 0"):
        loft.ledger.what_to_charge("BEET", survival=0.0)
