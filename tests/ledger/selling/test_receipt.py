from __future__ import annotations

import datetime as dt

import pytest

from ledger.errors import BadInput, NotFound
from ledger.money import Currency
from ledger.records.commands import SetSetting
from ledger.selling.commands import Charge, CreditLine, CreditSale, LineOf, PackOf, Paid, Pick, PlaceHold, Sell, Swap
from ledger.selling.receipt import receipt, receipt_text
from ledger.stock.commands import AddLot, Arrival
from tests.ledger.selling.shop import Shop

EUR = Currency("EUR", 2)


def text_of(shop: Shop, number: str, width: int = 72) -> str:
    return receipt_text(shop.ask(receipt, number, EUR), width)


def test_a_receipt_states_the_origin_of_every_line_and_what_that_is_worth(shop: Shop) -> None:
    shop.do(SetSetting("business name", "Quillmere Loft"))
    shop.do(SetSetting("address", "Loft 3\nQuillmere"))
    shop.do(
        Sell(
            (LineOf("E03", 1, 3000, sex="female", discount=250), LineOf("P08", 10, 1200, extra=1)),
            shop.today,
            "Tarn",
            charges=(Charge("postage", 850),),
            paid=(Paid(4000, "card"),),
        )
    )

    assert text_of(shop, "S-2025-0001") == (
        "Quillmere Loft\n"
        "Loft 3\n"
        "Quillmere\n"
        "\n"
        "Receipt S-2025-0001, 2 June 2025\n"
        "For Tarn\n"
        "By collection\n"
        "Amounts in EUR\n"
        "\n"
        "1. 1 adult, female, loft beetle (Inventus beetle), lot E03         30.00\n"
        "   Discount                                                        -2.50\n"
        "   Origin: wild-collected; country of origin XB; evidence: supplier's or\n"
        "   keeper's statement\n"
        "   E03: wild-collected; no gaps in our records. By our records; not a\n"
        "   certificate.\n"
        "2. 10 + 1 extra L3, unsexed, loft beetle (Inventus beetle), lot\n"
        "P08                                                                12.00\n"
        "   1.20 each\n"
        "   Origin: not known; evidence: none\n"
        "   P08: not known; 2 gaps in our records. By our records; not a\n"
        "   certificate.\n"
        "Postage                                                             8.50\n"
        "Total                                                              48.00\n"
        "Paid (card), 2 June 2025                                          -40.00\n"
        "Still owed                                                          8.00\n"
        "\n"
        "Origins: by our records; not a certificate.\n"
    )


@pytest.mark.parametrize("width", [32, 40, 72, 100])
def test_no_line_of_a_receipt_is_wider_than_asked(shop: Shop, width: int) -> None:
    shop.do(Sell((LineOf("E03", 1, 3000, sex="female"),), shop.today, "Tarn of the Long Meadow"))

    text = text_of(shop, "S-2025-0001", width)

    assert max(len(line) for line in text.splitlines()) <= width
    assert " ".join(text.split()).endswith("by our records; not a certificate.")


def test_deposits_credits_and_money_given_back_are_on_the_receipt(shop: Shop) -> None:
    shop.do(PlaceHold("Tarn", (Pick("P08", 5),), shop.today, "2025-06-06", deposit=500))
    shop.do(Sell((LineOf("P08", 5, 1500),), shop.today, hold="R-001", paid=(Paid(1000),)))
    shop.do(CreditSale("S-2025-0001", shop.today, "1 DOA", (CreditLine(1, 300, 1),)))

    text = text_of(shop, "S-2025-0001")

    for line in (
        "Deposit of R-001                                                   -5.00",
        "Paid (cash), 2 June 2025                                          -10.00",
        "Credit C-2025-0001, 2 June 2025: 1 DOA                             -3.00",
        "Given back (cash), 2 June 2025                                      3.00",
        "Nothing owed: 0.00 EUR",
    ):
        assert line in text


def test_a_line_of_several_says_what_one_cost_and_whether_that_is_rounded(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 3, 1000), LineOf("P08", 4, 1000), LineOf("P08", 1, 300)), shop.today))

    lines = shop.ask(receipt, "S-2025-0001", EUR).lines
    text = text_of(shop, "S-2025-0001")

    assert [(line.each, line.each_is_exact) for line in lines] == [(333, False), (250, True), (None, True)]
    assert [line.strip() for line in text.splitlines() if "each" in line] == ["about 3.33 each", "2.50 each"]


def test_animals_of_one_pack_have_no_price_of_their_own(shop: Shop) -> None:
    shop.do(Sell((), shop.today, packs=(PackOf("pack of 6", (Pick("P08", 5), Pick("E03", 1, sex="female")), 3000),)))

    assert [line.each for line in shop.ask(receipt, "S-2025-0001", EUR).lines] == [None, None]


def test_a_day_to_pay_by_is_said_only_where_it_was_set_and_something_is_owed(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 1, 900),), shop.today, "Tarn", paid=(Paid(400),)))
    shop.do(Sell((LineOf("P08", 1, 900),), shop.today, paid=(Paid(900),)))
    assert "To be paid by" not in text_of(shop, "S-2025-0001")

    done = shop.do(SetSetting("days to pay", "014"))

    assert "check your local rules" in " ".join(done.cautions)
    assert shop.today == dt.date(2025, 6, 2)
    assert (
        "Still owed                                                          5.00\nTo be paid by 16 June 2025"
        in text_of(shop, "S-2025-0001")
    )
    assert "To be paid by" not in text_of(shop, "S-2025-0002")
    for typed in ("soon", "366", "-1", "1.5", "²"):
        with pytest.raises(BadInput, match="no number of days"):
            shop.do(SetSetting("days to pay", typed))
    shop.do(SetSetting("days to pay", ""))
    assert "To be paid by" not in text_of(shop, "S-2025-0001")


def test_a_swap_is_settled_in_animals_on_its_receipt(shop: Shop) -> None:
    came = AddLot("E11", "BEET", shop.today, (Arrival("swapped in", "L3", unsexed=10),))
    shop.do(Swap((Pick("P08", 10),), came, 1800, shop.today, "Marl"))

    assert "Settled in animals, 2 June 2025" in text_of(shop, "S-2025-0001")


def test_a_receipt_keeps_the_origin_as_it_was_sold(shop: Shop) -> None:
    from ledger.origin.commands import StateOrigin
    from ledger.stock.commands import OriginStatement

    shop.do(Sell((LineOf("E03", 1, 3000, sex="female"),), shop.today, "Tarn"))
    before = text_of(shop, "S-2025-0001")

    shop.do(StateOrigin("E03", OriginStatement("UNK"), shop.today))

    assert text_of(shop, "S-2025-0001") == before


def test_a_sale_that_is_not_there_has_no_receipt(shop: Shop) -> None:
    with pytest.raises(NotFound):
        text_of(shop, "S-2025-0001")


def test_currencies_without_decimals_print_without_them(shop: Shop) -> None:
    shop.do(Sell((LineOf("P08", 1, 1500),), shop.today))

    text = receipt_text(shop.ask(receipt, "S-2025-0001", Currency("JPY", 0)))

    assert "1500\n" in text
    assert "15.00" not in text


def test_the_terms_on_a_receipt_are_those_of_the_day_of_the_sale(shop: Shop) -> None:
    shop.do(SetSetting("terms", "Report within 2 hours."))
    number = str(shop.do(Sell((LineOf("P08", 1, 900),), shop.today)).refs["number"])
    shop.do(SetSetting("terms", "No claims."))

    assert "Report within 2 hours." in text_of(shop, number)
    assert "No claims." not in text_of(shop, number)
