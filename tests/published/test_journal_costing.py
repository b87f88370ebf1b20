"""Worked examples of process costing, entered through the journal as dated entries and read back from the report.

Examples 1 to 3 are worked by hand, exact in fractions. The process account is the single-process example of the ACCA
F2 workbook, chapter 9 (online.flipbuilder.com/bmcx/nlve, pages 140-150): input 1,000 at 18, labour 1,800, overheads
900, normal loss 10 % of input, without scrap value.
"""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from ledger.costs.account import account
from ledger.costs.commands import Spend
from ledger.costs.grid import GRID
from ledger.costs.result import Kind, Posting
from ledger.ledger import Ledger
from ledger.rearing.report import rearing
from ledger.selling.commands import LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, SetFigure, StageSpec

START = dt.date(2025, 1, 1)


def day(number: int) -> dt.date:
    """Day 1 is the first of January."""
    return START + dt.timedelta(days=number - 1)


def exact(posting: Posting) -> Fraction:
    """What a posting moved, in minor units."""
    return Fraction(sum(posting.cost), GRID)


def near(found: Fraction, wanted: Fraction) -> bool:
    """Equal within the grid: a millionth of a millionth of a minor unit."""
    return abs(found - wanted) < Fraction(1, 10**11)


def species(ledger: Ledger, *stages: StageSpec, breeding_life: int | None = None) -> None:
    ledger.do(
        DescribeSpecies(
            "BUG", "Species inventa", "bug", "beetle", stages, stages[-1].name, breeding_life_days=breeding_life
        )
    )


def postings(ledger: Ledger, kind: Kind, until: dt.date) -> list[Posting]:
    return [row for row in ledger.ask(account, until).shared.postings if row.kind is kind]


def ten_larvae(ledger: Ledger) -> None:
    species(ledger, StageSpec("larva", saleable=True), StageSpec("adult", saleable=True))
    ledger.do(AddLot("T01", "BUG", day(1), (Arrival("bought", "larva", unsexed=10, value=2000),)))
    ledger.do(Spend(day(1), "heat", 1000, window_from=day(1), window_to=day(100)))


def ten_larvae_live(ledger: Ledger) -> None:
    ledger.do(Record("T01", (Move("died", 2),), day(31)))
    ledger.do(Record("T01", (Move("died", 1),), day(71)))
    ledger.do(Record("T01", (Move("next stage", 7, to_stage="adult"),), day(101)))
    for _ in range(7):
        ledger.do(Sell((LineOf("T01", 1, 900),), day(101)))


def test_ten_larvae_seven_adults_carry_all_the_cost(ledger: Ledger) -> None:
    ten_larvae(ledger)
    ten_larvae_live(ledger)

    (row,) = ledger.ask(rearing, day(101), lot="T01")
    sold = postings(ledger, Kind.LEFT, day(101))

    assert row.cost_per_reared is not None
    assert near(row.cost_per_reared, Fraction(3000, 7))
    assert [near(exact(one), Fraction(3000, 7)) for one in sold] == [True] * 7
    assert sum(sum(one.posted) for one in sold) == 3000
    assert {sum(one.posted) for one in sold} == {428, 429}
    assert (row.reached, row.lost, row.pending, row.survival) == (7, 3, 0, pytest.approx(0.7))


def test_with_an_expected_loss_the_death_beyond_it_is_written_off(ledger: Ledger) -> None:
    ten_larvae(ledger)
    ledger.do(SetFigure("BUG", "larva", "loss rate", 200_000, day(1)))
    ten_larvae_live(ledger)

    (row,) = ledger.ask(rearing, day(101), lot="T01")
    lost = postings(ledger, Kind.WRITTEN_OFF, day(101))
    sold = postings(ledger, Kind.LEFT, day(101))

    assert len(lost) == 1
    assert near(exact(lost[0]), Fraction(2700, 8))
    assert row.cost_per_reared is not None
    assert near(row.cost_per_reared, Fraction(100 * 213, 56))
    assert all(near(exact(one), Fraction(100 * 213, 56)) for one in sold)
    assert sum(sum(one.posted) for one in (*lost, *sold)) == 3000
    assert row.cost_without_losses is not None
    assert near(row.cost_without_losses, Fraction(3000, 10))


def test_shared_feed_falls_by_care_weight_and_a_juvenile_sale_takes_its_share(ledger: Ledger) -> None:
    species(ledger, StageSpec("juvenile", saleable=True), StageSpec("adult", saleable=True, care_weight=3000))
    ledger.do(AddLot("A", "BUG", day(1), (Arrival("bought", "juvenile", unsexed=20, value=1000),)))
    ledger.do(AddLot("B", "BUG", day(1), (Arrival("bought", "adult", unsexed=4, value=2400),)))
    ledger.do(Spend(day(1), "feed", 1250, window_from=day(1), window_to=day(12)))
    ledger.do(Sell((LineOf("A", 8, 4000),), day(7)))

    shared = ledger.ask(account, day(12)).shared
    (sale,) = [row for row in shared.postings if row.kind is Kind.LEFT]
    closing = {row.lot: row for row in shared.closing if row.kind is Kind.ON_HAND}
    balances = [Fraction(sum(bucket.cost), GRID) for bucket in sorted(shared.buckets, key=lambda one: one.lot)]

    assert near(exact(sale), Fraction(55625, 100))
    assert near(balances[0], Fraction(1146875, 1000))
    assert near(balances[1], Fraction(2946875, 1000))
    assert sum(sale.posted) == 556
    assert [sum(closing[lot].posted) for lot in sorted(closing)] == [1147, 2947]
    assert shared.adds_up()


