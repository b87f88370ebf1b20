"""From movements to the counts of a lot: what is a start, a loss, early leaving or nothing, and that it adds up."""

from __future__ import annotations

import random
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.errors import Refused
from ledger.rearing.cohort import LotHistory, Tie, lot_flows
from ledger.rearing.survival import Flow, survival_curve
from ledger.stock.events import Event
from ledger.stock.reasons import Survival

CLOCK = 738_000
OOTHECA, L1, PUPA, SOFT, ADULT, SPECIMEN = range(6)


@dataclass(frozen=True, slots=True)
class Stage:
    name: str
    unit: str = "animal"


STAGES = (
    Stage("ootheca", "object"),
    Stage("L1"),
    Stage("pupa"),
    Stage("soft adult"),
    Stage("adult"),
    Stage("specimen", "specimen"),
)


def tie(**numbers: int) -> Tie:
    return Tie(**{name: numbers.get(name, 0) for name in Tie.__slots__})


class Journal:
    """Movements of lot 1 unless said otherwise, numbered as written; days on the clock that starts on `CLOCK`."""

    def __init__(self) -> None:
        self.events: list[Event] = []

    def _add(self, day: int, reason: str, count: int, **ends: int | None) -> int:
        number = len(self.events) + 1
        self.events.append(Event(number, number, CLOCK + day, CLOCK + day, reason, count, **ends))
        return number

    def come(
        self, day: int, reason: str, count: int, stage: int = L1, *, lot: int = 1, relates_to: int | None = None
    ) -> int:
        return self._add(day, reason, count, to_lot=lot, to_stage=stage, relates_to=relates_to)

    def go(self, day: int, reason: str, count: int, stage: int = L1, *, lot: int = 1) -> int:
        return self._add(day, reason, count, from_lot=lot, from_stage=stage)

    def move(
        self, day: int, reason: str, count: int, stage: int, to_stage: int, *, lot: int = 1, to_lot: int = 1
    ) -> int:
        return self._add(day, reason, count, from_lot=lot, from_stage=stage, to_lot=to_lot, to_stage=to_stage)

    def history(
        self, *, lots: frozenset[int] | set[int] = frozenset({1}), on: int = 1000, missing_as: Survival = Survival.LOST
    ) -> LotHistory:
        return lot_flows(self.events, lots, CLOCK, STAGES, SOFT, CLOCK + on, missing_as=missing_as)


def test_eggs_and_larvae_hatched_on_the_first_day_are_the_start() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    journal.go(20, "died", 2)
    journal.move(40, "next stage", 6, L1, PUPA)
    journal.move(60, "next stage", 5, PUPA, SOFT)
    journal.move(70, "next stage", 5, SOFT, ADULT)

    history = journal.history()

    assert history.states == ("L1", "pupa", "soft adult", "lost")
    assert history.start == (10, 0, 0, 0)
    assert history.start_day == 0
    assert history.first_stage == "L1"
    assert history.last_day == 1000
    assert history.flows == (
        Flow(20, "move", 0, 3, 2),
        Flow(40, "move", 0, 1, 6),
        Flow(60, "move", 1, 2, 5),
    )
    assert history.tie == tie(starts=10, reached=5, lost=2, pending=3)


def test_what_becomes_of_reared_animals_does_not_matter() -> None:
    journal = Journal()
    journal.come(0, "collected", 4)
    journal.move(40, "next stage", 4, L1, SOFT)
    before = journal.history()
    journal.go(50, "died", 1, SOFT)
    journal.move(51, "next stage", 3, SOFT, ADULT)
    journal.go(60, "sold", 1, ADULT)
    journal.move(61, "dried", 1, ADULT, SPECIMEN)
    journal.go(70, "sold", 1, SPECIMEN)
    journal.move(80, "split", 1, ADULT, ADULT, to_lot=2)

    assert journal.history() == before
    assert before.tie == tie(starts=4, reached=4)


def test_animals_that_come_already_reared_are_no_part_of_the_survival() -> None:
    journal = Journal()
    journal.come(0, "hatched", 4)
    journal.come(5, "bought", 3, ADULT)
    journal.go(6, "died", 1, ADULT)

    assert journal.history().tie == tie(starts=4, pending=4, came_reared=3)
    assert journal.history().flows == ()


