"""Expected losses: off until a keeper sets a rate, dated, and overruled by what is said of a death."""

from __future__ import annotations

from ledger.costs.account import account
from ledger.costs.commands import Spend
from ledger.costs.result import Kind
from ledger.stock.commands import Move, Record, SetFigure
from tests.ledger.costs.keeper import Keeper, day


def written_off(keeper: Keeper) -> int:
    shared = keeper.ledger.ask(account, day("2025-06-02")).shared
    return sum(sum(row.posted) for row in shared.postings if row.kind is Kind.WRITTEN_OFF)


def deaths(keeper: Keeper, cause: str | None = None) -> None:
    """Feed for 10.00 on ten larvae, then five die one after the other."""
    keeper.do(Spend(day("2025-01-10"), "feed", 1000, window_to=day("2025-01-10")))
    for number in range(5):
        keeper.do(Record("L", (Move("died", 1, cause=cause),), day(f"2025-02-0{number + 1}")))


def test_without_a_rate_the_survivors_carry_every_death(keeper: Keeper) -> None:
    deaths(keeper)

    assert written_off(keeper) == 0
    assert keeper.carried("2025-06-02") == {1: 1000}


def test_beyond_the_rate_a_death_is_written_off(keeper: Keeper) -> None:
    keeper.do(SetFigure("BUG", "larva", "loss rate", 200_000, day("2025-01-01")))

    deaths(keeper)

    # two of ten are expected; then 10.00 on eight animals, three of which go at 1.25 each
    assert written_off(keeper) == 375
    assert keeper.carried("2025-06-02") == {1: 625}


def test_a_rate_counts_from_its_day(keeper: Keeper) -> None:
    keeper.do(SetFigure("BUG", "larva", "loss rate", 200_000, day("2025-02-05")))

    deaths(keeper)

    # four deaths before the day are carried; the fifth is judged by the new rate, whose two the first used up
    assert written_off(keeper) == round(1000 / 6)


def test_an_exceptional_death_is_written_off_whatever_the_rate(keeper: Keeper) -> None:
    keeper.do(SetFigure("BUG", "larva", "loss rate", 900_000, day("2025-01-01")))

    deaths(keeper, "exceptional")

    assert written_off(keeper) == 500


def test_an_ordinary_death_is_carried_whatever_the_rate(keeper: Keeper) -> None:
    keeper.do(SetFigure("BUG", "larva", "loss rate", 0, day("2025-01-01")))

    deaths(keeper, "ordinary")

    assert written_off(keeper) == 0
