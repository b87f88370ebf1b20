from __future__ import annotations

from ledger.errors import BadInput, NotFound
from ledger.selling.commands import (
    Charge,
    CreditLine,
    CreditSale,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    TakePayment,
)
from ledger.stock.commands import Move
from tests.ledger.selling.shop import Shop, day


def sold(shop: Shop, paid: int = 3850) -> str:
    """10 L3 for 30.00 and postage 8.50."""
    done = shop.do(
        Sell(
            (LineOf("P08", 10, 3000),),
            shop.today,
            "Tarn",
            charges=(Charge("postage", 850),),
            paid=(Paid(paid, "card"),) if paid else (),
        )
    )
    return str(done.refs["number"])


def test_a_full_credit_takes_the_movements_back_and_the_money_with_them(both: Shop) -> None:
    number = sold(both)

    done = both.do(CreditSale(number, both.today, "entered by mistake", method="card"))

    sale = both.sale(number)
    assert done.refs["number"] == "C-2025-0001"
    assert (sale.credited, sale.paid, sale.owed, sale.undone) == (3850, 0, 0, True)
    assert both.alive("P08") == 14
    row = both.ready_of("P08")
    assert row is not None
    assert row.ready == 14
    assert len([row for row in both.rows("movement") if row.reverses is not None]) == 1
    both.refused(CreditSale(number, both.today, "again"))
    assert both.proof() == []


def test_a_full_credit_of_a_posted_sale_and_of_a_waiting_one_both_bring_the_animals_back(both: Shop) -> None:
    numbers = []
    for _ in range(2):
        done = both.do(Sell((LineOf("P08", 3, 900),), both.today, "Tarn", "post", to_post=True))
        numbers.append(str(done.refs["number"]))
    both.do(PostSale(numbers[0], both.today))

    for number in numbers:
        both.do(CreditSale(number, both.today, "entered by mistake"))

    row = both.ready_of("P08")
    assert row is not None
    assert (row.ready, row.to_post) == (14, 0)
    assert both.proof() == []


def test_dead_on_arrival_gives_money_back_and_no_animals(both: Shop) -> None:
    number = sold(both)

    both.do(CreditSale(number, both.today, "3 DOA, reported after 2 hours", (CreditLine(1, 900, 3),)))

    sale = both.sale(number)
    assert (sale.credited, sale.paid, sale.owed) == (900, 2950, 0)
    assert (sale.lines[0].credited, sale.lines[0].back) == (3, 0)
    assert both.alive("P08") == 4
    assert [row.reason for row in both.rows("movement") if row.reason == "returned"] == []


def test_animals_that_came_back_alive_return_to_where_they_left(both: Shop) -> None:
    number = sold(both)
    both.today = day("2025-06-05")

    both.do(CreditSale(number, both.today, "wrong animals", (CreditLine(1, 1200, 4, back=4),)))

    [link] = both.rows("sale_movement")
    [back] = [row for row in both.rows("movement") if row.reason == "returned"]
    assert (back.count, back.relates_to) == (4, link.movement_id)
    assert both.alive("P08") == 8
    assert both.proof() == []


def test_returns_over_several_tubs_never_bring_back_more_than_left_each(shop: Shop) -> None:
    shop.record("E03", Move("tub moved", 2, sex="male", to_tub="M1"))
    shop.do(Sell((LineOf("E03", 3, 9000, sex="male"),), shop.today, "Tarn"))
    number = "S-2025-0001"

    shop.do(CreditSale(number, shop.today, "back", (CreditLine(1, 3000, 1, back=1),)))
    shop.do(CreditSale(number, shop.today, "back", (CreditLine(1, 6000, 2, back=2),)))

    assert {row.tub: row.count for row in shop.rows("holding") if row.sex == "male"} == {"": 1, "M1": 2}
    shop.refused(CreditSale(number, shop.today, "back", (CreditLine(1, 0, 1, back=1),)), BadInput)