def test_adults_there_before_the_first_young_do_not_start_the_count() -> None:
    journal = Journal()
    journal.come(0, "bought", 3, ADULT)
    journal.come(5, "hatched", 8)

    assert (journal.history().start_day, journal.history().start) == (5, (8, 0, 0, 0))


def test_a_lot_that_only_ever_held_adults_has_no_survival() -> None:
    journal = Journal()
    journal.come(0, "bought", 3, ADULT)

    history = journal.history()

    assert history.start == (0, 0, 0, 0)
    assert history.first_stage is None


def test_sold_given_used_and_escaped_young_leave_early_and_died_culled_and_dried_young_are_lost() -> None:
    journal = Journal()
    journal.come(0, "laid", 9)
    for reason in ("sold", "given away", "used as feed", "escaped", "own use", "swapped out", "died", "culled"):
        journal.go(30, reason, 1)
    journal.move(30, "dried", 1, L1, SPECIMEN)

    history = journal.history()

    assert history.tie == tie(starts=9, left_early=6, lost=3)
    assert sum(flow.count for flow in history.flows if flow.kind == "leave") == 6
    assert sum(flow.count for flow in history.flows if flow.target == history.lost) == 3


def test_movements_within_a_stage_and_between_the_lots_looked_at_are_nothing() -> None:
    journal = Journal()
    journal.come(0, "hatched", 9)
    plain = journal.history(lots={1, 2})
    journal.move(10, "sexed", 3, L1, L1)
    journal.move(10, "tub moved", 3, L1, L1)
    journal.move(11, "split", 4, L1, L1, to_lot=2)

    assert journal.history(lots={1, 2}) == plain


def test_a_split_is_out_of_sight_here_late_entry_there_and_nothing_to_the_family() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    journal.move(20, "split", 4, L1, L1, to_lot=2)
    journal.move(50, "next stage", 6, L1, SOFT)
    journal.move(55, "next stage", 3, L1, SOFT, lot=2, to_lot=2)
    journal.go(56, "died", 1, lot=2)

    parent, child, family = journal.history(), journal.history(lots={2}), journal.history(lots={1, 2})

    assert parent.tie == tie(starts=10, parted=4, reached=6)
    assert Flow(20, "leave", 0, None, 4) in parent.flows
    assert child.tie == tie(joined=4, reached=3, lost=1)
    assert (child.start_day, child.start) == (20, (4, 0, 0, 0))
    assert family.tie == tie(starts=10, reached=9, lost=1)


def test_animals_that_begin_after_the_first_day_enter_late() -> None:
    journal = Journal()
    journal.come(0, "hatched", 5)
    journal.come(0, "bought", 2, PUPA)
    journal.come(3, "hatched", 7)

    history = journal.history()

    assert history.start == (5, 0, 0, 0)
    assert history.flows == (Flow(0, "enter", None, 1, 2), Flow(3, "enter", None, 0, 7))
    assert history.tie == tie(starts=14, pending=14)


def test_a_bought_lot_counts_from_the_day_it_came_in_the_mix_it_came() -> None:
    journal = Journal()
    journal.come(0, "bought", 6)
    journal.come(0, "bought", 4, PUPA)

    history = journal.history()

    assert history.start == (6, 4, 0, 0)
    assert history.first_stage == "L1"


def test_a_lot_first_counted_after_its_clock_began_counts_from_there() -> None:
    journal = Journal()
    journal.come(40, "found", 12, PUPA)
    journal.move(50, "next stage", 12, PUPA, SOFT)

    history = journal.history()

    assert (history.start_day, history.start, history.first_stage) == (40, (0, 12, 0, 0), "pupa")
    assert history.tie == tie(starts=12, reached=12)


def test_what_hatches_from_an_object_starts_then_and_objects_are_no_animals() -> None:
    journal = Journal()
    journal.come(0, "laid", 3, OOTHECA)
    journal.go(30, "died", 1, OOTHECA)
    out = journal.go(45, "hatched out", 2, OOTHECA)
    journal.come(45, "hatched", 60, relates_to=out)
    journal.go(50, "died", 15)

    history = journal.history()

    assert (history.start_day, history.start) == (45, (60, 0, 0, 0))
    assert history.tie == tie(starts=60, lost=15, pending=45)


