"""Species, lots, splits and merges: what is said of them is kept, and the clock goes along."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import select

from ledger.errors import Ambiguous, BadInput, NotEnough, NotFound, Refused
from ledger.records import tables as t
from ledger.records.periods import close
from ledger.stock.commands import (
    AddLot,
    AddSpecies,
    Arrival,
    DescribeSpecies,
    MergeLots,
    Move,
    OriginStatement,
    Part,
    SetFigure,
    SetLotFact,
    SplitLot,
    StageSpec,
)
from ledger.stock.merging import plan_merge
from ledger.stock.queries import (
    depths,
    events,
    figures,
    find_lot,
    find_species,
    find_stage,
    lot_fact,
    lot_rows,
    lot_story,
    stages,
)
from ledger.stock.templates import templates
from tests.ledger.stock.keeper import TODAY, Keeper, beetle, day

BOUGHT = Arrival("bought", "adult", males=2, females=3, value=1000)


@pytest.mark.parametrize("key", [template.key for template in templates()])
def test_every_template_can_be_taken_into_a_ledger(keeper: Keeper, key: str) -> None:
    keeper.do(AddSpecies("ZZZ", key))

    species = keeper.ask(find_species, "zzz")
    known = keeper.ask(stages, species.id)
    assert sum(stage.reared for stage in known) == 1
    weights = keeper.ask(figures, day("1990-01-01"))
    assert all(weights.of(species.id, stage.id, "care weight") is not None for stage in known)


def test_a_template_brings_its_figures_with_their_sources(both: Keeper) -> None:
    done = both.do(AddSpecies("PACH", "pachnoda-marginata"))

    assert done.sentence.startswith("PACH: sun beetle (Pachnoda marginata) is taken into the ledger with 8 stages;")
    assert "protected" in done.cautions[0]
    species = both.ask(find_species, "PACH")
    cocoon = both.ask(find_stage, species.id, "Cocoon")
    known = both.ask(figures, TODAY)
    assert known.of(species.id, cocoon.id, "days low") == 35
    assert known.source(species.id, cocoon.id, "days low").startswith("5-8 weeks as 35-56 days")
    assert known.yes(species.id, cocoon.id, "do not post")
    assert known.of(species.id, None, "stored sperm days") == 210
    assert known.of(species.id, cocoon.id, "loss rate") is None


def test_figures_are_dated_and_a_closed_year_keeps_its_own(both: Keeper) -> None:
    both.do(SetFigure("BEET", "adult", "hardening days", 14, day("2025-05-01")))
    species = both.ask(find_species, "BEET").id
    adult = both.ask(find_stage, species, "adult").id

    assert both.ask(figures, day("2025-04-30")).hardening_days(species, adult) == 10
    assert both.ask(figures, day("2025-05-01")).hardening_days(species, adult) == 14

    with both.store.writing() as conn:
        close(conn, 2024)
    late = both.refused(SetFigure("BEET", "adult", "care weight", 500, day("2024-05-01")))
    assert "is closed and keeps its figures" in late.sentence


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (SetFigure("BEET", "adult", "round days", 3, TODAY), "no figure of a stage"),
        (SetFigure("BEET", None, "saleable", 1, TODAY), "no figure of a species"),
        (SetFigure("BEET", "adult", "saleable", 2, TODAY), "0 (no) or 1 (yes)"),
        (SetFigure("BEET", "adult", "loss rate", -1, TODAY), "from 0 to 1,000,000"),
        (AddSpecies("BEET", "pachnoda-marginata"), "already"),
        (AddSpecies("NEW", "pachnoda"), "No species template"),
        (DescribeSpecies("NEW", "x", "x", "x", (StageSpec("egg"),), "adult"), "must be one of the stages"),
        (DescribeSpecies("NEW", "x", "x", "x", (StageSpec("a"), StageSpec("A")), "a"), "a name of its own"),
        (DescribeSpecies("NEW", "", "", "x", (StageSpec("a"),), "a"), "Give the species a name"),
        (
            DescribeSpecies("NEW", "x", "x", "x", (StageSpec("s", unit="specimen"), StageSpec("a")), "a"),
            "come last",
        ),
        (DescribeSpecies("NEW", "x", "x", "x", (StageSpec("a", days_low=3),), "a"), "a lowest and a highest"),
    ],
)
def test_a_species_or_figure_that_cannot_be_is_refused(keeper: Keeper, command: object, words: str) -> None:
    assert words in keeper.refused(command).sentence


def test_animals_bought_are_a_lot_a_stated_origin_and_a_cost_paid(both: Keeper) -> None:
    origin = OriginStatement("CBU", evidence=1, country="xa", supplier="Pellow Feeder Farm")

    done = both.do(AddLot("p09", "BEET", day("2025-04-01"), (BOUGHT,), origin=origin, place="shelf 2"))

    assert done.sentence == (
        "P09 (loft beetle): 2 male adults bought for 4.00 EUR; 3 female adults bought for 6.00 EUR, 1 April 2025."
    )
    assert done.cautions == ()
    assert both.counts("P09") == {"adult male": 2, "adult female": 3}
    with both.store.reading() as conn:
        said = conn.execute(select(t.origin_fact)).one()
        costs = conn.execute(select(t.cost).order_by(t.cost.c.id)).all()
        paid = conn.execute(select(t.cost_change).order_by(t.cost_change.c.id)).all()
    assert (said.kind, said.code, said.country, said.supplier) == ("stated", "CBU", "XA", "Pellow Feeder Farm")
    assert [(row.kind, row.gross, row.basis, row.supplier, row.bought_on) for row in costs] == [
        ("animals", 400, 400, "Pellow Feeder Farm", day("2025-04-01")),
        ("animals", 600, 600, "Pellow Feeder Farm", day("2025-04-01")),
    ]
    assert [(row.kind, row.amount, row.cost_id) for row in paid] == [
        ("paid", 400, costs[0].id),
        ("paid", 600, costs[1].id),
    ]
    bought = [event for event in both.ask(events) if event.reason == "bought"]
    assert [row.movement_id for row in costs] == [event.id for event in bought]
    assert sum(event.value or 0 for event in bought) == 1000


def test_a_swap_has_a_value_and_no_cost(keeper: Keeper) -> None:
    keeper.do(AddLot("P09", "BEET", day("2025-04-01"), (Arrival("swapped in", "L3", unsexed=10, value=1800),)))

    with keeper.store.reading() as conn:
        assert conn.execute(select(t.cost)).all() == []
    assert keeper.ask(events)[-1].value == 1800


def test_a_price_that_does_not_divide_is_shared_to_the_last_unit(keeper: Keeper) -> None:
    keeper.do(AddLot("P09", "BEET", TODAY, (Arrival("bought", "adult", males=1, females=2, value=100),)))

    assert [event.value for event in keeper.ask(events)[-2:]] == [33, 67]


def test_young_know_their_mother_and_lie_deeper_than_she(both: Keeper) -> None:
    both.do(AddLot("F01", "BEET", day("2025-03-01"), (Arrival("bought", "adult", females=1, tub="f05"),)))

    done = both.do(
        AddLot(
            "F02",
            "BEET",
            day("2025-04-20"),
            (Arrival("laid", "egg", unsexed=30),),
            started_from=day("2025-04-15"),
            mothers=("F01/f05",),
            fathers=("P08",),
            laid_on=day("2025-04-18"),
        )
    )

    assert done.sentence == "F02 (loft beetle): 30 eggs laid here, between 15 April 2025 and 20 April 2025."
    with both.store.reading() as conn:
        rows = conn.execute(select(t.parent).order_by(t.parent.c.id)).all()
    assert [(row.role, row.parent_tub, row.laid_from, row.laid_on) for row in rows] == [
        ("mother", "F05", day("2025-04-18"), day("2025-04-18")),
        ("father", "", day("2025-04-18"), day("2025-04-18")),
    ]
    lots = both.ask(depths)
    assert lots[both.ask(find_lot, "F02").id] == 1


def test_a_harvest_comes_from_a_colony_that_keeps_its_count(keeper: Keeper) -> None:
    keeper.do(AddLot("C01", "BEET", day("2025-01-01"), (Arrival("opening", "adult", unsexed=250, estimated=True),)))

    keeper.do(AddLot("C02", "BEET", TODAY, (Arrival("harvested", "L1", unsexed=40),), colony="C01"))

    assert keeper.counts("C01") == {"adult": 250}
    with keeper.store.reading() as conn:
        link = conn.execute(select(t.lot_source)).one()
    assert (link.how, link.source_id) == ("harvested", keeper.ask(find_lot, "C01").id)


@pytest.mark.parametrize(
    ("command", "kind", "words"),
    [
        (AddLot("P08", "BEET", TODAY), Refused, "There is a lot P08 already"),
        (AddLot("P 9", "BEET", TODAY), BadInput, "cannot be a code"),
        (AddLot("P09", "BEAT", TODAY), NotFound, "did you mean BEET?"),
        (AddLot("P09", "BEET", TODAY, (Arrival("bought", "adlut", unsexed=1),)), NotFound, "the stages are"),
        (AddLot("P09", "BEET", TODAY, (Arrival("died", "adult", unsexed=1),)), BadInput, "does not bring"),
        (AddLot("P09", "BEET", TODAY, (Arrival("found", "adult", unsexed=1),)), BadInput, "does not bring"),
        (AddLot("P09", "BEET", TODAY, (Arrival("bought", "adult"),)), BadInput, "how many"),
        (AddLot("P09", "BEET", TODAY, (Arrival("laid", "egg", unsexed=1, value=5),)), BadInput, "have a price"),
        (AddLot("P09", "BEET", TODAY, started_from=TODAY + dt.timedelta(1)), BadInput, "swap the two days"),
        (AddLot("P09", "BEET", TODAY + dt.timedelta(1)), BadInput, "still to come"),
        (AddLot("P09", "BEET", TODAY, arrived_on=day("2025-01-01")), BadInput, "before the lot started"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), mothers=("P08/9",)), NotFound, "has no tub"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), mothers=("X1",)), NotFound, "There is no lot"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), purpose="pets"), BadInput, "is no purpose"),
        (AddLot("P09", "BEET", TODAY, (Arrival("harvested", "L1", unsexed=1),)), BadInput, "which colony"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), colony="P08"), BadInput, "only for animals harvested"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), origin=OriginStatement("F1")), BadInput, "is no origin"),
        (AddLot("P09", "BEET", TODAY, (BOUGHT,), origin=OriginStatement("CB", country="Xan")), BadInput, "country"),
        (SplitLot("P08", "P08", (Part(1),), TODAY), Refused, "already"),
        (SplitLot("P08", "P09", (), TODAY), BadInput, "which animals"),
        (SplitLot("P08", "P09", (Part(15),), TODAY), NotEnough, "only 14 L3"),
        (MergeLots(("P08",), "P09", TODAY), BadInput, "at least two"),
        (MergeLots(("P08", "P08"), "P09", TODAY), BadInput, "each once"),
        (SetLotFact("P08", "purpose", "pets", TODAY), BadInput, "is no purpose"),
        (SetLotFact("P08", "colour", "red", TODAY), BadInput, "is no fact"),
        (SetLotFact("P08", "containers", "0", TODAY), BadInput, "whole number from 1"),
        (SetLotFact("P08", "rests until", "june", TODAY), BadInput, "2025-06-30"),
    ],
)
def test_a_lot_that_cannot_be_is_refused_and_changes_nothing(
    keeper: Keeper, command: object, kind: type, words: str
) -> None:
    assert words in keeper.refused(command, kind).sentence


def test_a_split_keeps_the_clock_the_purpose_and_the_line(both: Keeper) -> None:
    both.do(SetLotFact("P08", "purpose", "breeding", day("2025-03-05")))

    done = both.do(SplitLot("P08", "P08.2", (Part(5, to_tub="2"),), TODAY))

    assert done.sentence == "P08: 5 of 14 L3 split off as P08.2, 2 June 2025."
    old, new = both.ask(find_lot, "P08"), both.ask(find_lot, "P08.2")
    assert (new.started_from, new.started_on, new.line, new.depth) == (old.started_from, old.started_on, old.line, 1)
    assert both.ask(lot_fact, new.id, "purpose", TODAY) == "breeding"
    assert (both.counts("P08"), both.counts("P08.2")) == ({"L3": 9}, {"L3 in 2": 5})
    assert both.proof() == []


def test_a_split_asks_which_when_several_fit(keeper: Keeper) -> None:
    keeper.record("P08", Move("next stage", 4, to_stage="pupa"))

    refusal = keeper.refused(SplitLot("P08", "P09", (Part(3),), TODAY), Ambiguous)

    assert refusal.sentence == "P08 has 10 L3 and 4 pupae; say which stage."


def two_lots(keeper: Keeper) -> None:
    keeper.do(AddLot("P09", "BEET", day("2025-03-20"), (Arrival("hatched", "L3", unsexed=6, tub="1"),)))
    keeper.record("P08", Move("tub moved", 4, to_tub="1"), on=day("2025-03-21"))


def test_a_merge_makes_a_new_lot_with_a_range_for_its_clock(both: Keeper) -> None:
    two_lots(both)

    done = both.do(MergeLots(("P08", "P09"), "P20", TODAY, "mixed by accident"))

    assert done.sentence == "P08 and P09: 20 of 20 L3 merged as P20, 2 June 2025."
    assert done.cautions == ("More than one of them has tub 1; what is labelled alike is put together.",)
    new = both.ask(find_lot, "P20")
    assert (new.started_from, new.started_on, new.depth) == (day("2025-03-01"), day("2025-03-20"), 1)
    assert (both.counts("P08"), both.counts("P09")) == ({}, {})
    assert both.counts("P20") == {"L3": 10, "L3 in 1": 10}
    with both.store.reading() as conn:
        assert {row.how for row in conn.execute(select(t.lot_source))} == {"merged"}
    assert both.proof() == []


def test_across_origins_a_merge_is_only_ever_an_accident(both: Keeper) -> None:
    two_lots(both)
    command = MergeLots(("P08", "P09"), "P20", TODAY)

    refusal = both.refused(command)

    assert refusal.sentence == (
        "P08 and P09 are not of one origin, and merging would blur it. If it has happened, give the reason “mixed by "
        "accident”; the new lot then has the weaker origin."
    )


def test_whoever_knows_origins_decides_whether_they_differ(keeper: Keeper) -> None:
    two_lots(keeper)
    asked: list[list[int]] = []

    def same(_conn: object, lots: list[int]) -> bool:
        asked.append(list(lots))
        return False

    plan = keeper.ask(plan_merge, MergeLots(("P08", "P09"), "P20", TODAY), keeper.scene, origins_differ=same)

    assert plan.sentence == "P08 and P09: 20 of 20 L3 merged as P20, 2 June 2025."
    assert asked == [[keeper.ask(find_lot, "P08").id, keeper.ask(find_lot, "P09").id]]


def test_lots_of_one_split_are_of_one_origin(keeper: Keeper) -> None:
    keeper.do(SplitLot("P08", "P08.2", (Part(5),), TODAY))
    keeper.do(SplitLot("P08", "P08.3", (Part(5),), TODAY))

    keeper.do(MergeLots(("P08.2", "P08.3"), "P20", TODAY))

    assert keeper.counts("P20") == {"L3": 10}


def test_lots_of_two_species_are_never_merged(keeper: Keeper) -> None:
    other = beetle()
    keeper.do(DescribeSpecies("OTHR", "Other", "other", "beetle", other.stages, "adult"))
    keeper.do(AddLot("X01", "OTHR", TODAY, (Arrival("opening", "L3", unsexed=1),)))

    assert "one species" in keeper.refused(MergeLots(("P08", "X01"), "P20", TODAY, "mixed by accident")).sentence


def test_a_merge_dated_before_later_entries_is_refused(keeper: Keeper) -> None:
    two_lots(keeper)
    keeper.record("P09", Move("died", 1))

    refusal = keeper.refused(MergeLots(("P08", "P09"), "P20", day("2025-05-01"), "mixed by accident"), NotEnough)

    assert "P09/1: 1 L3 too few on 2 June 2025" in refusal.sentence


def test_the_list_of_lots_counts_by_stage_and_by_sex(both: Keeper) -> None:
    both.do(AddLot("P09", "BEET", day("2025-04-01"), (BOUGHT, Arrival("bought", "L3", unsexed=4)), place="shelf 2"))
    both.do(AddLot("P10", "BEET", day("2025-04-01")))

    rows = both.ask(lot_rows, TODAY, today=TODAY)

    assert [(row.code, row.animals, row.by_sex, row.purpose, row.place) for row in rows] == [
        ("P08", 14, "0.0.14", "sale", ""),
        ("P09", 9, "2.3.4", "sale", "shelf 2"),
    ]
    assert [(stage.stage, stage.count, stage.by_sex) for stage in rows[1].stages] == [
        ("L3", 4, "0.0.4"),
        ("adult", 5, "2.3.0"),
    ]
    assert [row.code for row in both.ask(lot_rows, TODAY, today=TODAY, empty=True)] == ["P08", "P09", "P10"]
    assert [row.code for row in both.ask(lot_rows, day("2025-03-31"), today=TODAY)] == ["P08"]


def test_the_story_of_a_lot_tells_everything_in_order(keeper: Keeper) -> None:
    keeper.record("P08", Move("died", 3), on=day("2025-03-12"), note="mould")
    keeper.do(SplitLot("P08", "P08.2", (Part(5),), TODAY))
    keeper.do(SetLotFact("P08", "place", "shelf 1", day("2025-04-01")))

    story = keeper.ask(lot_story, keeper.ask(find_lot, "P08"), keeper.store.currency)

    assert [(f"{row.on:%m-%d}", row.text) for row in story] == [
        ("03-01", "P08: purpose: sale"),
        ("03-01", "P08: 14 L3 hatched here"),
        ("03-12", "P08: 3 L3 died"),
        ("04-01", "P08: place: shelf 1"),
        ("06-02", "P08: 5 L3 split off (to P08.2)"),
    ]
    assert story[2].note == "mould"
    assert story[2].by == "wren"
