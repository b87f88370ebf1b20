"""A fair as it goes: its cash, slips taken back, packs brought back, days changed."""

from __future__ import annotations

import pytest

from ledger.books.handlers import HANDLERS as BOOKS
from ledger.costs.commands import CorrectCost, Spend
from ledger.costs.listing import categories, costs
from ledger.errors import BadInput, NotEnough, Refused
from ledger.selling.commands import (
    CallOffFair,
    ChangeFair,
    CreditSale,
    EndFair,
    LineOf,
    PackAgain,
    PackForFair,
    Paid,
    Pick,
    PlaceHold,
    PlanFair,
    Sell,
    SellFairPack,
    SetPrice,
    SpendFromBox,
    SpendOnFair,
    TakePayment,
    Unpack,
)
from ledger.selling.fair_costs import categories_of_fairs
from ledger.selling.fair_packs import FairPackRow, fair_packs
from ledger.selling.fair_results import FairResult, fair_result
from ledger.selling.fairs import Fair, fairs
from ledger.selling.repricing import lines_to_price
from ledger.stock.commands import Move, Undo
from tests.ledger.selling.shop import HANDLERS, Shop, day

FENLOW = "Fenlow spring fair"
TEN = PackForFair(FENLOW, "A", "group of 4", (Pick("P08", 4),), packs=3, price=600)


