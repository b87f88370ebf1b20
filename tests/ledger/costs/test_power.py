"""Power from watts: worked figures, and the cost that comes of it.

Worked by hand from kWh = W x duty x h / 1000: a mat of 20 W on 55 % of the time takes 0.264 kWh a day.
"""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from ledger.costs.commands import Power, SetMethod, Spend
from ledger.costs.power import kwh, price_of
from tests.ledger.costs.keeper import Keeper, day

PRICE = 30_000
"""0.30 for a kWh, in cents for 1,000."""


def test_a_heat_mat_takes_what_was_worked_by_hand() -> None:
    assert kwh(20, 5500, 1440, 1) == Fraction(264, 1000)
    month = kwh(20, 5500, 1440, 365) / 12
    assert round(float(month), 2) == 8.03
    assert round(float(price_of(month, PRICE)) / 100, 2) == 2.41


def test_an_incubator_over_half_a_year_and_what_it_is_for_each_hatchling() -> None:
    units = kwh(60, 3500, 1440, 180)

    assert round(float(units), 1) == 90.7
    # 90.72 kWh at 0.30 are 27.216: a bill of 27.22
    assert price_of(units, PRICE) == Fraction(27216, 10)
    assert round(float(price_of(units, PRICE)) / 100 / 32, 2) == 0.85


@pytest.mark.parametrize(("minutes", "units"), [(1440, 432), (720, 216)])
def test_a_room_heater_by_the_hours_it_is_plugged_in(minutes: int, units: int) -> None:
    assert kwh(400, 3000, minutes, 150) == units


def heater(**more: object) -> Power:
    first = day("2025-01-01")
    return Power("heat", "heater", 400, 3000, PRICE, first, first + dt.timedelta(days=149), **more)  # type: ignore[arg-type]


def test_the_animals_share_of_a_room_heater_is_what_costing_sees(keeper: Keeper) -> None:
    done = keeper.do(heater(share=6000))

    (row,) = keeper.ledger.costs()
    assert (row.gross, row.basis, row.kind) == (129_60, 77_76, "overhead")
    assert row.text == "heater: 400 W x 30 %, 150 days: 432.00 kWh"
    assert (row.window_from, row.window_to) == (day("2025-01-01"), day("2025-05-30"))
    assert any("counts twice" in caution for caution in done.cautions)
    assert keeper.carried("2025-06-02") == {1: 77_76}


def test_a_household_share_is_set_once_with_its_reason_and_a_day(keeper: Keeper) -> None:
    keeper.do(SetMethod("share heat", "6000", day("2025-05-01"), "room of 20 square metres, 12 for the animals"))

    keeper.do(Spend(day("2025-04-01"), "heat", 10_000, kind="overhead"))
    keeper.do(heater())
    keeper.do(Spend(day("2025-05-02"), "heat", 10_000, kind="overhead", share=5000))

    own, shared, before = keeper.ledger.costs()
    assert (before.basis, shared.basis, own.basis) == (10_000, 77_76, 5000)


def test_power_is_not_spent_twice_when_it_is_undone(keeper: Keeper) -> None:
    from ledger.stock.commands import Undo

    keeper.do(heater())
    keeper.do(Undo())

    assert all(row.taken_back for row in keeper.ledger.costs())


def test_figures_that_cannot_be_are_refused(keeper: Keeper) -> None:
    first = day("2025-01-01")
    assert "before it starts" in keeper.refused(Power("heat", "", 20, 5500, PRICE, first, day("2024-12-31")))
    assert "watts" in keeper.refused(Power("heat", "", 0, 5500, PRICE, first, first))
    assert "hundredths" in keeper.refused(Power("heat", "", 20, 10_001, PRICE, first, first))
    assert "minutes a day" in keeper.refused(Power("heat", "", 20, 5500, PRICE, first, first, 1441))
    assert "comes to nothing" in keeper.refused(Power("heat", "", 1, 1, PRICE, first, first))
    assert "There is no lot" in keeper.refused(Power("heat", "", 20, 5500, PRICE, first, first, lots=("Q9",)))
