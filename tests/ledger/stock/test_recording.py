"""Recording what happened: the sentence says it in full, the counts follow, and a missing word is asked for."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import select

from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound
from ledger.records import tables as t
from ledger.stock.commands import AddLot, Arrival, HatchOut, Move, Record
from ledger.stock.queries import events
from tests.ledger.stock.keeper import TODAY, Keeper, day, mantid


def test_a_death_is_said_with_how_many_there_were(both: Keeper) -> None:
    done = both.record("P08", Move("died", 3), on=day("2025-03-12"))

    assert done.sentence == "P08: 3 of 14 L3 died, 12 March 2025."
    assert both.counts("P08") == {"L3": 11}
    assert both.proof() == []


def test_the_preview_says_what_the_act_will_say(keeper: Keeper) -> None:
    command = Record("P08", (Move("next stage", 12, to_stage="pupa"),), TODAY)

    planned = keeper.preview(command).sentence

    assert planned == keeper.do(command).sentence == "P08: 12 of 14 L3 moved on to pupa, 2 June 2025."


def test_a_past_day_shows_what_was_there_then(both: Keeper) -> None:
    both.record("P08", Move("next stage", 12, to_stage="pupa"), on=day("2025-04-10"))

    assert both.counts("P08", day("2025-04-09")) == {"L3": 14}
    assert both.counts("P08", day("2025-04-10")) == both.counts("P08") == {"L3": 2, "pupa": 12}
    assert both.counts("P08", day("2025-02-28")) == {}


def test_animals_go_into_tubs_one_by_one_from_where_they_all_were(both: Keeper) -> None:
    done = both.record("P08", *(Move("tub moved", 1, stage="L3", to_tub=str(tub)) for tub in range(1, 11)))

    assert done.sentence == "P08: 10 of 14 L3 moved to tubs 1 to 10, 2 June 2025."
    assert both.counts("P08") == {"L3": 4} | {f"L3 in {tub}": 1 for tub in range(1, 11)}
    assert both.proof() == []


def test_one_animal_in_its_tub_moves_on_and_is_sexed_in_one_go(keeper: Keeper) -> None:
    keeper.record("P08", Move("tub moved", 1, to_tub="07"))

    done = keeper.record("P08", Move("next stage", 1, tub="07", to_stage="adult", to_sex="female"))

    assert done.sentence == "P08/07: 1 of 1 L3 moved on to adult, female, 2 June 2025."
    assert keeper.counts("P08") == {"L3": 13, "adult female in 07": 1}


def test_next_stage_alone_means_the_one_that_follows(keeper: Keeper) -> None:
    assert keeper.record("P08", Move("next stage", 2)).sentence == "P08: 2 of 14 L3 moved on to pupa, 2 June 2025."


def test_animals_arrive_emerge_and_die_on_one_day(both: Keeper) -> None:
    done = both.record(
        "P08",
        Move("found", 3, to_stage="pupa"),
        Move("next stage", 3, stage="pupa", to_stage="adult"),
        Move("died", 3, stage="adult"),
        on=day("2025-05-01"),
    )

    assert done.sentence == (
        "P08: 3 pupae found at count; 3 of 3 pupae moved on to adult; 3 of 3 adults died, 1 May 2025."
    )
    assert both.counts("P08") == {"L3": 14}
    assert both.proof() == []


def test_the_order_in_which_the_moves_of_an_entry_are_said_does_not_matter(both: Keeper) -> None:
    done = both.record(
        "P08",
        Move("died", 2, stage="adult"),
        Move("next stage", 3, stage="pupa", to_stage="adult"),
        Move("next stage", 14, stage="L3", to_stage="pupa"),
    )

    assert done.sentence == (
        "P08: 14 of 14 L3 moved on to pupa; 3 of 14 pupae moved on to adult; 2 of 3 adults died, 2 June 2025."
    )
    assert both.counts("P08") == {"pupa": 11, "adult": 1}
    assert both.proof() == []


def test_a_move_whose_animals_never_come_is_refused(keeper: Keeper) -> None:
    moves = (Move("died", 2, stage="adult"), Move("next stage", 3, to_stage="pupa"))

    assert "no adults" in keeper.refused(Record("P08", moves, TODAY), NotEnough).sentence


def test_about_forty_is_an_estimate_until_counted(keeper: Keeper) -> None:
    from ledger.stock.commands import Mark, SaveRound
    from ledger.stock.queries import lot_rows

    opening = Arrival("opening", "L3", unsexed=40, estimated=True)
    done = keeper.do(AddLot("P01", "BEET", day("2025-01-05"), (opening,)))

    assert done.sentence == "P01 (loft beetle): about 40 L3 were here at the start, 5 January 2025."
    rows = {row.code: row for row in keeper.ask(lot_rows, TODAY, today=TODAY)}
    assert (rows["P01"].about, rows["P08"].about) == (True, False)

    keeper.do(SaveRound((Mark("P01", "counted", count=38),), day("2025-02-01")))
    assert not keeper.ask(lot_rows, TODAY, today=TODAY)[0].about


def test_a_missing_animal_that_is_found_cancels_the_loss_and_the_rest_is_an_excess(both: Keeper) -> None:
    lost = both.record("P08", Move("missing", 3), on=day("2025-03-20")).refs["movement"]

    done = both.record("P08", Move("found", 5), on=day("2025-04-01"))

    assert done.sentence == (
        "P08: 3 L3 found at count (missing since 20 March 2025); 2 L3 found at count, 1 April 2025."
    )
    found = [event for event in both.ask(events) if event.reason == "found"]
    assert [(event.count, event.relates_to) for event in found] == [(3, lost), (2, None)]
    assert both.counts("P08") == {"L3": 16}
    again = both.record("P08", Move("found", 1))
    assert again.sentence == "P08: 1 L3 found at count, 2 June 2025."


def test_a_find_cancels_the_newest_loss_first(keeper: Keeper) -> None:
    first = keeper.record("P08", Move("missing", 2), on=day("2025-03-20")).refs["movement"]
    second = keeper.record("P08", Move("missing", 1), on=day("2025-03-25")).refs["movement"]

    keeper.record("P08", Move("found", 2))

    links = [(event.count, event.relates_to) for event in keeper.ask(events) if event.reason == "found"]
    assert links == [(1, second), (1, first)]


def test_a_find_in_an_empty_lot_is_what_went_missing(keeper: Keeper) -> None:
    keeper.record("P08", Move("missing", 14), on=day("2025-03-20"))

    assert keeper.record("P08", Move("found", 1)).sentence == (
        "P08: 1 L3 found at count (missing since 20 March 2025), 2 June 2025."
    )


def test_a_find_explained_as_a_miscount_is_kept_so(keeper: Keeper) -> None:
    keeper.record("P08", Move("found", 3, explained=True))

    with keeper.store.reading() as conn:
        row = conn.execute(select(t.movement).where(t.movement.c.reason == "found")).one()
    assert row.explained == 1


@pytest.mark.parametrize(
    ("reason", "said", "kept"),
    [
        ("died", None, "unknown"),
        ("died", "exceptional", "exceptional"),
        ("missing", None, "unknown"),
        ("culled", None, "ordinary"),
        ("escaped", None, "unknown"),
        ("given away", None, None),
    ],
)
def test_every_reason_has_its_cause(keeper: Keeper, reason: str, said: str | None, kept: str | None) -> None:
    keeper.record("P08", Move(reason, 1, cause=said))

    assert keeper.ask(events)[-1].cause == kept


def test_a_cause_that_is_not_unknown_is_said(keeper: Keeper) -> None:
    done = keeper.record("P08", Move("died", 2, cause="exceptional"))

    assert done.sentence == "P08: 2 of 14 L3 died (exceptional cause), 2 June 2025."


def test_several_stages_and_no_word_which_is_asked(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 4, to_stage="pupa"))

    refusal = keeper.refused(Record("P08", (Move("died", 3),), TODAY), Ambiguous)

    assert refusal.sentence == "P08 has 10 L3 and 4 pupae; say which stage."
    assert isinstance(refusal, Ambiguous)
    assert refusal.choices == ("P08 L3", "P08 pupa")


def test_several_sexes_and_tubs_are_asked_with_both_in_the_choices(keeper: Keeper) -> None:
    arrival = (Arrival("bought", "adult", males=2, females=3, tub="1"), Arrival("bought", "adult", females=1))
    keeper.do(AddLot("P09", "BEET", day("2025-05-01"), arrival))

    refusal = keeper.refused(Record("P09", (Move("died", 1),), TODAY), Ambiguous)

    assert isinstance(refusal, Ambiguous)
    assert refusal.choices == ("P09 adult female in no tub", "P09/1 adult female", "P09/1 adult male")
    done = keeper.record("P09", Move("died", 1, sex="female", tub="1"))
    assert done.sentence == "P09/1: 1 of 3 female adults died, 2 June 2025."


def test_if_all_animals_of_several_holdings_are_meant_nothing_is_asked(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 4, to_stage="pupa"))

    done = keeper.record("P08", Move("died", 14))

    assert done.sentence == "P08: 10 of 10 L3 died; 4 of 4 pupae died, 2 June 2025."
    assert keeper.counts("P08") == {}


def test_a_dried_specimen_cannot_die(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 14, to_stage="adult"))
    keeper.record("P08", Move("dried", 4))

    assert keeper.record("P08", Move("died", 1)).sentence == "P08: 1 of 10 adults died, 2 June 2025."
    refusal = keeper.refused(Record("P08", (Move("died", 1, stage="dried specimen"),), TODAY), BadInput)
    assert "cannot be" in refusal.sentence


def test_sexing_takes_the_unsexed_and_can_be_corrected(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 14, to_stage="adult"))

    first = keeper.record("P08", Move("sexed", 5, to_sex="male", to_sure="probable"))
    second = keeper.record("P08", Move("sex corrected", 2, sex="male", to_sex="female"))

    assert first.sentence == "P08: 5 of 14 adults sexed probable male, 2 June 2025."
    assert second.sentence == "P08: 2 of 5 probable male adults sex corrected to female, 2 June 2025."
    assert keeper.counts("P08") == {"adult": 9, "adult probable male": 3, "adult female": 2}


def test_objects_hatch_and_carry_their_link(both: Keeper) -> None:
    both.do(mantid())
    both.do(AddLot("H02", "MANT", day("2025-03-20"), (Arrival("laid", "ootheca", unsexed=2),)))

    done = both.do(HatchOut("H02", 1, 112, "L1", day("2025-05-05"), day("2025-05-03"), to_tub="A"))

    assert done.sentence == (
        "H02: 1 of 2 oothecae hatched out; 112 L1 in tub A hatched here, between 3 May 2025 and 5 May 2025."
    )
    assert both.counts("H02") == {"ootheca": 1, "L1 in A": 112}
    out, came = both.ask(events)[-2:]
    assert (out.reason, came.reason, came.relates_to) == ("hatched out", "hatched", out.id)


def test_a_day_to_come_is_refused(keeper: Keeper) -> None:
    refusal = keeper.refused(Record("P08", (Move("died", 1),), TODAY + dt.timedelta(days=1)), BadInput)

    assert refusal.sentence == ("3 June 2025 is still to come; record what has happened, up to today (2 June 2025).")


@pytest.mark.parametrize(
    ("command", "kind", "words"),
    [
        (Record("P88", (Move("died", 1),), TODAY), NotFound, "did you mean P08?"),
        (Record("P08", (Move("died", 1, stage="larva"),), TODAY), NotFound, "the stages are egg, L1"),
        (Record("P08", (Move("died", 15),), TODAY), NotEnough, "only 14 L3"),
        (Record("P08", (Move("died", 1, tub="3"),), TODAY), NotEnough, "P08/3 has no animals"),
        (Record("P08", (Move("died", 0),), TODAY), BadInput, "from 1 to"),
        (Record("P08", (), TODAY), BadInput, "at least one movement"),
        (Record("P08", (Move("sold", 1),), TODAY), BadInput, "sell them instead"),
        (Record("P08", (Move("vanished", 1),), TODAY), NotFound, "not a reason"),
        (Record("P08", (Move("died", 1, cause="heater"),), TODAY), BadInput, "unknown, ordinary or exceptional"),
        (Record("P08", (Move("missing", 1, cause="ordinary"),), TODAY), BadInput, "is unknown"),
        (Record("P08", (Move("given away", 1, cause="ordinary"),), TODAY), BadInput, "Only a death"),
        (Record("P08", (Move("died", 1, value=100),), TODAY), BadInput, "Only animals bought"),
        (Record("P08", (Move("next stage", 1, stage="L3", to_stage="L1"),), TODAY), BadInput, "does not come before"),
        (Record("P08", (Move("next stage", 1, to_stage="dried specimen"),), TODAY), BadInput, "do not move on"),
        (Record("P08", (Move("tub moved", 1),), TODAY), BadInput, "which tub"),
        (Record("P08", (Move("sexed", 1),), TODAY), BadInput, "which sex"),
        (Record("P08", (Move("sexed", 1, to_sex="boy"),), TODAY), BadInput, "is no sex"),
        (Record("P08", (Move("laid", 5),), TODAY), Ambiguous, "in which stage"),
        (Record("P08", (Move("found", 1, relates_to=99),), TODAY), BadInput, "no open loss"),
        (Record("P08", (Move("died", 1),), day("2025-02-01")), BadInput, "started on 1 March 2025"),
        (Record("P08", (Move("died", 1),), TODAY, happened_from=day("2025-06-03")), BadInput, "swap"),
        (Record("P08", (Move("died", 1),), TODAY, note="a\x1bb"), BadInput, "cannot be kept"),
        (Record("P08", (Move("died", 1, tub="../x"),), TODAY), BadInput, "cannot be a tub"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_changes_nothing(
    keeper: Keeper, command: Record, kind: type, words: str
) -> None:
    refusal = keeper.refused(command, kind)

    assert words in refusal.sentence
    assert refusal.sentence[-1] in ".?"


def test_a_movement_that_takes_a_later_day_below_nothing_says_which_day(both: Keeper) -> None:
    both.record("P08", Move("died", 12), on=day("2025-03-14"))

    refusal = both.refused(Record("P08", (Move("died", 3),), day("2025-03-12")), NotEnough)

    assert refusal.sentence == (
        "P08: 1 L3 too few on 14 March 2025, when only 2 are there; choose another day or number, or record it as "
        "found at count first."
    )
    assert refusal.facts["date"] == day("2025-03-14")
    assert (refusal.facts["there"], refusal.facts["lacking"], refusal.facts["offer"]) == (2, 1, "found")


def test_the_preview_refuses_the_same_later_day(keeper: Keeper) -> None:
    keeper.record("P08", Move("died", 12), on=day("2025-03-14"))

    with pytest.raises(NotEnough, match="1 L3 too few on 14 March 2025"):
        keeper.preview(Record("P08", (Move("died", 3),), day("2025-03-12")))


def test_found_at_count_first_makes_it_possible(keeper: Keeper) -> None:
    keeper.record("P08", Move("died", 12), on=day("2025-03-14"))
    keeper.record("P08", Move("found", 1), on=day("2025-03-10"))

    keeper.record("P08", Move("died", 3), on=day("2025-03-12"))

    assert keeper.counts("P08") == {}
    assert keeper.proof() == []


def test_a_late_entry_in_a_closed_year_is_accounted_on_the_first_open_day(both: Keeper) -> None:
    from ledger.records.periods import close

    both.do(AddLot("P07", "BEET", day("2024-10-01"), (Arrival("hatched", "L3", unsexed=9),)))
    with both.store.writing() as conn:
        close(conn, 2024)

    done = both.record("P07", Move("died", 2), on=day("2024-12-20"))

    assert done.cautions[0] == (
        "The year of 20 December 2024 is closed: this is accounted on 1 January 2025 and keeps its date."
    )
    last = both.ask(events)[-1]
    assert last.happened_on == day("2024-12-20").toordinal()
    assert last.accounting_on == day("2025-01-01").toordinal()


def test_recording_a_death_of_today_takes_few_statements(both: Keeper) -> None:
    from sqlalchemy import event

    both.record("P08", Move("died", 1))
    said: list[str] = []
    listen = lambda _c, _cur, text, *_more: said.append(text)  # noqa: E731
    event.listen(both.store._engine, "before_cursor_execute", listen)

    both.record("P08", Move("died", 1))

    event.remove(both.store._engine, "before_cursor_execute", listen)
    own = [text for text in said if "operation.token" not in text and "outcome" not in text]
    assert len(own) <= 12, own
