"""Stays in stages from counts, and survival stage by stage."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.rearing.by_stage import stage_product, stage_survival
from ledger.rearing.pooling import lot_survival
from ledger.rearing.spells import Fate, Spell, spells
from tests.ledger.rearing.lives import ADULT, EIGHT, LARVA, LOST, PUPA, lot


def test_the_first_in_are_the_first_out_and_what_is_left_is_still_there() -> None:
    found = spells(
        lot(
            10,
            (20, "next stage", LARVA, PUPA, 3),
            (27, "next stage", LARVA, PUPA, 4),
            (40, "next stage", PUPA, ADULT, 5),
            (41, "died", PUPA, LOST, 1),
            last_day=50,
        )
    )

    assert [(s.state, s.entered, s.left, s.fate, s.count) for s in found] == [
        (LARVA, 0, 20, Fate.ON, 3),
        (LARVA, 0, 27, Fate.ON, 4),
        (PUPA, 20, 40, Fate.ON, 3),
        (PUPA, 27, 40, Fate.ON, 2),
        (PUPA, 27, 41, Fate.LOST, 1),
        (LARVA, 0, 50, Fate.HERE, 3),
        (PUPA, 27, 50, Fate.HERE, 1),
    ]
    assert all(stay.dated for stay in found)


def test_sieved_or_bought_young_enter_at_an_unknown_age_and_their_later_stages_are_dated() -> None:
    found = spells(lot(5, (30, "next stage", LARVA, PUPA, 5), (50, "next stage", PUPA, ADULT, 5), dated=False))

    assert [stay.dated for stay in found] == [False, True]


def test_animals_found_later_enter_at_an_unknown_age_too() -> None:
    found = spells(lot(2, (10, "found", -1, LARVA, 3), (30, "next stage", LARVA, ADULT, 5)))

    assert [(stay.entered, stay.count, stay.dated) for stay in found] == [(0, 2, True), (10, 3, False)]


def test_a_change_happened_since_anything_was_last_recorded_a_week_at_most() -> None:
    found = spells(
        lot(9, (4, "died", LARVA, LOST, 1), (7, "died", LARVA, LOST, 1), (40, "next stage", LARVA, ADULT, 7))
    )

    assert [stay.gap for stay in found] == [4, 3, 7]


@settings(deadline=None)
@given(seed=st.integers(0, 10**6))
def test_every_animal_and_every_animal_day_is_in_one_stay(seed: int) -> None:
    rng = random.Random(seed)
    there, steps, area = [rng.randint(1, 20), 0], [], [0, 0]
    start, last = there[0], 0
    for day in range(3, 90, 3):
        for state in (LARVA, PUPA):
            area[state] += there[state] * (day - last)
        last = day
        for state in (LARVA, PUPA):
            for reason, target in (("died", LOST), ("next stage", state + 1), ("sold", None)):
                n = rng.randint(0, min(3, there[state]))
                if n and rng.random() < 0.4:
                    steps.append((day, reason, state, target, n))
                    there[state] -= n
                    if target == PUPA:
                        there[PUPA] += n
    found = spells(lot(start, *steps, last_day=last))

    entered = Counter[int]()
    for stay in found:
        entered[stay.state] += stay.count
        assert stay.days >= 0
    assert entered[LARVA] == start
    assert entered[PUPA] == sum(n for _, _, _, target, n in steps if target == PUPA)
    assert [sum(s.days * s.count for s in found if s.state == state) for state in (LARVA, PUPA)] == area


def test_more_leaving_than_are_there_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="more leave than are there"):
        spells(lot(2, (5, "died", LARVA, LOST, 3)))


def test_without_leaving_the_product_of_the_stages_is_the_plain_share_with_its_plain_size() -> None:
    history = lot(
        20,
        (10, "died", LARVA, LOST, 4),
        (30, "next stage", LARVA, PUPA, 16),
        (45, "died", PUPA, LOST, 3),
        (50, "next stage", PUPA, ADULT, 13),
    )
    found = stage_product(("larva", "pupa"), spells(history))

    assert found.share == pytest.approx(13 / 20)
    assert found.size == pytest.approx(20)
    assert found.interval is not None
    assert (found.interval.low, found.interval.high) == pytest.approx((0.4328542767, 0.8188081759))


def test_a_stage_on_its_own_clock_is_the_product_limit_of_kaplan_and_meier() -> None:
    """Ten enter, two die on day 1, three are sold on day 2, one dies on day 3, four move on on day 4: 16/25."""
    stays = [
        Spell(0, 0, 1, Fate.LOST, 2, True),
        Spell(0, 0, 2, Fate.AWAY, 3, True),
        Spell(0, 0, 3, Fate.LOST, 1, True),
        Spell(0, 0, 4, Fate.ON, 4, True),
    ]
    found = stage_survival("larva", stays)

    assert found.share == pytest.approx(16 / 25)
    assert (found.entered, found.moved, found.lost, found.away) == (10, 4, 3, 3)


def test_stays_passed_within_a_day_count_for_survival() -> None:
    stays = [Spell(0, 5, 5, Fate.ON, 3, True), Spell(0, 5, 5, Fate.LOST, 1, True)]

    assert stage_survival("pupa", stays).share == pytest.approx(0.75)


def test_nothing_decided_in_a_stage_is_no_figure_for_the_whole() -> None:
    found = stage_product(("larva", "pupa"), spells(lot(5, (30, "next stage", LARVA, PUPA, 5), last_day=40)))

    assert found.stages[1].share is None
    assert found.share is None


def test_the_lot_worked_by_hand_has_its_stages_by_their_own_days() -> None:
    """Of five pupae one is given away after 6 days of its stage, one of the four left dies on day 7: 3/4."""
    found = stage_product(("larva", "pupa"), spells(EIGHT))
    alone = lot_survival(EIGHT)

    assert alone is not None
    assert found.stages[0].share == pytest.approx(23 / 32)
    assert found.stages[1].share == pytest.approx(3 / 4)
    assert found.share == pytest.approx(23 / 32 * 3 / 4)
    assert found.share != pytest.approx(alone.reached)


def test_selling_only_larvae_of_certain_ages_leaves_the_product_near_the_truth() -> None:
    """20,000 larvae; survival .78 and .88, 40 % sold young at random days: the product must not follow the sold."""
    rng = random.Random(1)
    fates: Counter[tuple[int, Fate]] = Counter()
    pupae: Counter[tuple[int, Fate]] = Counter()
    for _ in range(20_000):
        end = round(rng.gauss(60, 8)) if rng.random() < 0.78 else rng.randint(1, 55)
        alive = end > 0 and rng.random() < 0.4
        sale = rng.randint(10, 80) if alive else 999
        survives = end > 55 or rng.random() < 0.5
        if sale <= end:
            fates[sale, Fate.AWAY] += 1
        else:
            fates[end, Fate.ON if survives else Fate.LOST] += 1
            if survives:
                pupae[20, Fate.ON if rng.random() < 0.88 else Fate.LOST] += 1
    naive = sum(n for (_, fate), n in fates.items() if fate is Fate.ON) / sum(
        n for (_, fate), n in fates.items() if fate is not Fate.AWAY
    )
    stays = [Spell(0, 0, day, fate, n, True) for (day, fate), n in fates.items()]
    stays += [Spell(1, 60, 60 + day, fate, n, True) for (day, fate), n in pupae.items()]
    unsold = stage_product(("larva", "pupa"), stays)
    truth = _truth()

    assert unsold.share == pytest.approx(truth * 0.88, abs=0.012)
    assert naive * 0.88 < truth * 0.88 - 0.015


def _truth() -> float:
    """Share of larvae that pupate when none are sold, by the same rules."""
    rng = random.Random(2)
    on = 0
    for _ in range(40_000):
        end = round(rng.gauss(60, 8)) if rng.random() < 0.78 else rng.randint(1, 55)
        on += end > 55 or rng.random() < 0.5
    return on / 40_000
