"""What is coming on, from the ledger: hardening counted in, promises subtracted, everything left out said."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from ledger.errors import BadInput, NotFound, Refused
from ledger.rearing.coming import Coming
from ledger.rearing.commands import KeepOutlook
from ledger.rearing.kept import KeptWeek, score
from ledger.rearing.kept import Record as Score
from ledger.selling.commands import Pick, PlaceHold
from ledger.stock.commands import (
    AddLot,
    Arrival,
    DescribeSpecies,
    Move,
    Part,
    Record,
    SetFigure,
    SetLotFact,
    SplitLot,
    StageSpec,
    Undo,
)
from tests.ledger.rearing.loft import START, Loft


def coming(loft: Loft, **more: object) -> Coming:
    (found,) = loft.ledger.coming(**more)  # type: ignore[arg-type]
    return found


def test_without_own_lots_the_template_serves_and_it_says_so(loft: Loft) -> None:
    loft.lot("B1", 0, 40)

    found = coming(loft)

    assert (found.animals, found.stage, found.hardening) == (40, "adult", 7)
    assert found.weeks[-1].running.mean == pytest.approx(40 * 0.8 * 0.9, rel=0.08)
    assert sum(week.ready.mean for week in found.weeks[:6]) < 1
    assert found.rests_on[:2] == (
        "larva: none of your own yet; the usual 25 to 35 days and 80 % count as 10 more",
        "pupa: none of your own yet; the usual 18 to 24 days and 90 % count as 10 more",
    )
    assert "with a stated guess while they are few" in found.rests_on[2]


def test_animals_far_longer_in_a_stage_than_any_is_expected_to_be_are_told(loft: Loft) -> None:
    """Larvae take 25 to 35 days: on day 52 they are late, on day 53 so late that it is said."""
    loft.lot("B1", 0, 40)
    loft.move("B1", 30, 5, "larva", "pupa")
    loft.on(52)
    assert not any("look whether" in remark for remark in coming(loft).rests_on)
    loft.on(53)

    assert coming(loft).rests_on[-2] == (
        "B1: 35 larvae have been there for up to 53 days, where 35 is long; taken to move on within days: look whether "
        "they are there"
    )


def test_own_lots_make_it_narrower_and_move_it_to_their_own_days(learned: Loft) -> None:
    learned.lot("B1", 150, 40)

    found = coming(learned)

    assert found.weeks[-1].running.mean == pytest.approx(40 * 72 / 90, rel=0.08)
    middle = sum(week.ready.mean * (week.first - found.on).days for week in found.weeks) / found.weeks[-1].running.mean
    assert 49 <= middle + 3 <= 63
    assert found.rests_on[0].startswith("larva: 72 of 90 own animals moved on")


def test_hardening_days_are_counted_in_and_soft_adults_are_due_on_their_day(learned: Loft) -> None:
    learned.lot("B1", 150, 10, "pupa", reason="bought")
    learned.move("B1", 155, 4, "pupa", "adult")

    found = coming(learned)

    assert found.on == START + dt.timedelta(days=155)
    assert found.weeks[0].ready.low >= 4
    assert dict(found.lots[0].stages) == {"pupa": 6, "adult": 4}
    soft_day = found.on + dt.timedelta(days=7)
    assert found.weeks[0].first <= soft_day <= found.weeks[0].last


def test_hard_adults_are_no_longer_coming(learned: Loft) -> None:
    assert learned.ledger.coming() == ()


def test_promised_animals_are_taken_from_the_first_that_become_ready(learned: Loft) -> None:
    learned.lot("B1", 150, 40)
    before = coming(learned)
    learned.do(PlaceHold("Tarn", (Pick("B1", 12),), learned.ledger.today, "2026-01-31"))

    after = coming(learned)

    assert (before.promised, after.promised) == (0, 12)
    assert [week.ready for week in after.weeks] == [week.ready for week in before.weeks]
    last = after.weeks[-1]
    assert (last.free.low, last.free.high) == (last.running.low - 12, last.running.high - 12)
    assert after.weeks[0].free.high == 0


def test_a_hold_that_has_lapsed_promises_nothing(learned: Loft) -> None:
    learned.lot("B1", 150, 40)
    learned.do(PlaceHold("Tarn", (Pick("B1", 12),), learned.ledger.today, str(learned.ledger.today)))
    learned.on(152)

    assert coming(learned).promised == 0


def test_the_same_ledger_and_day_give_the_same_outlook_and_another_day_another(learned: Loft) -> None:
    learned.lot("B1", 150, 40)

    one, again = coming(learned), coming(learned)
    learned.on(151)

    assert one == again
    assert coming(learned) != one


def test_a_past_day_is_reckoned_from_what_was_there_then(learned: Loft) -> None:
    learned.lot("B1", 150, 40)
    then = coming(learned)
    learned.gone("B1", 160, 30)

    past = coming(learned, on=START + dt.timedelta(days=150))

    assert past.animals == 40
    assert past.weeks[-1].running.mean == pytest.approx(then.weeks[-1].running.mean, rel=0.1)
    assert coming(learned).animals == 10


def test_both_databases_give_the_same_outlook(both: Loft) -> None:
    both.course("A1", 0, reared=20, lost=10)
    both.lot("B1", 70, 40)

    found = coming(both)

    assert found.animals == 40
    assert found.weeks[-1].running.low < found.weeks[-1].running.mean < found.weeks[-1].running.high


def test_lots_that_breed_are_in_quarantine_or_lent_are_left_out_by_name(learned: Loft) -> None:
    learned.lot("B1", 150, 40)
    learned.lot("B2", 150, 10, purpose="breeding")
    learned.lot("B3", 150, 10, purpose="quarantine")
    learned.lot("B4", 150, 10)
    learned.do(SetLotFact("B4", "lent out", "to a school", learned.ledger.today))

    found = coming(learned)

    assert found.animals == 40
    assert found.left_out == (
        "B2 is left out: it is kept for breeding.",
        "B3 is left out: it is in quarantine.",
        "B4 is left out: it is lent out.",
    )


def test_a_split_changes_nothing_of_the_outlook_but_the_lots_named(learned: Loft) -> None:
    learned.lot("B1", 150, 40)
    before = coming(learned)
    learned.do(SplitLot("B1", "B2", (Part(15),), learned.ledger.today))

    after = coming(learned)

    assert [lot.lot for lot in after.lots] == ["B1", "B2"]
    assert after.weeks[-1].running.mean == pytest.approx(before.weeks[-1].running.mean, rel=0.05)


def test_objects_are_left_out_since_nobody_knows_how_many_hatch(sqlite_store: object) -> None:
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    stages = (
        StageSpec("ootheca", unit="object"),
        StageSpec("nymph", days_low=30, days_high=40, planning_survival=700_000),
        StageSpec("adult", saleable=True),
    )
    loft.do(DescribeSpecies("MANT", "Inventus mantis", "loft mantid", "mantid", stages, "adult"))
    loft.do(AddLot("M1", "MANT", START, (Arrival("laid", "ootheca", unsexed=2),)))

    found = coming(loft)

    assert found.weeks == ()
    assert found.words == "MANT: no outlook. 2 oothecae are left out: nobody knows how many hatch."


def test_a_stage_of_which_nothing_is_known_leaves_its_animals_out_with_what_to_do(sqlite_store: object) -> None:
    loft = Loft(sqlite_store)  # type: ignore[arg-type]
    stages = (StageSpec("larva"), StageSpec("pupa", days_low=10, days_high=12, planning_survival=900_000),
              StageSpec("adult", saleable=True))  # fmt: skip
    loft.do(DescribeSpecies("BEET", "Inventus beetle", "loft beetle", "beetle", stages, "adult"))
    loft.do(AddLot("B1", "BEET", START, (Arrival("hatched", "larva", unsexed=9), Arrival("bought", "pupa", unsexed=5))))

    found = coming(loft)

    assert found.animals == 5
    assert found.left_out == (
        "9 larvae are left out: neither its days nor the share that survives it is known for larva; "
        "set them for the species.",
    )
    for name, value in (("days low", 20), ("days high", 30), ("planning survival", 800_000)):
        loft.do(SetFigure("BEET", "larva", name, value, START))
    assert coming(loft).animals == 14


def test_a_lot_without_entries_and_one_that_was_all_sold_are_not_in_it(learned: Loft) -> None:
    learned.do(AddLot("B0", "BEET", learned.ledger.today))
    learned.lot("B1", 150, 10)
    learned.gone("B1", 151, 10, "given away")

    assert learned.ledger.coming() == ()


def test_a_day_to_come_too_many_weeks_and_an_unknown_species_are_refused(learned: Loft) -> None:
    with pytest.raises(BadInput, match="still to come"):
        learned.ledger.coming(learned.ledger.today + dt.timedelta(days=1))
    for weeks in (0, 53):
        with pytest.raises(BadInput, match="1 to 52 weeks"):
            learned.ledger.coming(weeks=weeks)
    with pytest.raises(NotFound):
        learned.ledger.coming(species="NOPE")


# --- kept outlooks ---


def test_a_kept_outlook_is_held_against_what_came(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    said = coming(learned)
    done = learned.do(KeepOutlook())
    learned.gone("B1", 160, 6)
    learned.move("B1", 182, 24, "larva", "pupa")
    learned.move("B1", 203, 12, "pupa", "adult")
    learned.move("B1", 210, 12, "pupa", "adult")
    learned.on(150 + 7 * 12)

    (record,) = learned.ledger.outlook_record()

    assert done.refs == {"weeks": 12}
    ranges = [(week.ready.low, week.ready.high) for week in said.weeks]
    assert [(week.low, week.high) for week in record.weeks] == ranges
    came = {week.first: week.came for week in record.weeks if week.came}
    assert came == {START + dt.timedelta(days=day): 12 for day in (207, 214)}
    assert record.inside == sum(week.low <= week.came <= week.high for week in record.weeks)
    assert record.words.startswith(f"BEET: {record.inside} of 12 weeks fell inside")


def test_the_score_says_how_many_weeks_fell_inside_and_to_which_side_the_others_fell() -> None:
    week = KeptWeek("BEET", START, START, START + dt.timedelta(days=6), 2, 5, 3.4, 3, 0)
    weeks = [week] * 33 + [replace(week, came=6)] * 4 + [replace(week, came=1)] * 3

    assert Score("BEET", tuple(weeks)).words == (
        "BEET: 33 of 40 weeks fell inside (4 had more and 3 fewer); four in five are meant to."
    )
    assert score("BEET", [Score("BEET", tuple(weeks))]).startswith("Earlier outlooks: 33 of 40 weeks fell inside")
    assert score("OTHR", [Score("BEET", tuple(weeks))]) == (
        "Earlier outlooks: no week of a kept outlook of OTHR is over yet."
    )


def test_it_is_told_how_far_it_is_and_can_be_stopped_on_the_way(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    learned.lot("B2", 150, 20)
    shares: list[float] = []

    said = learned.ledger.coming(told=shares.append)

    assert said == learned.ledger.coming()
    assert shares == sorted(shares)
    assert len(set(shares)) > 12
    assert shares[-1] == 1.0

    def stop(share: float) -> None:
        if share > 0.3:
            raise Refused("Stopped.")

    with pytest.raises(Refused, match=r"^Stopped\.$"):
        learned.ledger.coming(told=stop)


def test_only_weeks_that_are_over_count_and_lots_that_came_later_do_not(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    learned.do(KeepOutlook())
    learned.lot("B2", 152, 20, "pupa", reason="bought")
    learned.move("B2", 153, 20, "pupa", "adult")
    learned.on(165)

    (record,) = learned.ledger.outlook_record("BEET")

    assert [week.came for week in record.weeks] == [0, 0]
    learned.on(153)
    assert learned.ledger.outlook_record() == ()


def test_animals_of_a_lot_split_off_later_do_count(learned: Loft) -> None:
    learned.lot("B1", 150, 30, "pupa", reason="bought")
    learned.do(KeepOutlook())
    learned.do(SplitLot("B1", "B2", (Part(10),), learned.on(151)))
    learned.move("B2", 152, 10, "pupa", "adult")
    learned.on(165)

    (record,) = learned.ledger.outlook_record()

    assert [week.came for week in record.weeks] == [0, 10]


def test_young_sold_meanwhile_are_told_beside_the_score(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    learned.do(KeepOutlook())
    learned.gone("B1", 155, 10, "given away")
    learned.on(165)

    (record,) = learned.ledger.outlook_record()

    assert [week.left_young for week in record.weeks] == [10, 10]
    assert record.words.endswith("Young were sold in some of those weeks.")


def test_the_first_outlook_of_a_day_stays_and_undo_passes_it_over(learned: Loft) -> None:
    learned.lot("B1", 150, 30)
    learned.do(Record("B1", (Move("died", 2),), learned.ledger.today))
    learned.do(KeepOutlook())

    with pytest.raises(Refused, match="kept already"):
        learned.do(KeepOutlook())
    undone = learned.do(Undo())

    assert "2" in undone.sentence
    assert coming(learned).animals == 30


def test_nothing_coming_on_is_no_outlook_to_keep(learned: Loft) -> None:
    with pytest.raises(Refused, match="Nothing is coming on"):
        learned.do(KeepOutlook())


def test_a_range_of_one_number_is_not_said_as_from_it_to_itself(loft: Loft) -> None:
    loft.lot("B1", 0, 40)
    found = coming(loft)
    last = found.weeks[-1]
    certain = replace(found, weeks=(replace(last, running=replace(last.running, mean=12.2, low=12, high=12)),))

    assert certain.words == "BEET: 12 adults within one week, in more than four cases of five"
    assert "in four cases of five" in found.words