def test_no_more_is_credited_than_was_sold(shop: Shop) -> None:
    number = sold(shop)
    on = shop.today

    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 3001),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 100, 11),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(0, 851),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 100, 1, back=2),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(2, 100),)), NotFound)
    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 2000), CreditLine(1, 1001))), BadInput)
    shop.refused(CreditSale(number, on, "", (CreditLine(1, 100),)), BadInput)
    shop.refused(CreditSale(number, day("2025-06-01"), "x", (CreditLine(1, 100),)), BadInput)
    shop.do(CreditSale(number, on, "late", (CreditLine(1, 2500, 8), CreditLine(0, 850, text="postage"))))
    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 501),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(1, 100, 3),)), BadInput)
    shop.refused(CreditSale(number, on, "x", (CreditLine(0, 1),)), BadInput)
    shop.refused(CreditSale(number, on, "in full after all"))
    shop.do(CreditSale(number, on, "the rest", (CreditLine(1, 500, 2),)))

    assert shop.sale(number).credited == 3850
    assert [row.number for row in shop.rows("credit")] == ["C-2025-0001", "C-2025-0002"]


def test_money_goes_back_only_as_far_as_more_was_paid_than_is_due(shop: Shop) -> None:
    number = sold(shop, paid=3000)

    shop.do(CreditSale(number, shop.today, "3 DOA", (CreditLine(1, 900, 3),)))

    sale = shop.sale(number)
    assert (sale.total - sale.credited, sale.paid, sale.owed) == (2950, 2950, 0)


def test_a_credit_without_refund_leaves_money_to_be_given_back_later(shop: Shop) -> None:
    number = sold(shop)
    shop.do(CreditSale(number, shop.today, "3 DOA", (CreditLine(1, 900, 3),), refund=False))

    assert shop.sale(number).owed == -900
    shop.refused(TakePayment(number, -901, shop.today), BadInput)
    shop.do(TakePayment(number, -900, shop.today))
    assert shop.sale(number).owed == 0


def test_payments_are_taken_up_to_what_is_owed_and_not_on_an_undone_sale(shop: Shop) -> None:
    number = sold(shop, paid=0)

    shop.refused(TakePayment(number, 3851, shop.today), BadInput)
    shop.refused(TakePayment(number, 0, shop.today), BadInput)
    shop.refused(TakePayment(number, -1, shop.today), BadInput)
    shop.refused(TakePayment(number, 100, day("2025-06-03")), BadInput)
    shop.do(TakePayment(number, 3850, shop.today, "transfer"))
    shop.refused(TakePayment(number, 1, shop.today), BadInput)
    shop.do(CreditSale(number, shop.today, "entered by mistake"))

    assert "was credited in full; nothing is owed" in str(shop.refused(TakePayment(number, 100, shop.today)))


def test_a_full_credit_gives_back_a_deposit_that_was_applied(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 2),), shop.today, "2025-06-06", deposit=500))
    shop.do(Sell((LineOf("P08", 2, 1800),), shop.today, hold="R-001", paid=(Paid(1300),)))

    shop.do(CreditSale("S-2025-0001", shop.today, "entered by mistake"))

    sale = shop.sale("S-2025-0001")
    assert (sale.paid, sale.owed) == (0, 0)
    assert sum(row.amount for row in shop.rows("payment")) == 0


def test_a_full_credit_in_a_later_year_leaves_the_closed_year_as_it_was(shop: Shop) -> None:
    from ledger.records.periods import close

    number = sold(shop)
    shop.today = day("2026-02-01")
    with shop.store.writing() as conn:
        close(conn, 2025)

    done = shop.do(CreditSale(number, shop.today, "entered by mistake"))

    reversal = next(row for row in shop.rows("movement") if row.reverses is not None)
    entry = next(row for row in shop.rows("entry") if row.id == reversal.entry_id)
    assert (entry.happened_on, entry.accounting_on) == (day("2025-06-02"), day("2026-01-01"))
    assert done.refs["number"] == "C-2026-0001"
    assert shop.alive("P08") == 14
