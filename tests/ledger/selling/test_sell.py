from __future__ import annotations

from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound
from ledger.selling.commands import Charge, LineOf, Paid, Pick, PlaceHold, Sell, SellingCost, SetPrice
from ledger.stock.commands import (
    AddLot,
    Arrival,
    KeepBack,
    Mark,
    Move,
    Part,
    SaveRound,
    SetFigure,
    SetLotFact,
    SplitLot,
)
from tests.ledger.selling.shop import Shop, day


def test_a_sale_takes_the_animals_out_and_keeps_what_was_stated(both: Shop) -> None:
    done = both.do(
        Sell(
            (LineOf("E03", 2, 5000, sex="female"),),
            both.today,
            "Tarn",
            charges=(Charge("postage", 850),),
            paid=(Paid(5850, "card"),),
            selling_costs=(SellingCost("postage", 620),),
        )
    )

    sale = both.sale("S-2025-0001")
    line = sale.lines[0]
    assert done.refs["number"] == sale.number
    assert done.sentence == (
        "S-2025-0001: 2 female adults of E03 (wild-collected) sold to Tarn, by collection, 2 June 2025: 58.50 EUR, "
        "58.50 EUR paid."
    )
    assert both.alive("E03") == 5
    assert (sale.total, sale.paid, sale.owed) == (5850, 5850, 0)
    assert (line.count, line.net, line.sex_text, line.stage_text) == (2, 5000, "female", "adult")
    assert line.species_text == "loft beetle (Inventus beetle)"
    assert line.origin_code == "WC"
    assert line.origin_text == "wild-collected; country of origin XB; evidence: supplier's or keeper's statement"
    assert line.provenance_text.startswith("E03: wild-collected; ")
    assert line.provenance_text.endswith("By our records; not a certificate.")
    movements = [row for row in both.rows("movement") if row.reason == "sold"]
    assert [(row.movement_id, row.sale_line_id) for row in both.rows("sale_movement")] == [(movements[0].id, line.id)]
    cost = next(row for row in both.rows("cost") if row.kind == "selling")
    assert (cost.sale_id, cost.gross, cost.scope) == (sale.id, 620, "none")
    assert [(row.kind, row.amount) for row in both.rows("cost_change") if row.cost_id == cost.id] == [("paid", 620)]
    assert both.proof() == []


def test_the_list_price_of_one_for_several_is_doubted_and_no_other_price(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "adult", 2500, day("2025-01-01")))

    def doubts(count: int, price: int) -> list[str]:
        plan = shop.preview(Sell((LineOf("E03", count, price, sex="female"),), shop.today, "Tarn"))
        return [caution for caution in plan.cautions if "each" in caution]

    assert doubts(2, 2500) == [
        "25.00 EUR is the list's price of one, and 2 of them come to 50.00 EUR; write each behind it if each costs "
        "that."
    ]
    assert doubts(1, 2500) == doubts(2, 5000) == doubts(2, 2400) == []


def test_more_than_is_there_is_refused(shop: Shop) -> None:
    refusal = shop.refused(Sell((LineOf("E03", 4, 5000, sex="male"),), shop.today, "Tarn"), NotEnough)

    assert str(refusal).startswith("E03 has only 3 male adults on 2 June 2025, not 4;")


def test_animals_held_for_another_are_refused_with_who_and_until_when(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("E03", 3, sex="female"),), shop.today, "2025-06-06T18:00"))

    refusal = shop.refused(Sell((LineOf("E03", 2, 5000, sex="female"),), shop.today, "Fennick"), NotEnough)

    assert str(refusal) == (
        "E03: 2 female adults asked for, 1 ready; 3 of the 4 are held for Tarn until Friday 6 June, 18:00. "
        "Sell fewer, or wait."
    )
    shop.do(Sell((LineOf("E03", 1, 2500, sex="female"),), shop.today, "Fennick"))


