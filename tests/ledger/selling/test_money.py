"""What is paid in parts, too much and back; what is owed; deposits in the books; the margin of each sale."""

from __future__ import annotations

from ledger.books.income import Income, income
from ledger.books.lines import (
    COST_OF_SOLD,
    DEPOSITS,
    DEPOSITS_COUNTED,
    DEPOSITS_HELD,
    DEPOSITS_HELD_END,
    DEPOSITS_HELD_START,
)
from ledger.costs.commands import SetMethod, Spend
from ledger.errors import BadInput, Refused
from ledger.selling.commands import (
    Charge,
    CreditLine,
    CreditSale,
    DecideDeposit,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    SellingCost,
    TakePayment,
)
from ledger.selling.margin import SaleMargin, margin_of, margins
from ledger.selling.owed import OwedPaper, owed
from tests.ledger.selling.shop import Shop, day

MALE = (LineOf("E03", 1, 3000, sex="male"),)


def papers(shop: Shop) -> tuple[OwedPaper, ...]:
    return shop.ask(owed, shop.today, shop.scene.now)


def test_a_sale_is_paid_in_parts_with_the_fee_of_the_card(both: Shop) -> None:
    both.do(Sell(MALE, both.today, "Tarn", paid=(Paid(1000),)))
    both.do(TakePayment("S-2025-0001", 500, both.today, "card", fee=20))

    [row] = papers(both)
    assert (row.kind, row.number, row.customer, row.total, row.paid, row.owed) == (
        "owed",
        "S-2025-0001",
        "Tarn",
        3000,
        1500,
        1500,
    )
    both.do(TakePayment("S-2025-0001", 1500, both.today))
    assert papers(both) == ()
    [cost] = [row for row in both.rows("cost") if row.sale_id]
    assert (cost.category, cost.kind, cost.gross) == ("payment fee", "selling", 20)


def test_what_was_really_overpaid_is_recorded_when_it_is_said_and_owed_back(both: Shop) -> None:
    both.do(Sell(MALE, both.today, "Tarn"))
    refusal = both.refused(TakePayment("S-2025-0001", 3500, both.today), BadInput)
    assert "or say that it was overpaid" in str(refusal)

    done = both.do(TakePayment("S-2025-0001", 3500, both.today, "transfer", overpaid=True))

    assert done.cautions == ("5.00 EUR more than is owed: it is to be given back.",)
    assert [(row.kind, row.owed) for row in papers(both)] == [("give back", -500)]
    both.refused(TakePayment("S-2025-0001", -501, both.today), BadInput)
    both.do(TakePayment("S-2025-0001", -500, both.today, "transfer"))
    assert papers(both) == ()


def test_a_sale_credited_in_full_takes_no_payment_even_one_called_overpaid(both: Shop) -> None:
    both.do(Sell(MALE, both.today, "Tarn"))
    both.do(CreditSale("S-2025-0001", both.today, "wrong buyer"))

    for overpaid in (False, True):
        refusal = both.refused(TakePayment("S-2025-0001", 3000, both.today, overpaid=overpaid), Refused)
        assert "was credited in full" in str(refusal)


def test_deposits_are_listed_as_held_and_then_to_be_decided(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), shop.today, "2025-06-06", deposit=1000))
    assert [(row.kind, row.owed) for row in papers(shop)] == [("deposit held", -1000)]
    shop.today = day("2025-06-09")
    assert [(row.kind, row.owed) for row in papers(shop)] == [("deposit to decide", -1000)]
    shop.do(DecideDeposit("R-001", "kept", shop.today))
    assert papers(shop) == ()


# --- deposits in the books ------------------------------------------------------------------------------------------


def by_number(found: Income) -> dict[int, tuple[int | None, int | None]]:
    return {line.number: (line.cash, line.accruals) for line in (*found.lines, *found.bridge)}


def year(shop: Shop, number: int) -> dict[int, tuple[int | None, int | None]]:
    found = shop.ask(income, number)
    assert found.agrees
    return by_number(found)


