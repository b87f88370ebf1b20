"""Survival in plain words, and stage times, read from a ledger; and one clear word where there is no figure."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from sqlalchemy import Connection

from ledger.errors import NotFound, Refused
from ledger.rearing.cohort import lot_flows
from ledger.rearing.plain_words import percent
from ledger.rearing.stays_of import learned as stays_learned
from ledger.records.store import Store
from ledger.stock.commands import (
    AddLot,
    Arrival,
    DescribeSpecies,
    Mark,
    MergeLots,
    Move,
    Part,
    Record,
    SaveRound,
    SplitLot,
    StageSpec,
)
from ledger.stock.journal import events
from ledger.stock.naming import find_lot, find_species, stages
from tests.ledger.rearing.loft import START, Loft


def words(loft: Loft, lot: str) -> str:
    return " ".join(loft.ledger.survival_of_lot(lot).words)


def test_ten_in_seven_out_reads_70_percent_40_to_89(loft: Loft) -> None:
    loft.course("A1", 0, reared=7, lost=3)

    found = loft.ledger.survival_of_lot("A1")

    assert found.words == (
        "A1: 7 of 10 reared: 70 %, 40 to 89 %.",
        "Of 100 that entered: 70 became adult, 30 lost.",
    )
    assert found.alone is not None
    assert (found.alone.share, found.alone.size) == pytest.approx((0.7, 10))
    assert found.product is None
    assert found.if_missing_lived is None


def test_a_lot_still_rearing_says_so_and_one_of_which_nothing_is_known_has_no_interval(loft: Loft) -> None:
    loft.lot("A1", 0, 20)
    loft.on(5)
    assert words(loft, "A1").startswith(
        "A1: 0 of 20 reared: no information yet, none has been reared or lost. 20 still rearing"
    )
    assert loft.ledger.survival_of_lot("A1").alone is None

    loft.gone("A1", 9, 2)

    # Two of twenty lost: Wilson's limits of 10 % are 2.8 and 30.1 %, so at most 97 % can still be reared.
    assert (
        "A1: 0 of 20 reared so far: none has reached it yet; with those lost so far it can be at most 97 %."
    ) in words(loft, "A1")
    assert loft.ledger.survival_of_lot("A1").alone is None


def test_missing_animals_leave_a_range_open(loft: Loft) -> None:
    loft.lot("A1", 0, 20)
    loft.gone("A1", 10, 4, "missing")
    loft.move("A1", 28, 16, "larva", "pupa")
    loft.gone("A1", 40, 3, stage="pupa")
    loft.move("A1", 50, 13, "pupa", "adult")

    found = loft.ledger.survival_of_lot("A1")

    assert found.alone is not None
    assert found.if_missing_lived is not None
    assert found.alone.share == pytest.approx(13 / 20)
    assert found.if_missing_lived.share == pytest.approx(13 / 16)
    assert any(line.startswith("If the 4 missing had lived: 81 %") for line in found.words)


def test_with_more_than_a_fifth_sold_young_the_stages_are_told_and_what_is_assumed(loft: Loft) -> None:
    loft.lot("A1", 0, 40)
    loft.gone("A1", 10, 4)
    loft.gone("A1", 12, 12, "given away")
    loft.move("A1", 28, 24, "larva", "pupa")
    loft.gone("A1", 40, 4, stage="pupa")
    loft.move("A1", 50, 20, "pupa", "adult")

    found = loft.ledger.survival_of_lot("A1")

    assert found.product is not None
    assert found.product.share == pytest.approx(0.9 * 20 / 24)
    assert "30 % left young; stage by stage it comes to 75 %" in " ".join(found.words)
    assert "This assumes those sold were like those kept; selling the biggest breaks this." in found.words
    assert {one.name: round(one.share, 3) for one in found.became} == {
        "adult": 0.5, "lost": 0.2, "given": 0.3, "still rearing": 0,
    }  # fmt: skip


def test_a_lot_all_sold_as_young_has_no_survival_but_an_answer_to_what_became_of_them(loft: Loft) -> None:
    loft.lot("A1", 0, 10)
    loft.gone("A1", 20, 10, "given away")

    found = loft.ledger.survival_of_lot("A1")

    assert found.alone is None
    assert found.words[0] == "A1: 0 of 10 reared: no information yet, none has been reared or lost."
    assert "Of 100 that entered: 100 given." in found.words


def test_a_lot_without_entries_or_of_adults_only_has_one_clear_word(loft: Loft) -> None:
    loft.do(AddLot("A0", "BEET", loft.on(0)))
    loft.lot("A9", 0, 5, "adult", reason="bought")

    for code in ("A0", "A9"):
        with pytest.raises(Refused, match=f"{code} has no animals that entered before the reared stage"):
            loft.ledger.survival_of_lot(code)
    with pytest.raises(NotFound):
        loft.ledger.survival_of_lot("Z1")
    with pytest.raises(Refused, match="BEET has no lot with animals before the reared stage yet"):
        loft.ledger.survival_of_species("BEET")


def test_sieved_young_enter_late_in_a_range_of_hatching_days_and_it_says_from_where_it_counts(loft: Loft) -> None:
    found_on = loft.on(60)
    sieved = AddLot(
        "S1",
        "BEET",
        START + dt.timedelta(days=48),
        (Arrival("hatched", "pupa", unsexed=12),),
        started_from=START + dt.timedelta(days=28),
    )
    loft.do(sieved)
    assert found_on == START + dt.timedelta(days=60)

    found = loft.ledger.survival_of_lot("S1")

    assert any(line.startswith("Counted from the first count, pupa on day") for line in found.words)
    assert found.tie.entered == 12


def test_one_early_animal_does_not_hide_the_others_found_later(loft: Loft) -> None:
    loft.lot("A1", 0, 1)
    loft.gone("A1", 2, 1)
    loft.do(Record("A1", (Move("found", 20, stage="larva"),), loft.on(9)))
    loft.move("A1", 30, 20, "larva", "pupa")
    loft.move("A1", 50, 18, "pupa", "adult")
    loft.gone("A1", 51, 2, stage="pupa")

    found = loft.ledger.survival_of_lot("A1")

    assert found.alone is not None
    assert found.alone.share == 0
    assert found.later is not None
    assert (found.later_from, found.later.share) == (9, pytest.approx(0.9))
    assert "Counted from day 9: 90 %" in " ".join(found.words)
    assert "start the count on day 9 to see past it" in " ".join(found.words)


def test_two_lots_stand_side_by_side_and_three_are_pooled_with_what_the_next_may_bring(loft: Loft) -> None:
    loft.course("A1", 0, reared=24, lost=6)
    loft.course("A2", 20, reared=12, lost=18)
    loft.on(150)
    (two,) = loft.ledger.survival_of_species("BEET").groups
    loft.course("A3", 40, reared=20, lost=10)
    loft.on(150)

    found = loft.ledger.survival_of_species("BEET", animals=30)
    (three,) = found.groups

    assert two.together is None
    assert "look at them side by side" in two.words[0]
    assert two.words[1] == "A1 80 %, 63 to 90 %; A2 40 %, 25 to 58 %."
    assert three.together is not None
    assert three.together.share == pytest.approx(56 / 90)
    assert three.design_effect is not None
    assert three.design_effect > 1
    assert any(line.startswith("The lots differ") for line in found.words)
    assert three.next_lot is not None
    assert three.next_lot.animals == 30


def test_lots_counted_from_different_stages_stand_apart(loft: Loft) -> None:
    for code, day in (("A1", 0), ("A2", 5), ("A3", 10)):
        loft.course(code, day, reared=20, lost=10)
    loft.lot("B1", 80, 10, "pupa", reason="bought")
    loft.move("B1", 95, 10, "pupa", "adult")
    loft.on(150)

    found = loft.ledger.survival_of_species("BEET")

    assert [(group.counted_from, len(group.lots)) for group in found.groups] == [("larva", 3), ("pupa", 1)]


# --- stage order, dates ---


def test_stages_set_in_another_order_later_give_a_sentence_and_not_a_wrong_number(loft: Loft) -> None:
    """The order cannot be changed by any command; a ledger in which it was is refused lot by lot, by movement."""
    loft.course("A1", 0, reared=20, lost=10)

    def turned(conn: Connection, species_id: int) -> object:
        ladder = list(stages(conn, species_id))
        larva, pupa = ladder[0], ladder[1]
        return (replace(pupa, position=0), replace(larva, position=1), *ladder[2:])

    with loft.store.reading() as conn:
        lot = find_lot(conn, "A1")
        ladder = turned(conn, lot.species_id)
        mixed = [
            replace(one, from_stage=_other(one.from_stage), to_stage=_other(one.to_stage))
            for one in events(conn, {lot.id})
        ]
        with pytest.raises(Refused, match=r"takes 10 animals back from larva to pupa; reverse the movement"):
            lot_flows(mixed, {lot.id}, START.toordinal(), ladder, 2, START.toordinal() + 200)  # type: ignore[arg-type]


def _other(stage: int | None) -> int | None:
    return stage if stage is None or stage > 1 else 1 - stage


def test_entries_recorded_out_of_order_give_the_same_figures_as_in_order(loft: Loft) -> None:
    loft.course("A1", 0, reared=7, lost=3)
    loft.lot("A2", 0, 10)
    loft.on(150)
    for day, move in (
        (28, Move("next stage", 3, stage="larva", to_stage="pupa")),
        (49, Move("next stage", 3, stage="pupa", to_stage="adult")),
        (35, Move("next stage", 4, stage="larva", to_stage="pupa")),
        (56, Move("next stage", 4, stage="pupa", to_stage="adult")),
        (14, Move("died", 3, stage="larva")),
    ):
        loft.do(Record("A2", (move,), START + dt.timedelta(days=day)))

    one, two = loft.ledger.survival_of_lot("A1"), loft.ledger.survival_of_lot("A2")

    assert one.tie == two.tie
    assert one.alone == two.alone
    assert one.became == two.became


# --- stage times ---


def test_pupated_on_1_march_is_adult_about_12_april_and_ready_about_19_april(sqlite_store: Store) -> None:
    """Rules of thumb of the trade: common practice, no source."""
    made = Loft(sqlite_store)
    stages = (
        StageSpec("larva"),
        StageSpec("pupa", days_low=38, days_high=46),
        StageSpec("adult", saleable=True, hardening_days=7),
    )
    made.do(DescribeSpecies("BEET", "Inventus beetle", "loft beetle", "beetle", stages, "adult"))

    found = made.ledger.dates_ahead("BEET", "pupa", dt.date(2025, 3, 1))

    assert [(one.stage, one.on) for one in found] == [
        ("adult", dt.date(2025, 4, 12)),
        ("ready", dt.date(2025, 4, 19)),
    ]
    with pytest.raises(Refused, match="How long larva takes is not known"):
        made.ledger.dates_ahead("BEET", "larva", dt.date(2025, 3, 1))
    with pytest.raises(Refused, match="adult is not a stage of young"):
        made.ledger.dates_ahead("BEET", "adult", dt.date(2025, 3, 1))


def test_stage_times_from_counts_are_those_of_the_courses(learned: Loft) -> None:
    larva, pupa = learned.ledger.stage_times("BEET")

    assert (larva.how, larva.lots, larva.animals) == ("counts", 3, 72)
    assert larva.days == pytest.approx((12 * 28 + 12 * 35 + 11 * 30 + 11 * 37 + 13 * 26 + 13 * 33) / 72)
    assert pupa.days == pytest.approx(21)


def test_animals_in_tubs_of_their_own_give_intervals_between_checks_and_feeding_is_no_check(loft: Loft) -> None:
    arrivals = tuple(Arrival("hatched", "larva", unsexed=1, tub=f"t{n}") for n in range(1, 7))
    loft.do(AddLot("T1", "BEET", loft.on(0), arrivals))
    for day in range(7, 70, 7):
        loft.do(SaveRound((Mark("T1", "looked"),), loft.on(day)))
        loft.do(SaveRound((Mark("T1", "fed"),), loft.on(day + 3)))
        for n in range(1, 7):
            if day == 28 + 7 * (n % 2):
                loft.do(
                    Record("T1", (Move("next stage", 1, stage="larva", to_stage="pupa", tub=f"t{n}"),), loft.on(day))
                )

    larva, pupa = loft.ledger.stage_times("BEET")

    assert larva.how == "blended"
    assert larva.times is not None
    # Three pupated in (21, 28], three in (28, 35]; hatched on day 0 they share (28, 29]. By the feeding on day 31 as a
    # check they would share nothing.
    assert [(piece.low, piece.high) for piece in larva.times.pieces] == [(28, 29)]
    assert pupa.how == "template"


def test_split_and_merged_lots_are_one_family_and_keep_their_days(loft: Loft) -> None:
    loft.lot("A1", 0, 20)
    loft.do(SplitLot("A1", "A2", (Part(10),), loft.on(10)))
    loft.do(MergeLots(("A1", "A2"), "A3", loft.on(20)))
    loft.move("A3", 30, 20, "larva", "pupa")

    with loft.store.reading() as conn:
        found = stays_learned(conn, find_species(conn, "BEET").id, loft.ledger.today)

    assert len(found.families) == 1
    assert {(stay.state, stay.entered, stay.left) for stay in found.stays[0] if stay.state == 0} == {(0, 0, 30)}


def test_a_share_that_is_not_quite_everything_is_not_written_as_if_it_were() -> None:
    shares = (0.0, 0.001, 0.5, 0.999, 1.0)

    assert [percent(share) for share in shares] == ["0 %", "under 1 %", "50 %", "over 99 %", "100 %"]
