from __future__ import annotations

from ledger.errors import BadInput, NotEnough, NotFound, Refused
from ledger.selling.commands import DecideDeposit, LineOf, Paid, Pick, PlaceHold, ReleaseHold, Sell, SetPrice
from ledger.selling.holds import Hold, find_hold, holds, undecided
from ledger.stock.commands import Move
from tests.ledger.selling.shop import Shop, day

PAIR = (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"))


def hold_of(shop: Shop, number: str) -> Hold:
    return shop.ask(find_hold, number, shop.scene.now)


def test_a_hold_takes_animals_off_the_ready_list_and_keeps_them_in_the_stock(both: Shop) -> None:
    done = both.do(PlaceHold("Tarn", PAIR, both.today, "2025-06-06T18:00", deposit=2750, deposit_method="card"))

    assert done.sentence == (
        "R-001: 1 male adult of E03 and 1 female adult of E03 held for Tarn until Friday 6 June, 18:00; "
        "deposit 27.50 EUR."
    )
    males = both.ready_of("E03", sex="male")
    assert males is not None
    assert (males.ready, males.held) == (2, 1)
    assert both.alive("E03") == 7
    [payment] = both.rows("payment")
    assert (payment.sale_id, payment.amount, payment.method) == (None, 2750, "card")
    assert hold_of(both, "R-1").deposit_state == "held"
    assert both.proof() == []


def test_a_second_buyer_is_told_who_has_the_animals_until_when(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("E03", 3, sex="male"),), shop.today, "2025-06-06"))

    refusal = shop.refused(PlaceHold("Fennick", (Pick("E03", 1, sex="male"),), shop.today, "2025-06-08"), NotEnough)

    assert str(refusal) == (
        "E03: 1 male adult asked for, 0 free; 3 of the 3 are held for Tarn until Friday 6 June. Wait, or choose others."
    )


def test_a_hold_lapses_by_itself_at_its_deadline_and_not_a_minute_before(both: Shop) -> None:
    both.do(PlaceHold("Tarn", (Pick("E03", 3, sex="male"),), both.today, "2025-06-06T18:00", deposit=1000))
    sale = Sell((LineOf("E03", 3, 6000, sex="male"),), day("2025-06-06"), "Fennick")
    both.today, both.clock = day("2025-06-06"), "18:00"
    both.refused(sale, NotEnough)

    both.clock = "18:01"
    males = both.ready_of("E03", sex="male")
    assert males is not None
    assert (males.ready, males.held) == (3, 0)
    assert hold_of(both, "R-001").state == "lapsed"
    both.do(sale)

    [fate] = both.rows("hold_fate")
    assert (fate.fate, fate.happened_on, fate.deposit) == ("lapsed", day("2025-06-06"), "undecided")
    assert [one.number for one in both.ask(undecided, both.scene.now)] == ["R-001"]
    assert both.proof() == []


def test_taking_a_hold_up_sells_its_animals_and_counts_its_deposit(both: Shop) -> None:
    both.do(SetPrice("BEET", "adult", 5500, day("2025-01-01")))
    both.do(PlaceHold("Tarn", PAIR, both.today, "2025-06-06", deposit=2750))
    both.do(SetPrice("BEET", "adult", 9000, day("2025-06-03")))
    both.today = day("2025-06-04")

    done = both.do(Sell((), both.today, hold="R-001", paid=(Paid(8250),)))

    sale = both.sale(str(done.refs["number"]))
    assert (sale.customer_name, sale.total, sale.deposit, sale.paid, sale.owed) == ("Tarn", 11000, 2750, 11000, 0)
    assert both.alive("E03") == 5
    assert hold_of(both, "R-001").state == "taken up"
    assert hold_of(both, "R-001").deposit_state == "applied"
    assert both.proof() == []


def test_held_animals_in_single_tubs_are_the_ones_sold(shop: Shop) -> None:
    shop.record("E03", Move("tub moved", 1, sex="male", to_tub="M1"))
    shop.record("E03", Move("tub moved", 1, sex="male", tub="", to_tub="M2"))
    shop.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male", tub="M2"),), shop.today, "2025-06-06"))

    shop.do(Sell((LineOf("E03", 1, 3000, sex="male"),), shop.today, hold="R-001"))

    assert [row.tub for row in shop.rows("holding") if row.tub and row.count] == ["M1"]


def test_a_lapsed_hold_cannot_be_taken_up(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", PAIR, shop.today, "2025-06-06T18:00"))
    shop.today = day("2025-06-07")

    refusal = shop.refused(Sell((), shop.today, hold="R-001"))

    assert str(refusal).startswith("R-001 for Tarn lapsed on Friday 6 June, 18:00 and its animals are free again.")


def test_a_hold_is_taken_up_once_and_by_its_buyer_only(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "adult", 5500, day("2025-01-01")))
    shop.do(PlaceHold("Tarn", PAIR, shop.today, "2025-06-06"))

    assert "is Tarn's, not Fennick's" in str(shop.refused(Sell((), shop.today, "Fennick", hold="R-001")))
    shop.do(Sell((), shop.today, hold="R-001"))
    assert "was taken up on 2025-06-02" in str(shop.refused(Sell((), shop.today, hold="R-001")))


