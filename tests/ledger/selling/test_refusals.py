"""What selling refuses: one sentence each, nothing changed, on both kinds of database."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ledger.selling.commands import (
    CreditSale,
    LineOf,
    PackOf,
    Pick,
    PlaceHold,
    Sell,
    TakePayment,
)
from ledger.stock.commands import AddLot, Arrival, OriginStatement
from tests.ledger.selling.shop import Shop, day


def more_than_ready(shop: Shop) -> object:
    return Sell((LineOf("E03", 4, 100, sex="male"),), shop.today)


def lapsed_hold(shop: Shop) -> object:
    shop.do(PlaceHold("Tarn", (Pick("E03", 1, sex="male"),), shop.today, "2h"))
    shop.clock = "12:01"
    return Sell((LineOf("E03", 1, 100, sex="male"),), shop.today, hold="R-001")


def payment_on_a_credited_sale(shop: Shop) -> object:
    shop.do(Sell((LineOf("E03", 1, 100, sex="male"),), shop.today, "Tarn"))
    shop.do(CreditSale("S-2025-0001", shop.today, "mistake"))
    return TakePayment("S-2025-0001", 100, shop.today)


def price_of_zero_without_a_reason(shop: Shop) -> object:
    return Sell((LineOf("E03", 1, 0, sex="male"),), shop.today)


def pack_for_nothing_without_a_reason(shop: Shop) -> object:
    return Sell((), shop.today, packs=(PackOf("single", (Pick("P08", 1),), 0),))


def mixed_pack(shop: Shop) -> object:
    origin = OriginStatement("CBU", evidence=2, supplier="Nib", documents="invoice")
    shop.do(AddLot("C01", "BEET", day("2025-04-02"), (Arrival("bought", "adult", females=1, value=1),), origin=origin))
    picks = (Pick("E03", 1, sex="male"), Pick("C01", 1, sex="female"))
    return Sell((), shop.today, packs=(PackOf("pair 1.1", picks, 5000),))


def stronger_origin(shop: Shop) -> object:
    return Sell((LineOf("E03", 1, 100, sex="male", claim="F2"),), shop.today)


CASES: list[tuple[Callable[[Shop], object], str]] = [
    (more_than_ready, "E03 has only 3 male adults"),
    (lapsed_hold, "lapsed on Monday 2 June, 12:00"),
    (payment_on_a_credited_sale, "S-2025-0001 was credited in full; nothing is owed on it."),
    (price_of_zero_without_a_reason, "the line is free of charge; say why"),
    (pack_for_nothing_without_a_reason, "the line is free of charge; say why"),
    (mixed_pack, "would mix animals of wild origin (E03) with captive-bred ones (C01)"),
    (stronger_origin, "E03: "),
]


@pytest.mark.parametrize(("case", "words"), CASES, ids=[case.__name__ for case, _ in CASES])
def test_selling_refuses_in_one_sentence_and_changes_nothing(
    both: Shop, case: Callable[[Shop], object], words: str
) -> None:
    refusal = str(both.refused(case(both)))

    assert words in refusal
    assert refusal.endswith(".")
    assert "\n" not in refusal
    assert len(refusal) < 400
