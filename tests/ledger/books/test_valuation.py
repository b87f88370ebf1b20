"""The other valuations of a year's stock: standard cost year over year, and where value is lower than cost.

Unit prices as in the worked example of 26 CFR 1.471-6(e)-(g): calves 15.00, yearlings 22.50, two-year-olds 30.00,
mature 37.50.
"""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.books.commands import CloseYear
from ledger.books.valuation import Valuation
from ledger.costs.commands import SetStandardCost, Spend
from ledger.ledger import Ledger
from ledger.selling.commands import LineOf, Sell, SetPrice
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec

STAGES = ("calf", "yearling", "second year", "mature")
PRICES = (1500, 2250, 3000, 3750)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.fixture
def herd(ledger: Ledger) -> Ledger:
    """A ledger on 15 January 2026 with one species and its unit prices from 2024 on."""
    kept = Ledger(ledger.store, clock=lambda: dt.datetime(2026, 1, 15, 10, 0), by="keeper")
    stages = tuple(StageSpec(name, saleable=True) for name in STAGES)
    kept.do(DescribeSpecies("COW", "Bos inventa", "cow", "cattle", stages, "mature"))
    return kept


def price(herd: Ledger) -> None:
    for stage, amount in zip(STAGES, PRICES, strict=True):
        herd.do(SetStandardCost("COW", stage, amount, day("2024-01-01")))


def lot(herd: Ledger, code: str, stage: str, count: int, on: str, *, bought: int | None = None) -> None:
    reason = "collected" if bought is None else "bought"
    herd.do(AddLot(code, "COW", day(on), (Arrival(reason, stage, unsexed=count, value=bought),)))


def spend(herd: Ledger, amount: int, on: str, code: str) -> None:
    herd.do(Spend(day(on), "feed", amount, scope="lots", lots=(code,), window_to=day(on)))


def standard(found: Valuation) -> dict[str, tuple[int, int]]:
    return {row.lot: (row.standard_at_start, row.standard_at_end) for row in found.rows}


def test_animals_raised_stand_at_the_standard_of_their_stage_year_over_year(herd: Ledger) -> None:
    price(herd)
    for code, stage, count in (("A", 0, 30), ("B", 1, 25), ("C", 2, 20), ("D", 3, 100)):
        lot(herd, code, STAGES[stage], count, "2024-02-01")
    herd.do(Record("A", (Move("next stage", 30, to_stage="yearling"),), day("2025-02-01")))

    first, second = herd.valuation(2024), herd.valuation(2025)

    assert standard(first) == {"A": (0, 450_00), "B": (0, 562_50), "C": (0, 600_00), "D": (0, 3750_00)}
    assert first.standard_change == 5362_50
    assert {row.lot: row.standard_at_start for row in second.rows if row.at_start}["A"] == 450_00
    assert second.standard_change == 30 * 7_50


def test_animals_bought_step_up_unless_they_came_late_in_the_year(herd: Ledger) -> None:
    price(herd)
    lot(herd, "E", "calf", 1, "2024-03-01", bought=2000)
    lot(herd, "F", "calf", 1, "2024-09-01", bought=2000)
    for code in ("E", "F"):
        herd.do(Record(code, (Move("next stage", 1, to_stage="yearling"),), day("2024-12-01")))

    assert standard(herd.valuation(2024)) == {"E": (0, 2750), "F": (0, 2000)}
    assert standard(herd.valuation(2025)) == {"E": (2750, 2750), "F": (2000, 2750)}


def test_a_standard_cost_set_anew_revalues_the_next_year_and_not_the_closed_one(herd: Ledger) -> None:
    price(herd)
    lot(herd, "A", "calf", 10, "2024-02-01")
    herd.do(CloseYear(2024, day("2026-01-15")))

    herd.do(SetStandardCost("COW", "calf", 1800, day("2025-01-01")))

    assert standard(herd.valuation(2024)) == {"A": (0, 15_000)}
    assert standard(herd.valuation(2025)) == {"A": (15_000, 18_000)}
    assert herd.valuation(2025).standard_change == 3000


def test_without_a_standard_cost_both_valuations_are_the_same(herd: Ledger) -> None:
    lot(herd, "A", "calf", 10, "2024-02-01")
    spend(herd, 5000, "2024-03-01", "A")

    found = herd.valuation(2024)

    assert found.actual_change == found.standard_change == 5000
    assert found.actual_result == found.standard_result == herd.income(2024).accruals_result
    assert [row.has_standard for row in found.rows] == [False]


@pytest.mark.parametrize("cause", ["ordinary", "exceptional"])
def test_a_death_is_deducted_once_under_each_valuation(herd: Ledger, cause: str) -> None:
    price(herd)
    lot(herd, "A", "calf", 10, "2024-02-01")
    spend(herd, 20_000, "2024-03-01", "A")
    alive = herd.valuation(2024)

    herd.do(Record("A", (Move("died", 1, cause=cause),), day("2024-06-01")))

    dead = herd.valuation(2024)
    # the write-off is in the smaller stock already: no valuation takes it off a second time
    assert alive.standard_result - dead.standard_result == 1500
    assert alive.actual_result - dead.actual_result == (2000 if cause == "exceptional" else 0)
    assert dead.actual_result == herd.income(2024).accruals_result == dead.actual_change - 20_000
    assert dead.standard_result == 9 * 1500 - 20_000


def test_a_warning_where_animals_would_fetch_less_than_they_cost(herd: Ledger) -> None:
    lot(herd, "A", "calf", 10, "2025-02-01", bought=10_000)
    lot(herd, "B", "mature", 4, "2025-02-01", bought=10_000)
    herd.do(SetPrice("COW", "calf", 900, day("2025-01-01")))
    herd.do(SetPrice("COW", "mature", 9000, day("2025-01-01")))

    found = herd.valuation(2025)

    rows = {row.lot: row for row in found.rows}
    assert (rows["A"].realisable, rows["A"].lower_by) == (9000, 1000)
    assert (rows["B"].realisable, rows["B"].lower_by) == (36_000, 0)
    assert found.lower_by == 1000
    assert found.actual_change == 20_000


def test_what_selling_costs_lowers_what_animals_would_fetch(herd: Ledger) -> None:
    lot(herd, "A", "calf", 11, "2025-02-01", bought=11_000)
    herd.do(SetPrice("COW", "calf", 1000, day("2025-01-01")))
    herd.do(Sell((LineOf("A", 1, 1000),), day("2025-03-01")))
    herd.do(Spend(day("2025-03-01"), "postage", 200, kind="selling"))

    (row,) = herd.valuation(2025).rows

    assert (row.at_end, row.realisable, row.lower_by) == (10, 8000, 2000)


def test_a_stage_without_a_price_is_not_warned_of(herd: Ledger) -> None:
    lot(herd, "A", "calf", 10, "2025-02-01", bought=10_000)

    (row,) = herd.valuation(2025).rows

    assert (row.realisable, row.lower_by) == (None, 0)
