"""Animals set aside: never sold twice, never a reason why a death or a move can't be recorded."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Connection, select

from ledger.act import Act
from ledger.errors import NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.stock import earmarks
from ledger.stock.commands import AddLot, Arrival, FreeKept, KeepBack, MergeLots, Move, Part, Record, Reverse, SplitLot
from ledger.stock.moving import ResolvedMove, write_entry
from ledger.stock.queries import choose_holdings, find_lot, stock_on
from tests.ledger.stock.keeper import TODAY, Keeper, day


def hold(keeper: Keeper, lot: str, count: int, kind: str = "held", **which: Any) -> int:
    """An earmark as a hold makes it, its number."""

    def work(conn: Connection, act: Act) -> int:
        chosen = choose_holdings(conn, lot, **which, count=count, today=TODAY, free_only=True)
        return earmarks.make(conn, act, kind, count, [(one.holding_id, one.count) for one in chosen])

    return keeper.act(work)


def sell(keeper: Keeper, lot: str, count: int, **which: Any) -> None:
    """Animals out, only such as nobody has set aside."""

    def work(conn: Connection, act: Act) -> None:
        chosen = choose_holdings(conn, lot, **which, count=count, today=TODAY)
        moves = [ResolvedMove("sold", one.count, one.holding_id, free_only=True) for one in chosen]
        write_entry(conn, act, happened_on=TODAY, moves=moves)

    keeper.act(work)


def aside(keeper: Keeper, number: int) -> dict[str, int]:
    """{'P08 L3': 3}: where the animals of an earmark are."""
    found = keeper.ask(earmarks.get, number)
    rows = {row.holding_id: f"{row.lot} {row.stage}{f' {row.tub}' if row.tub else ''}" for row in keeper.ask(stock_on)}
    return {rows[holding]: count for holding, count in found.on}


def test_animals_kept_back_are_not_free(both: Keeper) -> None:
    done = both.do(KeepBack("P08", 4, "deformed", TODAY))

    assert done.sentence == "P08: 4 L3 kept back (deformed), 2 June 2025."
    [row] = both.ask(stock_on)
    assert (row.count, row.earmarked, row.free) == (14, 4, 10)
    refusal = both.refused(KeepBack("P08", 11, "old", TODAY), NotEnough)
    assert refusal.sentence == (
        "P08: 11 L3 asked for, but of 14 only 10 are free; 4 are held, kept back or to be posted. Take fewer, or "
        "free some first."
    )


def test_a_sale_takes_only_what_is_free(both: Keeper) -> None:
    hold(both, "P08", 12)
    before = both.everything()

    with pytest.raises(NotEnough, match="P08: 3 L3 asked for, but only 2 are free"):
        sell(both, "P08", 3)

    assert both.everything() == before
    sell(both, "P08", 2)
    assert both.counts("P08") == {"L3": 12}


def test_an_earmark_takes_only_what_is_free_even_when_the_plan_was_made_before(both: Keeper) -> None:
    [row] = both.ask(stock_on)
    hold(both, "P08", 12)
    before = both.everything()

    with pytest.raises(NotEnough, match="only 2 of 14 are free"):
        both.act(lambda conn, act: earmarks.make(conn, act, "held", 3, [(row.holding_id, 2), (row.holding_id, 1)]))

    assert both.everything() == before


def test_what_was_sold_to_post_goes_out_by_its_own_earmark(both: Keeper) -> None:
    number = hold(both, "P08", 12, "to post")

    def post(conn: Connection, act: Act) -> None:
        moves = [ResolvedMove("sold", n, holding, free_only=True) for holding, n in earmarks.take(conn, act, number)]
        write_entry(conn, act, happened_on=TODAY, moves=moves)

    both.act(post)

    assert both.counts("P08") == {"L3": 2}
    assert both.ask(earmarks.earmarks) == ()
    assert both.proof() == []


def test_a_death_takes_unmarked_animals_first_and_then_shortens_the_newest_earmark(both: Keeper) -> None:
    first, second = hold(both, "P08", 5), hold(both, "P08", 6)

    done = both.record("P08", Move("died", 2))
    assert done.cautions == ()
    assert both.ask(earmarks.shorts) == ()
    both.record("P08", Move("died", 1))
    done = both.record("P08", Move("died", 2))

    assert done.cautions == (
        "2 of them are held, kept back or to be posted: what they are set aside for goes along if they move, and is "
        "short if they are gone.",
    )
    assert (aside(both, first), aside(both, second)) == ({"P08 L3": 5}, {"P08 L3": 4})
    [short] = both.ask(earmarks.shorts)
    assert (short.id, short.asked, short.now, short.short) == (second, 6, 4, 2)
    assert both.proof() == []


def test_when_the_newest_is_used_up_the_one_before_is_shortened(keeper: Keeper) -> None:
    first, second = hold(keeper, "P08", 5), hold(keeper, "P08", 6)

    keeper.record("P08", Move("died", 10))

    assert [(one.id, one.now) for one in keeper.ask(earmarks.shorts)] == [(first, 4), (second, 0)]
    assert keeper.proof() == []


def test_a_kept_animal_that_is_dried_is_gone(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 14, to_stage="adult"))
    number = hold(keeper, "P08", 14)

    keeper.record("P08", Move("dried", 3))

    assert aside(keeper, number) == {"P08 adult": 11}


def test_an_earmark_goes_along_when_its_animals_move_on(both: Keeper) -> None:
    number = hold(both, "P08", 6)

    both.record("P08", Move("next stage", 8, to_stage="pupa"))
    assert aside(both, number) == {"P08 L3": 6}

    both.record("P08", Move("next stage", 4, stage="L3", to_stage="pupa", to_tub="3"))
    assert aside(both, number) == {"P08 L3": 2, "P08 pupa 3": 4}
    assert both.ask(earmarks.shorts) == ()
    assert both.proof() == []


def test_an_earmark_goes_along_through_split_and_merge(both: Keeper) -> None:
    number = hold(both, "P08", 12)

    both.do(SplitLot("P08", "P08.2", (Part(5),), TODAY))
    assert aside(both, number) == {"P08 L3": 9, "P08.2 L3": 3}

    both.do(MergeLots(("P08", "P08.2"), "P20", TODAY))
    assert aside(both, number) == {"P20 L3": 12}
    assert both.proof() == []


def test_a_move_taken_back_brings_the_earmark_back_as_it_was(both: Keeper) -> None:
    both.do(AddLot("P09", "BEET", day("2025-03-01"), (Arrival("hatched", "pupa", unsexed=9),)))
    both.do(MergeLots(("P08", "P09"), "P20", day("2025-03-02"), "mixed by accident"))
    number = hold(both, "P20", 14, stage="L3")
    moved = both.record("P20", Move("next stage", 14, stage="L3", to_stage="pupa")).refs["movement"]
    assert aside(both, number) == {"P20 pupa": 14}

    both.do(Reverse(int(moved)))

    assert aside(both, number) == {"P20 L3": 14}
    assert both.proof() == []


def test_an_earmark_that_is_short_can_be_filled_up_again(keeper: Keeper) -> None:
    number = hold(keeper, "P08", 14)
    keeper.record("P08", Move("died", 2))
    keeper.record("P08", Move("found", 2))
    [row] = keeper.ask(stock_on)

    keeper.act(lambda conn, act: earmarks.add(conn, act, number, [(row.holding_id, 2)]))

    assert keeper.ask(earmarks.shorts) == ()
    assert keeper.proof() == []


def test_kept_animals_are_given_free_once(both: Keeper) -> None:
    number = int(both.do(KeepBack("P08", 4, "deformed", TODAY)).refs["earmark"])

    done = both.do(FreeKept(number, TODAY))

    assert done.sentence == "Free again: P08 4 L3 (kept back: deformed), 2 June 2025."
    assert [row.free for row in both.ask(stock_on)] == [14]
    assert "free already" in both.refused(FreeKept(number, TODAY)).sentence
    assert both.proof() == []


def test_an_earmark_shortened_to_nothing_can_still_end(keeper: Keeper) -> None:
    number = int(keeper.do(KeepBack("P08", 14, "old", TODAY)).refs["earmark"])
    keeper.record("P08", Move("died", 14))

    keeper.do(FreeKept(number, TODAY))

    assert keeper.ask(earmarks.earmarks) == ()
    with pytest.raises(Refused, match="ended already"):
        keeper.act(lambda conn, act: earmarks.free(conn, act, number))


def test_only_kept_animals_are_given_free_here(keeper: Keeper) -> None:
    number = hold(keeper, "P08", 3)

    assert "release the hold instead" in keeper.refused(FreeKept(number, TODAY)).sentence
    keeper.refused(FreeKept(99, TODAY), NotFound)


def test_earmarks_never_stop_what_happens_to_animals(keeper: Keeper) -> None:
    hold(keeper, "P08", 14)

    for reason in ("died", "missing", "culled", "escaped", "given away", "own use", "used as feed"):
        keeper.record("P08", Move(reason, 1))
    keeper.record("P08", Move("tub moved", 3, to_tub="1"))
    keeper.do(Record("P08", (Move("next stage", 3, tub="1", to_stage="pupa"),), TODAY))

    assert keeper.counts("P08") == {"L3": 4, "pupa in 1": 3}
    assert keeper.proof() == []


def test_the_cache_is_the_sum_of_the_events(keeper: Keeper) -> None:
    number = hold(keeper, "P08", 12)
    keeper.record("P08", Move("next stage", 9, to_stage="pupa"))
    keeper.record("P08", Move("died", 5, stage="L3"))

    with keeper.store.reading() as conn:
        events = conn.execute(select(t.earmark_event.c.change, t.earmark_event.c.why)).all()
    assert [tuple(row) for row in events] == [
        (12, "made"),
        (-7, "followed"),
        (7, "followed"),
        (-5, "shortened"),
    ]
    assert aside(keeper, number) == {"P08 pupa": 7}
    assert keeper.ask(find_lot, "p08").code == "P08"