def test_soft_animals_are_refused_with_the_day_they_are_due_to_be_hard(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 5, stage="L3", to_stage="pupa"), on=day("2025-05-01"))
    shop.record("P08", Move("next stage", 2, stage="pupa", to_stage="adult"), on=day("2025-05-20"))
    shop.record("P08", Move("next stage", 3, stage="pupa", to_stage="adult"), on=day("2025-05-28"))

    refusal = shop.refused(Sell((LineOf("P08", 4, 4000, "adult"),), shop.today), NotEnough)

    assert str(refusal) == (
        "P08: 4 adults asked for, 2 ready; 3 of the 5 are still soft, the first due to be hard on Saturday 7 June. "
        "Sell fewer, or mark them hard once they have been seen hard and feeding."
    )


def test_animals_seen_hard_can_be_sold_before_the_calendar_says_so(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 5, stage="L3", to_stage="adult"), on=day("2025-05-30"))
    shop.refused(Sell((LineOf("P08", 1, 1000, "adult"),), shop.today), NotEnough)

    shop.do(SaveRound((Mark("P08", "seen hard", stage="adult"),), shop.today))
    shop.do(Sell((LineOf("P08", 5, 5000, "adult"),), shop.today))

    assert shop.alive("P08") == 9


def test_hardened_animals_are_sold_before_soft_ones(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 2, stage="L3", to_stage="adult"), on=day("2025-05-10"))
    shop.record("P08", Move("next stage", 3, stage="L3", to_stage="adult"), on=day("2025-05-30"))

    shop.do(Sell((LineOf("P08", 2, 2000, "adult"),), shop.today))

    row = shop.ready_of("P08", "adult")
    assert row is not None
    assert (row.ready, row.hardening, row.pending) == (0, 3, ((day("2025-06-09"), 3),))


def test_a_stage_that_is_not_for_sale_is_refused(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 14, stage="L3", to_stage="pupa"), on=day("2025-05-20"))

    refusal = shop.refused(Sell((LineOf("P08", 1, 1000),), shop.today))

    assert str(refusal).startswith("pupae of P08 are not for sale at that stage;")


def test_breeding_quarantined_and_lent_lots_are_refused_with_what_to_do(shop: Shop) -> None:
    command = Sell((LineOf("E03", 1, 1000, sex="male"),), shop.today)
    for fact, value, words in (
        ("purpose", "breeding", "E03 is kept for breeding; split off what is to be sold"),
        ("purpose", "quarantine", "E03 is in quarantine; set its purpose to sale"),
        ("lent out", "Marl", "E03 is lent out; record that it is back first."),
    ):
        shop.do(SetLotFact("E03", fact, value, shop.today))
        assert str(shop.refused(command)).startswith(words)
        shop.do(SetLotFact("E03", fact, "sale" if fact == "purpose" else "", shop.today))
    shop.do(command)


def test_animals_lent_to_us_are_not_ours_to_sell_nor_are_those_split_off(shop: Shop) -> None:
    shop.do(AddLot("G02", "BEET", day("2025-02-10"), (Arrival("lent in", "adult", males=2),)))
    shop.do(SplitLot("G02", "G03", (Part(1),), shop.today))

    for lot in ("G02", "G03"):
        refusal = shop.refused(Sell((LineOf(lot, 1, 1000),), shop.today))
        assert "lent to us; they are not ours to sell" in str(refusal)
    assert {row.lot for row in shop.ready()} == {"E03", "P08"}


def test_kept_back_animals_are_not_sold(shop: Shop) -> None:
    shop.do(KeepBack("E03", 3, "deformed", shop.today, sex="male"))

    refusal = shop.refused(Sell((LineOf("E03", 1, 1000, sex="male"),), shop.today), NotEnough)

    assert "3 of the 3 are kept back (deformed)" in str(refusal)


def test_unknown_lots_stages_and_sexes_are_refused(shop: Shop) -> None:
    on = shop.today
    assert "did you mean E03?" in str(shop.refused(Sell((LineOf("E30", 1, 100),), on), NotFound))
    assert "There is no stage" in str(shop.refused(Sell((LineOf("E03", 1, 100, "imago"),), on), NotFound))
    shop.refused(Sell((LineOf("E03", 1, 100, sex="boy"),), on), BadInput)
    shop.refused(Sell((LineOf("E03", 0, 100),), on), BadInput)
    shop.refused(Sell((), on), BadInput)


