from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotEnough, NotFound, Refused
from ledger.records.commands import SetSetting
from ledger.selling.commands import (
    CreditSale,
    DriveToFair,
    EndFair,
    LineOf,
    PackForFair,
    Paid,
    Pick,
    PlanFair,
    Sell,
    SellFairPack,
    SetPrice,
    SpendOnFair,
    Unpack,
)
from ledger.selling.fair_packs import FairPackRow, fair_packs
from ledger.selling.fair_results import FairResult, fair_result
from ledger.stock.commands import Move
from tests.ledger.selling.shop import Shop, day
from tests.ledger.selling.test_tills import at_once

FENLOW = "Fenlow spring fair"
TEN = PackForFair(FENLOW, "A", "group of 4", (Pick("P08", 4),), packs=3, price=600)


def packs(shop: Shop) -> tuple[FairPackRow, ...]:
    return shop.ask(fair_packs, FENLOW)


def result(shop: Shop) -> FairResult:
    return shop.ask(fair_result, FENLOW, shop.today)


@pytest.fixture
def fair(both: Shop) -> Shop:
    """A fair today with 80.00 of change and three packs of four larvae at 6.00."""
    both.do(PlanFair(FENLOW, both.today, cash_float=8000))
    both.do(TEN)
    return both


def test_packed_animals_are_held_for_the_fair(fair: Shop) -> None:
    [row] = packs(fair)
    assert (row.mark, row.pack, row.what, row.price) == ("A", "group of 4", "4 L3 of P08", 600)
    assert (row.packed, row.sold, row.ready, row.short) == (3, 0, 3, 0)
    ready = fair.ready_of("P08")
    assert ready is not None
    assert (ready.ready, ready.kept) == (2, 12)
    assert fair.alive("P08") == 14
    refusal = fair.refused(Sell((LineOf("P08", 3, 300),), fair.today), NotEnough)
    assert "12 of the 14 are kept back (packed for Fenlow spring fair)" in str(refusal)


def test_one_key_sells_the_next_pack_paid_in_cash_with_its_origin(fair: Shop) -> None:
    done = fair.do(SellFairPack(FENLOW, "a", fair.today))

    sale = fair.sale(str(done.refs["number"]))
    assert (sale.channel, sale.total, sale.paid, sale.customer_name) == ("fair", 600, 600, "")
    assert [(line.lot_code, line.count, line.pack) for line in sale.lines] == [("P08", 4, "group of 4")]
    assert sale.lines[0].origin_text
    assert done.sentence.endswith("2 packs A left.")
    assert (packs(fair)[0].sold, packs(fair)[0].ready, fair.alive("P08")) == (1, 2, 10)
    assert fair.proof() == []


