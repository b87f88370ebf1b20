"""The curve from counts: exactness without censoring, same-day chains, delayed entry, order, warnings, refusals."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.rearing.survival import Curve, Flow, NothingAtRisk, TakenToZero, survival_curve

STATES = ("larva", "pupa", "adult", "lost")
LARVA, PUPA, ADULT, LOST = range(4)


def invented_flows(
    seed: int, animals: int, days: int, *, chains: bool = False, leaving: bool = False, entering: bool = False
) -> list[Flow]:
    """A possible course of a lot. Without `chains` nobody goes through a state within one day."""
    rng = random.Random(seed)
    there = [animals, 0, 0, 0]
    flows: list[Flow] = []
    for day in range(1, days + 1):
        morning = list(there)
        for state in (LARVA, PUPA):
            if entering and rng.random() < 0.3:
                n = rng.randint(1, 4)
                flows.append(Flow(day, "enter", None, state, n))
                there[state] += n
            for target in (LOST, *range(state + 1, LOST)):
                free = min(there[state], there[state] if chains else morning[state])
                n = rng.randint(0, free) if free and rng.random() < 0.5 else 0
                if n:
                    flows.append(Flow(day, "move", state, target, n))
                    there[state] -= n
                    there[target] += n
                    morning[state] -= n
            free = min(there[state], there[state] if chains else morning[state])
            if leaving and free and rng.random() < 0.3:
                n = rng.randint(1, free)
                flows.append(Flow(day, "leave", state, None, n))
                there[state] -= n
                morning[state] -= n
    return flows


def one_risk_set_a_day(start: list[int], flows: list[Flow]) -> np.ndarray:
    """The product with one number at risk per state and day, whatever happens within the day."""
    there = np.array(start)
    p = there / there.sum()
    for day in sorted({flow.day for flow in flows}):
        step = np.eye(len(start))
        at_risk = there.copy()
        for flow in (flow for flow in flows if flow.day == day):
            if flow.source is not None and flow.target is not None and at_risk[flow.source]:
                share = flow.count / at_risk[flow.source]
                step[flow.source, flow.source] -= share
                step[flow.source, flow.target] += share
            if flow.source is not None:
                there[flow.source] -= flow.count
            if flow.target is not None:
                there[flow.target] += flow.count
        p = p @ step
    return np.asarray(p)


def same(one: Curve, other: Curve) -> bool:
    assert one.cov is not None
    assert other.cov is not None
    return bool(
        np.array_equal(one.days, other.days)
        and np.array_equal(one.at_risk, other.at_risk)
        and np.allclose(one.prob, other.prob, rtol=0, atol=1e-14)
        and np.allclose(one.cov, other.cov, rtol=0, atol=1e-14)
    )


@given(seed=st.integers(0, 10**6), animals=st.integers(1, 60), chains=st.booleans())
def test_without_censoring_shares_are_plain_fractions_and_the_covariance_is_multinomial(
    seed: int, animals: int, chains: bool
) -> None:
    curve = survival_curve(STATES, [animals, 0, 0, 0], invented_flows(seed, animals, 6, chains=chains))
    assert curve.se is not None
    assert curve.cov is not None
    share = curve.now / animals

    assert curve.prob[-1] == pytest.approx(share, abs=1e-13)
    assert curve.cov == pytest.approx((np.diag(share) - np.outer(share, share)) / animals, abs=1e-13)
    assert curve.se**2 == pytest.approx(curve.prob * (1 - curve.prob) / animals, abs=1e-13)


@given(seed=st.integers(0, 10**6), animals=st.integers(1, 30))
def test_probabilities_stay_within_zero_and_one_whatever_happens_within_a_day(seed: int, animals: int) -> None:
    flows = invented_flows(seed, animals, 8, chains=True, leaving=True, entering=True)
    curve = survival_curve(STATES, [animals, 0, 0, 0], flows)

    assert curve.prob.min() >= 0
    assert curve.prob.max() <= 1 + 1e-12
    assert curve.prob.sum(axis=1) == pytest.approx(1, abs=1e-12)


def test_one_risk_set_a_day_would_leave_zero_and_one_where_an_animal_pupates_and_emerges_between_two_checks() -> None:
    start = [4, 4, 0, 0]
    flows = [Flow(3, "leave", PUPA, None, 3), Flow(7, "move", LARVA, PUPA, 3), Flow(7, "move", PUPA, ADULT, 3)]

    naive = one_risk_set_a_day(start, flows)
    curve = survival_curve(STATES, start, flows)

    assert naive[PUPA] == pytest.approx(-0.625)
    assert naive[ADULT] == pytest.approx(1.5)
    assert curve.prob[-1] == pytest.approx([1 / 8, 7 / 32, 21 / 32, 0], abs=1e-15)


@given(seed=st.integers(0, 10**6), animals=st.integers(1, 30))
def test_one_risk_set_a_day_agrees_on_days_without_chains(seed: int, animals: int) -> None:
    flows = invented_flows(seed, animals, 8, leaving=True)
    curve = survival_curve(STATES, [animals, 0, 0, 0], flows)

    assert curve.prob[-1] == pytest.approx(one_risk_set_a_day([animals, 0, 0, 0], flows), abs=1e-12)


def test_an_animal_that_dies_on_the_day_it_came_is_at_risk_on_that_day() -> None:
    flows = [
        Flow(3, "move", LARVA, LOST, 10),
        Flow(3, "enter", None, PUPA, 1),
        Flow(3, "move", PUPA, LOST, 1),
    ]

    curve = survival_curve(STATES, [10, 0, 0, 0], flows)

    assert curve.prob[-1] == pytest.approx([0, 0, 0, 1])
    assert curve.now.tolist() == [0, 0, 0, 11]


def test_leaving_counts_towards_the_outflow_that_makes_a_day_be_taken_in_order() -> None:
    flows = [
        Flow(5, "enter", None, LARVA, 1),
        Flow(5, "move", LARVA, LOST, 1),
        Flow(5, "leave", LARVA, None, 1),
    ]

    curve = survival_curve(STATES, [1, 0, 0, 0], flows)

    assert curve.prob[-1] == pytest.approx([1 / 2, 0, 0, 1 / 2])


def test_those_that_enter_on_a_day_are_not_at_risk_on_it() -> None:
    late = Flow(5, "enter", None, LARVA, 90)
    died = Flow(5, "move", LARVA, LOST, 1)

    for flows in ([late, died], [died, late]):
        curve = survival_curve(STATES, [10, 0, 0, 0], flows)
        assert curve.prob[-1, LOST] == pytest.approx(1 / 10)


def test_those_that_leave_on_a_day_are_at_risk_on_it() -> None:
    flows = [Flow(5, "leave", LARVA, None, 5), Flow(5, "move", LARVA, LOST, 1)]

    curve = survival_curve(STATES, [10, 0, 0, 0], flows)

    assert curve.prob[-1, LOST] == pytest.approx(1 / 10)


def test_late_entry_lowers_later_hazards_only() -> None:
    flows = [
        Flow(5, "move", LARVA, LOST, 5),
        Flow(6, "enter", None, LARVA, 5),
        Flow(9, "move", LARVA, LOST, 1),
    ]

    curve = survival_curve(STATES, [10, 0, 0, 0], flows)

    assert curve.prob[-1, LARVA] == pytest.approx(0.5 * 0.9)
    assert curve.entered.tolist() == [5, 0, 0, 0]


@given(seed=st.integers(0, 10**6), animals=st.integers(1, 30), shuffle=st.randoms(use_true_random=False))
def test_the_order_of_flows_within_days_without_chains_changes_nothing(
    seed: int, animals: int, shuffle: random.Random
) -> None:
    flows = invented_flows(seed, animals, 8, leaving=True, entering=True)
    mixed = list(flows)
    shuffle.shuffle(mixed)

    assert same(survival_curve(STATES, [animals, 0, 0, 0], flows), survival_curve(STATES, [animals, 0, 0, 0], mixed))


def test_the_order_of_unrelated_flows_within_a_chain_changes_nothing_but_the_order_of_the_chain_does() -> None:
    states = ("larva", "pupa", "adult", "egg", "lost")
    chain = [Flow(4, "move", 0, 1, 2), Flow(4, "move", 1, 2, 1)]
    apart = Flow(4, "move", 3, 4, 1)
    start = [6, 0, 0, 4, 0]

    first = survival_curve(states, start, [apart, *chain])

    for flows in ([chain[0], apart, chain[1]], [*chain, apart]):
        assert same(first, survival_curve(states, start, flows))
    with pytest.raises(ValueError, match="1 animals leave pupa on day 4 where 0 are at risk"):
        survival_curve(states, start, chain[::-1])


@given(seed=st.integers(0, 10**6), animals=st.integers(1, 30))
def test_many_small_movements_weigh_as_much_as_one_large_one(seed: int, animals: int) -> None:
    flows = invented_flows(seed, animals, 6, leaving=True, entering=True)
    single = [Flow(f.day, f.kind, f.source, f.target, 1) for f in flows for _ in range(f.count)]

    assert same(survival_curve(STATES, [animals, 0, 0, 0], flows), survival_curve(STATES, [animals, 0, 0, 0], single))


def test_what_happens_after_an_absorbing_state_is_passed_over() -> None:
    young = [Flow(9, "move", LARVA, ADULT, 6), Flow(9, "move", LARVA, LOST, 4)]
    later = [
        Flow(12, "move", ADULT, LOST, 3),
        Flow(13, "leave", ADULT, None, 3),
        Flow(14, "enter", None, ADULT, 8),
    ]

    ever = survival_curve(STATES, [10, 0, 0, 0], [*young, *later], absorbing=(ADULT, LOST))
    alive = survival_curve(STATES, [10, 0, 0, 0], [*young, *later])

    assert same(ever, survival_curve(STATES, [10, 0, 0, 0], young))
    assert ever.prob[-1, ADULT] == pytest.approx(0.6)
    assert alive.prob[-1, ADULT] == pytest.approx(0.3)


def test_a_start_in_several_stages_is_an_estimated_mix() -> None:
    curve = survival_curve(STATES, [6, 4, 0, 0], [Flow(3, "move", PUPA, ADULT, 4)])
    assert curve.se is not None

    assert curve.prob[0] == pytest.approx([0.6, 0.4, 0, 0])
    assert curve.se[0] == pytest.approx([(0.24 / 10) ** 0.5] * 2 + [0, 0])
    assert curve.prob[-1] == pytest.approx([0.6, 0, 0.4, 0])
    assert curve.se[-1, ADULT] == pytest.approx((0.24 / 10) ** 0.5)


def test_without_covariance_the_probabilities_are_the_same() -> None:
    flows = invented_flows(7, 20, 8, chains=True, leaving=True)

    lean = survival_curve(STATES, [20, 0, 0, 0], flows, covariance=False)

    assert lean.se is None
    assert lean.cov is None
    assert np.array_equal(lean.prob, survival_curve(STATES, [20, 0, 0, 0], flows).prob)


def test_a_curve_may_count_from_a_later_day_and_reads_as_steps() -> None:
    curve = survival_curve(STATES, [4, 0, 0, 0], [Flow(45, "move", LARVA, PUPA, 2)], start_day=40)

    assert [curve.row(day) for day in (0, 40, 44, 45, 400)] == [0, 0, 0, 1, 1]
    assert curve.days.tolist() == [40, 45]


def test_a_curve_without_events_is_its_start() -> None:
    curve = survival_curve(STATES, [3, 0, 0, 0], [])

    assert curve.prob.tolist() == [[1, 0, 0, 0]]
    assert curve.now.tolist() == [3, 0, 0, 0]


def test_one_early_animal_that_takes_the_curve_to_zero_is_warned_of_with_the_day_to_start_again() -> None:
    flows = [
        Flow(2, "move", LARVA, LOST, 1),
        Flow(9, "enter", None, LARVA, 20),
        Flow(30, "move", LARVA, ADULT, 18),
    ]

    curve = survival_curve(STATES, [1, 0, 0, 0], flows, absorbing=(ADULT, LOST))

    assert curve.prob[-1, ADULT] == 0
    assert curve.warnings == (TakenToZero(LARVA, day=2, moved=1, enters_again=9),)


def test_a_stage_that_empties_in_its_time_is_no_warning() -> None:
    flows = [Flow(20, "move", LARVA, PUPA, 8), Flow(20, "move", LARVA, LOST, 2), Flow(40, "move", PUPA, ADULT, 8)]

    assert survival_curve(STATES, [10, 0, 0, 0], flows, absorbing=(ADULT, LOST)).warnings == ()


def test_a_stage_that_empties_on_the_day_others_came_is_warned_of_only_if_those_were_not_at_risk() -> None:
    with_the_others = [Flow(2, "enter", None, LARVA, 3), Flow(2, "move", LARVA, LOST, 4)]
    before_the_others = [Flow(2, "enter", None, LARVA, 3), Flow(2, "move", LARVA, LOST, 1)]

    assert survival_curve(STATES, [1, 0, 0, 0], with_the_others, absorbing=(LOST,)).warnings == ()
    assert survival_curve(STATES, [1, 0, 0, 0], before_the_others, absorbing=(LOST,)).warnings == (
        TakenToZero(LARVA, day=2, moved=1, enters_again=2),
    )


def test_days_on_which_nothing_was_at_risk_are_told() -> None:
    flows = [
        Flow(10, "move", LARVA, ADULT, 2),
        Flow(12, "leave", LARVA, None, 8),
        Flow(30, "enter", None, LARVA, 3),
        Flow(50, "leave", LARVA, None, 3),
    ]

    curve = survival_curve(STATES, [10, 0, 0, 0], flows, absorbing=(ADULT, LOST))

    assert curve.warnings == (
        NothingAtRisk(LARVA, from_day=12, to_day=30),
        NothingAtRisk(LARVA, from_day=50, to_day=None),
    )


@pytest.mark.parametrize(
    "flow",
    [
        Flow(1, "move", LARVA, LARVA, 1),
        Flow(1, "move", LARVA, 4, 1),
        Flow(1, "move", LARVA, PUPA, 0),
        Flow(1, "move", None, PUPA, 1),
        Flow(1, "leave", LARVA, PUPA, 1),
        Flow(1, "enter", LARVA, None, 1),
        Flow(-1, "move", LARVA, PUPA, 1),
    ],
)
def test_a_malformed_flow_is_a_mistake_of_the_caller(flow: Flow) -> None:
    with pytest.raises(ValueError, match="malformed flow"):
        survival_curve(STATES, [10, 0, 0, 0], [flow])


@pytest.mark.parametrize("start", [[0, 0, 0, 0], [5, 0, 0], [-1, 5, 0, 0]])
def test_a_start_without_animals_or_of_the_wrong_shape_is_a_mistake_of_the_caller(start: list[int]) -> None:
    with pytest.raises(ValueError, match="the start must be"):
        survival_curve(STATES, start, [])


def test_more_animals_than_are_there_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="11 animals leave larva on day 2 where 10 are at risk"):
        survival_curve(STATES, [10, 0, 0, 0], [Flow(2, "move", LARVA, LOST, 11)])