def test_a_deposit_is_income_when_kept_and_no_earlier_unless_the_method_says_so(both: Shop) -> None:
    """10.00 received in 2025 and kept in 2026: accruals income of 2026, of 2025 where it counts on receipt."""
    both.today = day("2025-12-20")
    both.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), both.today, "2026-01-06", deposit=1000))
    before = year(both, 2025)
    assert (before[DEPOSITS], before[DEPOSITS_HELD]) == ((1000, 0), (None, -1000))
    assert DEPOSITS_HELD_END not in before

    both.do(SetMethod("deposits", "on receipt", day("2025-01-01")))
    both.today = day("2026-01-20")
    both.do(DecideDeposit("R-001", "kept", both.today))

    first, second = year(both, 2025), year(both, 2026)
    assert (first[DEPOSITS], first[DEPOSITS_HELD_END], first[DEPOSITS_COUNTED]) == (
        (1000, 0),
        (None, 1000),
        (None, 1000),
    )
    assert (second[DEPOSITS], second[DEPOSITS_HELD_START]) == ((0, 1000), (None, -1000))
    results = [both.ask(income, number).accruals_result for number in (2025, 2026)]
    both.do(SetMethod("deposits", "when kept", day("2025-01-01")))
    assert sum(results) == sum(both.ask(income, number).accruals_result for number in (2025, 2026))


def test_a_method_for_deposits_that_is_none_is_refused(shop: Shop) -> None:
    shop.refused(SetMethod("deposits", "never", day("2025-01-01")), BadInput)


# --- margins --------------------------------------------------------------------------------------------------------


def margin(shop: Shop, number: str) -> SaleMargin:
    return shop.ask(margin_of, number, shop.today)


def test_the_margin_is_price_less_what_the_animals_cost_less_selling_costs(both: Shop) -> None:
    """E03: 7 animals bought for 70.00, so each left at 10.00; feed of 14.00 over the day before the sale adds 2.00."""
    both.do(Spend(day("2025-06-01"), "feed", 1400, scope="lots", lots=("E03",), window_to=day("2025-06-01")))
    both.do(
        Sell(
            (LineOf("E03", 2, 6000, sex="female"),),
            both.today,
            "Tarn",
            charges=(Charge("postage", 500),),
            selling_costs=(SellingCost("postage", 420), SellingCost("packing", 80)),
        )
    )

    found = margin(both, "S-2025-0001")

    assert (found.price, found.cost, found.selling_costs, found.margin) == (6500, 2400, 500, 3600)
    [line] = found.lines
    assert (line.sex, line.origin.split(";")[0], line.cost_known) == ("female", "wild-collected", True)
    assert line.left == 6000 - 2400


def test_a_sale_still_to_be_posted_has_no_cost_yet(both: Shop) -> None:
    both.do(Sell((LineOf("E03", 1, 3000, sex="male"),), both.today, "Tarn", "post", to_post=True))
    assert (margin(both, "S-2025-0001").waits, margin(both, "S-2025-0001").cost) == (True, 0)

    both.do(PostSale("S-2025-0001", both.today))

    assert (margin(both, "S-2025-0001").waits, margin(both, "S-2025-0001").cost) == (False, 1000)


def test_animals_that_come_back_take_their_cost_back_with_them(both: Shop) -> None:
    both.do(Sell((LineOf("E03", 3, 9000, sex="female"),), both.today, "Tarn"))
    both.do(CreditSale("S-2025-0001", both.today, "two sent back", (CreditLine(1, 6000, 2, 2),)))

    assert (margin(both, "S-2025-0001").price, margin(both, "S-2025-0001").cost) == (3000, 1000)
    both.do(Sell((LineOf("E03", 2, 9000, sex="male"),), both.today, "Oda"))
    both.do(CreditSale("S-2025-0002", both.today, "by mistake"))
    assert (margin(both, "S-2025-0002").price, margin(both, "S-2025-0002").cost) == (0, 0)


def test_the_costs_of_all_margins_are_the_cost_of_animals_sold_in_the_books(both: Shop) -> None:
    both.do(Spend(day("2025-05-01"), "feed", 1001, window_to=day("2025-06-01")))
    both.do(Sell((LineOf("E03", 2, 6000, sex="female"), LineOf("P08", 5, 500)), both.today, "Tarn"))
    both.do(Sell((LineOf("P08", 3, 300),), both.today, "Oda"))
    both.do(CreditSale("S-2025-0001", both.today, "one back", (CreditLine(1, 3000, 1, 1),)))

    sold = sum(line.accruals or 0 for line in both.ask(income, 2025).again if line.number in COST_OF_SOLD.values())

    assert sum(one.cost for one in both.ask(margins, both.today)) == -(sold or 0) > 0