def test_several_sexes_and_no_word_which_offers_the_choices(shop: Shop) -> None:
    refusal = shop.refused(Sell((LineOf("E03", 2, 5000),), shop.today), Ambiguous)

    assert isinstance(refusal, Ambiguous)
    assert refusal.choices == ("E03 adult female", "E03 adult male")


def test_a_day_to_come_and_a_day_before_the_lot_are_refused(shop: Shop) -> None:
    shop.refused(Sell((LineOf("E03", 1, 100, sex="male"),), day("2025-06-03")), BadInput)
    shop.refused(Sell((LineOf("E03", 1, 100, sex="male"),), day("2025-03-31")), BadInput)


def test_a_sale_entered_late_cannot_take_animals_that_died_since(shop: Shop) -> None:
    shop.record("E03", Move("died", 3, sex="male"), on=day("2025-05-20"))

    shop.refused(Sell((LineOf("E03", 1, 1000, sex="male"),), day("2025-05-10")), NotEnough)


def test_two_lines_cannot_take_the_same_animals(shop: Shop) -> None:
    lines = (LineOf("E03", 2, 5000, sex="male"), LineOf("E03", 2, 5000, sex="male"))

    shop.refused(Sell(lines, shop.today), NotEnough)
    shop.do(Sell((lines[0], LineOf("E03", 1, 2500, sex="male")), shop.today))

    assert [line.count for line in shop.sale("S-2025-0001").lines] == [2, 1]


def test_extras_leave_the_stock_and_are_not_paid_for(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 10, 1200, extra=1, pack="group of 10"),), shop.today))

    line = shop.sale("S-2025-0001").lines[0]
    assert (line.count, line.extra, line.net) == (10, 1, 1200)
    assert shop.alive("P08") == 3


def test_a_free_line_needs_a_reason_which_is_kept(shop: Shop) -> None:
    free = LineOf("P08", 1, 0)

    assert shop.refused(Sell((free,), shop.today), BadInput).field == "price_zero_reason"
    shop.do(Sell((LineOf("P08", 1, 0, price_zero_reason="school sample"),), shop.today))

    assert shop.sale("S-2025-0001").note == "Line 1 free of charge: school sample."


def test_a_price_not_given_comes_from_the_list_of_the_day(shop: Shop) -> None:
    shop.refused(Sell((LineOf("P08", 10),), shop.today), NotFound)
    shop.do(SetPrice("BEET", "L3", 1200, day("2024-01-01"), 10, pack="group of 10"))
    shop.do(SetPrice("BEET", "L3", 1400, day("2025-06-03"), 10, pack="group of 10"))

    shop.do(Sell((LineOf("P08", 10),), shop.today))

    assert shop.sale("S-2025-0001").total == 1200


def test_a_pair_is_priced_as_a_pair_and_shared_over_its_lines_to_the_cent(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "adult", 2000, day("2024-01-01"), sex="female"))
    shop.do(SetPrice("BEET", "adult", 1501, day("2024-01-01"), 2, pack="pair 1.1"))
    lines = tuple(LineOf("E03", 1, sex=sex, pack="pair 1.1") for sex in ("male", "female"))

    shop.do(Sell(lines, shop.today, "Tarn"))
    shop.do(Sell((LineOf("E03", 1, sex="female"),), shop.today))

    assert [line.net for line in shop.sale("S-2025-0001").lines] == [751, 750]
    assert shop.sale("S-2025-0002").total == 2000