def test_the_day_ends_with_the_cash_and_its_difference_and_what_was_not_sold_comes_back(fair: Shop) -> None:
    """80.00 of change, two packs at 6.00 in cash, one by card, 2.00 for a single: 80 + 6 + 6 + 2 = 94.00 expected."""
    for method in ("cash", "card", "cash"):
        fair.do(SellFairPack(FENLOW, "A", fair.today, method))
    fair.do(Sell((LineOf("P08", 1, 200),), fair.today, channel="fair", paid=(Paid(None),)))
    fair.do(PackForFair(FENLOW, "B", "pair 1.1", (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female")), price=50))

    done = fair.do(EndFair(FENLOW, fair.today, 9350))

    assert done.sentence == (
        "Fenlow spring fair settled, 2 June 2025: 93.50 EUR counted, 94.00 EUR expected, 0.50 EUR too little; 1 pack "
        "not sold, whose animals are free again."
    )
    found = result(fair)
    assert (found.expected, found.difference, found.packs_sold, found.packs_left) == (9400, -50, 3, 0)
    males = fair.ready_of("E03", sex="male")
    assert males is not None
    assert (males.ready, males.kept) == (3, 0)
    fair.refused(EndFair(FENLOW, fair.today, 9350), Refused)
    fair.refused(SellFairPack(FENLOW, "B", fair.today), Refused)
    fair.refused(TEN, Refused)
    assert fair.proof() == []


def test_the_margin_of_a_fair_is_that_of_its_sales_less_table_and_mileage(fair: Shop) -> None:
    """Two adults at 10.00 each cost, sold for 55.00; a pack for 6.00 at no cost: 61 - 20 - 25 - 25.20 = -9.20."""
    pair = (Pick("E03", 1, sex="male"), Pick("E03", 1, sex="female"))
    fair.do(PackForFair(FENLOW, "B", "pair 1.1", pair, price=5500))
    fair.do(SellFairPack(FENLOW, "B", fair.today))
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(SpendOnFair(FENLOW, "table fee", 2500, fair.today))
    fair.do(DriveToFair(FENLOW, "84", fair.today, "0.30"))

    found = result(fair)

    assert (found.price, found.cost, found.selling_costs, found.costs) == (6100, 2000, 0, 5020)
    assert found.margin == -920
    assert (found.animals, len(found.sales)) == (6, 2)


def test_a_drive_is_reckoned_at_the_rate_said_or_set_and_without_one_not_at_all(both: Shop) -> None:
    both.do(PlanFair(FENLOW, both.today))
    refused = both.refused(DriveToFair(FENLOW, "84", both.today), BadInput)
    assert "setting kilometre rate 0.30" in str(refused)
    both.do(SetSetting("kilometre rate", "0,335"))

    done = both.do(DriveToFair(FENLOW, "84.5 km", both.today, text="two ways"))
    both.do(DriveToFair(FENLOW, "10", both.today, "0.5"))

    assert done.sentence == f"{FENLOW}: mileage 28.31 EUR, 2 June 2025, 84.5 km at 0.335."  # 28.3075
    assert [(row.category, row.basis, row.text, row.kind) for row in both.rows("cost")[-2:]] == [
        ("mileage", 2831, "84.5 km at 0.335; two ways", "selling"),
        ("mileage", 500, "10 km at 0.5", "selling"),
    ]
    assert both.ask(fair_result, FENLOW, both.today).costs == 3331


@pytest.mark.parametrize(("km", "rate"), [("0", "0.3"), ("-4", "0.3"), ("many", "0.3"), ("84", "0"), ("84", "free")])
def test_no_distance_and_no_rate_is_refused(shop: Shop, km: str, rate: str) -> None:
    shop.do(PlanFair(FENLOW, shop.today))

    shop.refused(DriveToFair(FENLOW, km, shop.today, rate), BadInput)


def test_a_fair_pack_at_another_price_or_not_paid_yet(fair: Shop) -> None:
    fair.do(SellFairPack(FENLOW, "A", fair.today, "", 500, "Tarn"))

    sale = fair.sale("S-2025-0001")
    assert (sale.total, sale.paid, sale.owed, sale.customer_name) == (500, 0, 500, "Tarn")


def test_a_pack_that_lost_an_animal_is_taken_apart_and_not_sold(fair: Shop) -> None:
    fair.record("P08", Move("died", 3, stage="L3"))

    assert (packs(fair)[0].ready, packs(fair)[0].short) == (2, 1)
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.refused(SellFairPack(FENLOW, "A", fair.today), NotEnough)
    fair.do(Unpack(FENLOW, "A"))
    ready = fair.ready_of("P08")
    assert ready is not None
    assert (ready.ready, ready.kept) == (3, 0)
    fair.refused(Unpack(FENLOW, "A"), NotEnough)


def test_the_short_pack_is_taken_apart_before_whole_ones(fair: Shop) -> None:
    fair.record("P08", Move("died", 3, stage="L3"))

    fair.do(Unpack(FENLOW, "A"))

    assert (packs(fair)[0].ready, packs(fair)[0].short) == (2, 0)


def test_a_pack_sold_by_mistake_is_credited_and_its_animals_are_back(fair: Shop) -> None:
    fair.do(SellFairPack(FENLOW, "A", fair.today))
    fair.do(CreditSale("S-2025-0001", fair.today, "entered by mistake"))

    assert fair.alive("P08") == 14
    assert (result(fair).price, result(fair).expected) == (0, 8000)
    assert packs(fair)[0].ready == 2


def test_packs_with_extras_are_priced_from_the_list(shop: Shop) -> None:
    shop.do(PlanFair(FENLOW, shop.today))
    shop.do(SetPrice("BEET", "L3", 700, day("2025-01-01"), 6, pack="pack of 6 + 1"))
    shop.do(PackForFair(FENLOW, "L", "pack of 6 + 1", (Pick("P08", 7),), packs=2, extra=1))

    shop.do(SellFairPack(FENLOW, "L", shop.today))

    [line] = shop.sale("S-2025-0001").lines
    assert (line.count, line.extra, line.net) == (6, 1, 700)


def test_two_tills_sell_the_last_pack_once(fair: Shop) -> None:
    fair.do(Unpack(FENLOW, "A", 2))
    sell: list[object] = [SellFairPack(FENLOW, "A", fair.today)]

    answers = sorted(answer for one in at_once(fair, sell, sell) for answer in one)

    assert answers[0] == "S-2025-0001"
    assert answers[1] == 'refused: Fenlow spring fair has no pack "A" left.'
    assert fair.alive("P08") == 10
    assert fair.proof() == []


def test_a_fair_refuses_what_makes_no_sense(fair: Shop) -> None:
    fair.refused(PlanFair("", fair.today), BadInput)
    fair.refused(PlanFair("Later", day("2025-06-09"), day("2025-06-08")), BadInput)
    fair.refused(PlanFair("Other", fair.today), Refused)
    fair.refused(PackForFair("Nowhere", "A", "single", (Pick("P08", 1),), price=5), NotFound)
    fair.refused(PackForFair(FENLOW, "", "single", (Pick("P08", 1),), price=5), BadInput)
    fair.refused(PackForFair(FENLOW, "A", "single", (Pick("P08", 1),), price=5), Refused)
    fair.refused(PackForFair(FENLOW, "C", "single", (Pick("P08", 1),), packs=3, price=5), NotEnough)
    fair.refused(PackForFair(FENLOW, "C", "single", (Pick("P08", 1),)), NotFound)
    fair.refused(SellFairPack(FENLOW, "Z", fair.today), NotFound)
    fair.refused(SellFairPack(FENLOW, "A", day("2025-06-01")), BadInput)
    fair.refused(SpendOnFair(FENLOW, "", 5, fair.today), BadInput)
    fair.refused(SpendOnFair(FENLOW, "table fee", 0, fair.today), BadInput)
