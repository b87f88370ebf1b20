"""Age layers: first in, first out; splits in proportion; kept up entry by entry as the journal rebuilds them."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.stock.commands import AddLot, Arrival, Mark, MergeLots, Move, Part, Reverse, SaveRound, SplitLot
from ledger.stock.layers import (
    Flow,
    Layer,
    Layers,
    SeenHard,
    State,
    first_out,
    in_proportion,
    play_day,
    readiness,
    seen_hard,
    together,
    total,
)
from ledger.stock.queries import find_lot, layers_of, stock_on
from tests.ledger.stock.keeper import TODAY, Keeper, day

D = [dt.date(2025, 3, 1) + dt.timedelta(days=n) for n in range(40)]

some_layers = st.lists(st.builds(Layer, st.sampled_from(D), st.booleans(), st.integers(1, 30)), max_size=6).map(
    together
)


def ages(layers: Layers) -> list[tuple[int, int]]:
    """(day of March, count)."""
    return [((layer.entered_on - D[0]).days + 1, layer.count) for layer in layers]


@given(some_layers, st.data())
def test_what_is_taken_first_in_first_out_is_older_than_what_is_left(layers: Layers, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, total(layers)))

    taken, left = first_out(layers, count)

    assert total(taken) == count
    assert together(taken, left) == layers
    if taken and left:
        assert taken[-1].entered_on <= left[0].entered_on


@given(some_layers, st.data())
def test_a_split_takes_of_each_layer_its_share_to_less_than_one_animal(layers: Layers, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, total(layers)))

    taken, left = in_proportion(layers, count)

    assert total(taken) == count
    assert together(taken, left) == layers
    have = {(layer.entered_on, layer.soft): layer.count for layer in taken}
    for layer in layers:
        share = have.get((layer.entered_on, layer.soft), 0)
        assert abs(share - layer.count * count / total(layers)) < 1


@given(some_layers)
def test_taking_more_than_there_is_is_a_mistake(layers: Layers) -> None:
    for take in (first_out, in_proportion):
        with pytest.raises(ValueError, match=r"more asked|asked for"):
            take(layers, total(layers) + 1)


def test_a_hand_worked_split_by_largest_remainder() -> None:
    layers = (Layer(D[0], True, 5), Layer(D[1], True, 3), Layer(D[2], True, 2))

    taken, left = in_proportion(layers, 4)  # quotas 2, 1.2, 0.8

    assert ages(taken) == [(1, 2), (2, 1), (3, 1)]
    assert ages(left) == [(1, 3), (2, 2), (3, 1)]


@given(some_layers)
def test_seen_hard_changes_no_number(layers: Layers) -> None:
    assert total(seen_hard(layers)) == total(layers)
    assert not any(layer.soft for layer in seen_hard(layers))


@given(some_layers, st.integers(0, 60), st.integers(0, 20), st.sampled_from(D))
def test_every_animal_nobody_set_aside_is_ready_or_due(layers: Layers, earmarked: int, days: int, on: dt.date) -> None:
    earmarked = min(earmarked, total(layers))

    found = readiness(layers, earmarked, days, on)

    assert found.ready + sum(count for _, count in found.soft) == total(layers) - earmarked
    assert all(due > on for due, _ in found.soft)
    hard = sum(layer.count for layer in layers if not layer.soft or layer.entered_on + dt.timedelta(days=days) <= on)
    assert found.ready == max(0, hard - earmarked)


def test_earmarks_use_hard_animals_before_soft_ones() -> None:
    layers = (Layer(D[0], True, 3), Layer(D[9], True, 4), Layer(D[12], True, 2))

    assert readiness(layers, 0, 10, D[12]).ready == 3
    five = readiness(layers, 5, 10, D[12])

    assert (five.ready, five.soft) == (0, ((D[19], 2), (D[22], 2)))


def test_an_animal_may_pass_through_a_tub_in_any_order_of_recording() -> None:
    state: State = {1: (Layer(D[0], True, 1),)}
    died = Flow(1, 2, None, D[5], keeps_age=False)
    moved = Flow(1, 1, 2, D[5], keeps_age=True)

    play_day(state, [[died], [moved]])

    assert state == {1: (), 2: ()}


def test_animals_that_only_go_round_in_a_circle_leave_nothing() -> None:
    state: State = {}

    play_day(state, [[Flow(1, 1, 2, D[5], keeps_age=True)], [Flow(1, 2, 1, D[5], keeps_age=True)]])

    assert not any(state.values())


def test_what_finds_only_part_of_its_animals_goes_with_those_and_the_ages_stay() -> None:
    state: State = {1: (Layer(D[0], True, 2),), 2: (Layer(D[1], True, 1),)}
    late = [Flow(3, 1, 3, D[5], keeps_age=True)]
    later = [Flow(2, 3, 1, D[5], keeps_age=True)]

    play_day(state, [late, later])  # one went round: 1 ends with one, 3 with one

    assert state == {1: (Layer(D[0], True, 1),), 2: (Layer(D[1], True, 1),), 3: (Layer(D[0], True, 1),)}


def test_a_mark_holds_only_for_those_that_were_there() -> None:
    state: State = {1: (Layer(D[0], True, 2),)}

    play_day(state, [SeenHard((1,)), [Flow(3, None, 1, D[5], keeps_age=False)]])

    assert state == {1: (Layer(D[0], False, 2), Layer(D[5], True, 3))}


# --- in the ledger ---------------------------------------------------------------------------------------------


def kept(keeper: Keeper, lot: str, stage: str, tub: str = "") -> list[tuple[str, int]]:
    """The layers of a holding as kept: ('03-12', 5), with '!' for those seen hard."""
    number = keeper.ask(find_lot, lot).id
    rows = [row for row in keeper.ask(stock_on, lots=[number]) if row.stage == stage and row.tub == tub]
    if not rows:
        return []
    found = keeper.ask(layers_of, [rows[0].holding_id])[rows[0].holding_id]
    return [(f"{layer.entered_on:%m-%d}{'' if layer.soft else '!'}", layer.count) for layer in found]


def test_each_day_of_emergence_is_a_layer_and_the_oldest_go_first(both: Keeper) -> None:
    both.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-04-01"))
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-04-05"))
    assert kept(both, "P08", "adult") == [("04-01", 5), ("04-05", 6)]

    both.record("P08", Move("died", 7, stage="adult"))

    assert kept(both, "P08", "adult") == [("04-05", 4)]
    assert kept(both, "P08", "L3") == [("03-01", 3)]


def test_a_range_of_days_counts_from_its_end(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-04-05"), happened_from=day("2025-04-01"))

    assert kept(keeper, "P08", "adult") == [("04-05", 5)]


def test_sex_and_tub_do_not_make_an_animal_younger(both: Keeper) -> None:
    both.record("P08", Move("next stage", 14, to_stage="adult"), on=day("2025-04-01"))

    both.record("P08", Move("sexed", 3, to_sex="female", to_tub="F"), on=day("2025-04-20"))

    assert kept(both, "P08", "adult", "F") == [("04-01", 3)]


def test_a_split_takes_of_every_age_and_a_merge_brings_all_together(both: Keeper) -> None:
    both.record("P08", Move("next stage", 9, to_stage="adult"), on=day("2025-04-01"))
    both.record("P08", Move("next stage", 5, stage="L3", to_stage="adult"), on=day("2025-04-05"))

    both.do(SplitLot("P08", "P08.2", (Part(4),), day("2025-04-10")))  # quotas 2.57 and 1.43

    assert kept(both, "P08.2", "adult") == [("04-01", 3), ("04-05", 1)]
    assert kept(both, "P08", "adult") == [("04-01", 6), ("04-05", 4)]
    both.do(MergeLots(("P08", "P08.2"), "P20", day("2025-04-11")))
    assert kept(both, "P20", "adult") == [("04-01", 9), ("04-05", 5)]
    assert both.proof() == []


def test_back_dating_rebuilds_what_it_touches_downstream_too(both: Keeper) -> None:
    both.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-04-05"))
    both.do(SplitLot("P08", "P08.2", (Part(5, stage="adult"),), day("2025-04-10")))
    assert kept(both, "P08.2", "adult") == [("04-05", 5)]

    both.record("P08", Move("next stage", 5, stage="L3", to_stage="adult"), on=day("2025-04-01"))

    # of ten adults five had split off on 10 April: half of each age
    assert kept(both, "P08.2", "adult") == [("04-01", 3), ("04-05", 2)]
    assert kept(both, "P08", "adult") == [("04-01", 2), ("04-05", 3)]
    assert both.proof() == []


def test_a_reversal_gives_the_ages_back_as_they_were(both: Keeper) -> None:
    both.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-04-01"))
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-04-05"))
    number = both.record("P08", Move("died", 7, stage="adult")).refs["movement"]

    both.do(Reverse(int(number)))

    assert kept(both, "P08", "adult") == [("04-01", 5), ("04-05", 6)]


def test_a_day_whose_acts_no_longer_follow_from_each_other_still_keeps_every_age(both: Keeper) -> None:
    """What was in tub 1 this morning turns out to have left it yesterday."""
    both.record("P08", Move("tub moved", 2, to_tub="1"), on=day("2025-06-01"))
    both.record("P08", Move("tub moved", 2, tub="1", to_tub="3"))
    both.record("P08", Move("tub moved", 3, tub="", to_tub="1"))
    both.record("P08", Move("tub moved", 2, tub="1", to_tub=""), on=day("2025-06-01"))
    assert both.proof() == []

    both.record("P08", Move("tub moved", 1, tub="1", to_tub="3"))
    both.record("P08", Move("next stage", 1, tub="3", to_stage="pupa"))

    assert both.proof() == []
    assert [kept(both, "P08", "L3", tub) for tub in ("", "1", "3")] == [[("03-01", 11)], [], [("03-01", 2)]]


def test_an_act_of_such_a_day_is_worked_out_from_the_whole_day(keeper: Keeper) -> None:
    """Three went from tub 1 to tub 3 and two came back; then two of the three turn out to have left tub 1 before."""
    keeper.record("P08", Move("next stage", 6, to_stage="adult"), on=day("2025-04-01"))
    keeper.record("P08", Move("next stage", 3, stage="L3", to_stage="adult", to_tub="1"), on=day("2025-04-05"))
    keeper.record("P08", Move("tub moved", 3, stage="adult", tub="1", to_tub="3"))
    keeper.record("P08", Move("tub moved", 2, stage="adult", tub="3", to_tub="1"))
    keeper.record("P08", Move("tub moved", 2, stage="adult", tub="1", to_tub="2"), on=day("2025-06-01"))

    keeper.record("P08", Move("tub moved", 4, stage="adult", tub="", to_tub="1"))

    assert keeper.proof() == []


def test_seen_hard_marks_the_animals_that_were_there(both: Keeper) -> None:
    both.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-05-28"))

    done = both.do(SaveRound((Mark("P08", "seen hard"),), day("2025-05-30")))
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-06-01"))

    assert done.sentence == "P08: adults seen hard, 30 May 2025."
    assert kept(both, "P08", "adult") == [("05-28!", 5), ("06-01", 6)]
    assert both.proof() == []


def test_a_late_mark_is_put_where_it_belongs(both: Keeper) -> None:
    both.record("P08", Move("next stage", 5, to_stage="adult"), on=day("2025-05-20"))
    both.record("P08", Move("tub moved", 2, stage="adult", to_tub="7"), on=day("2025-05-25"))
    both.record("P08", Move("next stage", 6, stage="L3", to_stage="adult"), on=day("2025-06-01"))

    both.do(SaveRound((Mark("P08", "seen hard", stage="adult"),), day("2025-05-22")))

    assert kept(both, "P08", "adult", "7") == [("05-20!", 2)]
    assert kept(both, "P08", "adult") == [("05-20!", 3), ("06-01", 6)]
    assert both.proof() == []


def test_a_find_of_today_is_of_today(keeper: Keeper) -> None:
    keeper.do(AddLot("P09", "BEET", day("2025-05-01"), (Arrival("bought", "adult", unsexed=3),)))
    keeper.record("P09", Move("found", 1))

    assert kept(keeper, "P09", "adult") == [("05-01", 3), (f"{TODAY:%m-%d}", 1)]
