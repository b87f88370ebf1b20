"""What mortality costs: a worked example, and that the parts come to the whole.

Twenty larvae on 40.00 of feed; four die, sixteen are reared: 2.50 each, 2.00 had none died, so that the losses took
8.00. With 90 % expected: 40.00 / 18 = 2.22 each; 4.00 of the 8.00 was to be expected and 4.00 was not.
"""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from ledger.books.lines import NAMES, WRITTEN_OFF
from ledger.costs.commands import Spend
from ledger.errors import NotFound
from ledger.ledger import Ledger
from ledger.rearing.mortality import SAYS, MortalityRow
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, Move, Record, SetFigure
from tests.ledger.costs.keeper import BUG


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.fixture
def kept(ledger: Ledger) -> Ledger:
    ledger.do(BUG)
    return ledger


def rear(ledger: Ledger, code: str, *, dead: int = 4, reared: int = 16, cause: str | None = None) -> None:
    start = day("2025-01-01")
    ledger.do(AddLot(code, "BUG", start, (Arrival("collected", "larva", unsexed=20),)))
    ledger.do(Spend(start, "feed", 4000, scope="lots", lots=(code,), window_to=day("2025-01-20")))
    if dead:
        ledger.do(Record(code, (Move("died", dead, cause=cause),), day("2025-02-01")))
    if reared:
        ledger.do(Record(code, (Move("next stage", reared, to_stage="adult"),), day("2025-03-01")))


def near(found: Fraction | None, wanted: Fraction | int) -> bool:
    return found is not None and abs(found - wanted) < Fraction(1, 10**9)


def one(ledger: Ledger, year: int = 2025) -> MortalityRow:
    (row,) = ledger.mortality(year)
    return row


def test_the_worked_example(kept: Ledger) -> None:
    kept.do(SetFigure("BUG", "larva", "planning survival", 900_000, day("2025-01-01")))
    rear(kept, "A")

    row = one(kept)

    assert (row.species, row.lots, row.reared, row.lost, row.expected_share) == ("BUG", ("A",), 16, 4, Fraction(9, 10))
    assert near(row.spent, 4000)
    assert near(row.without_losses, 200)
    assert near(row.at_expected, Fraction(4000, 18))
    assert near(row.actual, 250)
    assert near(row.price, 800)
    assert near(row.beyond, 400)
    assert near(row.price, row.reared * ((row.actual or 0) - (row.without_losses or 0)))


def test_losses_written_off_are_part_of_what_was_spent(kept: Ledger) -> None:
    kept.do(SetFigure("BUG", "larva", "loss rate", 100_000, day("2025-01-01")))
    rear(kept, "A")

    row = one(kept)

    (reported,) = kept.rearing(lot="A")
    assert near(reported.cost_per_reared, Fraction(4000, 18))
    assert near(row.spent, 4000)
    assert near(row.actual, 250)
    assert near(row.at_expected, Fraction(4000, 18))
    assert row.without_losses == reported.cost_without_losses


def test_what_the_year_end_writes_off_is_the_part_no_survivor_carries_of_any_lot(kept: Ledger) -> None:
    """Of 20 two deaths are expected, four die: 2 x 4000 / 18 is written off, and the losses took 800 in all."""
    kept.do(SetFigure("BUG", "larva", "loss rate", 100_000, day("2025-01-01")))
    rear(kept, "A")

    assert written_off(kept) == -444
    assert near(one(kept).price, 800)

    rear(kept, "B", dead=1, reared=0, cause="exceptional")
    assert written_off(kept) == -444 - 200, "this lot is still rearing"
    assert near(one(kept).price, 800)
    assert all("survivor carries" in said for said in (NAMES[WRITTEN_OFF], SAYS[1]))


def written_off(ledger: Ledger) -> int | None:
    """The year end's losses written off, in minor units."""
    (line,) = [line for line in ledger.income(2025).again if line.number == WRITTEN_OFF]
    return line.accruals


def test_more_reared_than_expected_is_below_nought(kept: Ledger) -> None:
    kept.do(SetFigure("BUG", "larva", "planning survival", 500_000, day("2025-01-01")))
    rear(kept, "A")

    assert near(one(kept).beyond, 800 - 2000)


def test_without_an_expectation_nothing_is_beyond_it(kept: Ledger) -> None:
    rear(kept, "A")

    row = one(kept)

    assert (row.expected_share, row.at_expected, row.beyond) == (None, None, None)
    assert near(row.price, 800)


def test_lots_of_a_species_are_added_up(kept: Ledger) -> None:
    rear(kept, "A")
    rear(kept, "B", dead=0, reared=20)

    row = one(kept)

    assert (row.lots, row.reared, row.lost) == (("A", "B"), 36, 4)
    assert near(row.price, 800)


def test_a_lot_still_rearing_waits_for_its_year(kept: Ledger) -> None:
    rear(kept, "A", reared=15)

    assert kept.mortality(2025) == ()

    kept.do(Record("A", (Move("died", 1, stage="larva"),), day("2025-05-01")))
    assert one(kept).lost == 5


def test_a_lot_counts_in_the_year_it_finished_and_in_no_other(kept: Ledger) -> None:
    rear(kept, "A")

    assert kept.mortality(2024) == ()
    assert kept.mortality(2026) == ()
    assert len(kept.mortality(2025)) == 1


def test_young_sold_take_their_cost_with_them(kept: Ledger) -> None:
    rear(kept, "A", reared=0)
    kept.do(Sell((LineOf("A", 8, 4000, stage="larva"),), day("2025-02-10")))
    kept.do(Record("A", (Move("next stage", 8, to_stage="adult"),), day("2025-03-01")))

    row = one(kept)

    # 40.00 on sixteen, half of which were sold: 20.00 on the eight reared, and four lost of twelve
    assert near(row.spent, 2000)
    assert near(row.price, Fraction(2000, 3))


def test_a_lot_of_which_none_was_reared_says_so(kept: Ledger) -> None:
    rear(kept, "A", dead=20, reared=0)

    row = one(kept)

    assert (row.reared, row.lost, row.actual, row.why) == (0, 20, None, "none reared")
    assert near(row.price, 4000)


def test_a_species_that_is_not_there_is_said_to_be_missing(kept: Ledger) -> None:
    rear(kept, "L1")
    assert [row.species for row in kept.mortality(2025, "bug")] == ["BUG"]

    with pytest.raises(NotFound, match="There is no species"):
        kept.mortality(2025, "MOTH")
