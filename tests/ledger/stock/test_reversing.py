"""Reverse, correct, undo: nothing is edited, a closed year stays, and what depends on a movement keeps it in place."""

from __future__ import annotations

import pytest
from sqlalchemy import func, insert, select

from ledger.act import Act
from ledger.errors import NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.records.periods import close
from ledger.stock.commands import (
    AddLot,
    Arrival,
    Correct,
    HatchOut,
    KeepBack,
    MergeLots,
    Move,
    Part,
    Record,
    Reverse,
    SplitLot,
    Undo,
)
from ledger.stock.entries import entries
from ledger.stock.events import without_reversed
from ledger.stock.moving import ResolvedMove, write_entries, write_entry
from ledger.stock.queries import choose_holdings, events, find_lot, stock_on
from ledger.stock.reversing import reversal_drafts
from ledger.stock.story import lot_story
from tests.ledger.stock.keeper import TODAY, Keeper, day, mantid


def test_a_reversal_takes_a_movement_back_and_says_what(both: Keeper) -> None:
    number = both.record("P08", Move("died", 3), on=day("2025-03-12")).refs["movement"]

    done = both.do(Reverse(number))

    assert done.sentence == "Taken back: P08: 3 L3 died, 12 March 2025."
    assert both.counts("P08") == {"L3": 14}
    assert both.counts("P08", day("2025-03-12")) == {"L3": 14}
    assert both.proof() == []


def test_by_the_day_it_happened_a_reversed_pair_is_absent(keeper: Keeper) -> None:
    number = keeper.record("P08", Move("next stage", 3, to_stage="adult"), on=day("2025-03-12")).refs["movement"]
    keeper.do(Reverse(number))

    rows = keeper.ask(events)

    assert [row.reason for row in rows] == ["hatched", "next stage", "next stage"]
    assert rows[2].from_stage == 6
    assert rows[2].to_stage == 3
    assert rows[2].happened_on == rows[1].happened_on == day("2025-03-12").toordinal()
    for by in ("happened_on", "accounting_on"):
        assert [row.reason for row in without_reversed(rows, by=by)] == ["hatched"]


def test_in_a_closed_year_the_movement_stands_and_the_counter_movement_is_accounted_later(both: Keeper) -> None:
    both.do(AddLot("P07", "BEET", day("2024-10-01"), (Arrival("hatched", "L3", unsexed=9),)))
    number = both.record("P07", Move("died", 2), on=day("2024-12-20")).refs["movement"]
    with both.store.writing() as conn:
        close(conn, 2024)

    done = both.do(Reverse(number))

    assert done.cautions == ("It is accounted on 1 January 2025; a closed year stays as it is.",)
    lot = both.ask(find_lot, "P07").id
    rows = both.ask(events, [lot])
    assert [row.reason for row in without_reversed(rows, by="happened_on")] == ["hatched"]
    by_accounting = without_reversed(rows, by="accounting_on")
    assert [(row.reason, row.reverses) for row in by_accounting] == [
        ("hatched", None),
        ("died", None),
        ("died", number),
    ]
    assert by_accounting[2].accounting_on == day("2025-01-01").toordinal()
    assert both.counts("P07", day("2024-12-31")) == {"L3": 9}


def test_what_was_done_with_the_animals_since_is_listed(both: Keeper) -> None:
    hatched = both.ask(events)[0].id
    moved = both.record("P08", Move("next stage", 5, to_stage="pupa"), on=day("2025-03-12")).refs["movement"]
    both.record("P08", Move("died", 1, stage="pupa"), on=day("2025-03-14"))
    entry = both.ask(entries, both.store.currency, limit=1)[0].id

    first = both.refused(Reverse(hatched), NotEnough)
    second = both.refused(Reverse(moved), NotEnough)

    assert first.facts["depends"] == (moved,)
    assert second.sentence == (
        f"Movement {moved} can't be taken back: its animals have gone on since. These depend on it: movement "
        f"{moved + 1} of entry {entry} (1 died, 14 March 2025); take them back first, the last one first."
    )


def test_animals_taken_back_in_the_right_order_leave_nothing(keeper: Keeper) -> None:
    hatched = keeper.ask(events)[0].id
    died = keeper.record("P08", Move("died", 14), on=day("2025-03-14")).refs["movement"]

    keeper.refused(Reverse(hatched))
    keeper.do(Reverse(died))
    keeper.do(Reverse(hatched))

    assert keeper.counts("P08") == {}
    assert keeper.proof() == []


def test_a_movement_is_taken_back_once_and_a_reversal_never(both: Keeper) -> None:
    number = both.record("P08", Move("died", 3)).refs["movement"]
    back = both.do(Reverse(number)).refs["movement"]

    twice = both.refused(Reverse(number))
    of_it = both.refused(Reverse(back))

    assert twice.sentence == (f"Movement {number} has been taken back already; record what is right as a new entry.")
    assert "is not taken back in turn" in of_it.sentence
    assert both.refused(Reverse(999), NotFound).facts == {"movement": 999}


