"""The two questions: of those left alone, how many are reared; and what became of them all."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.rearing.outcomes import outcomes
from ledger.rearing.plain_words import became_words
from ledger.rearing.pooling import lot_survival
from ledger.rearing.restart import from_day
from ledger.rearing.survival import TakenToZero
from tests.ledger.rearing.lives import ADULT, EIGHT, LARVA, LOST, PUPA, lot


def test_what_became_of_eight_larvae_are_plain_eighths_and_left_alone_they_are_more() -> None:
    found = outcomes(EIGHT)
    alone = lot_survival(EIGHT)

    assert found is not None
    assert alone is not None
    assert {one.name: one.share for one in found.outcomes} == pytest.approx(
        {"adult": 3 / 8, "lost": 3 / 8, "sold": 1 / 8, "given": 1 / 8, "still rearing": 0}
    )
    assert alone.reached == pytest.approx(23 / 40)
    assert found.outcomes[0].se == pytest.approx((3 / 8 * 5 / 8 / 8) ** 0.5)
    assert became_words(found) == "Of 100 that entered: 38 became adult, 38 lost, 12 sold, 12 given"


def test_all_sold_young_is_no_information_on_those_left_alone_and_a_full_answer_to_the_other_question() -> None:
    sold = lot(10, (30, "sold", LARVA, None, 10))
    alone, found = lot_survival(sold), outcomes(sold)

    assert alone is not None
    assert found is not None
    assert (alone.size, alone.interval) == (None, None)
    assert {one.name: one.share for one in found.outcomes} == {"adult": 0, "lost": 0, "sold": 1, "still rearing": 0}


def test_animals_that_came_back_alive_are_no_longer_sold() -> None:
    back = lot(
        10,
        (20, "sold", LARVA, None, 5),
        (24, "sold", -1, LARVA, 2),
        (40, "next stage", LARVA, ADULT, 7),
    )

    found = outcomes(back)

    assert found is not None
    assert {one.name: one.share for one in found.outcomes} == pytest.approx(
        {"adult": 0.7, "lost": 0, "sold": 0.3, "still rearing": 0}
    )


def test_the_escaped_and_the_missing_are_ways_of_their_own_and_the_parted_go_out_of_sight() -> None:
    apart = lot(
        12,
        (10, "split", LARVA, None, 2),
        (20, "escaped", LARVA, None, 2),
        (20, "missing", LARVA, None, 3),
        (40, "next stage", LARVA, ADULT, 5),
    )

    found = outcomes(apart)

    assert found is not None
    assert [one.name for one in found.outcomes] == ["adult", "lost", "escaped", "missing", "still rearing"]
    assert [one.share for one in found.outcomes] == pytest.approx([0.5, 0, 0.2, 0.3, 0])


def test_a_history_that_does_not_say_why_animals_left_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="does not say why"):
        outcomes(replace(EIGHT, reasons=()))


def test_a_lot_without_young_has_no_outcomes() -> None:
    assert outcomes(lot(0)) is None


@settings(deadline=None)
@given(seed=st.integers(0, 10**6))
def test_outcomes_sum_to_one_and_without_leaving_both_questions_have_one_answer(seed: int) -> None:
    rng = random.Random(seed)
    there, steps = 20, []
    for day in range(3, 60, 3):
        for reason, target in (("died", LOST), ("next stage", ADULT), ("sold", None)):
            n = rng.randint(0, min(2, there))
            if n and (reason != "sold" or seed % 2):
                steps.append((day, reason, LARVA, target, n))
                there -= n
    history = lot(20, *steps)
    found, alone = outcomes(history), lot_survival(history)

    assert found is not None
    assert alone is not None
    assert sum(one.share for one in found.outcomes) == pytest.approx(1)
    if not history.tie.left_early:
        assert found.outcomes[0].share == pytest.approx(alone.reached)
    else:
        assert found.outcomes[0].share <= alone.reached + 1e-12


def test_one_early_animal_takes_the_curve_to_zero_and_a_start_on_the_later_day_sees_past_it() -> None:
    history = lot(
        1,
        (2, "died", LARVA, LOST, 1),
        (9, "found", -1, LARVA, 20),
        (30, "died", LARVA, LOST, 2),
        (30, "next stage", LARVA, ADULT, 18),
    )
    figure = lot_survival(history)
    assert figure is not None
    (warning,) = figure.curve.warnings
    assert isinstance(warning, TakenToZero)

    later = lot_survival(from_day(history, warning.enters_again))

    assert figure.reached == 0
    assert later is not None
    assert later.reached == pytest.approx(0.9)
    assert later.history.tie.adds_up
    assert later.history.tie.entered == 20


def test_a_start_later_keeps_those_then_there_and_passes_over_what_was() -> None:
    later = from_day(EIGHT, 11)

    assert later.start == (4, 2, 0, 0)
    assert later.tie.adds_up
    assert later.tie.left_early == 1
    assert [flow.day for flow in later.flows] == [14, 14, 17, 20, 20, 24]
    assert later.first_stage == "larva"


def test_a_start_when_nothing_is_there_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="no animal was there"):
        from_day(EIGHT, 99)


def test_pupae_are_among_those_left() -> None:
    found = outcomes(lot(4, (5, "next stage", LARVA, PUPA, 3)))

    assert found is not None
    assert found.outcomes[-1].share == pytest.approx(1)
