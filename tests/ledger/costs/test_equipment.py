"""The equipment register, and what becomes of a thing disposed of before its time."""

from __future__ import annotations

from dataclasses import replace

from ledger.books.lines import DISPOSED
from ledger.books.position import position
from ledger.costs.commands import Dispose, RefundCost, ReverseCost, Spend
from ledger.costs.explain.went import where_cost_went
from ledger.costs.result import Kind
from ledger.ledger import Ledger
from tests.ledger.costs.keeper import Keeper, day


def rack(keeper: Keeper, on: str = "2025-01-01", gross: int = 58_000, residual: int = 10_000, life: int = 1825) -> int:
    spend = Spend(day(on), "equipment", gross, text="rack", kind="lasting", life_days=life, residual=residual)
    return int(keeper.do(spend).refs["cost"])


def test_the_register_shows_both_ways_side_by_side(keeper: Keeper) -> None:
    """OpenStax, Principles of Accounting, volume 1, ch. 11 (Kenzie), after one and after two years."""
    rack(keeper)

    first, second = (keeper.ledger.equipment(day(f"{year}-12-31"))[0] for year in (2025, 2026))

    assert (first.used_up, first.left, first.declining) == (9_600, 48_400, 34_800)
    assert (second.left, second.declining) == (38_800, 20_880)


def test_declining_balance_is_never_what_costs_go_by(keeper: Keeper) -> None:
    rack(keeper)
    keeper.at("2026-01-01")

    assert keeper.carried("2025-12-31") == {1: 9_600}


def test_what_was_left_of_a_thing_thrown_away_is_expensed_and_carried_by_nobody(keeper: Keeper) -> None:
    number = rack(keeper, gross=36_500, residual=0, life=365)
    carried = keeper.carried("2025-03-01")

    keeper.do(Dispose(number, day("2025-03-02")))

    (row,) = keeper.ledger.equipment()
    assert carried == keeper.carried("2025-06-02") == {1: 60 * 100}
    assert (row.used_up, row.left, row.expensed, row.disposed_on) == (6_000, 0, 30_500, day("2025-03-02"))
    assert again(keeper.ledger) == -30_500
    assert keeper.ledger.income(2025).agrees
    assert keeper.waiting("2025-06-02") == 0


def again(ledger: Ledger) -> int:
    """What was left of equipment disposed of, less proceeds, in the second way to the result."""
    (line,) = [line for line in ledger.income(2025).again if line.number == DISPOSED]
    return line.accruals or 0


def test_the_register_is_what_the_books_hold_to_the_minor_unit(keeper: Keeper) -> None:
    for number in range(7):
        rack(keeper, gross=1_000 + number, residual=number, life=333)

    for on in ("2025-01-01", "2025-02-03", "2025-06-02"):
        rows = keeper.ledger.equipment(day(on))
        held = keeper.ledger.ask(position, day(on)).equipment
        assert {row.cost: row.left for row in rows} == dict(held)
        assert all(row.used_up + row.left == row.basis for row in rows)


def test_proceeds_stand_beside_what_was_left(keeper: Keeper) -> None:
    number = rack(keeper)
    keeper.do(Dispose(number, day("2025-05-30"), 20_000))

    (row,) = keeper.ledger.equipment()

    assert (row.proceeds, row.expensed) == (20_000, 58_000 - row.used_up)
    assert again(keeper.ledger) == 20_000 - row.expensed


def test_a_refund_lowers_what_a_thing_cost(keeper: Keeper) -> None:
    number = rack(keeper, gross=36_500, residual=0, life=365)

    keeper.do(RefundCost(number, day("2025-02-01"), 7_300))

    (row,) = keeper.ledger.equipment(day("2025-12-31"))
    assert (row.basis, row.used_up, row.left) == (29_200, 29_200, 0)


def test_a_thing_taken_back_is_not_in_the_register(keeper: Keeper) -> None:
    keeper.do(ReverseCost(rack(keeper)))

    assert keeper.ledger.equipment() == ()
    assert keeper.carried("2025-06-02", Kind.NOT_USED_UP) == {}


def test_of_a_thing_that_is_half_for_the_business_half_is_still_worth_something(keeper: Keeper) -> None:
    """(100.00 - 20.00) x 50 % over 100 days are 0.40 a day."""
    spend = Spend(day("2025-03-01"), "equipment", 10_000, kind="lasting", life_days=100, residual=2_000, share=5_000)
    keeper.do(spend)

    (row,) = keeper.ledger.equipment(day("2025-03-10"))

    assert (row.basis, row.residual, row.used_up, row.left) == (5_000, 1_000, 400, 4_600)
    keeper.do(replace(spend, residual=9_000))
    assert "more than what it cost" in keeper.refused(replace(spend, residual=10_001))


def test_no_more_is_refunded_than_a_thing_loses_of_its_worth(keeper: Keeper) -> None:
    """Otherwise the animals would carry less than nothing."""
    number = rack(keeper, gross=10_000, residual=2_000, life=100)
    on = day("2025-02-01")

    assert "80.00 EUR or less can be refunded" in keeper.refused(RefundCost(number, on, 8_001))
    keeper.do(RefundCost(number, on, 3_000))
    assert "50.00 EUR or less" in keeper.refused(RefundCost(number, on, 5_001))
    keeper.do(RefundCost(number, on, 5_000))

    assert keeper.carried("2025-06-02") == {}
    (row,) = keeper.ledger.equipment(day("2025-06-02"))
    assert (row.basis, row.used_up, row.left) == (2_000, 0, 2_000)


def test_of_a_thing_that_is_gone_nothing_is_still_worth_something(keeper: Keeper) -> None:
    number = rack(keeper, gross=10_000, residual=2_000, life=80)
    keeper.do(Dispose(number, day("2025-01-21"), 500))

    def went(on: str) -> dict[str, int]:
        return {line.name: line.shown for line in keeper.ledger.ask(where_cost_went, number, day(on)).lines}

    assert went("2025-01-20") == {
        "still carried by living animals": 2_000,
        "not used up yet": 6_000,
        "what it will still be worth": 2_000,
    }
    assert went("2025-01-21") == {
        "still carried by living animals": 2_000,
        "left when it was disposed of; no animal carries it": 8_000,
    }
