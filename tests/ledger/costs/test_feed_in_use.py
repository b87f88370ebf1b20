"""Feed in use: a bag lasts until the next of the same item is opened, and nobody is asked for days."""

from __future__ import annotations

import pytest
from sqlalchemy.event import listen

from ledger.books.commands import CloseYear
from ledger.costs.commands import EndWindow, ReverseCost, Spend, TakeOut
from ledger.costs.in_use import opened_before
from ledger.costs.windows import GUESS_DAYS
from ledger.errors import Refused
from ledger.stock.commands import AddLot, Arrival
from tests.ledger.costs.keeper import Keeper, day


def bag(keeper: Keeper, on: str, gross: int = 1000, text: str = "", **more: object) -> int:
    return int(keeper.do(Spend(day(on), "feed", gross, text=text, **more)).refs["cost"])  # type: ignore[arg-type]


def lasts(keeper: Keeper, number: int, until: str = "2025-06-02") -> int:
    """Days a cost is used up over, as it stands."""
    cost = keeper.spread(until)[number]
    return cost.last - cost.first + 1


def test_a_first_bag_is_thought_to_last_thirty_days(keeper: Keeper) -> None:
    plan = keeper.ledger.preview(Spend(day("2025-03-01"), "feed", 1000))
    number = bag(keeper, "2025-03-01")

    assert "until the next is opened (a first guess: 30 days)" in plan.sentence
    assert lasts(keeper, number) == GUESS_DAYS == 30


def test_opening_the_next_ends_the_last_and_gives_the_guess(keeper: Keeper) -> None:
    first = bag(keeper, "2025-03-01")

    plan = keeper.ledger.preview(Spend(day("2025-04-10"), "feed", 1000))
    second = bag(keeper, "2025-04-10")

    assert "the last one took 40 days" in plan.sentence
    assert plan.cautions == (
        f"Cost {first}, opened on 1 March 2025, ends as this one is opened: its last day is 9 April 2025.",
    )
    assert (lasts(keeper, first), lasts(keeper, second)) == (40, 40)


def test_a_second_bag_of_one_day_ends_the_first_on_that_day(keeper: Keeper) -> None:
    first = bag(keeper, "2025-03-01")

    plan = keeper.ledger.preview(Spend(day("2025-03-01"), "feed", 1000))
    bag(keeper, "2025-03-01")

    used_up, maybe_twice = plan.cautions
    assert used_up == f"Cost {first}, opened on 1 March 2025, ends as this one is opened: its last day is 1 March 2025."
    assert f"There is already cost {first} of the same day" in maybe_twice
    assert lasts(keeper, first) == 1


def test_another_thing_of_the_same_category_ends_nothing(keeper: Keeper) -> None:
    jelly = bag(keeper, "2025-03-01", text="Jelly")
    bag(keeper, "2025-03-11", text="leaf litter")

    assert lasts(keeper, jelly) == 30

    bag(keeper, "2025-03-21", text="jelly")

    assert lasts(keeper, jelly) == 20


def test_another_thing_that_is_likely_finished_is_asked_about_when_one_for_the_same_animals_is_opened(
    keeper: Keeper,
) -> None:
    bramble = bag(keeper, "2025-03-01", text="bramble leaf")
    keeper.do(Spend(day("2025-03-02"), "feed", 900, stored=True, quantity="1", unit="bag"))

    def said(on: str) -> list[str]:
        plans = (keeper.ledger.preview(one) for one in (Spend(day(on), "feed", 800), TakeOut("feed", 1000, day(on))))
        return [caution for plan in plans for caution in plan.cautions if "stays in use" in caution]

    assert said("2025-03-20") == []  # both are in use side by side
    assert (
        said("2025-04-10")
        == [
            f"Cost {bramble} (bramble leaf), opened on 1 March 2025, stays in use beside it; say when it was used up, "
            "if it was."
        ]
        * 2
    )

    keeper.do(EndWindow(bramble, day("2025-04-10"), day("2025-04-09")))
    assert said("2025-04-10") == []


def test_a_first_thing_of_a_category_is_thought_to_last_as_long_as_the_last_of_it(keeper: Keeper) -> None:
    bag(keeper, "2025-03-01", text="jelly")
    bag(keeper, "2025-03-21", text="jelly")

    plan = keeper.ledger.preview(Spend(day("2025-04-01"), "feed", 1000, text="leaf litter"))
    litter = bag(keeper, "2025-04-01", text="leaf litter")

    assert "a first guess: as long as the last of its category" in plan.sentence
    assert plan.cautions == ()
    assert lasts(keeper, litter) == 20


def test_a_bag_for_one_lot_does_not_end_the_bag_for_all(keeper: Keeper) -> None:
    everyone = bag(keeper, "2025-03-01")
    bag(keeper, "2025-03-11", scope="lots", lots=("L",))

    assert lasts(keeper, everyone) == 30