@pytest.fixture
def fair(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A fair today with 80.00 of change and three packs of four larvae at 6.00."""
    monkeypatch.setitem(HANDLERS, Undo, BOOKS[Undo])
    shop.do(PlanFair(FENLOW, shop.today, cash_float=8000))
    shop.do(TEN)
    return shop


def packs(shop: Shop) -> FairPackRow:
    [row] = shop.ask(fair_packs, FENLOW)
    return row


def result(shop: Shop) -> FairResult:
    return shop.ask(fair_result, FENLOW, shop.today)


def the_fair(shop: Shop) -> Fair:
    return shop.ask(fairs)[-1]


# --- the cash -------------------------------------------------------------------------------------------------------


def test_the_cash_there_should_be_is_made_of_all_that_came_in_and_went_out_line_by_line(fair: Shop) -> None:
    """80 + 6 of a pack + 20 of a deposit + 3 of an old debt - 18 table + 5 put in - 9.50 for feed = 86.50."""
    fair.do(Sell((LineOf("P08", 1, 300),), day("2025-05-20"), "Orsel"))
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), fair.today, "2025-06-20", 2000))
    fair.do(TakePayment("S-2025-0001", 300, fair.today, "cash"))
    fair.do(SpendOnFair(FENLOW, "table fee", 1800, fair.today, from_cash=True))
    fair.do(SpendOnFair(FENLOW, "parking", 400, fair.today))
    # Of another day, by card, or of a sale at the door on that day: none of it lies in the box.
    fair.do(Sell((LineOf("E03", 1, 900, sex="female"),), fair.today, "Pell", "collection", paid=(Paid(None),)))
    fair.do(SellFairPack(FENLOW, "A", fair.today, "card"))

    assert [(line.what, line.amount) for line in result(fair).cash] == [
        ("float", 8000),
        ("sales in cash", 600),
        ("deposits", 2000),
        ("sales of other days", 300),
        ("costs paid from it", -1800),
    ]
    assert result(fair).expected == 9100
    assert result(fair).costs == 2200
    fair.refused(EndFair(FENLOW, fair.today, 8650, put_in=500, taken_out=950), BadInput)

    end = EndFair(FENLOW, fair.today, 8650, put_in=500, taken_out=950, why="own note changed; feed from Kell")
    plan = fair.preview(end)
    assert plan.made_of.endswith("costs paid from it -18.00 EUR, put in 5.00 EUR, taken out -9.50 EUR")  # type: ignore[attr-defined]
    done = fair.do(end)

    assert "86.50 EUR counted, 86.50 EUR expected, as expected" in done.sentence
    assert (result(fair).difference, the_fair(fair).why) == (0, "own note changed; feed from Kell")
    refused = fair.refused(SpendOnFair(FENLOW, "lunch", 500, fair.today, from_cash=True))
    assert "was settled" in str(refused)
    fair.do(SpendOnFair(FENLOW, "lunch", 500, fair.today))


def test_cash_recorded_after_the_count_does_not_change_what_was_expected_and_is_a_line_of_its_own(fair: Shop) -> None:
    fair.do(SellFairPack(FENLOW, "A", fair.today, ""))
    fair.do(EndFair(FENLOW, fair.today, 8000))

    fair.do(TakePayment("S-2025-0001", 600, fair.today, "cash"))

    assert (result(fair).expected, result(fair).difference) == (8000, 0)
    assert ("recorded only after it was counted", -600) in [(one.what, one.amount) for one in result(fair).cash]


# --- what stands ----------------------------------------------------------------------------------------------------


def test_sales_taken_back_and_animals_credited_are_not_counted_as_sold(fair: Shop) -> None:
    for _ in range(3):
        fair.do(SellFairPack(FENLOW, "A", fair.today))
    assert fair.do(Undo()).cautions == ()
    fair.do(CreditSale("S-2025-0001", fair.today, "brought back"))

    found = result(fair)

    assert (len(found.sales), found.standing, found.animals, found.packs_sold) == (3, 1, 4, 1)
    assert (packs(fair).sold, packs(fair).back, packs(fair).ready, packs(fair).packed) == (1, 1, 1, 3)


def test_a_pack_that_was_brought_back_is_packed_again_once(fair: Shop) -> None:
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.refused(PackAgain(FENLOW, "A"), NotEnough)
    done = fair.do(CreditSale("S-2025-0001", fair.today, "brought back"))
    assert "pack A does not lie packed again" in done.cautions[-1]
    assert (packs(fair).ready, packs(fair).back) == (2, 1)

    done = fair.do(PackAgain(FENLOW, "a"))

    assert done.sentence == f"{FENLOW}: 1 pack a that was brought back lies packed again."
    assert (packs(fair).ready, packs(fair).back, packs(fair).packed, packs(fair).sold) == (3, 0, 3, 0)
    fair.refused(PackAgain(FENLOW, "A"), NotEnough)
    fair.do(Undo())
    assert (packs(fair).ready, packs(fair).back) == (2, 1)
    assert fair.proof() == []


def test_packs_taken_apart_are_not_counted_as_put_together(fair: Shop) -> None:
    fair.do(Unpack(FENLOW, "A", 2))

    assert (packs(fair).packed, result(fair).packed) == (1, 1)


def test_what_a_pack_is_of_tells_the_sexes_and_the_lots(fair: Shop) -> None:
    both = (Pick("E03", 1, sex="male"), Pick("E03", 2, sex="female"))
    fair.do(PackForFair(FENLOW, "B", "trio", both, price=900))

    row = fair.ask(fair_packs, FENLOW)[-1]

    assert (row.pack, row.what) == ("trio 1.2", "1 male adult of E03 and 2 female adults of E03")
    assert row.lots == ("E03",)


def test_a_pair_by_its_bare_name_has_the_price_of_the_list_and_another_price_is_said(fair: Shop) -> None:
    fair.do(SetPrice("BEET", "adult", 2500, day("2025-01-01"), 2, pack="pair 1.1"))
    pair = (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"))

    assert "(pair 1.1: " in fair.preview(PackForFair(FENLOW, "B", "pair", pair)).sentence
    assert "25.00 EUR each" in fair.preview(PackForFair(FENLOW, "B", "pair", pair)).sentence
    other = fair.preview(PackForFair(FENLOW, "B", "pair", pair, price=1400))
    assert other.cautions == ("The price list says 25.00 EUR for such a pack.",)
    assert fair.preview(PackForFair(FENLOW, "B", "pair", pair, price=2500)).cautions == ()


# --- slips ----------------------------------------------------------------------------------------------------------


def test_a_mistyped_count_is_taken_back_and_the_packs_lie_again(fair: Shop) -> None:
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(EndFair(FENLOW, fair.today, 860))
    assert packs(fair).unsold == 2

    fair.do(Undo())

    assert (packs(fair).ready, packs(fair).unsold, the_fair(fair).ended_on) == (2, 0, None)
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(EndFair(FENLOW, fair.today, 9200))
    assert result(fair).difference == 0
    assert (result(fair).packs_unsold, result(fair).packs_sold) == (1, 2)
    assert fair.proof() == []


def test_undo_goes_back_act_by_act_also_over_a_pack_that_was_taken_apart_and_lay_again(fair: Shop) -> None:
    fair.do(Unpack(FENLOW, "A", 3))
    fair.do(Undo())
    assert packs(fair).ready == 3

    done = fair.do(Undo())

    assert "group of 4" in done.sentence
    assert fair.ask(fair_packs, FENLOW) == ()
    assert fair.ready_of("P08").kept == 0  # type: ignore[union-attr]
    fair.do(Undo())
    assert fair.ask(fairs) == ()
    assert fair.proof() == []


def test_a_fair_that_holds_something_is_not_undone_but_called_off_with_its_packs(fair: Shop) -> None:
    fair.do(PlanFair("Other", day("2025-06-20"), cash_float=100))
    done = fair.do(CallOffFair(FENLOW))

    assert "3 packs taken apart, whose animals are free again" in done.sentence
    assert fair.ready_of("P08").kept == 0  # type: ignore[union-attr]
    fair.refused(TEN)
    fair.refused(SellFairPack(FENLOW, "A", fair.today))
    assert "called off" in str(fair.refused(EndFair(FENLOW, fair.today, 0)))
    fair.do(Undo())
    assert (packs(fair).ready, the_fair(fair).name) == (3, "Other")
    fair.do(CallOffFair(FENLOW))
    fair.do(PlanFair("On that day after all", fair.today))


def test_a_planned_fair_changes_its_day_and_its_float_but_not_away_from_what_was_sold(fair: Shop) -> None:
    fair.do(ChangeFair(FENLOW, held_on=day("2025-06-09"), cash_float=5000))
    assert (the_fair(fair).held_on, the_fair(fair).last_on, the_fair(fair).cash_float) == (
        day("2025-06-09"),
        day("2025-06-09"),
        5000,
    )
    refused = fair.refused(EndFair(FENLOW, fair.today, 5000), BadInput)
    assert "still to come; change its day, or call it off" in str(refused)
    fair.do(Undo())
    fair.do(SellFairPack(FENLOW, "A", fair.today))

    assert "was sold on 2 June 2025" in str(fair.refused(ChangeFair(FENLOW, held_on=day("2025-06-09"))))
    assert "settle it instead" in str(fair.refused(CallOffFair(FENLOW)))
    fair.refused(ChangeFair(FENLOW), Refused)
    fair.do(ChangeFair(FENLOW, last_on=day("2025-06-03"), cash_float=7000))
    assert result(fair).expected == 7600


def test_of_packs_with_one_mark_the_one_of_the_lot_that_is_meant_is_sold(fair: Shop) -> None:
    fair.do(PackForFair(FENLOW, "B", "single", (Pick("P08", 1),), price=500))
    fair.do(PackForFair(FENLOW, "B", "single", (Pick("E03", 1, sex="male"),), price=500))
    rows = fair.ask(fair_packs, FENLOW)
    assert [(row.mark, row.lots, row.ready) for row in rows] == [
        ("A", ("P08",), 3),
        ("B", ("P08",), 1),
        ("B", ("E03",), 1),
    ]

    fair.do(SellFairPack(FENLOW, "B", fair.today, lots=("E03",)))

    assert [line.lot_code for line in fair.sale("S-2025-0001").lines] == ["E03"]
    fair.refused(SellFairPack(FENLOW, "B", fair.today, lots=("E03",)))
    fair.do(SellFairPack(FENLOW, "B", fair.today))


def test_a_price_written_too_high_is_set_right_by_a_credit_over_the_lines_that_leaves_the_animals_sold(
    fair: Shop,
) -> None:
    both = (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"))
    fair.do(PackForFair(FENLOW, "B", "pair 1.1", both, price=5100))
    fair.do(SellFairPack(FENLOW, "B", fair.today))

    lines = fair.ask(lines_to_price, "S-2025-0001", 1501)
    fair.do(CreditSale("S-2025-0001", fair.today, "price written wrongly", lines))

    assert sum(line.amount for line in lines) == 3599
    assert len(lines) == 2
    sale = fair.sale("S-2025-0001")
    assert (sale.total - sale.credited, sale.owed, fair.alive("E03")) == (1501, 0, 5)
    assert (result(fair).price, result(fair).expected, result(fair).animals) == (1501, 9501, 2)
    for price in (1501, 1600, -1):
        with pytest.raises(BadInput, match="only makes a price smaller"):
            fair.ask(lines_to_price, "S-2025-0001", price)


def test_the_ready_list_tells_what_is_packed_and_what_pairs_cost(fair: Shop) -> None:
    fair.do(SetPrice("BEET", "adult", 2500, day("2025-01-01"), 2, pack="pair 1.1"))
    larvae, males = fair.ready_of("P08"), fair.ready_of("E03", sex="male")

    assert larvae is not None
    assert males is not None
    assert (larvae.packed, larvae.kept, males.packed) == (12, 12, 0)
    assert [(one.pack, one.amount) for one in males.pairs] == [("pair 1.1", 2500)]
    assert (males.packs, larvae.pairs) == ((), ())


def test_a_death_in_a_pack_leaves_the_others_ready(fair: Shop) -> None:
    assert not any("in packs" in caution for caution in fair.record("P08", Move("died", 1, stage="L3")).cautions)
    done = fair.record("P08", Move("died", 2, stage="L3"))

    assert "Such animals lie in packs: A for Fenlow spring fair." in done.cautions
    assert (packs(fair).packed, packs(fair).short) == (3, 1)


# --- undone while somebody else went on -----------------------------------------------------------------------------


def test_a_fair_called_off_is_not_gone_to_again_once_another_has_its_day(fair: Shop) -> None:
    fair.do(CallOffFair(FENLOW))
    fair.by = "rail"
    fair.do(PlanFair("Marsh fair", fair.today))
    fair.by = "wren"

    with pytest.raises(Refused, match="another fair has been planned for those days since"):
        fair.do(Undo())


def test_a_change_is_not_undone_once_packs_were_sold_on_the_new_day_or_the_cash_was_counted(fair: Shop) -> None:
    fair.do(CallOffFair(FENLOW))
    fair.do(PlanFair("Marsh fair", day("2025-06-20")))
    fair.do(ChangeFair("Marsh fair", held_on=fair.today))
    fair.by = "rail"
    fair.do(PackForFair("Marsh fair", "A", "group of 4", (Pick("P08", 4),), packs=1, price=600))
    fair.do(SellFairPack("Marsh fair", "A", fair.today))
    fair.by = "wren"
    with pytest.raises(Refused, match="packs of it were sold since, on a day it would not have"):
        fair.do(Undo())

    fair.by = "rail"
    fair.do(EndFair("Marsh fair", fair.today, 600))
    fair.by = "wren"
    with pytest.raises(Refused, match="the fair was settled since"):
        fair.do(Undo())


def test_the_planning_of_a_fair_that_was_settled_since_is_not_undone(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(HANDLERS, Undo, BOOKS[Undo])
    shop.do(PlanFair(FENLOW, shop.today, cash_float=8000))
    shop.by = "rail"
    shop.do(EndFair(FENLOW, shop.today, 8000))
    shop.by = "wren"

    with pytest.raises(Refused, match="the fair was settled since"):
        shop.do(Undo())


def test_what_a_death_says_of_a_pack_names_the_fair_as_it_is_called_now(both: Shop) -> None:
    both.do(PlanFair(FENLOW, both.today))
    both.do(TEN)
    both.do(ChangeFair(FENLOW, name="Marsh fair"))

    done = both.record("P08", Move("died", 3, stage="L3"))

    assert "Such animals lie in packs: A for Marsh fair." in done.cautions


def test_what_is_sold_on_the_day_of_a_fair_called_off_is_of_the_one_gone_to_instead(fair: Shop) -> None:
    fair.do(CallOffFair(FENLOW))
    fair.do(PlanFair("Marsh fair", fair.today, cash_float=100))
    fair.do(Sell((LineOf("P08", 1, 300),), fair.today, channel="fair", paid=(Paid(None, "cash"),)))

    called_off, gone_to = result(fair), fair.ask(fair_result, "Marsh fair", fair.today)

    assert (called_off.price, called_off.expected) == (0, 8000)
    assert (gone_to.price, gone_to.expected) == (300, 400)


# --- what is bought out of its cash ---------------------------------------------------------------------------------


def test_feed_bought_out_of_the_box_stays_feed_and_only_lessens_the_cash(fair: Shop) -> None:
    command = SpendOnFair(FENLOW, "feed", 640, fair.today, from_cash=True)
    said = fair.preview(command)
    assert "for all animals" in said.sentence
    assert said.sentence.endswith(f"It is paid from the cash of {FENLOW} and is none of its costs.")
    assert not any("new word" in caution for caution in said.cautions)

    fair.do(command)

    assert (result(fair).expected, result(fair).costs) == (7360, 0)
    assert [(row.category, row.kind, row.scope) for row in fair.ask(costs, limit=1)] == [("feed", "used up", "all")]
    assert fair.ask(categories_of_fairs) == ()
    fair.do(Undo())
    assert (result(fair).expected, fair.ask(categories)["feed"]) == (8000, "used up")


def test_one_cost_of_another_kind_changes_no_word_and_one_taken_back_does_not_count(fair: Shop) -> None:
    for _ in range(2):
        fair.do(Spend(fair.today, "feed", 640, kind="selling", scope="none"))
    assert fair.ask(categories)["feed"] == "used up"
    fair.do(Spend(fair.today, "feed", 650, kind="selling", scope="none"))
    # A keeper who goes on doing so means it.
    assert fair.ask(categories)["feed"] == "selling"
    fair.do(Undo())
    assert fair.ask(categories)["feed"] == "used up"
    fair.do(SpendOnFair(FENLOW, "table fee", 1800, fair.today))
    fair.do(Spend(fair.today, "table fee", 1800))
    assert fair.ask(categories)["table fee"] == "selling"


def test_what_the_box_pays_has_its_own_kind_its_animals_and_its_supplier(fair: Shop) -> None:
    fair.do(SpendFromBox(Spend(fair.today, "feed", 640, "Ombrel", scope="lots", lots=("P08",))))
    fair.do(SpendFromBox(Spend(fair.today, "fair table", 1500, kind="selling", scope="none")))

    assert (result(fair).expected, result(fair).costs) == (8000 - 640 - 1500, 1500)
    fed = fair.ask(costs)[1]
    assert (fed.category, fed.supplier, fed.whom) == ("feed", "Ombrel", ("P08",))
    unpaid = fair.refused(SpendFromBox(Spend(fair.today, "feed", 640, unpaid=True)), BadInput)
    assert "not paid out of the box" in str(unpaid)
    fair.do(EndFair(FENLOW, fair.today, 5860))
    assert "was settled" in str(fair.refused(SpendFromBox(Spend(fair.today, "feed", 640))))
    nowhere = fair.refused(SpendFromBox(Spend(day("2025-05-20"), "feed", 640)), BadInput)
    assert str(nowhere).startswith("No fair is held on 20 May 2025")


def test_a_cost_out_of_the_box_that_is_corrected_is_still_paid_from_it(fair: Shop) -> None:
    number = fair.do(SpendFromBox(Spend(fair.today, "feed", 640))).refs["cost"]

    fair.do(CorrectCost(number, Spend(fair.today, "feed", 740)))
    assert result(fair).expected == 8000 - 740
    fair.do(Undo())
    assert result(fair).expected == 8000 - 640


def test_a_selling_cost_for_animals_is_refused_in_plain_words(fair: Shop) -> None:
    refused = fair.refused(Spend(fair.today, "postage", 500, kind="selling", scope="none", lots=("P08",)), BadInput)

    assert str(refused) == '"postage" is a selling cost, which no animals bear; leave out for whom it was.'


def test_a_word_for_what_lasts_is_a_cost_of_the_fair_with_a_word_about_it(fair: Shop) -> None:
    said = fair.preview(SpendOnFair(FENLOW, "tubs", 640, fair.today, from_cash=True))

    assert said.cautions[-1].startswith('"tubs" is otherwise lasting; here it counts as what the fair cost.')
    assert said.cautions[-1].endswith("tubs ... from the box.")


# --- what is said of it ---------------------------------------------------------------------------------------------


def test_a_deposit_in_cash_on_the_day_says_that_it_lies_in_the_box(fair: Shop) -> None:
    pick = (Pick("E03", 1, sex="male"),)
    says = f"The deposit is in cash and counts in the cash of {FENLOW}."
    for method, said in (("cash", True), ("card", False)):
        plan = fair.preview(PlaceHold("Tarn", pick, fair.today, "2025-06-20", 2000, method))
        assert (says in plan.cautions) is said
    assert says not in fair.preview(PlaceHold("Tarn", pick, fair.today, "2025-06-20")).cautions
    fair.do(EndFair(FENLOW, fair.today, 8000))
    assert says not in fair.preview(PlaceHold("Tarn", pick, fair.today, "2025-06-20", 2000, "cash")).cautions


def test_several_animals_that_nobody_named_are_no_single(fair: Shop) -> None:
    male, females = Pick("E03", 1, sex="male"), Pick("E03", 2, sex="female")
    for mark, picks in (("B", (male, Pick("E03", 1, sex="female"))), ("C", (male, females)), ("D", (Pick("P08", 2),))):
        fair.do(PackForFair(FENLOW, mark, "single", picks, price=900))
        fair.do(SellFairPack(FENLOW, mark, fair.today))
        fair.do(Undo())
    fair.do(PackForFair(FENLOW, "E", "single", (male,), price=900))

    named = {row.mark: row.pack for row in fair.ask(fair_packs, FENLOW)}
    assert named == {"A": "group of 4", "B": "pair 1.1", "C": "trio 1.2", "D": "group of 2", "E": "single"}


def test_sales_credited_in_full_are_told_by_their_numbers(fair: Shop) -> None:
    for _ in range(2):
        fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(Undo())

    assert result(fair).undone == ("S-2025-0002",)