def test_a_loss_stays_while_a_find_cancels_it(keeper: Keeper) -> None:
    lost = keeper.record("P08", Move("missing", 2), on=day("2025-03-20")).refs["movement"]
    found = keeper.record("P08", Move("found", 1)).refs["movement"]

    assert keeper.refused(Reverse(lost)).facts["depends"] == (found,)

    keeper.do(Reverse(found))
    keeper.do(Reverse(lost))
    assert keeper.counts("P08") == {"L3": 14}


def test_what_hatched_is_taken_back_together(keeper: Keeper) -> None:
    keeper.do(mantid())
    keeper.do(AddLot("H02", "MANT", day("2025-03-20"), (Arrival("laid", "ootheca", unsexed=2),)))
    keeper.do(HatchOut("H02", 1, 112, "L1", day("2025-05-05")))

    keeper.do(Reverse(keeper.ask(events)[-1].id))

    assert keeper.counts("H02") == {"ootheca": 2}


def sell(keeper: Keeper, count: int) -> int:
    """A sale, as the selling part writes it: document, entry, and what links them. Returns the movement."""

    def work(conn, act: Act) -> int:  # type: ignore[no-untyped-def]
        sale = conn.execute(
            insert(t.sale)
            .values(
                number="2025-0001",
                sold_on=TODAY,
                accounting_on=TODAY,
                channel="fair",
                customer_name="",
                to_post=0,
                note="",
                own_note="",
                operation_id=act.operation,
            )
            .returning(t.sale.c.id)
        ).scalar_one()
        assert sale == 1
        chosen = choose_holdings(conn, "P08", "L3", None, None, count, today=TODAY, free_only=True)
        moves = [ResolvedMove("sold", pick.count, pick.holding_id, free_only=True) for pick in chosen]
        return write_entry(conn, act, happened_on=TODAY, moves=moves).movement_ids[0]

    return keeper.act(work)


def test_a_sale_is_credited_and_not_taken_back_here(both: Keeper) -> None:
    number = sell(both, 4)

    assert both.refused(Reverse(number)).sentence == (
        f"Movement {number} belongs to sale 2025-0001; credit the sale instead."
    )
    assert both.refused(Undo()).sentence == both.refused(Reverse(number)).sentence


def test_the_credit_of_a_sale_brings_its_animals_back(both: Keeper) -> None:
    number = sell(both, 4)

    both.act(lambda conn, act: write_entries(conn, act, reversal_drafts(conn, [number])))

    assert both.counts("P08") == {"L3": 14}
    assert both.proof() == []
    with pytest.raises(Refused, match="taken back already"):
        both.act(lambda conn, act: write_entries(conn, act, reversal_drafts(conn, [number])))


def test_a_correction_reverses_and_records_in_one_act(both: Keeper) -> None:
    number = both.record("P08", Move("died", 3), on=day("2025-03-12")).refs["movement"]

    done = both.do(Correct(number, Record("P08", (Move("died", 4),), day("2025-03-13"))))

    assert done.sentence == ("Taken back: P08: 3 L3 died, 12 March 2025. Instead: P08: 4 of 14 L3 died, 13 March 2025.")
    assert both.counts("P08", day("2025-03-12")) == {"L3": 14}
    assert both.counts("P08") == {"L3": 10}
    with both.store.reading() as conn:
        acts = conn.execute(select(func.count(t.entry.c.operation_id.distinct()))).scalar_one()
    assert acts == 3
    assert both.proof() == []


def test_what_was_taken_back_and_what_takes_it_back_name_each_other_by_their_entries(keeper: Keeper) -> None:
    """The number of the list, not that of the movement: the two run apart once an act has several movements."""
    keeper.record("P08", Move("died", 1), Move("died", 1, cause="exceptional"), on=day("2025-03-12"))
    movement = keeper.record("P08", Move("missing", 3), on=day("2025-03-12")).refs["movement"]
    keeper.do(Reverse(int(movement)))

    back, gone = (row for row in keeper.ask(entries, keeper.store.currency)[:2])

    assert gone.id != movement
    assert gone.text == f"Taken back by entry {back.id}: P08: 3 L3 missing at count."
    assert back.text == f"Taken back (entry {gone.id}): P08: 3 L3 missing at count."
    story = [
        row.text
        for row in keeper.ask(lot_story, keeper.ask(find_lot, "P08"), keeper.store.currency)
        if "taken back" in row.text
    ]
    assert story == [
        f"taken back by entry {back.id}: P08: 3 L3 missing at count",
        f"taken back (entry {gone.id}): P08: 3 L3 missing at count",
    ]


def test_an_arrival_whose_animals_have_all_gone_on_can_still_be_corrected_to_more(both: Keeper) -> None:
    hatched = both.ask(events)[0].id
    both.record("P08", Move("next stage", 14, to_stage="pupa"), on=day("2025-04-01"))

    both.do(Correct(hatched, Record("P08", (Move("hatched", 16, to_stage="L3"),), day("2025-03-01"))))

    assert both.counts("P08") == {"L3": 2, "pupa": 14}
    assert both.proof() == []


