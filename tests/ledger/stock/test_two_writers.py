"""Several people writing at once on a server: guards hold, and what is kept still follows from the journals."""

from __future__ import annotations

import threading

from ledger.errors import NotEnough, Refused
from ledger.records.store import Store, open_store
from ledger.stock import earmarks
from ledger.stock.commands import KeepBack, Mark, Move, Reverse, SaveRound, SplitLot
from ledger.stock.commands import Part as PartOf
from ledger.stock.queries import events
from tests.ledger.stock.keeper import TODAY, Keeper, day, settled


def at_once(*works: object) -> list[BaseException]:
    """Run the works side by side; what they raised, refusals left out."""
    raised: list[BaseException] = []
    start = threading.Barrier(len(works))

    def one(work) -> None:  # type: ignore[no-untyped-def]
        start.wait()
        try:
            work()
        except Refused:
            pass
        except BaseException as error:
            raised.append(error)

    threads = [threading.Thread(target=one, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return raised


def test_many_small_acts_side_by_side_leave_a_ledger_that_adds_up(pg_store: Store) -> None:
    settled(Keeper(pg_store)).record("P08", Move("found", 60, to_stage="L3"), on=day("2025-03-02"))
    people = [Keeper(open_store(pg_store.target), by=name) for name in ("wren", "oda", "tarn", "ash")]

    def work(keeper: Keeper, turn: int):  # type: ignore[no-untyped-def]
        def acts() -> None:
            for step in range(12):
                kind = (step * 7 + turn * 3) % 6
                try:
                    if kind == 0:
                        keeper.record("P08", Move("died", 1, stage="L3", tub=""))
                    elif kind == 1:
                        keeper.record("P08", Move("tub moved", 2, stage="L3", tub="", to_tub=str(step % 3)))
                    elif kind == 2:
                        keeper.record("P08", Move("next stage", 1, stage="L3", tub="", to_stage="adult"))
                    elif kind == 3:
                        keeper.do(SaveRound((Mark("P08", "seen hard", stage="L3"),), TODAY))
                    elif kind == 4:
                        keeper.do(KeepBack("P08", 2, "old", TODAY, stage="L3", tub=""))
                    else:
                        keeper.record("P08", Move("died", 1, stage="L3", tub=""), on=day("2025-03-02"))
                except Refused:
                    pass

        return acts

    raised = at_once(*(work(keeper, turn) for turn, keeper in enumerate(people)))

    assert raised == []
    assert people[0].proof() == []
    for keeper in people:
        keeper.store.close()


def test_the_last_animals_go_to_one_of_two(pg_store: Store) -> None:
    settled(Keeper(pg_store))
    people = [Keeper(open_store(pg_store.target), by=name) for name in ("wren", "oda")]
    refused: list[NotEnough] = []

    def hold(keeper: Keeper):  # type: ignore[no-untyped-def]
        def work() -> None:
            try:
                keeper.act(lambda conn, act: earmarks.make(conn, act, "held", 10, [(1, 10)]))
            except NotEnough as refusal:
                refused.append(refusal)

        return work

    assert at_once(*(hold(keeper) for keeper in people)) == []

    assert len(refused) == 1
    assert [one.now for one in people[0].ask(earmarks.earmarks)] == [10]
    for keeper in people:
        keeper.store.close()


def test_one_movement_is_taken_back_by_one_of_two(pg_store: Store) -> None:
    number = int(settled(Keeper(pg_store)).record("P08", Move("died", 5)).refs["movement"])
    people = [Keeper(open_store(pg_store.target), by=name) for name in ("wren", "oda")]

    assert at_once(*(lambda keeper=keeper: keeper.do(Reverse(number)) for keeper in people)) == []

    assert people[0].counts("P08") == {"L3": 14}
    assert sum(event.reverses == number for event in people[0].ask(events)) == 1
    for keeper in people:
        keeper.store.close()


def test_one_code_goes_to_one_of_two(pg_store: Store) -> None:
    settled(Keeper(pg_store))
    people = [Keeper(open_store(pg_store.target), by=name) for name in ("wren", "oda")]
    split = SplitLot("P08", "P09", (PartOf(3),), TODAY)

    assert at_once(*(lambda keeper=keeper: keeper.do(split) for keeper in people)) == []

    assert people[0].counts("P09") == {"L3": 3}
    assert people[0].counts("P08") == {"L3": 11}
    for keeper in people:
        keeper.store.close()
