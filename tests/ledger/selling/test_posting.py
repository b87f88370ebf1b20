from __future__ import annotations

from ledger.errors import BadInput, NotEnough
from ledger.selling.commands import CreditLine, CreditSale, LineOf, Paid, PostSale, ReplaceShort, Sell, SellingCost
from ledger.stock.commands import Move
from tests.ledger.selling.shop import Shop, day


def sold_to_post(shop: Shop, count: int = 10, price: int = 2000) -> str:
    done = shop.do(Sell((LineOf("P08", count, price),), shop.today, "Tarn", "post", paid=(Paid(price),), to_post=True))
    return str(done.refs["number"])


def test_animals_sold_to_be_posted_stay_in_their_tub_and_off_the_ready_list(both: Shop) -> None:
    number = sold_to_post(both)

    row = both.ready_of("P08")
    assert row is not None
    assert (row.ready, row.to_post) == (4, 10)
    assert both.alive("P08") == 14
    assert both.rows("sale_movement") == []
    assert both.sale(number).waits_for_post
    assert both.proof() == []


def test_posting_takes_them_out_on_the_day_they_are_posted(both: Shop) -> None:
    number = sold_to_post(both)
    both.today = day("2025-06-04")

    both.do(PostSale(number, both.today, (SellingCost("postage", 620, "carrier"),)))

    assert both.alive("P08") == 4
    [posting] = both.rows("posting")
    entry = next(row for row in both.rows("entry") if row.id == posting.entry_id)
    assert (posting.posted_on, entry.happened_on) == (day("2025-06-04"), day("2025-06-04"))
    [link] = both.rows("sale_movement")
    movement = next(row for row in both.rows("movement") if row.id == link.movement_id)
    assert (movement.reason, movement.count) == ("sold", 10)
    assert [(row.kind, row.gross, row.sale_id) for row in both.rows("cost") if row.kind == "selling"] == [
        ("selling", 620, posting.sale_id)
    ]
    both.refused(PostSale(number, both.today))
    assert both.proof() == []


def test_animals_that_moved_on_to_a_stage_that_must_not_travel_are_not_posted(shop: Shop) -> None:
    number = sold_to_post(shop, 14)
    shop.record("P08", Move("next stage", 14, stage="L3", to_stage="pupa"))

    refusal = shop.refused(PostSale(number, shop.today))

    assert "are pupae now, which must not travel; wait until they have moved on" in str(refusal)
    shop.record("P08", Move("next stage", 14, stage="pupa", to_stage="adult"))
    shop.do(PostSale(number, shop.today))
    assert shop.alive("P08") == 0


def test_a_sale_that_has_become_short_is_not_posted_and_says_what_can_be_done(shop: Shop) -> None:
    number = sold_to_post(shop)
    shop.record("P08", Move("died", 6))

    refusal = shop.refused(PostSale(number, shop.today), NotEnough)

    assert str(refusal) == (
        "S-2025-0001, line 1: of 10 L3 of P08 only 8 are left, 2 are lacking. Replace them from the same lot, "
        "credit 2 on that line, or wait."
    )


def test_lacking_animals_are_replaced_from_the_same_lot(both: Shop) -> None:
    number = sold_to_post(both)
    both.record("P08", Move("died", 6))
    both.refused(ReplaceShort(number, 1, both.today), NotEnough)
    both.record("P08", Move("found", 3, to_stage="L3"))

    both.do(ReplaceShort(number, 1, both.today))
    both.refused(ReplaceShort(number, 1, both.today))
    both.do(PostSale(number, both.today))

    assert both.alive("P08") == 1
    assert both.proof() == []


def test_lacking_animals_are_credited_and_the_rest_is_posted(both: Shop) -> None:
    number = sold_to_post(both)
    both.record("P08", Move("died", 6))

    both.do(CreditSale(number, both.today, "died before posting", (CreditLine(1, 400, 2),)))
    both.do(PostSale(number, both.today))

    sale = both.sale(number)
    assert (sale.credited, sale.paid, sale.owed) == (400, 1600, 0)
    assert both.alive("P08") == 0
    assert both.proof() == []


def test_before_posting_a_line_is_credited_whole_or_not_at_all(shop: Shop) -> None:
    number = sold_to_post(shop)

    refusal = shop.refused(CreditSale(number, shop.today, "changed their mind", (CreditLine(1, 400, 2),)))
    assert "credit line 1 whole (10) and sell the rest anew" in str(refusal)
    shop.refused(CreditSale(number, shop.today, "came back", (CreditLine(1, 2000, 10, back=10),)), BadInput)
    shop.do(CreditSale(number, shop.today, "changed their mind", (CreditLine(1, 2000, 10),)))

    row = shop.ready_of("P08")
    assert row is not None
    assert (row.ready, row.to_post) == (14, 0)
    shop.refused(PostSale(number, shop.today), NotEnough)
    assert shop.proof() == []


def test_what_was_handed_over_or_undone_is_not_posted(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 1, 100),), shop.today, "Tarn"))
    number = sold_to_post(shop, 2)
    shop.do(CreditSale(number, shop.today, "entered by mistake"))

    assert "was handed over when it was sold" in str(shop.refused(PostSale("S-2025-0001", shop.today)))
    assert "was credited in full" in str(shop.refused(PostSale(number, shop.today)))
    shop.refused(PostSale("S-2025-0009", shop.today))
    shop.refused(PostSale(number, day("2025-06-03")), BadInput)
    shop.refused(PostSale(number, day("2025-06-01")), BadInput)


def test_nothing_is_posted_after_a_sale_handed_over_at_a_fair(shop: Shop) -> None:
    shop.refused(Sell((LineOf("P08", 1, 100),), shop.today, channel="fair", to_post=True), BadInput)