def test_but_not_to_fewer_than_have_gone_on(keeper: Keeper) -> None:
    hatched = keeper.ask(events)[0].id
    keeper.record("P08", Move("next stage", 14, to_stage="pupa"), on=day("2025-04-01"))

    correction = Correct(hatched, Record("P08", (Move("hatched", 13, to_stage="L3"),), day("2025-03-01")))

    assert keeper.refused(correction, NotEnough).facts["depends"] == (2,)


def test_a_corrected_find_cancels_the_same_loss_again(keeper: Keeper) -> None:
    lost = keeper.record("P08", Move("missing", 2), on=day("2025-03-20")).refs["movement"]
    found = keeper.record("P08", Move("found", 2)).refs["movement"]

    keeper.do(Correct(found, Record("P08", (Move("found", 1),), TODAY)))

    assert keeper.ask(events)[-1].relates_to == lost


def test_undo_takes_back_the_whole_of_ones_last_act(both: Keeper) -> None:
    both.record("P08", Move("next stage", 4, to_stage="pupa"), Move("died", 1, stage="L3"))

    done = both.do(Undo())

    assert done.sentence == ("Taken back: P08: 4 L3 moved on to pupa; P08: 1 L3 died, 2 June 2025.")
    assert both.counts("P08") == {"L3": 14}
    assert both.proof() == []


def test_undo_again_takes_back_the_act_before(keeper: Keeper) -> None:
    keeper.record("P08", Move("died", 1))
    keeper.record("P08", Move("died", 2))

    keeper.do(Undo())
    keeper.do(Undo())

    assert keeper.counts("P08") == {"L3": 14}


def test_undo_of_a_new_lot_takes_its_animals_back_and_says_that_the_lot_stays(keeper: Keeper) -> None:
    done = keeper.do(Undo())

    assert done.cautions == ("P08 stays in the books, without these animals.",)
    assert keeper.counts("P08") == {}
    assert keeper.proof() == []


def test_undo_never_touches_what_somebody_else_or_another_window_recorded(both: Keeper) -> None:
    oda = Keeper(both.store, by="oda")
    both.record("P08", Move("died", 1))
    oda.record("P08", Move("died", 2))

    both.do(Undo())

    assert both.counts("P08") == {"L3": 12}
    line = Keeper(both.store, by="wren", source="command")
    assert line.refused(Undo(), NotFound).sentence == "There is nothing of yours to undo in the stock."


def test_undo_of_mine_works_though_the_last_act_of_all_was_a_sale_of_somebody_else(keeper: Keeper) -> None:
    keeper.record("P08", Move("died", 1))
    sell(Keeper(keeper.store, by="oda"), 2)

    keeper.do(Undo())

    assert keeper.counts("P08") == {"L3": 12}


def test_a_correction_is_not_undone(keeper: Keeper) -> None:
    number = keeper.record("P08", Move("died", 3)).refs["movement"]
    keeper.do(Correct(number, Record("P08", (Move("died", 4),), TODAY)))

    assert "correct it once more" in keeper.refused(Undo()).sentence


def test_a_merge_can_be_undone_while_its_lot_has_no_other_entry(both: Keeper) -> None:
    both.do(SplitLot("P08", "P08.2", (Part(5),), TODAY))
    both.do(MergeLots(("P08", "P08.2"), "P20", TODAY))

    done = both.do(Undo())

    assert done.cautions == ("P20 stays in the books, without these animals.",)
    assert (both.counts("P08"), both.counts("P08.2"), both.counts("P20")) == ({"L3": 9}, {"L3": 5}, {})
    assert both.proof() == []


def test_a_merge_stays_once_its_lot_has_another_entry(keeper: Keeper) -> None:
    keeper.do(SplitLot("P08", "P08.2", (Part(5),), TODAY))
    merged = keeper.do(MergeLots(("P08", "P08.2"), "P20", TODAY)).refs["movement"]
    died = keeper.record("P20", Move("died", 1)).refs["movement"]

    refusal = keeper.refused(Reverse(int(merged)))

    assert "only while P20 has no other entry" in refusal.sentence
    assert refusal.facts["depends"] == (died,)


def test_animals_bought_and_taken_back_take_their_cost_back(both: Keeper) -> None:
    bought = both.record("P08", Move("bought", 5, to_stage="L3", value=1250)).refs["movement"]

    both.do(Reverse(int(bought)))

    with both.store.reading() as conn:
        rows = conn.execute(select(t.cost).order_by(t.cost.c.id)).all()
        paid = conn.execute(select(t.cost_change)).one()
    assert [(row.gross, row.kind, row.reverses) for row in rows] == [
        (1250, "animals", None),
        (1250, "animals", rows[0].id),
    ]
    assert (rows[0].movement_id, rows[1].movement_id) == (bought, bought + 1)
    assert (paid.kind, paid.amount, paid.cost_id) == ("paid", 1250, rows[0].id)


def test_undoing_a_death_restores_the_earmark_it_shortened(both: Keeper) -> None:
    both.do(KeepBack("P08", 4, "future breeders", TODAY))
    both.record("P08", Move("died", 12))

    both.do(Undo())

    [row] = both.ask(stock_on)
    assert (row.count, row.earmarked) == (14, 4)
    assert both.proof() == []