def test_missing_animals_found_again_were_there_all_along() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    gone = journal.go(20, "missing", 4)
    journal.come(40, "found", 3, PUPA, relates_to=gone)

    history = journal.history()

    assert history.tie == tie(starts=10, lost=1, missing=1, pending=9)
    assert history.flows == (Flow(20, "move", 0, 3, 1), Flow(40, "move", 0, 1, 3))
    assert journal.history(on=39).tie == tie(starts=10, lost=4, missing=4, pending=6)


def test_more_found_than_missing_enter_late_beyond_the_number_missing() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    gone = journal.go(20, "missing", 2)
    journal.come(40, "found", 1, relates_to=gone)
    journal.come(45, "found", 3, relates_to=gone)

    assert journal.history().tie == tie(starts=12, pending=12)
    assert journal.history().flows == (Flow(45, "enter", None, 0, 2),)


def test_animals_found_before_the_missing_went_are_others() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    gone = journal.go(40, "missing", 2)
    journal.come(30, "found", 2, relates_to=gone)

    assert journal.history().tie == tie(starts=12, lost=2, missing=2, pending=10)


def test_animals_found_at_an_earlier_stage_than_the_missing_are_others() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    journal.move(30, "next stage", 5, L1, PUPA)
    gone = journal.go(40, "missing", 2, PUPA)
    journal.come(50, "found", 2, L1, relates_to=gone)

    assert journal.history().tie == tie(starts=12, lost=2, missing=2, pending=10)


def test_missing_animals_may_be_counted_as_left_for_the_upper_end_of_the_range() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    journal.go(20, "missing", 3)
    journal.go(20, "died", 1)

    high = journal.history(missing_as=Survival.CENSORED)

    assert journal.history().tie == tie(starts=10, lost=4, missing=3, pending=6)
    assert high.tie == tie(starts=10, lost=1, left_early=3, missing=3, pending=6)
    assert Flow(20, "leave", 0, None, 3) in high.flows


def test_animals_returned_alive_are_the_same_animals_again() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    sale = journal.go(20, "sold", 5)
    journal.come(24, "returned", 2, relates_to=sale)

    history = journal.history()

    assert history.tie == tie(starts=10, left_early=3, pending=7)
    assert history.flows == (Flow(20, "leave", 0, None, 5), Flow(24, "enter", None, 0, 2))


def test_animals_sold_young_and_returned_reared_were_reared_elsewhere_and_reared_ones_returned_change_nothing() -> None:
    journal = Journal()
    journal.come(0, "hatched", 10)
    sale = journal.go(20, "sold", 5)
    journal.move(30, "next stage", 5, L1, SOFT)
    later = journal.go(40, "sold", 2, SOFT)
    journal.come(44, "returned", 1, SOFT, relates_to=sale)
    journal.come(44, "returned", 2, SOFT, relates_to=later)

    assert journal.history().tie == tie(starts=10, reached=5, left_early=5, came_reared=1)


def test_animals_on_loan_to_us_are_left_out_whatever_becomes_of_them() -> None:
    journal = Journal()
    journal.come(0, "hatched", 4)
    journal.come(1, "lent in", 3)
    journal.go(5, "loan returned", 1)
    journal.go(30, "died", 1)
    journal.move(40, "next stage", 5, L1, PUPA)
    journal.go(41, "died", 4, PUPA)

    history = journal.history()

    assert history.tie == tie(starts=4, lost=4)
    assert history.flows == (
        Flow(30, "move", 0, 3, 1),
        Flow(40, "move", 0, 1, 3),
        Flow(41, "move", 1, 3, 3),
    )


def test_an_animal_may_arrive_moult_and_die_on_one_day_whatever_order_it_was_written_in() -> None:
    journal = Journal()
    journal.come(0, "hatched", 5)
    journal.go(7, "died", 1, PUPA)
    journal.move(7, "next stage", 2, L1, PUPA)
    journal.come(7, "found", 1)
    journal.go(7, "died", 4)

    assert journal.history().flows == (
        Flow(7, "enter", None, 0, 1),
        Flow(7, "move", 0, 3, 4),
        Flow(7, "move", 0, 1, 2),
        Flow(7, "move", 1, 3, 1),
    )


def test_movements_after_the_day_looked_at_and_of_other_lots_are_passed_over() -> None:
    journal = Journal()
    journal.come(0, "hatched", 5)
    journal.come(0, "hatched", 50, lot=9)
    journal.go(30, "died", 1)
    journal.go(31, "died", 1)

    history = journal.history(on=30)

    assert history.tie == tie(starts=5, lost=1, pending=4)
    assert history.last_day == 30