def test_a_hold_follows_its_animals_and_says_when_it_has_become_short(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 14),), shop.today, "2025-09-06"))
    shop.record("P08", Move("died", 2, stage="L3"))
    shop.record("P08", Move("next stage", 12, stage="L3", to_stage="adult"))
    shop.today = day("2025-06-20")

    done = shop.do(Sell((LineOf("P08", 12, 24000, "adult"),), shop.today, hold="R-001"))

    assert "R-001 has become short by 2; tell Tarn." in done.cautions
    assert shop.alive("P08") == 0


def test_soft_and_growing_animals_may_be_promised_with_a_caution(shop: Shop) -> None:
    shop.record("P08", Move("next stage", 4, stage="L3", to_stage="pupa"))
    shop.record("P08", Move("next stage", 2, stage="L3", to_stage="adult"))

    pupae = shop.do(PlaceHold("Tarn", (Pick("P08", 2, stage="pupa"),), shop.today, "2025-09-01"))
    adults = shop.do(PlaceHold("Tarn", (Pick("P08", 2, stage="adult"),), shop.today, "2025-09-01"))

    assert pupae.cautions == ("P08: pupae are not for sale yet; the hold goes along when they move on.",)
    assert adults.cautions == ("P08: some are still soft, due to be hard from Thursday 12 June on; look first.",)


def test_releasing_a_hold_frees_its_animals_and_says_what_becomes_of_the_deposit(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "2025-06-06", deposit=2750))

    both.refused(ReleaseHold("R-001", both.today), BadInput)
    both.do(ReleaseHold("R-001", both.today, "refunded"))

    males = both.ready_of("E03", sex="male")
    assert males is not None
    assert (males.ready, males.held) == (3, 0)
    assert [row.amount for row in both.rows("payment")] == [2750, -2750]
    assert hold_of(both, "R-001").deposit_state == "refunded"
    both.refused(ReleaseHold("R-001", both.today, "refunded"))
    assert both.proof() == []


def test_the_deposit_of_a_lapsed_hold_is_decided_once_and_accounted_when_decided(both: Shop) -> None:
    both.do(PlaceHold("Tarn", PAIR, both.today, "2025-06-06", deposit=2750))
    both.refused(DecideDeposit("R-001", "kept", both.today))
    both.today = day("2025-06-20")

    both.do(DecideDeposit("R-001", "kept", both.today))

    [decision] = both.rows("deposit_decision")
    assert (decision.outcome, decision.accounting_on) == ("kept", day("2025-06-20"))
    assert [row.amount for row in both.rows("payment")] == [2750]
    assert both.ask(undecided, both.scene.now) == ()
    both.refused(DecideDeposit("R-001", "refunded", both.today))


def test_a_keeper_may_number_holds_and_the_next_number_steps_over_it(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06", number="R-002"))
    shop.refused(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06", number="r-002"))

    numbers = [shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06")).refs["number"] for _ in range(2)]

    assert numbers == ["R-001", "R-003"]


def test_a_hold_needs_a_buyer_animals_and_a_deadline_to_come(shop: Shop) -> None:
    pick = (Pick("P08", 1),)
    shop.refused(PlaceHold("", pick, shop.today, "2025-06-06"), BadInput)
    shop.refused(PlaceHold("Tarn", (), shop.today, "2025-06-06"), BadInput)
    shop.refused(PlaceHold("Tarn", pick, shop.today, "next week"), BadInput)
    shop.refused(PlaceHold("Tarn", pick, shop.today, "2025-06-02T09:59"), BadInput)
    shop.refused(PlaceHold("Tarn", pick, shop.today, "2025-06-31"), BadInput)
    shop.refused(PlaceHold("Tarn", pick, day("2025-06-03"), "2025-06-06"), BadInput)
    shop.refused(PlaceHold("Tarn", pick, shop.today, "2025-06-06", deposit=-1), BadInput)
    shop.refused(ReleaseHold("R-777", shop.today), NotFound)
    shop.refused(Sell((LineOf("P08", 1, 100),), shop.today, hold="R-777"), NotFound)


def test_a_deposit_larger_than_the_sale_is_refused(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, "2025-06-06", deposit=500))

    assert "The deposit of 5.00 EUR is more" in str(
        shop.refused(Sell((LineOf("P08", 1, 300),), shop.today, hold="R-001"), BadInput)
    )


def test_holds_are_listed_soonest_deadline_first_and_only_open_ones_when_asked(shop: Shop) -> None:
    for until in ("2025-06-09", "2025-06-03T12:00", "2025-06-05"):
        shop.do(PlaceHold("Tarn", (Pick("P08", 1),), shop.today, until))
    shop.today = day("2025-06-04")

    every = shop.ask(holds, shop.scene.now)
    still = shop.ask(holds, shop.scene.now, only_open=True)

    assert [(one.number, one.state) for one in every] == [("R-002", "lapsed"), ("R-003", "open"), ("R-001", "open")]
    assert [one.number for one in still] == ["R-003", "R-001"]


def test_breeding_animals_are_not_promised(shop: Shop) -> None:
    from ledger.stock.commands import SetLotFact

    shop.do(SetLotFact("E03", "purpose", "breeding", shop.today))

    shop.refused(PlaceHold("Tarn", PAIR, shop.today, "2025-06-06"), Refused)