def test_a_bag_finished_early_or_late_is_spread_again_from_its_start(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-03-11"), (Arrival("collected", "larva", unsexed=10),)))
    number = bag(keeper, "2025-03-01", 3000)
    assert keeper.carried("2025-03-31") == {1: 2000, 2: 1000}

    keeper.do(EndWindow(number, day("2025-03-10"), day("2025-03-10")))
    assert keeper.carried("2025-03-31") == {1: 3000}

    keeper.do(EndWindow(number, day("2025-05-01"), day("2025-04-29")))
    assert keeper.carried("2025-06-02") == {1: 500 + 1250, 2: 1250}


def test_a_finish_recorded_after_a_close_spreads_only_what_is_not_locked(keeper: Keeper) -> None:
    keeper.at("2026-02-01")
    number = bag(keeper, "2025-12-22", 3000)
    keeper.do(CloseYear(2025, day("2026-02-01")))
    assert keeper.carried("2025-12-31") == {1: 1000}

    keeper.do(EndWindow(number, day("2026-02-01"), day("2026-01-05")))

    parts = keeper.spread("2026-02-01")[number].spread.parts
    assert [(part.first, part.last, part.amount) for part in parts] == [
        (day("2025-12-22").toordinal(), day("2025-12-31").toordinal(), 1000),
        (day("2026-01-01").toordinal(), day("2026-01-05").toordinal(), 2000),
    ]
    assert keeper.carried("2025-12-31") == {1: 1000}


def test_what_is_in_use_is_listed_with_how_long_it_is_thought_to_last(keeper: Keeper) -> None:
    bag(keeper, "2025-03-01", text="jelly")
    bag(keeper, "2025-04-10", text="jelly")
    bag(keeper, "2025-05-20", text="litter")
    bag(keeper, "2025-05-20", text="gone", window_to=day("2025-05-25"))

    jelly, litter = keeper.ledger.in_use()

    assert (jelly.item, jelly.opened_on, jelly.thought_until) == ("jelly", day("2025-04-10"), day("2025-05-19"))
    assert (jelly.overdue, litter.overdue) == (True, False)
    assert litter.thought_until == day("2025-06-28")
    assert (litter.whom, litter.basis) == ((), 1000)


def statements(keeper: Keeper) -> int:
    """How many times the database is asked to plan one more bag for a lot that had none."""
    asked: list[str] = []
    with keeper.ledger.store.reading() as conn:
        listen(conn, "before_cursor_execute", lambda *args: asked.append(args[2]))
        opened_before(conn, "feed", "bag", "lots", (1,), day("2025-06-01"))
    return len(asked)


def test_what_was_opened_before_is_asked_in_as_many_statements_however_much_was_opened(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-01-01"), (Arrival("collected", "larva", unsexed=10),)))
    bag(keeper, "2025-02-01", scope="lots", lots=("M",))
    few = statements(keeper)

    for number in range(20):
        bag(keeper, "2025-03-01", text=f"bag {number}", scope="lots", lots=("M",))

    assert statements(keeper) == few


def test_bags_in_one_act_see_each_other_and_one_that_was_refused_is_not_seen(keeper: Keeper) -> None:
    with keeper.ledger.together("test") as acts:
        first = int(acts.do(Spend(day("2025-03-01"), "feed", 1000)).refs["cost"])
        with pytest.raises(Refused):
            acts.do(Spend(day("2025-03-05"), "feed", 0))
        second = acts.do(Spend(day("2025-03-11"), "feed", 1000))
        assert second.cautions == (
            f"Cost {first}, opened on 1 March 2025, ends as this one is opened: its last day is 10 March 2025.",
        )
        acts.do(ReverseCost(int(second.refs["cost"])))
        third = acts.do(Spend(day("2025-03-21"), "Feed", 1000))
    assert "the last one took 20 days" in third.sentence


def test_a_bag_taken_back_or_of_other_animals_ends_nothing(keeper: Keeper) -> None:
    keeper.do(AddLot("M", "BUG", day("2025-01-01"), (Arrival("collected", "larva", unsexed=10),)))
    bag(keeper, "2025-03-01", scope="lots", lots=("M",))
    keeper.do(ReverseCost(bag(keeper, "2025-03-02")))
    bag(keeper, "2025-05-01")

    plan = keeper.ledger.preview(Spend(day("2025-04-01"), "feed", 1000))

    assert "a first guess: 30 days" in plan.sentence
    assert plan.cautions == ()


def test_a_bag_of_a_closed_year_entered_late_does_not_end_the_one_opened_after_it(keeper: Keeper) -> None:
    keeper.at("2026-02-01")
    in_use = bag(keeper, "2025-12-12", 4000)
    keeper.do(CloseYear(2025, day("2026-02-01")))

    plan = keeper.ledger.preview(Spend(day("2025-11-02"), "feed", 1000))
    late = bag(keeper, "2025-11-02")

    assert plan.cautions == ("That year is closed: it is accounted on 1 January 2026 and keeps its date.",)
    assert "a first guess: as long as the last of its category" in plan.sentence
    assert lasts(keeper, in_use, "2026-02-01") == GUESS_DAYS
    assert keeper.spread("2026-02-01")[late].first == day("2026-01-01").toordinal()

    bag(keeper, "2026-01-21")

    assert lasts(keeper, in_use, "2026-02-01") == 40
    assert lasts(keeper, late, "2026-02-01") == 20


def test_but_it_ends_the_one_opened_before_it(keeper: Keeper) -> None:
    keeper.at("2026-02-01")
    before = bag(keeper, "2025-12-12", 4000)
    keeper.do(CloseYear(2025, day("2026-02-01")))

    plan = keeper.ledger.preview(Spend(day("2025-12-20"), "feed", 1000))
    bag(keeper, "2025-12-20")

    assert (
        plan.cautions[0]
        == f"Cost {before}, opened on 12 December 2025, ends as this one is opened: its last day is 31 December 2025."
    )
    assert lasts(keeper, before, "2026-02-01") == 20
