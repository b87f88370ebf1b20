"""Whether the figures behave as keepers expect: rules of thumb of the trade, each played through the journal.

Every number in here is common practice, no source.
"""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.records.store import Store
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec
from tests.ledger.rearing.loft import START, Loft

PUPATED = dt.date(2025, 3, 1)


def day(date: dt.date) -> int:
    return (date - START).days


@pytest.mark.parametrize(
    ("reared", "figure"),
    [(7, "7 of 10 reared: 70 %, 40 to 89 %"), (6, "6 of 10 reared: 60 %, 31 to 83 %")],
)
def test_of_ten_separated_larvae_six_or_seven_reach_adulthood(loft: Loft, reared: int, figure: str) -> None:
    """Common practice, no source."""
    loft.course("A1", 0, reared=reared, lost=10 - reared)

    assert loft.ledger.survival_of_lot("A1").words[0] == f"A1: {figure}."


def test_larvae_still_alive_are_pending_and_count_neither_as_reared_nor_as_lost(loft: Loft) -> None:
    """Common practice, no source."""
    loft.lot("A1", 0, 10)
    loft.gone("A1", 14, 1)
    loft.move("A1", 28, 3, "larva", "pupa")
    loft.move("A1", 49, 3, "pupa", "adult")

    found = loft.ledger.survival_of_lot("A1")

    assert (found.tie.reached, found.tie.lost, found.tie.pending) == (3, 1, 6)
    assert "6 still rearing: neither reared nor lost, so the figure is not final." in found.words
    assert {one.name: round(one.share, 3) for one in found.became}["still rearing"] == 0.6


@pytest.fixture
def chafers(sqlite_store: Store) -> Loft:
    """A beetle whose pupae take about six weeks, and whose adults take one more to harden."""
    made = Loft(sqlite_store)
    stages = (
        StageSpec("larva", days_low=60, days_high=80, planning_survival=800_000),
        StageSpec("pupa", days_low=38, days_high=46, planning_survival=900_000),
        StageSpec("adult", saleable=True, hardening_days=7),
    )
    made.do(DescribeSpecies("BEET", "Inventus beetle", "loft beetle", "beetle", stages, "adult"))
    return made


def test_pupated_on_1_march_is_expected_adult_about_12_april_and_ready_about_19_april(chafers: Loft) -> None:
    """Pupa to adult about six weeks, one more to harden: common practice, no source."""
    chafers.lot("A1", 0, 10)
    chafers.move("A1", day(PUPATED), 10, "larva", "pupa")

    ahead = {one.stage: one.on for one in chafers.ledger.dates_ahead("BEET", "pupa", PUPATED)}
    (coming,) = chafers.ledger.coming()
    (lot,) = coming.lots
    half_by = lot.half_by

    assert ahead == {"adult": dt.date(2025, 4, 12), "ready": dt.date(2025, 4, 19)}
    assert half_by is not None
    assert abs((half_by - dt.date(2025, 4, 19)).days) <= 2


def test_it_is_not_on_the_ready_list_before(chafers: Loft) -> None:
    """Common practice, no source."""
    chafers.lot("A1", 0, 10)
    chafers.move("A1", day(PUPATED), 10, "larva", "pupa")

    def ready_on(date: dt.date) -> int:
        chafers.on(day(date))
        return sum(row.ready for row in chafers.ledger.ready())

    assert ready_on(dt.date(2025, 4, 11)) == 0
    chafers.move("A1", day(dt.date(2025, 4, 12)), 10, "pupa", "adult")
    assert [ready_on(dt.date(2025, 4, date)) for date in (12, 18, 19)] == [0, 0, 10]


def sieved(loft: Loft, code: str, *, back_dated: bool) -> float:
    """Twenty hatched and ten died by day 20; ten more are found at the sieving on day 60. The rest are reared."""
    loft.lot(code, 0, 30 if back_dated else 20)
    loft.gone(code, 20, 10)
    if not back_dated:
        loft.do(Record(code, (Move("found", 10, stage="larva"),), loft.on(60)))
    loft.move(code, 70, 20, "larva", "pupa")
    loft.move(code, 91, 20, "pupa", "adult")
    found = loft.ledger.survival_of_lot(code)
    assert (found.tie.entered, found.tie.reached) == (30, 20)
    assert found.alone is not None
    return found.alone.share


def test_young_found_at_a_sieving_enter_late_and_are_never_dated_back(loft: Loft) -> None:
    """Sieved every few months: common practice, no source. Those found had to live that long to be found."""
    assert sieved(loft, "A1", back_dated=False) == pytest.approx(10 / 20)
    assert sieved(loft, "A2", back_dated=True) == pytest.approx(20 / 30)


def test_a_lot_from_a_sieving_has_a_range_of_hatching_days_and_counts_from_its_first_count(loft: Loft) -> None:
    """Common practice, no source."""
    loft.on(90)
    loft.do(
        AddLot(
            "S1",
            "BEET",
            START + dt.timedelta(days=90),
            (Arrival("hatched", "larva", unsexed=12),),
            started_from=START + dt.timedelta(days=30),
        )
    )
    loft.gone("S1", 95, 3)
    loft.move("S1", 110, 9, "larva", "pupa")
    loft.move("S1", 131, 9, "pupa", "adult")

    found = loft.ledger.survival_of_lot("S1")

    assert found.words[0] == "S1: 9 of 12 reared: 75 %, 47 to 91 %."
    # The clock starts in the middle of the range, on day 60; the first count came thirty days later.
    assert "Counted from the first count, larva on day 30; deaths before that were not seen." in found.words
    # How old they were is not known, so they tell no time of the stage.
    assert loft.ledger.stage_times("BEET")[0].animals == 0