def test_payments_may_fall_short_but_not_exceed_the_sale(shop: Shop) -> None:
    line = (LineOf("E03", 1, 3000, sex="male"),)

    shop.refused(Sell(line, shop.today, "Tarn", paid=(Paid(3001),)), BadInput)
    shop.refused(Sell(line, shop.today, "Tarn", paid=(Paid(0),)), BadInput)
    done = shop.do(Sell(line, shop.today, "Tarn", paid=(Paid(1000), Paid(500, "card"))))

    assert shop.sale("S-2025-0001").owed == 1500
    assert "15.00 EUR is still owed by Tarn." in done.cautions


def test_an_origin_stronger_than_derived_is_refused_with_the_reason(shop: Shop) -> None:
    for claim in ("F1", "CB F2", "CBU", "CH"):
        refusal = shop.refused(Sell((LineOf("E03", 1, 3000, sex="male", claim=claim),), shop.today))
        assert "Our records give “wild-collected”" in str(refusal)
    shop.refused(Sell((LineOf("E03", 1, 3000, sex="male", claim="tame"),), shop.today), BadInput)


def test_a_weaker_origin_is_stated_as_said(shop: Shop) -> None:
    shop.do(Sell((LineOf("E03", 1, 3000, sex="male", claim="UNK"),), shop.today))

    line = shop.sale("S-2025-0001").lines[0]
    assert (line.origin_code, line.origin_lowered) == ("UNK", True)
    assert "wild" not in line.origin_text + line.provenance_text


def test_wild_and_captive_animals_cannot_share_a_line(shop: Shop) -> None:
    """A line is of one lot, and a lot is of one origin; two lots make two lines with an origin each."""
    shop.do(Sell((LineOf("P08", 1, 100), LineOf("E03", 1, 3000, sex="male")), shop.today))

    assert [(line.lot_code, line.origin_code) for line in shop.sale("S-2025-0001").lines] == [
        ("P08", "UNK"),
        ("E03", "WC"),
    ]


def test_probable_sex_is_stated_as_probable(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 2, stage="L3", to_stage="adult"), on=day("2025-05-01"))
    shop.record("P08", Move("sexed", 2, stage="adult", to_sex="female", to_sure="probable"), on=day("2025-05-20"))

    shop.do(Sell((LineOf("P08", 1, 900, "adult"),), shop.today))

    assert shop.sale("S-2025-0001").lines[0].sex_text == "probable female"


def test_numbers_run_without_a_gap_through_refusals_and_begin_anew_each_year(shop: Shop) -> None:
    shop.today = day("2025-12-31")
    shop.do(Sell((LineOf("P08", 1, 100),), day("2025-12-30")))
    shop.refused(Sell((LineOf("P08", 100, 100),), shop.today))
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today))
    shop.today = day("2026-01-02")
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today))
    shop.do(Sell((LineOf("P08", 1, 100),), day("2025-12-31")))

    numbers = sorted(row.number for row in shop.rows("sale"))
    assert numbers == ["S-2025-0001", "S-2025-0002", "S-2025-0003", "S-2026-0001"]


def test_a_new_customer_is_added_once_and_found_again_in_any_case(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today, "Tarn"))
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today, "tarn"))

    assert [row.name for row in shop.rows("customer")] == ["Tarn"]
    assert shop.sale("S-2025-0002").customer_name == "Tarn"


def test_soft_stages_are_not_sold_by_post_on_the_spot(shop: Shop) -> None:
    shop.do(SetFigure("BEET", "L3", "do not post", 1, day("2025-01-01")))

    refusal = shop.refused(Sell((LineOf("P08", 1, 100),), shop.today, channel="post"))

    assert "must not travel" in str(refusal)
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today, channel="post", to_post=True))


def test_a_sale_of_a_day_on_which_the_animals_were_not_there_is_refused_before_it_is_recorded(shop: Shop) -> None:
    shop.record("P08", Move("died", 14), on=day("2025-04-20"))
    shop.record("P08", Move("found", 1, stage="L3"), on=day("2025-06-01"))

    # `refused` asks the preview and the recording, which say the same.
    refusal = shop.refused(Sell((LineOf("P08", 1, 500),), day("2025-05-25"), "Tarn"), NotEnough)

    assert "too few on 25 May 2025" in str(refusal)