def test_breeders_rack_losses_and_own_use(ledger: Ledger) -> None:
    species(
        ledger,
        StageSpec("egg", care_weight=500),
        StageSpec("larva", care_weight=1000),
        StageSpec("adult", saleable=True, care_weight=2000),
        breeding_life=300,
    )
    ledger.do(SetFigure("BUG", "egg", "loss rate", 250_000, day(1)))
    ledger.do(SetFigure("BUG", "larva", "loss rate", 300_000, day(1)))
    ledger.do(
        AddLot("P", "BUG", day(1), (Arrival("bought", "adult", males=1, females=1, value=6000),), purpose="breeding")
    )
    ledger.do(Spend(day(1), "equipment", 7300, kind="lasting", life_days=730, text="rack"))
    ledger.do(Spend(day(1), "power", 1800, window_from=day(1), window_to=day(90)))
    ledger.do(AddLot("Y", "BUG", day(31), (Arrival("laid", "egg", unsexed=12),), mothers=("P",), laid_on=day(31)))
    ledger.do(Record("Y", (Move("died", 2), Move("next stage", 10, to_stage="larva")), day(51)))
    ledger.do(Record("Y", (Move("died", 4),), day(71)))
    ledger.do(Record("Y", (Move("next stage", 6, to_stage="adult"),), day(91)))
    ledger.do(Record("Y", (Move("own use", 1),), day(91)))
    for _ in range(4):
        ledger.do(Sell((LineOf("Y", 1, 900),), day(91)))

    (row,) = ledger.ask(rearing, day(91), lot="Y")
    shared = ledger.ask(account, day(91)).shared
    out = [one for one in shared.postings if one.kind is Kind.LEFT]
    (lost,) = [one for one in shared.postings if one.kind is Kind.WRITTEN_OFF]
    brood = sum(sum(one.cost) for one in shared.closing if one.kind is Kind.BROOD)
    left = {one.kind: 0 for one in shared.closing}
    for one in shared.closing:
        left[one.kind] += sum(one.posted)

    each = Fraction(100 * 948, 245)
    assert row.cost_per_reared is not None
    assert near(row.cost_per_reared, each)
    assert all(near(exact(one), each) for one in out)
    assert len(out) == 5
    assert near(exact(lost), Fraction(100 * 801, 245))
    assert sum(lost.posted) == 327
    # day 91 itself: 10 of the rack over weights 4 (the pair) and 2 (the adult kept), 20 of the pair to the brood
    assert near(Fraction(brood, GRID), Fraction(100 * 648, 35) + 20 + Fraction(10 * 4, 6))
    assert (
        left[Kind.NOT_USED_UP]
        + sum(amount for one in shared.closing if one.kind is Kind.ON_HAND for amount in one.posted)
        + left[Kind.BROOD]
        + sum(sum(one.posted) for one in (*out, lost))
        == 15100
    )
    assert shared.adds_up()


def process(ledger: Ledger, output: int) -> dt.date:
    """Input 1,000 at 18.00; labour and overheads on the first day; what is lost dies on the second."""
    species(ledger, StageSpec("larva"), StageSpec("adult", saleable=True))
    ledger.do(SetFigure("BUG", "larva", "loss rate", 100_000, day(1)))
    ledger.do(AddLot("L", "BUG", day(1), (Arrival("bought", "larva", unsexed=1000, value=1_800_000),)))
    for category, amount in (("labour", 180_000), ("overheads", 90_000)):
        ledger.do(Spend(day(1), category, amount, window_from=day(1), window_to=day(1)))
    ledger.do(Record("L", (Move("died", 1000 - output), Move("next stage", output, to_stage="adult")), day(2)))
    return day(2)


@pytest.mark.parametrize(
    ("output", "good", "abnormal"),
    [(900, 2_070_000, 0), (800, 1_840_000, 230_000)],
)
def test_normal_and_abnormal_loss_as_in_the_single_process_account(
    ledger: Ledger, output: int, good: int, abnormal: int
) -> None:
    until = process(ledger, output)

    (row,) = ledger.ask(rearing, until, lot="L")
    lost = sum(sum(one.posted) for one in postings(ledger, Kind.WRITTEN_OFF, until))

    assert row.cost_per_reared is not None
    assert near(row.cost_per_reared, Fraction(2300))
    assert round(row.cost_per_reared * output) == good
    assert lost == abnormal


def test_better_than_expected_is_a_lower_cost_and_a_memo_never_a_gain(ledger: Ledger) -> None:
    until = process(ledger, 950)

    (row,) = ledger.ask(rearing, until, lot="L")
    shared = ledger.ask(account, until).shared

    # the source books a gain of 1,150 on 50 units; what was spent is 20,700 all the same
    assert row.cost_per_reared is not None
    assert near(row.cost_per_reared, Fraction(2_070_000, 950))
    assert [bucket.better_than_expected for bucket in shared.buckets if bucket.better_than_expected] == [50_000]
    assert postings(ledger, Kind.WRITTEN_OFF, until) == []
