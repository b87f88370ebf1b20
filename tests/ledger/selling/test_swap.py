from __future__ import annotations

from ledger.errors import BadInput, NotEnough, Refused
from ledger.selling.commands import CreditLine, CreditSale, Pick, Swap, TakePayment
from ledger.stock.commands import AddLot, Arrival, Move, OriginStatement
from tests.ledger.selling.shop import Shop

CAME = AddLot(
    "E11",
    "BEET",
    Shop.today,
    (Arrival("swapped in", "L3", unsexed=10),),
    origin=OriginStatement("CBU", supplier="Marl"),
)


def test_a_swap_moves_animals_both_ways_at_one_value_without_cash(both: Shop) -> None:
    done = both.do(Swap((Pick("P08", 10), Pick("P08", 4)), CAME, 1801, both.today, "Marl"))

    sale = both.sale(str(done.refs["number"]))
    assert (sale.channel, sale.customer_name, sale.total, sale.owed) == ("swap", "Marl", 1801, 0)
    assert [line.net for line in sale.lines] == [1286, 515]
    assert [(row.method, row.amount) for row in both.rows("payment")] == [("swap", 1801)]
    assert (both.alive("P08"), both.alive("E11")) == (0, 10)
    reasons = {row.reason: row.value for row in both.rows("movement") if "swapped" in row.reason}
    assert reasons == {"swapped out": None, "swapped in": 1801}
    cost = next(row for row in both.rows("cost") if row.kind == "animals" and row.text == "swap")
    change = next(row for row in both.rows("cost_change") if row.cost_id == cost.id)
    assert (cost.gross, change.amount, change.note) == (1801, 1801, "settled by swap")
    assert both.proof() == []


def test_what_goes_out_by_swap_must_be_ready_and_what_comes_in_must_be_swapped_in(shop: Shop) -> None:
    bought = AddLot("E11", "BEET", shop.today, (Arrival("bought", "L3", unsexed=10),))
    valued = AddLot("E11", "BEET", shop.today, (Arrival("swapped in", "L3", unsexed=10, value=100),))

    shop.refused(Swap((Pick("P08", 15),), CAME, 1800, shop.today), NotEnough)
    shop.refused(Swap((Pick("P08", 1),), bought, 1800, shop.today), BadInput)
    shop.refused(Swap((Pick("P08", 1),), valued, 1800, shop.today), BadInput)
    shop.refused(Swap((Pick("P08", 1),), "E11", 1800, shop.today), BadInput)
    shop.refused(Swap((Pick("P08", 1),), CAME, 0, shop.today), BadInput)
    shop.refused(Swap((), CAME, 1800, shop.today), BadInput)


def test_a_swap_is_taken_back_whole_or_not_at_all(both: Shop) -> None:
    number = str(both.do(Swap((Pick("P08", 10),), CAME, 1800, both.today, "Marl")).refs["number"])

    both.refused(CreditSale(number, both.today, "x", (CreditLine(1, 100, 1),)), Refused)
    both.do(CreditSale(number, both.today, "entered by mistake"))

    assert (both.alive("P08"), both.alive("E11")) == (14, 0)
    assert [(row.method, row.amount) for row in both.rows("payment")] == [("swap", 1800), ("swap", -1800)]
    costs = [row for row in both.rows("cost") if row.text == "swap"]
    assert costs[1].reverses == costs[0].id
    both.refused(TakePayment(number, 100, both.today))
    assert both.proof() == []


def test_a_swap_is_not_taken_back_once_its_animals_have_gone_on(shop: Shop) -> None:
    number = str(shop.do(Swap((Pick("P08", 10),), CAME, 1800, shop.today, "Marl")).refs["number"])
    shop.record("E11", Move("died", 4))

    refusal = shop.refused(CreditSale(number, shop.today, "entered by mistake"))

    assert "its animals have gone on since" in str(refusal)
