"""The outlook's parts: exact counts, phases from stays and guesses, how lots differ, and what becomes ready when."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ledger.rearing.lot_effect import FLOOR_RHO, FLOOR_SPEED, lot_effect
from ledger.rearing.outlook import Group, counts_by_week, outlook, ready_chances
from ledger.rearing.phases import Guess, Phases, phases, shifted, tally
from ledger.rearing.poisson_binomial import mixture
from ledger.rearing.spells import Fate, Spell, spells
from tests.ledger.rearing.forecast_world import B, history, live

Reals = NDArray[np.float64]


def convolved(chances: Reals, counts: NDArray[np.int64]) -> Reals:
    """A Poisson-binomial by adding one animal after the other (Barlow & Heidtmann 1984, IEEE Trans Reliab R-33)."""
    pmf = np.ones(1)
    for p, n in zip(chances.tolist(), counts.tolist(), strict=True):
        for _ in range(n):
            pmf = np.convolve(pmf, [1.0 - p, p])
    return pmf


def laid_out(found: object, length: int) -> Reals:
    pmf = np.zeros(length)
    pmf[found.first : found.first + len(found.pmf)] = found.pmf[: length - found.first]  # type: ignore[attr-defined]
    return pmf


@settings(deadline=None)
@given(seed=st.integers(0, 10**6), groups=st.integers(1, 40), most=st.integers(1, 25), power=st.integers(1, 6))
def test_counts_of_unequal_chances_are_exact(seed: int, groups: int, most: int, power: int) -> None:
    rng = np.random.default_rng(seed)
    counts = rng.integers(0, most, groups)
    chances = rng.random((1, groups)) ** power
    chances[:, :: 7 + seed % 5] = (0.0, 0.5, 1.0)[seed % 3]
    exact = convolved(chances[0], counts)
    found = mixture(chances, counts)

    assert laid_out(found, len(exact)) == pytest.approx(exact, abs=1e-12)
    assert found.mean == pytest.approx(float(chances[0] @ counts), abs=1e-8)
    for level in (0.025, 0.1, 0.5, 0.9, 0.975):
        assert found.quantile(level) == int(np.searchsorted(np.cumsum(exact), level))


def test_a_mixture_is_the_mean_of_its_parts_and_wider_than_any() -> None:
    counts = np.array([40, 60])
    low, high = np.array([[0.2, 0.1]]), np.array([[0.6, 0.5]])
    found = mixture(np.vstack([low, high]), counts)
    parts = [convolved(one[0], counts) for one in (low, high)]

    assert laid_out(found, 101) == pytest.approx((parts[0] + parts[1]) / 2, abs=1e-12)
    assert found.variance > 5 * mixture(high, counts).variance


def test_animals_that_are_sure_only_shift_the_count_and_none_is_no_count() -> None:
    found = mixture(np.array([[0.5]]), np.array([2]), 3)

    assert (found.first, found.pmf.tolist()) == (3, pytest.approx([0.25, 0.5, 0.25]))
    assert mixture(np.zeros((5, 2)), np.array([3, 4])).quantile(0.9) == 0
    assert mixture(np.zeros((5, 0)), np.array([], dtype=np.int64), 7).mean == 7
    assert (found.below(2), found.below(4), found.below(99)) == (0, pytest.approx(0.75), pytest.approx(1))


def test_ten_thousand_animals_have_the_normal_quantiles_within_one() -> None:
    rng = np.random.default_rng(3)
    chances, counts = rng.random((1, 55)), rng.integers(100, 260, 55)
    found = mixture(chances, counts)
    mean, sd = float(chances[0] @ counts), float((chances[0] * (1 - chances[0])) @ counts) ** 0.5

    for level, z in ((0.1, -1.2815516), (0.5, 0.0), (0.9, 1.2815516)):
        assert abs(found.quantile(level) - (mean + z * sd)) <= 1


# --- phases ---


def certain(stages: int, days: int, share: float = 1.0, longest: int = 60) -> Phases:
    """Every animal stays `days` in each stage, and `share` of them move on; the others die on that day."""
    on, lost = np.zeros((1, stages, longest + 1)), np.zeros((1, stages, longest + 1))
    on[:, :, days], lost[:, :, days] = share, 1 - share
    return Phases(on, lost)


ONE = {0: (np.ones(1), np.zeros(1))}


def test_each_animal_is_ready_when_its_own_and_the_later_stages_and_the_hardening_are_over() -> None:
    chances, counts = ready_chances(certain(2, 10, 0.8), [Group(0, 0, 4, 5), Group(0, 1, 4, 3)], ONE, 28, wait=3)

    assert counts.tolist() == [5, 3]
    assert np.argmax(chances[0, 0] > 0.1) == 6 + 10 + 3
    assert np.argmax(chances[0, 1] > 0.1) == 6 + 3
    assert chances[0, :, -1] == pytest.approx([0.64, 0.8])


def test_a_slower_lot_is_later_and_a_luckier_one_loses_fewer() -> None:
    fast, slow = ({0: (np.array([speed]), np.zeros(1))} for speed in (0.8, 1.5))
    lucky = {0: (np.ones(1), np.array([1.0]))}
    group = [Group(0, 0, 0, 1)]

    def day_of(by_lot: dict[int, tuple[Reals, Reals]]) -> int:
        return int(np.argmax(ready_chances(certain(1, 20, 0.7), group, by_lot, 40)[0][0, 0] > 0.35))

    assert day_of(fast) == 16
    assert day_of(slow) == 30
    assert ready_chances(certain(1, 20, 0.7), group, lucky, 40)[0][0, 0, -1] == pytest.approx(
        float(shifted(np.array(0.7), np.array(1.0)))
    )


def test_an_animal_older_than_any_before_it_is_expected_soon_and_not_lost() -> None:
    chances, _ = ready_chances(certain(1, 20, 0.9), [Group(0, 0, 35, 1)], ONE, 28)

    assert chances[0, 0, 1] == pytest.approx(0.9 / 3)
    assert chances[0, 0, 14] == pytest.approx(0.9, abs=0.01)


def test_own_stays_alone_give_their_plain_shares() -> None:
    stays = [Spell(0, 0, 10, Fate.ON, 6, True), Spell(0, 0, 12, Fate.LOST, 2, True), Spell(0, 0, 14, Fate.ON, 2, True)]
    found = phases(tally([stays], 1), np.ones((1, 1)), [None])

    assert found.survival[0, 0] == pytest.approx(0.8)
    assert found.on[0, 0, [10, 14]] == pytest.approx([0.6, 0.2])
    assert found.lost[0, 0, 12] == pytest.approx(0.2)


def test_animals_still_there_are_at_risk_and_no_more() -> None:
    """Of ten, five move on at 10, two are still there at 12, three move on at 20: 1/2 and 1/2."""
    stays = [Spell(0, 0, 10, Fate.ON, 5, True), Spell(0, 0, 12, Fate.HERE, 2, True), Spell(0, 0, 20, Fate.ON, 3, True)]
    found = phases(tally([stays], 1), np.ones((1, 1)), [None])

    assert found.on[0, 0, [10, 20]] == pytest.approx([0.5, 0.5])


def test_what_was_seen_at_a_check_is_spread_over_the_days_since_the_one_before_it() -> None:
    counted = tally([[Spell(0, 0, 10, Fate.ON, 6, True, gap=3)]], 1)

    assert counted.moved[0, 0, 8:11] == pytest.approx([2, 2, 2])
    assert counted.delay == 1


def test_a_guess_alone_gives_its_days_and_its_survival() -> None:
    found = phases(tally([], 1), np.ones((1, 0)), [Guess(30, 40, 0.9)])
    days = np.arange(found.on.shape[2])

    assert found.survival[0, 0] == pytest.approx(0.9)
    assert float(found.on[0, 0] @ days) / 0.9 == pytest.approx(35.5, abs=0.1)
    assert found.on[0, 0, 30:42].sum() == pytest.approx(0.9 * 0.95, abs=0.035)
    assert (found.on + found.lost).sum() == pytest.approx(1)


def test_a_guess_fades_as_own_animals_come_and_fills_what_they_do_not_tell() -> None:
    guess = [Guess(30, 40, 0.5)]

    def share(number: int) -> float:
        own = [[Spell(0, 0, 20, Fate.ON, number, True)]] if number else []
        return float(phases(tally(own, 1), np.ones((1, len(own))), guess).survival[0, 0])

    assert share(0) == pytest.approx(0.5)
    assert share(10) == pytest.approx(0.75, abs=0.08)
    assert share(1000) > 0.99
    censored = [[Spell(0, 0, 15, Fate.HERE, 50, True)]]
    assert phases(tally(censored, 1), np.ones((1, 1)), guess).on[0, 0, :16].sum() < 0.01


def test_draws_of_a_guess_differ_and_average_to_it() -> None:
    rng = np.random.default_rng(1)
    found = phases(tally([], 1), np.ones((400, 0)), [Guess(30, 40, 0.8)], rng)
    days = np.arange(found.on.shape[2])
    means = found.on[:, 0] @ days / found.survival[:, 0]

    assert float(np.log(means).std()) == pytest.approx(0.10, abs=0.015)
    assert float(found.survival.mean()) == pytest.approx(0.79, abs=0.02)


# --- how lots differ ---


def test_the_lot_effect_of_the_simulated_room_is_found_and_where_there_is_none_none_is() -> None:
    rng = np.random.default_rng(11)
    apart = lot_effect([spells(history(live(rng, B))) for _ in range(60)], 3)
    alike = lot_effect([spells(history(live(rng, type(B)(0.0, 0.0)))) for _ in range(60)], 3)

    assert apart.speed == pytest.approx(0.08, abs=0.025)
    assert apart.logit == pytest.approx(0.37, abs=0.12)
    assert alike.speed < 0.03
    assert alike.logit < 0.2
    assert not apart.floored


def test_few_lots_take_the_stated_floors_and_say_so() -> None:
    rng = np.random.default_rng(5)
    found = lot_effect([spells(history(live(rng, type(B)(0.0, 0.0)))) for _ in range(3)], 3)

    assert found.floored
    assert found.rho >= FLOOR_RHO
    assert found.speed >= FLOOR_SPEED
    assert lot_effect([], 3).lots == 0


def test_a_lot_of_which_many_are_still_there_says_nothing_of_the_spread() -> None:
    done = [[Spell(0, 0, 20, Fate.ON, 13, True), Spell(0, 0, 20, Fate.LOST, 7, True)]] * 6
    young = [Spell(0, 0, 9, Fate.LOST, 2, True), Spell(0, 0, 9, Fate.HERE, 18, True)]

    assert lot_effect([*done, young], 1).rho == 0


def test_a_lot_that_died_out_counts_as_one_that_reared_none() -> None:
    done = [[Spell(0, 0, 20, Fate.ON, 13, True), Spell(0, 0, 20, Fate.LOST, 7, True)]] * 6

    assert lot_effect([*done, [Spell(0, 0, 9, Fate.LOST, 20, True)]], 1).rho > 0.1


# --- the whole ---


def small(seed: int = 1, **more: object) -> object:
    rng = np.random.default_rng(17)
    lots = [spells(history(live(rng, B))) for _ in range(4)]
    groups = [Group(0, 0, 40, 20), Group(1, 1, 12, 10), Group(1, 2, 3, 4)]
    return outlook(lots, [None] * 3, groups, rng=np.random.default_rng(seed), draws=60, **more)  # type: ignore[arg-type]


def test_the_same_draws_give_the_same_outlook_and_others_nearly_the_same() -> None:
    one, again, other = small(), small(), small(2)

    assert [week.pmf.pmf.tolist() for week in one.weekly] == [week.pmf.pmf.tolist() for week in again.weekly]
    assert one.weekly[0].mean != other.weekly[0].mean
    assert one.running[-1].mean == pytest.approx(other.running[-1].mean, rel=0.08)


def test_weeks_add_up_to_the_running_total_and_to_the_groups() -> None:
    found = small()

    assert sum(week.mean for week in found.weekly) == pytest.approx(found.running[-1].mean)
    assert found.by_group[:, -1].sum() == pytest.approx(found.running[-1].mean)
    assert all(week.low <= week.middle <= week.high for week in (*found.weekly, *found.running))


def test_hardening_puts_everything_off_and_soft_ones_are_ready_on_their_day() -> None:
    plain, later, soft = small(), small(wait=14), small(due=[(10, 5)])

    assert later.running[3].mean == pytest.approx(plain.running[1].mean)
    assert [round(b.mean - a.mean, 6) for a, b in zip(plain.weekly, soft.weekly, strict=True)] == [0, 5, *[0] * 10]


def test_animals_that_only_wait_need_nothing_learned() -> None:
    found = outlook([], [], [], rng=np.random.default_rng(1), due=[(1, 2), (7, 3), (8, 4)], weeks=2)

    assert [(week.low, week.high) for week in found.weekly] == [(5, 5), (4, 4)]
    assert [total.middle for total in found.running] == [5, 9]


def test_lives_longer_than_the_days_looked_at_do_not_come_round_again() -> None:
    """Three stages of seventy days take 210: nothing is ready within 84, and all of the last stage's 14 later."""
    young = Group(0, 0, 0, 9)
    chances, _ = ready_chances(certain(3, 70, longest=80), [young, Group(0, 2, 56, 5)], ONE, 84)

    assert chances[0, 0].max() < 1e-12
    assert chances[0, 1, [13, 14, 84]] == pytest.approx([0, 1, 1])


def test_with_known_parameters_the_outlook_is_the_exact_poisson_binomial() -> None:
    model = certain(2, 9, 0.7)
    groups = [Group(0, 0, age, n) for age, n in ((0, 12), (3, 7), (8, 5))] + [Group(0, 1, 2, 9)]
    chances, counts = ready_chances(model, groups, ONE, 84)
    found = counts_by_week(chances, counts, 12)

    for week, one in enumerate(found.weekly, 1):
        exact = convolved(chances[0, :, 7 * week] - chances[0, :, 7 * week - 7], counts)
        assert one.mean == pytest.approx(float(exact @ np.arange(len(exact))), abs=1e-8)
        assert (one.low, one.middle, one.high) == tuple(
            int(np.searchsorted(np.cumsum(exact), q * (1 - 1e-12))) for q in (0.1, 0.5, 0.9)
        )
