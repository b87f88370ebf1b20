"""The marks of a round in words, kept and read again, and the one command they become."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace

import pytest

from ledger.books.rounds_due import RoundTub
from ledger.errors import BadInput
from ledger.ledger import Ledger
from ledger.stock.commands import Mark, Move, Record, SaveRound
from tui.round_marks import (
    AS_USUAL,
    Marked,
    TubMarks,
    key_of,
    round_of,
    summed_up,
    usual_of,
    where_of,
    with_number,
    with_sexes,
)
from tui.round_rows import to_know

TODAY = dt.date(2025, 6, 4)
TUB = RoundTub("P08", "7", "L3", "animal", "unsexed", "", 14, "shelf 1", "pupa", False, None, TODAY, None, True)
LOOSE = replace(TUB, tub="", count=3)
FEMALE = replace(TUB, tub="", stage="adult", sex="female", sure="probable", count=2, next_stage="")
MALE = replace(FEMALE, sex="male", sure="confirmed")
EVERY = TubMarks(2, 12, True, True, 0)


def test_marks_kept_as_words_are_read_again_as_they_were() -> None:
    for marks in (TubMarks(), TubMarks(died=3), TubMarks(fed=True), TubMarks(counted=0), EVERY):
        assert TubMarks.read(marks.kept()) == marks
    assert EVERY.kept() == "2 died, 12 moved, 0 counted, fed, seen"


@pytest.mark.parametrize("text", ["", "nonsense", "died", "999999999999 died", "-3 died", "3 eaten"])
def test_a_draft_that_says_something_else_is_passed_over_and_breaks_nothing(text: str) -> None:
    assert TubMarks.read(text).died in (0, 3, 9999)


def test_marks_stand_on_the_row_in_words() -> None:
    assert EVERY.words(TUB) == "2 died · 12 → pupa · 0 counted · fed"
    assert (TubMarks(fed=True).words(TUB), TubMarks(seen=True).words(TUB)) == ("fed unseen", "seen")
    assert where_of(key_of(FEMALE)) == "P08 adult probable female"
    assert where_of(key_of(TUB)) == "P08/7 L3"


def test_the_sexes_of_those_that_moved_on_are_marked_kept_and_recorded_with_them() -> None:
    marks = with_sexes(TUB, TubMarks(died=1), [2, 1, 1])

    assert marks.words(TUB) == "1 died · 4 → pupa 2.1.1"
    assert TubMarks.read(marks.kept()) == marks
    moved = Move("next stage", 2, "L3", "unsexed", "7", "pupa")
    (record,) = round_of((TUB,), {key_of(TUB): marks}, TODAY).records
    assert record.moves[1:] == (
        replace(moved, to_sex="male"),
        replace(moved, count=1, to_sex="female"),
        replace(moved, count=1),
    )
    assert with_number(TUB, marks, "moved", 3).sexes == ""
    with pytest.raises(BadInput, match="only 14 L3"):
        with_sexes(TUB, TubMarks(), [9, 9])
    with pytest.raises(BadInput, match="sex is recorded already"):
        with_sexes(FEMALE, TubMarks(), [0, 1])


def test_no_more_are_marked_than_are_there() -> None:
    marks = with_number(TUB, TubMarks(moved=12), "died", 2)

    with pytest.raises(BadInput, match="only 14 L3 are there beside 12 moved on, not 3"):
        with_number(TUB, marks, "died", 3)
    with pytest.raises(BadInput, match="beside 2 died, not 13"):
        with_number(TUB, marks, "moved", 13)


def test_a_round_is_one_command_with_a_mark_for_each_tub_and_a_record_for_each_lot() -> None:
    marked = {
        key_of(TUB): TubMarks(died=2, moved=3, fed=True, seen=True),
        key_of(FEMALE): TubMarks(died=1, counted=1),
        key_of(MALE): TubMarks(counted=2, seen=True),
        key_of(LOOSE): TubMarks(),
    }

    made = round_of((TUB, LOOSE, FEMALE, MALE), marked, TODAY)

    assert made == SaveRound(
        (
            Mark("P08", "fed", "7"),
            Mark("P08", "looked", "7"),
            Mark("P08", "looked", ""),
            Mark("P08", "counted", "", "adult", 3),
        ),
        TODAY,
        (
            Record(
                "P08",
                (
                    Move("died", 2, "L3", "unsexed", "7"),
                    Move("next stage", 3, "L3", "unsexed", "7", "pupa"),
                    Move("died", 1, "adult", "probable female", ""),
                ),
                TODAY,
            ),
        ),
    )
    assert summed_up(marked) == "3 marked: 3 died, 3 moved on, 1 counted, 1 tub fed, 2 seen"


def test_the_foot_says_the_numbers_that_the_round_is_recorded_with() -> None:
    """What died was found by looking there; a tub on two rows is one tub."""
    marked = {
        key_of(TUB): TubMarks(died=2),
        key_of(FEMALE): TubMarks(fed=True, seen=True),
        key_of(MALE): TubMarks(fed=True, seen=True),
    }

    kinds = [mark.kind for mark in round_of((TUB, FEMALE, MALE), marked, TODAY).marks]

    assert (kinds.count("fed"), kinds.count("looked")) == (1, 2)
    assert summed_up(marked) == "3 marked: 2 died, 1 tub fed, 2 seen"


def test_a_tub_fed_on_two_of_its_lines_is_fed_once() -> None:
    marked = {key_of(FEMALE): TubMarks(fed=True), key_of(MALE): TubMarks(fed=True)}

    assert round_of((FEMALE, MALE), marked, TODAY).marks == (Mark("P08", "fed", ""),)


@pytest.mark.parametrize(
    ("marked", "why"),
    [
        ({key_of(FEMALE): TubMarks(counted=1)}, "P08 adult stands on 2 lines, by sex; count each of them or none"),
        ({"P99||L3|unsexed|": TubMarks(died=2)}, "P99 L3 is no longer there; clear its marks (2 died)"),
        ({key_of(TUB): TubMarks(died=15)}, "only 14 L3 are there, not 15"),
    ],
)
def test_a_round_that_cannot_be_says_which_line_and_why(marked: dict[str, TubMarks], why: str) -> None:
    with pytest.raises(BadInput) as refused:
        round_of((TUB, FEMALE, MALE), marked, TODAY)

    assert why in refused.value.sentence


def test_what_died_or_moved_on_was_seen_and_its_round_is_no_longer_due(loft: Ledger) -> None:
    tubs = loft.round_tubs()
    tub = next(one for one in tubs if one.lot == "P08" and one.next_stage)
    key, today = key_of(tub), loft.today

    def marks(*said: TubMarks) -> set[str]:
        return {mark.kind for one in said for mark in round_of(tubs, {key: one}, today).marks}

    assert marks(TubMarks(moved=1)) == marks(TubMarks(died=1)) == {"looked"}
    assert marks(TubMarks(died=1, fed=True)) == {"fed"}  # said to be unseen
    assert marks(TubMarks(moved=1, seen=True)) == {"looked"}
    loft.do(round_of(tubs, {key: TubMarks(moved=1)}, today), token="moved on")
    now = [one for one in loft.round_tubs() if (one.lot, one.tub) == (tub.lot, tub.tub)]
    assert now
    assert {(one.last_on, one.due) for one in now} == {(today, False)}


def test_a_count_after_what_died_is_held_against_what_is_left() -> None:
    assert "recorded" not in " ".join(to_know(TUB, TubMarks(died=2, counted=12)))
    assert "but 12 are recorded" in to_know(TUB, TubMarks(died=2, counted=14))


def test_marks_are_counted_as_they_change() -> None:
    chosen = random.Random(7)
    keys = [key_of(replace(TUB, lot=lot, tub=tub, stage=stage))
            for lot in ("P01", "P08") for tub in ("", "7", "8") for stage in ("L3", "pupa")]  # fmt: skip
    said = [TubMarks(), AS_USUAL[False], AS_USUAL[True], EVERY, TubMarks(died=2), TubMarks(moved=3, males=1, females=2)]
    marked, plain = Marked(), dict[str, TubMarks]()
    for _ in range(400):
        key, marks = chosen.choice(keys), chosen.choice(said)
        if chosen.random() < 0.2:
            marked.pop(key, None)
            plain.pop(key, None)
        else:
            marked[key] = plain[key] = marks
        assert dict(marked) == plain
        every = [one for one in plain.values() if one]
        assert (marked.lines, marked.died, marked.moved) == (
            len(every),
            sum(one.died for one in every),
            sum(one.moved for one in every),
        )
        tubs = {(key, tuple(key.split("|")[:2])): one for key, one in plain.items()}
        fed, seen, counted, touched = (
            {tub for (_, tub), one in tubs.items() if found(one)}
            for found in (
                lambda one: one.fed,
                lambda one: one.seen,
                lambda one: one.counted is not None,
                lambda one: one.died or one.moved,
            )
        )
        stages = {tuple(key.split("|")[:3]) for key, one in plain.items() if one.counted is not None}
        assert (marked.fed, marked.seen, marked.counted) == (
            len(fed),
            len(seen | (touched - fed - counted)),
            len(stages),
        )
        assert summed_up(marked) == summed_up(plain)
    assert set(marked.changed()) <= set(keys)
    marked[keys[0]] = EVERY
    assert (marked.changed(), marked.changed()) == ((keys[0],), ())


def test_eggs_are_looked_at_and_not_fed() -> None:
    eggs, pupae = replace(TUB, stage="egg", unit="object"), replace(TUB, leave_alone=True)
    assert usual_of(TUB) == TubMarks(fed=True, seen=True)
    assert usual_of(eggs) == usual_of(pupae) == TubMarks(seen=True)