def test_a_movement_back_to_an_earlier_stage_is_refused_with_what_to_do() -> None:
    journal = Journal()
    journal.come(0, "hatched", 5)
    journal.move(10, "next stage", 2, L1, PUPA)
    journal.move(11, "next stage", 2, PUPA, L1)

    with pytest.raises(Refused, match="Movement 3 takes 2 animals back from pupa to L1; reverse the movement"):
        journal.history()


def test_more_animals_than_are_there_is_a_mistake_of_the_caller() -> None:
    journal = Journal()
    journal.come(0, "hatched", 5)
    journal.go(10, "died", 6)

    with pytest.raises(ValueError, match="movement 2 takes 6 animals out of L1 where 5 are"):
        journal.history()


@given(seed=st.integers(0, 10**6))
def test_every_animal_is_accounted_for_as_if_each_had_been_followed_by_name(seed: int) -> None:
    journal, fates = invented_journal(random.Random(seed))
    random.Random(seed + 1).shuffle(journal.events)

    history = journal.history()

    counted = history.tie
    assert counted.adds_up
    assert counted.entered == len(fates) - fates.count("parted")
    assert counted.reached == fates.count("reared")
    assert counted.lost == fates.count("lost") + fates.count("missing")
    assert counted.missing == fates.count("missing")
    assert counted.left_early == fates.count("left")
    assert counted.parted == fates.count("parted")
    assert counted.pending == sum(1 for fate in fates if fate in ("L1", "pupa"))

    if any(history.start):
        curve = survival_curve(
            history.states, history.start, history.flows, start_day=history.start_day, absorbing=(2, 3)
        )
        assert curve.now.tolist() == [fates.count("L1"), fates.count("pupa"), counted.reached, counted.lost]


def test_a_tie_that_leaves_an_animal_out_does_not_add_up() -> None:
    assert tie(starts=10, reached=4, lost=3, left_early=2, pending=1).adds_up
    assert not tie(starts=10, reached=4, lost=3, left_early=2, pending=0).adds_up
    assert not tie(starts=10, joined=2, parted=1, reached=10).adds_up


def invented_journal(rng: random.Random) -> tuple[Journal, list[str]]:
    """A possible journal of one lot, and the fate of each of its animals followed one by one."""
    journal = Journal()
    fates: list[str] = []
    missing: dict[int, list[int]] = {}
    sold: dict[int, list[int]] = {}
    names = {L1: "L1", PUPA: "pupa"}

    def some(fate: str) -> list[int]:
        there = [i for i, was in enumerate(fates) if was == fate]
        return rng.sample(there, rng.randint(0, len(there)))

    def become(animals: list[int], fate: str) -> None:
        for i in animals:
            fates[i] = fate

    for day in range(0, 60, rng.choice((3, 4, 7))):
        if day == 0 or rng.random() < 0.15:
            stage = rng.choice((L1, L1, PUPA))
            reason = rng.choice(("hatched", "bought", "found"))
            count = rng.randint(1, 12)
            journal.come(day, reason, count, stage)
            fates += [names[stage]] * count
        for stage in (L1, PUPA):
            for reason, fate in (("died", "lost"), ("missing", "missing"), ("sold", "left"), ("split", "parted")):
                animals = some(names[stage]) if rng.random() < 0.15 else []
                if animals and reason == "split":
                    journal.move(day, reason, len(animals), stage, stage, to_lot=2)
                elif animals:
                    number = journal.go(day, reason, len(animals), stage)
                    if stage == L1 and reason in ("missing", "sold"):
                        (missing if reason == "missing" else sold)[number] = animals
                become(animals, fate)
            animals = some(names[stage]) if rng.random() < 0.3 else []
            if animals:
                onward, fate = rng.choice(((PUPA, "pupa"), (SOFT, "reared"))) if stage == L1 else (SOFT, "reared")
                journal.move(day, "next stage", len(animals), stage, onward)
                become(animals, fate)
        for gone, reason in ((missing, "found"), (sold, "returned")):
            if gone and rng.random() < 0.2:
                number = rng.choice(list(gone))
                back = [gone[number].pop() for _ in range(rng.randint(1, len(gone[number])))]
                if not gone[number]:
                    del gone[number]
                journal.come(day + 1, reason, len(back), PUPA, relates_to=number)
                become(back, "pupa")
    return journal, fates
