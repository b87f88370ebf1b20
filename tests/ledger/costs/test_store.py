"""What is put in store, taken out by weight and put back; nothing ever leaves that is not there."""

from __future__ import annotations

from fractions import Fraction

from ledger.books.commands import CloseYear
from ledger.costs.account import account
from ledger.costs.commands import EndWindow, PutBack, RefundCost, ReverseCost, Spend, TakeOut
from ledger.costs.result import Kind
from ledger.stock.commands import AddLot, Arrival
from tests.ledger.costs.keeper import Keeper, day


def buy(keeper: Keeper, on: str, quantity: str, gross: int, text: str = "flake", unit: str = "kg") -> int:
    spend = Spend(day(on), "feed", gross, "Ombrel", text, stored=True, quantity=quantity, unit=unit)
    return int(keeper.do(spend).refs["cost"])


def test_what_is_in_store_is_not_used_up_until_it_is_taken_out(keeper: Keeper) -> None:
    buy(keeper, "2025-01-05", "10", 4000)

    assert keeper.waiting("2025-06-02") == 4000

    keeper.do(TakeOut("feed", 2500, day("2025-02-01")))

    assert keeper.waiting("2025-06-02") == 3000
    assert keeper.carried("2025-06-02") == {1: 1000}
    assert keeper.carried("2025-01-31") == {}


def test_the_published_moving_average_comes_out_through_the_ledger(keeper: Keeper) -> None:
    """OpenStax, Principles of Accounting, volume 1, ch. 10, perpetual: exact 7,252.94 and 8,902.06."""
    buy(keeper, "2025-01-01", "150", 150 * 21_00)
    keeper.do(TakeOut("flake", 120_000, day("2025-01-05")))
    buy(keeper, "2025-01-10", "225", 225 * 27_00)
    keeper.do(TakeOut("flake", 180_000, day("2025-01-15")))
    buy(keeper, "2025-01-25", "210", 210 * 33_00)

    (row,) = keeper.ledger.store_items()

    assert (row.quantity, row.value) == (285_000, 8902_06)
    assert row.average is not None
    assert abs(row.average - Fraction(890205_882352, 285 * 10**6)) < Fraction(1, 10**6)
    assert keeper.carried("2025-06-02") == {1: 7252_94}


def test_the_list_of_costs_says_what_of_each_purchase_is_still_in_store(keeper: Keeper) -> None:
    first, second = buy(keeper, "2025-03-01", "2", 1000), buy(keeper, "2025-03-02", "2", 1000)
    bag = int(keeper.do(Spend(day("2025-03-03"), "feed", 500, text="pollen")).refs["cost"])

    def left() -> list[int | None]:
        by_id = {row.id: row.in_store for row in keeper.ledger.costs()}
        return [by_id[first], by_id[second], by_id[bag]]

    assert left() == [1000, 1000, None]
    keeper.do(TakeOut("feed", 3000, day("2025-03-10"), "flake"))
    assert left() == [0, 500, None]


def test_a_late_purchase_changes_the_average_of_what_went_out_after_it(keeper: Keeper) -> None:
    buy(keeper, "2025-01-01", "10", 1000)
    keeper.do(TakeOut("flake", 10_000, day("2025-03-01")))
    assert keeper.carried("2025-06-02") == {1: 1000}

    buy(keeper, "2025-02-01", "10", 3000)

    assert keeper.carried("2025-06-02") == {1: 2000}


