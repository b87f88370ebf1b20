"""The keeper's own hours: shown beside the cost, and in no total."""

from __future__ import annotations

from fractions import Fraction

from ledger.costs.commands import DropHours, NoteHours, SetMethod, Spend
from ledger.stock.commands import AddLot, Arrival, Move, Record
from tests.ledger.costs.keeper import Keeper, day


def rear(keeper: Keeper) -> None:
    """Eight of the ten larvae are reared; feed for 24.00."""
    keeper.do(Spend(day("2025-01-10"), "feed", 2400, window_to=day("2025-02-10")))
    keeper.do(Record("L", (Move("died", 2),), day("2025-02-20")))
    keeper.do(Record("L", (Move("next stage", 8, to_stage="adult"),), day("2025-03-01")))


def test_hours_are_a_memo_of_each_reared_adult_and_change_no_cost(keeper: Keeper) -> None:
    rear(keeper)
    (before,) = keeper.ledger.rearing(lot="L")
    result = keeper.ledger.income(2025).accruals_result

    keeper.do(NoteHours(day("2025-01-20"), 120, "cleaning"))
    keeper.do(SetMethod("hour rate", "1200", day("2025-01-01")))
    (row,) = keeper.ledger.rearing(lot="L")

    assert (before.own_minutes, before.with_own_time) == (None, None)
    assert row.cost_per_reared == before.cost_per_reared == 300
    assert row.own_minutes is not None
    assert abs(row.own_minutes - 15) < Fraction(1, 10**9)
    assert row.with_own_time is not None
    assert abs(row.with_own_time - 600) < Fraction(1, 10**6)
    assert keeper.ledger.income(2025).accruals_result == result
    assert keeper.ledger.prove() == ()


def test_hours_are_shared_by_those_alive_on_the_day(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-01-15"), (Arrival("collected", "larva", unsexed=30),)))
    rear(keeper)
    keeper.do(NoteHours(day("2025-01-20"), 120))
    keeper.do(NoteHours(day("2025-01-20"), 16, lot="L"))
    keeper.do(NoteHours(day("2025-01-10"), 16, species="BUG"))

    (row,) = keeper.ledger.rearing(lot="L")

    # 120 x 10/40 + 16 + 16 minutes in eight adults
    assert row.own_minutes is not None
    assert abs(row.own_minutes - Fraction(62, 8)) < Fraction(1, 10**9)


def test_without_a_rate_there_is_time_and_no_money(keeper: Keeper) -> None:
    rear(keeper)
    keeper.do(NoteHours(day("2025-01-20"), 120))

    (row,) = keeper.ledger.rearing(lot="L")

    assert row.own_minutes is not None
    assert row.with_own_time is None


def test_hours_taken_back_are_gone(keeper: Keeper) -> None:
    rear(keeper)
    number = int(keeper.do(NoteHours(day("2025-01-20"), 120)).refs["hours"])

    keeper.do(DropHours(number))

    assert keeper.ledger.own_hours() == ()
    assert keeper.ledger.rearing(lot="L")[0].own_minutes is None
    assert "taken back already" in keeper.refused(DropHours(number))


def test_hours_that_cannot_be_are_refused(keeper: Keeper) -> None:
    assert "minutes" in keeper.refused(NoteHours(day("2025-01-20"), 0))
    assert "still to come" in keeper.refused(NoteHours(day("2025-06-03"), 10))
    assert "not for both" in keeper.refused(NoteHours(day("2025-01-20"), 10, species="BUG", lot="L"))
    assert "number 9" in keeper.refused(DropHours(9))
    assert "an hour of yours" in keeper.refused(SetMethod("hour rate", "many", day("2025-01-01")))
