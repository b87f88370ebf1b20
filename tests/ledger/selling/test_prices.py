from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotFound, Refused
from ledger.selling.commands import AddCustomer, LineOf, Sell, SetPrice
from ledger.selling.customers import find_customers
from ledger.selling.packs import counts_by_sex
from ledger.selling.prices import Pack, PriceList, prices_on
from tests.ledger.selling.shop import Shop, day

START = day("2025-01-01")


def pack(amount: int, animals: int = 1, sex: str = "any", name: str = "single", buyer: str = "retail") -> Pack:
    return Pack(1, 2, sex, name, animals, buyer, amount, START)


def test_the_largest_packs_make_up_a_number_and_singles_the_rest() -> None:
    prices = PriceList([pack(150), pack(1200, 10), pack(4500, 50)])

    assert prices.price_of(1, 2, "unsexed", 1) == 150
    assert prices.price_of(1, 2, "unsexed", 63) == 4500 + 1200 + 3 * 150


def test_a_number_no_packs_make_up_has_no_price() -> None:
    tens = PriceList([pack(1200, 10)])

    assert tens.price_of(1, 2, "unsexed", 20) == 2400
    assert tens.price_of(1, 2, "unsexed", 23) is None
    assert tens.price_of(1, 3, "unsexed", 20) is None


def test_smaller_packs_are_used_when_the_largest_does_not_come_out_even() -> None:
    assert PriceList([pack(1200, 10), pack(500, 4)]).price_of(1, 2, "unsexed", 12) == 1500


def test_a_price_for_the_sex_beats_one_for_any_and_a_trade_price_one_for_retail() -> None:
    prices = PriceList([pack(1000), pack(1800, sex="female"), pack(700, buyer="trade")])

    assert prices.price_of(1, 2, "male", 1) == 1000
    assert prices.price_of(1, 2, "female", 1) == 1800
    assert prices.price_of(1, 2, "male", 1, "trade") == 700
    assert PriceList([pack(1000)]).price_of(1, 2, "male", 1, "trade") == 1000


def test_a_pair_is_no_price_for_two_of_one_sex() -> None:
    prices = PriceList([pack(3000, 2, name="pair 1.1"), pack(4000, 3, name="trio 1.2")])

    assert prices.price_of(1, 2, "unsexed", 2) is None
    assert prices.price_by_sex(1, 2, "pair 1.1", {"male": 1, "female": 1}) == 3000
    assert prices.price_by_sex(1, 2, "pair 1.1", {"male": 2, "female": 2}) == 6000
    assert prices.price_by_sex(1, 2, "pair 1.1", {"male": 2, "female": 1}) is None
    assert prices.price_by_sex(1, 2, "trio 1.2", {"male": 1, "female": 2}) == 4000
    assert prices.price_by_sex(1, 2, "trio 1.2", {"male": 1, "female": 2, "unsexed": 1}) is None


@pytest.mark.parametrize(
    ("name", "counts"), [("pair 1.1", (1, 1, 0)), ("1.2.3", (1, 2, 3)), ("group of 10", None), ("v1.2.3.4", None)]
)
def test_counts_by_sex_are_read_from_the_name_of_a_pack(name: str, counts: tuple[int, int, int] | None) -> None:
    assert counts_by_sex(name) == counts


def test_the_newest_price_not_after_the_day_counts_and_old_sales_keep_theirs(both: Shop) -> None:
    both.do(SetPrice("BEET", "L3", 120, day("2025-01-01")))
    both.do(SetPrice("BEET", "L3", 140, day("2025-06-02")))
    both.do(SetPrice("BEET", "L3", 999, day("2025-06-03")))
    both.do(Sell((LineOf("P08", 1),), day("2025-06-01")))
    both.do(Sell((LineOf("P08", 1),), day("2025-06-02")))

    assert [both.sale(f"S-2025-000{n}").total for n in (1, 2)] == [120, 140]
    assert [one.amount for one in both.ask(prices_on, day("2025-05-31")).all()] == [120]
    assert both.ask(prices_on, day("2024-12-31")).all() == ()


def test_of_two_prices_of_one_day_the_later_recorded_counts(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "L3", 120, START))
    shop.do(SetPrice("BEET", "L3", 130, START))

    assert [one.amount for one in shop.ask(prices_on, START).all()] == [130]


def test_prices_that_make_no_sense_are_refused(shop: Shop) -> None:
    shop.refused(SetPrice("BEAT", "L3", 100, START), NotFound)
    shop.refused(SetPrice("BEET", "L9", 100, START), NotFound)
    shop.refused(SetPrice("BEET", "L3", -1, START), BadInput)
    shop.refused(SetPrice("BEET", "L3", 100, START, animals=0), BadInput)
    shop.refused(SetPrice("BEET", "adult", 100, START, animals=3, pack="pair 1.1"), BadInput)
    shop.refused(SetPrice("BEET", "adult", 100, START, animals=2, pack="pair 1.1", sex="male"), BadInput)
    shop.refused(SetPrice("BEET", "L3", 100, START, sex="boy"), BadInput)
    shop.refused(SetPrice("BEET", "L3", 100, START, buyer="friends"), BadInput)
    shop.refused(SetPrice("BEET", "L3", 100, START, pack=""), BadInput)


def test_trade_customers_pay_trade_prices(shop: Shop) -> None:
    shop.do(SetPrice("BEET", "L3", 120, START))
    shop.do(SetPrice("BEET", "L3", 90, START, buyer="trade"))
    shop.do(AddCustomer("Nib & Crate", kind="trade"))

    shop.do(Sell((LineOf("P08", 1),), shop.today, "Nib & Crate", "trade"))
    shop.do(Sell((LineOf("P08", 1),), shop.today, "Tarn"))

    assert [shop.sale(f"S-2025-000{n}").total for n in (1, 2)] == [90, 120]


def test_customers_are_found_while_their_name_is_typed(shop: Shop) -> None:
    for name in ("Tarn", "Östen", "Marl Tarnow", "Fennick"):
        shop.do(AddCustomer(name))

    assert [row.name for row in shop.ask(find_customers, "tar")] == ["Tarn", "Marl Tarnow"]
    assert [row.name for row in shop.ask(find_customers, "öS")] == ["Östen"]
    assert len(shop.ask(find_customers, "", 2)) == 2


def test_two_customers_of_one_name_cannot_be_told_apart_and_are_refused(shop: Shop) -> None:
    shop.do(AddCustomer("Tarn"))

    shop.refused(AddCustomer(" tarn "), Refused)
    shop.refused(AddCustomer(""), Refused)
    shop.refused(AddCustomer("Fennick", kind="friend"), BadInput)
    shop.refused(AddCustomer("Fen\u202enick"), BadInput)
