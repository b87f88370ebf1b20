"""Rounds: marks and the movements found are saved together, or not at all."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound
from ledger.records import tables as t
from ledger.stock.commands import AddLot, Arrival, Mark, Move, Record, SaveRound
from ledger.stock.queries import find_lot, last_rounds
from tests.ledger.stock.keeper import TODAY, Keeper, day


def test_marks_and_movements_are_one_act(both: Keeper) -> None:
    died = Record("P08", (Move("died", 2),), TODAY)
    marks = (Mark("P08", "fed"), Mark("P08", "looked"), Mark("P08", "counted", count=12), Mark("P08", "looked"))

    done = both.do(SaveRound(marks, TODAY, (died,)))

    assert done.sentence == (
        "Round of 2 June 2025: 1 tub fed, 2 tubs seen, 1 counted. P08: 2 of 14 L3 died, 2 June 2025."
    )
    assert done.cautions == ()
    with both.store.reading() as conn:
        marked = conn.execute(select(t.observation)).all()
        entry = conn.execute(select(t.entry).order_by(t.entry.c.id.desc())).first()
    assert {row.operation_id for row in marked} == {entry.operation_id if entry else None}
    assert [row.kind for row in marked] == ["fed", "looked", "counted", "looked"]


def test_one_mark_that_cannot_be_keeps_the_whole_round_out(keeper: Keeper) -> None:
    died = Record("P08", (Move("died", 2),), TODAY)

    keeper.refused(SaveRound((Mark("P08", "fed"), Mark("P99", "fed")), TODAY, (died,)), NotFound)


def test_a_count_that_does_not_agree_is_kept_and_said(both: Keeper) -> None:
    done = both.do(SaveRound((Mark("P08", "counted", count=12),), TODAY))

    assert done.sentence == "P08: 12 counted, 2 June 2025."
    assert done.cautions == ("P08: 12 counted, but 14 are recorded; record 2 as missing if that is so.",)
    assert both.counts("P08") == {"L3": 14}


def test_a_count_that_agrees_says_nothing_more(keeper: Keeper) -> None:
    assert keeper.do(SaveRound((Mark("P08", "counted", stage="L3", count=14),), TODAY)).cautions == ()


def test_two_records_of_one_lot_know_of_each_other(keeper: Keeper) -> None:
    records = (Record("P08", (Move("died", 10),), TODAY), Record("P08", (Move("died", 4),), TODAY))

    done = keeper.do(SaveRound((), TODAY, records))

    assert done.sentence == "P08: 10 of 14 L3 died, 2 June 2025. P08: 4 of 4 L3 died, 2 June 2025."
    keeper.refused(SaveRound((), TODAY, records), NotEnough)


def test_the_second_of_two_records_cannot_take_what_the_first_took(keeper: Keeper) -> None:
    records = (Record("P08", (Move("died", 10),), TODAY), Record("P08", (Move("died", 5),), TODAY))

    assert "only 4 L3" in keeper.refused(SaveRound((), TODAY, records), NotEnough).sentence


def test_records_of_different_days_in_one_round_are_each_of_their_day(both: Keeper) -> None:
    records = (
        Record("P08", (Move("next stage", 4, to_stage="pupa"),), TODAY),
        Record("P08", (Move("died", 1, stage="L3"),), day("2025-05-30")),
    )

    both.do(SaveRound((Mark("P08", "looked"),), TODAY, records))

    assert both.counts("P08", day("2025-05-31")) == {"L3": 13}
    assert both.proof() == []


@pytest.mark.parametrize(
    ("mark", "kind", "words"),
    [
        (Mark("P08", "watered"), BadInput, "is no mark"),
        (Mark("P08", "counted"), BadInput, "how many"),
        (Mark("P08", "estimated", count=-1), BadInput, "how many"),
        (Mark("P08", "fed", count=3), BadInput, "takes no number"),
        (Mark("P08", "fed", tub="9"), NotFound, "no labelled tubs"),
        (Mark("P08", "looked", stage="grub"), NotFound, "the stages are"),
        (Mark("P08", "seen hard", stage="adult"), NotEnough, "has no adults"),
    ],
)
def test_a_mark_that_cannot_be_is_refused(keeper: Keeper, mark: Mark, kind: type, words: str) -> None:
    assert words in keeper.refused(SaveRound((mark,), TODAY), kind).sentence


def test_an_empty_round_is_refused(keeper: Keeper) -> None:
    assert "nothing to save" in keeper.refused(SaveRound((), TODAY), BadInput).sentence


def test_seen_hard_means_the_stage_that_has_to_harden(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 4, to_stage="adult"))

    assert keeper.do(SaveRound((Mark("P08", "seen hard"),), TODAY)).sentence == "P08: adults seen hard, 2 June 2025."


def test_seen_hard_asks_when_no_figure_tells(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 4, to_stage="pupa"))

    refusal = keeper.refused(SaveRound((Mark("P08", "seen hard"),), TODAY), Ambiguous)

    assert refusal.sentence == "P08: say which were seen hard: L3 or pupa."


def test_an_estimate_of_a_colony_changes_no_count(keeper: Keeper) -> None:
    keeper.do(AddLot("C01", "BEET", day("2025-01-01"), (Arrival("opening", "adult", unsexed=250, estimated=True),)))

    done = keeper.do(SaveRound((Mark("C01", "estimated", count=190),), TODAY))

    assert done.sentence == "C01: about 190 estimated, 2 June 2025."
    assert done.cautions == ()
    assert keeper.counts("C01") == {"adult": 250}


def test_the_last_two_rounds_of_each_tub_are_told(both: Keeper) -> None:
    both.record("P08", Move("tub moved", 4, to_tub="7"), on=day("2025-03-02"))
    both.do(SaveRound((Mark("P08", "fed"), Mark("P08", "counted", tub="7", count=4)), day("2025-05-01")))
    both.do(SaveRound((Mark("P08", "looked", tub="7"), Mark("P08", "fed", tub="7")), day("2025-05-08")))
    both.do(SaveRound((Mark("P08", "fed", tub="7"),), day("2025-05-12")))
    lot = both.ask(find_lot, "P08").id

    assert both.ask(last_rounds, TODAY) == {
        (lot, ""): (day("2025-05-01"),),
        (lot, "7"): (day("2025-05-12"), day("2025-05-08")),
    }
    assert both.ask(last_rounds, day("2025-05-11"))[lot, "7"] == (day("2025-05-08"), day("2025-05-01"))
    assert both.ask(last_rounds, day("2025-04-30")) == {}