def test_a_taking_over_some_days_falls_on_those_alive_on_each(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-03-06"), (Arrival("collected", "larva", unsexed=10),)))
    buy(keeper, "2025-01-01", "1", 1000)

    keeper.do(TakeOut("flake", 1000, day("2025-03-01"), used_to=day("2025-03-10")))

    assert keeper.carried("2025-06-02") == {1: 750, 2: 250}


def test_a_taking_for_one_lot_falls_on_that_lot(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-01-06"), (Arrival("collected", "larva", unsexed=10),)))
    buy(keeper, "2025-01-01", "1", 1000)

    keeper.do(TakeOut("flake", 500, day("2025-03-01"), lot="M"))

    assert keeper.carried("2025-06-02") == {2: 500}


def test_more_than_is_there_cannot_be_taken_out_then_or_later(keeper: Keeper) -> None:
    buy(keeper, "2025-02-01", "2", 1000)
    keeper.do(TakeOut("flake", 1500, day("2025-04-01")))

    assert "there is 0 kg of flake" in keeper.refused(TakeOut("flake", 100, day("2025-01-15")))
    assert "0.5 kg" in keeper.refused(TakeOut("flake", 600, day("2025-05-01")))
    late = keeper.refused(TakeOut("flake", 600, day("2025-03-01")))
    assert "later would no longer be there" in late
    assert "1 April 2025" in late


def test_what_was_put_back_was_never_taken_out(keeper: Keeper) -> None:
    buy(keeper, "2025-02-01", "2", 1000)
    number = int(keeper.do(TakeOut("flake", 2000, day("2025-03-01"))).refs["issue"])

    keeper.do(PutBack(number))

    assert keeper.waiting("2025-06-02") == 1000
    assert "taken back already" in keeper.refused(PutBack(number))
    assert "number 77" in keeper.refused(PutBack(77))


def test_a_purchase_of_which_something_was_taken_is_not_taken_back(keeper: Keeper) -> None:
    number = buy(keeper, "2025-02-01", "2", 1000)
    issue = int(keeper.do(TakeOut("flake", 500, day("2025-03-01"))).refs["issue"])

    assert "put that back first" in keeper.refused(ReverseCost(number))

    keeper.do(PutBack(issue))
    keeper.do(ReverseCost(number))
    assert keeper.waiting("2025-06-02") == 0


def test_a_refund_lowers_what_is_left(keeper: Keeper) -> None:
    number = buy(keeper, "2025-02-01", "2", 1000)
    keeper.do(TakeOut("flake", 1000, day("2025-03-01")))

    keeper.do(RefundCost(number, day("2025-04-01"), 200))

    assert keeper.waiting("2025-06-02") == 300
    assert keeper.carried("2025-06-02") == {1: 500}


def test_a_refund_of_what_was_used_up_follows_to_those_who_used_it(keeper: Keeper) -> None:
    """2.00 of the 3.00 are no longer in store: they go back by what each used of that purchase."""
    keeper.do(AddLot("M", "BUG", day("2025-01-06"), (Arrival("collected", "larva", unsexed=10),)))
    number = buy(keeper, "2025-02-01", "10", 1000)
    keeper.do(TakeOut("flake", 6000, day("2025-03-01"), lot="L"))
    keeper.do(TakeOut("flake", 3000, day("2025-03-02"), used_to=day("2025-03-04"), lot="M"))

    keeper.do(RefundCost(number, day("2025-04-01"), 300))

    assert keeper.carried("2025-06-02") == {1: 600 - 133, 2: 300 - 67}
    assert keeper.waiting("2025-06-02") == 0
    assert not keeper.carried("2025-06-02", Kind.NO_ANIMALS)
    assert keeper.ledger.income(2025).agrees
    assert all(check.holds for check in keeper.ledger.checks(2025))
    assert keeper.ledger.prove() == ()


def test_a_refund_of_what_a_closed_year_used_up_lowers_what_no_animal_carries(keeper: Keeper) -> None:
    """The control: the year before keeps its figures, and only what was used up since is lowered."""
    keeper.at("2026-02-01")
    number = buy(keeper, "2025-02-01", "10", 1000)
    keeper.do(TakeOut("flake", 6000, day("2025-03-01")))
    keeper.do(CloseYear(2025, day("2026-02-01")))
    keeper.do(TakeOut("flake", 4000, day("2026-01-10")))
    assert keeper.carried("2026-02-01") == {1: 1000}

    keeper.do(RefundCost(number, day("2026-01-20"), 500))

    assert keeper.carried("2025-12-31") == {1: 600}
    assert keeper.carried("2026-02-01") == {1: 600}
    shared = keeper.ledger.ask(account, day("2026-02-01")).shared
    assert sum(sum(row.posted) for row in shared.postings if row.kind is Kind.NO_ANIMALS) == -100


def test_each_refund_of_what_a_closed_year_used_up_stays_on_its_own_day(keeper: Keeper) -> None:
    keeper.at("2026-02-01")
    number = buy(keeper, "2025-02-01", "10", 1000)
    keeper.do(TakeOut("flake", 10_000, day("2025-03-01")))
    keeper.do(CloseYear(2025, day("2026-02-01")))

    for on, amount in (("2026-01-20", 300), ("2026-01-25", 200)):
        keeper.do(RefundCost(number, day(on), amount))

    costs = keeper.ledger.ask(account, day("2026-02-01")).costs
    back = [(part.first, part.amount) for cost in costs for part in cost.spread.parts if part.amount < 0]
    assert back == [(day("2026-01-20").toordinal(), -300), (day("2026-01-25").toordinal(), -200)]


def test_a_closed_year_keeps_what_was_taken_out_in_it(keeper: Keeper) -> None:
    keeper.at("2026-02-01")
    buy(keeper, "2025-02-01", "10", 1000)
    number = int(keeper.do(TakeOut("flake", 5000, day("2025-12-20"), used_to=day("2026-01-08"))).refs["issue"])
    keeper.do(CloseYear(2025, day("2026-02-01")))
    before = keeper.carried("2025-12-31")

    late = keeper.do(Spend(day("2025-11-01"), "feed", 9000, text="flake", stored=True, quantity="5", unit="kg"))
    out = keeper.do(TakeOut("flake", 1000, day("2025-12-24")))

    assert any("closed" in caution for caution in late.cautions)
    assert any("1 January 2026" in caution for caution in out.cautions)
    assert keeper.carried("2025-12-31") == before == {1: 300}
    assert "closed" in keeper.refused(PutBack(number))
    # 10.00 - 5.00 + 90.00 for 10 kg: 9.50 a kilogram
    assert keeper.carried("2026-02-01") == {1: 500 + 950}
    assert keeper.ledger.prove() == ()


def test_bad_words_about_the_store_are_one_sentence_and_change_nothing(keeper: Keeper) -> None:
    assert "Nothing was ever put in store" in keeper.refused(TakeOut("feed", 1000, day("2025-03-01")))
    number = buy(keeper, "2025-02-01", "2", 1000)
    stored = {"stored": True, "quantity": "2", "unit": "kg"}
    today = day("2025-02-01")

    assert "which unit" in keeper.refused(Spend(today, "feed", 100, stored=True, quantity="2"))
    assert "no quantity" in keeper.refused(Spend(today, "feed", 100, stored=True, quantity="two", unit="kg"))
    assert "kept in kg" in keeper.refused(Spend(today, "feed", 100, text="Flake", stored=True, quantity="2", unit="l"))
    assert "for no animals" in keeper.refused(Spend(today, "feed", 100, scope="lots", lots=("L",), **stored))
    assert "before it was taken out" in keeper.refused(
        TakeOut("flake", 1, day("2025-03-02"), used_to=day("2025-03-01"))
    )
    assert "still to come" in keeper.refused(TakeOut("flake", 1, day("2025-06-03")))
    assert "Nothing called" in keeper.refused(TakeOut("seed", 1, day("2025-03-02")))
    assert "how much" in keeper.refused(TakeOut("flake", 0, day("2025-03-02")))
    assert "is in store" in keeper.refused(EndWindow(number, day("2025-03-01"), day("2025-03-01")))
    buy(keeper, "2025-02-01", "5", 1000, "leaf")
    assert "Several things in store" in keeper.refused(TakeOut("feed", 1000, day("2025-03-01")))


def test_the_books_of_a_year_with_a_store_add_up(keeper: Keeper) -> None:
    buy(keeper, "2025-02-01", "3", 1000)
    for number in range(2):
        keeper.do(TakeOut("flake", 1000, day(f"2025-03-0{number + 1}")))
    keeper.do(TakeOut("flake", 1, day("2025-03-05")))

    assert keeper.ledger.income(2025).agrees
    assert all(check.holds for check in keeper.ledger.checks(2025))
    assert keeper.carried("2025-06-02", Kind.NOT_USED_UP) == {None: 333}


def test_bought_again_after_a_slip_in_the_unit_it_is_kept_in_the_right_one(keeper: Keeper) -> None:
    keeper.do(ReverseCost(buy(keeper, "2025-01-05", "10", 4000)))
    buy(keeper, "2025-01-05", "10000", 4000, unit="g")

    (row,) = keeper.ledger.store_items(day("2025-01-05"))

    assert (row.quantity, row.unit) == (10_000_000, "g")
    assert "10000 g of flake taken out" in keeper.do(TakeOut("flake", 10_000_000, day("2025-01-06"))).sentence
