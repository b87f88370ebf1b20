"""The eleven rules on small families of lots, each with a control that differs in the one thing that matters."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.origin.derive import affected
from ledger.origin.facts import AnimalRef, Arrival, Claim, CountUp, Exposure, LotFacts, Source, VirginFact
from ledger.origin.rules import Code, label, may_claim, strength
from tests.ledger.origin.story import (
    came,
    day,
    derive,
    from_lots,
    laid,
    mantids,
    pair,
    short,
)

A, B, C = AnimalRef(1), AnimalRef(2), AnimalRef(3)


# --- the story ------------------------------------------------------------------------------------


def test_the_mantid_story_comes_out_as_told() -> None:
    lots, exposures = mantids()

    derived = derive(lots, exposures)

    assert {one.code: short(one) for one in derived.values()} == {
        "H01": "WC",
        "H02": "CH",
        **dict.fromkeys(("H03", "H04", "H05"), "F1"),
        **dict.fromkeys(("H06", "H07", "H08"), "F2"),
        **dict.fromkeys(("H09", "H10", "H13"), "F3"),
        "H11": "WC",
        "H12": "F1",
    }


def test_the_ootheca_read_f1_while_its_mother_was_recorded_as_a_virgin() -> None:
    lots, exposures = mantids()
    said_virgin = VirginFact(AnimalRef(1, "f05"), "yes", day("2024-02-03"))

    assert short(derive(lots, exposures, [said_virgin])[2]) == "F1"
    assert short(derive(lots, exposures)[2]) == "CH"


# --- rule 1: possible parents ---------------------------------------------------------------------


def test_rule_1_an_exposure_that_covers_the_time_makes_a_possible_father_and_an_earlier_one_does_not() -> None:
    lots = [came(1), came(2, "CBU"), came(3), laid(9, A, on="2025-06-01")]
    wild = pair(A, C, "2025-05-01", "2025-05-10")
    unknown_in_time = pair(A, B, "2024-12-01", "2024-12-03")
    unknown_too_early = pair(A, B, "2024-12-01", "2024-12-02")

    assert short(derive(lots, [wild, unknown_in_time])[9]) == "CBU"
    assert short(derive(lots, [wild, unknown_too_early])[9]) == "F1"


def test_rule_1_a_male_that_came_after_laying_is_no_father() -> None:
    lots = [came(1), came(2, "CBU"), came(3), laid(9, A)]
    before, after = pair(A, B, "2024-06-01"), pair(A, B, "2024-06-02")

    assert short(derive(lots, [pair(A, C), before])[9]) == "CBU"
    assert short(derive(lots, [pair(A, C), after])[9]) == "F1"


def test_rule_1_without_a_laying_date_every_earlier_exposure_may_count() -> None:
    lots = [came(1), came(2, "CBU"), came(3), laid(9, A, on=None, hatched="2025-06-01")]
    long_ago = pair(A, B, "2024-01-02", "2024-01-03")

    assert short(derive(lots, [pair(A, C, "2025-05-01"), long_ago])[9]) == "CBU"


def test_rule_1_a_mated_female_taints_her_own_young_only() -> None:
    group = replace(
        came(1),
        arrivals=(Arrival("bought", day("2024-01-01"), "f1", False), Arrival("bought", day("2024-01-01"), "f5", True)),
    )
    lots = [group, laid(8, AnimalRef(1, "f1")), laid(9, AnimalRef(1, "f5")), laid(10, A)]
    together = pair(A, A)

    derived = derive(lots, [together])

    assert [short(derived[lot]) for lot in (8, 9, 10)] == ["F1", "CH", "CH"]


def test_rule_1_an_exposure_of_one_tub_is_none_of_another_but_one_of_the_lot_is_of_all() -> None:
    lots = [came(1), came(2), laid(9, AnimalRef(1, "f1"))]

    assert short(derive(lots, [pair(AnimalRef(1, "f1"), B)])[9]) == "F1"
    assert short(derive(lots, [pair(A, B)])[9]) == "F1"
    assert short(derive(lots, [pair(AnimalRef(1, "f2"), B)])[9]) == "UNK"


def test_rule_1_a_whole_lot_as_mother_considers_the_exposures_of_each_tub() -> None:
    lots = [came(1), came(2), came(3, "CBU"), laid(9, A)]

    assert short(derive(lots, [pair(AnimalRef(1, "f1"), B), pair(AnimalRef(1, "f2"), C)])[9]) == "CBU"
    assert short(derive(lots, [pair(AnimalRef(1, "f1"), B)])[9]) == "F1"


def test_rule_1_a_father_named_by_the_keeper_adds_a_father_and_takes_none_away() -> None:
    lots = [came(1), came(2), came(3, "CBU"), laid(9, A, stated_fathers=(B,))]

    alone, beside = derive(lots)[9], derive(lots, [pair(A, C)])[9]

    assert (short(alone), alone.origin.evidence) == ("F1", 1)
    assert short(beside) == "CBU"


def test_rule_1_a_hermaphrodite_on_either_side_of_an_exposure_may_be_the_mother() -> None:
    def family(species: int) -> list[LotFacts]:
        return [came(1, species=species), came(2, species=species), laid(9, B, species=species)]

    assert short(derive(family(3), [pair(A, B)])[9]) == "F1"
    assert short(derive(family(1), [pair(A, B)])[9]) == "UNK"


def test_rule_1_an_animal_is_followed_back_through_a_split() -> None:
    split = from_lots(4, "split", 1, on="2024-05-01")
    lots = [came(1), came(2), came(3, "CBU"), split, laid(9, AnimalRef(4))]
    before, after = pair(A, C, "2024-04-30", "2024-05-20"), pair(A, C, "2024-05-02", "2024-05-20")

    assert short(derive(lots, [pair(AnimalRef(4), B), before])[9]) == "CBU"
    assert short(derive(lots, [pair(AnimalRef(4), B), after])[9]) == "F1"


def test_rule_1_a_split_that_names_its_tubs_brings_only_those_along() -> None:
    group = replace(
        came(1),
        arrivals=(Arrival("bought", day("2024-01-01"), "f1", False), Arrival("bought", day("2024-01-01"), "f5", True)),
    )

    def young_of(old_tub: str) -> str:
        split = replace(from_lots(4, "split"), sources=(Source(1, "split", day("2024-05-01"), ((old_tub, "n1"),)),))
        lots = [group, came(2), split, laid(9, AnimalRef(4))]
        return short(derive(lots, [pair(AnimalRef(4), B)])[9])

    assert young_of("f1") == "F1"
    assert young_of("f5") == "CH"


def test_rule_1_an_animal_is_followed_back_through_tub_moves() -> None:
    arrivals = (Arrival("bought", day("2024-01-01"), "", False), Arrival("bought", day("2024-01-01"), "f5", True))

    def young_of(*moves: tuple[str, str]) -> str:
        group = replace(came(1), arrivals=arrivals, tub_moves=moves)
        return short(derive([group, came(2), laid(9, AnimalRef(1, "x"))], [pair(AnimalRef(1, "x"), B)])[9])

    assert young_of(("", "x")) == "F1"
    assert young_of(("f5", "x")) == "CH"
    assert young_of(("f5", "y"), ("y", "x")) == "CH"
    assert young_of() == "CH", "which arrival it was is not on record, so it may be the mated one"


# --- rule 2: an unknown possible parent -----------------------------------------------------------


def test_rule_2_an_unknown_father_leaves_the_origin_not_known_unless_the_mating_was_seen() -> None:
    lots = [came(1), laid(9, A)]

    assert short(derive(lots, [pair(A, None)])[9]) == "UNK"
    assert short(derive(lots, [pair(A, None, seen=True)])[9]) == "CBU"


def test_rule_2_no_male_at_all_is_an_unknown_father() -> None:
    lots = [came(1), came(2), laid(9, A)]

    assert short(derive(lots)[9]) == "UNK"
    assert short(derive(lots, [pair(A, B)])[9]) == "F1"


def test_rule_2_no_mother_on_record_is_not_known() -> None:
    found = derive([laid(9)])[9]

    assert short(found) == "UNK"
    assert "no mother on record" in found.gaps


@pytest.mark.parametrize("code", ["CBU", "CF", "CH", "WR"])
def test_rule_2_a_captive_female_that_came_reared_may_have_mated_with_a_male_that_is_not_on_record(code: str) -> None:
    def young_of(reared: bool, *, seen: bool = False) -> str:
        lots = [came(1, code, on="2024-03-01", reared=reared), came(2), laid(9, A)]
        return short(derive(lots, [pair(A, B, seen=seen)])[9])

    assert young_of(reared=True) == "UNK"
    assert young_of(reared=True, seen=True) == "CBU"
    assert young_of(reared=False) == ("F1" if code in ("CH", "WR") else "CBU")


def test_rule_2_for_captive_bred_stock_of_the_first_day_the_keepers_statement_stands_in_for_a_seen_mating() -> None:
    def young_of(kind: str, code: str = "CBU", male: AnimalRef | None = B) -> tuple[str, int]:
        mother = came(1, code, reared=True)
        mother = replace(mother, arrivals=(replace(mother.arrivals[0], kind=kind),))  # type: ignore[arg-type]
        found = derive([mother, came(2), laid(9, A)], [pair(A, male)])[9]
        return short(found), found.origin.evidence

    assert young_of("opening") == ("CBU", 1)
    assert young_of("bought") == ("UNK", 0)
    assert young_of("opening", "CF") == ("UNK", 0)
    assert young_of("opening", "WC")[0] == "CH"
    assert young_of("opening", male=None) == ("UNK", 0)


def test_rule_2_the_reason_says_that_her_earlier_mates_are_not_on_record() -> None:
    lots = [came(1, "CBU", on="2024-03-01", reared=True), came(2), laid(9, A)]

    found = derive(lots, [pair(A, B)])[9]

    assert any("L01 came here captive, reared, on 2024-03-01" in reason for reason in found.reasons)
    assert "whom L01 mated with before she came is not on record" in found.gaps


# --- rule 3: mated before she came ----------------------------------------------------------------


def test_rule_3_a_female_that_came_adult_from_the_wild_has_young_hatched_in_captivity_only() -> None:
    def young_of(reared: bool | None) -> str:
        return short(derive([came(1, reared=reared), came(2), laid(9, A)], [pair(A, B)])[9])

    assert young_of(reared=True) == "CH"
    assert young_of(reared=None) == "CH", "stage not on record: it may have been adult"
    assert young_of(reared=False) == "F1"


def test_rule_3_the_window_closes_after_the_days_sperm_is_kept() -> None:
    def young_of(laid_on: str) -> str:
        lots = [came(1, on="2024-01-01", reared=True), came(2), laid(9, A, on=laid_on)]
        return short(derive(lots, [pair(A, B)])[9])

    assert young_of("2024-06-29") == "CH", "180 days after arrival"
    assert young_of("2024-06-30") == "F1", "181 days after arrival"


def test_rule_3_recorded_as_a_virgin_on_arrival_is_believed_until_corrected() -> None:
    lots = [came(1, reared=True), came(2), laid(9, A)]
    yes, no = VirginFact(A, "yes", day("2024-01-01")), VirginFact(A, "no", day("2024-07-05"))

    assert short(derive(lots, [pair(A, B)], [yes])[9]) == "F1"
    assert short(derive(lots, [pair(A, B)], [no, yes])[9]) == "CH"
    assert short(derive(lots, [pair(A, B)], [VirginFact(A, "not known", day("2024-01-01"))])[9]) == "CH"


def test_rule_3_recorded_as_mated_counts_even_if_she_came_before_her_reared_stage() -> None:
    lots = [came(1, reared=False), came(2), laid(9, A)]

    assert short(derive(lots, [pair(A, B)], [VirginFact(A, "no", day("2024-01-01"))])[9]) == "CH"
    assert short(derive(lots, [pair(A, B)])[9]) == "F1"


def test_rule_3_a_fact_of_one_tub_says_nothing_of_another_and_goes_before_that_of_the_lot() -> None:
    arrivals = tuple(Arrival("bought", day("2024-01-01"), tub, True) for tub in ("f1", "f2"))
    lots = [replace(came(1), arrivals=arrivals), came(2), laid(8, AnimalRef(1, "f1")), laid(9, AnimalRef(1, "f2"))]
    f1_yes = VirginFact(AnimalRef(1, "f1"), "yes", day("2024-01-02"))
    all_yes = VirginFact(A, "yes", day("2024-03-01"))
    f2_no = VirginFact(AnimalRef(1, "f2"), "no", day("2024-01-02"))

    def young(*facts: VirginFact) -> list[str]:
        derived = derive(lots, [pair(A, B)], list(facts))
        return [short(derived[lot]) for lot in (8, 9)]

    assert young(f1_yes) == ["F1", "CH"]
    assert young(all_yes) == ["F1", "F1"]
    assert young(all_yes, f2_no) == ["F1", "CH"]


def test_rule_3_not_known_of_one_tub_goes_before_virgin_of_the_whole_lot() -> None:
    arrivals = (Arrival("bought", day("2024-01-01"), "f1", True),)
    lots = [replace(came(1), arrivals=arrivals), came(2), laid(9, AnimalRef(1, "f1"))]
    of_all = VirginFact(A, "yes", day("2024-01-02"))
    of_one = VirginFact(AnimalRef(1, "f1"), "not known", day("2024-01-01"))

    assert short(derive(lots, [pair(A, B)], [of_all, of_one])[9]) == "CH"
    assert short(derive(lots, [pair(A, B)], [of_all])[9]) == "F1"


def test_rule_3_a_whole_lot_as_mother_is_tainted_by_one_tub_known_to_have_mated() -> None:
    lots = [came(1, reared=False), came(2), laid(9, A)]

    assert short(derive(lots, [pair(A, B)], [VirginFact(AnimalRef(1, "f1"), "no", day("2024-02-01"))])[9]) == "CH"
    assert short(derive(lots, [pair(A, B)], [VirginFact(AnimalRef(1, "f1"), "yes", day("2024-02-01"))])[9]) == "F1"


def test_rule_3_males_that_came_reared_say_nothing_of_the_mothers() -> None:
    def young_of(sex: str) -> str:
        grown = Arrival("bought", day("2024-01-01"), "", True, sex)  # type: ignore[arg-type]
        lot = came(1)
        lots = [replace(lot, arrivals=(*lot.arrivals, grown)), laid(9, A)]
        return short(derive(lots, [pair(A, A)])[9])

    assert young_of("male") == "F1"
    assert young_of("female") == "CH"
    assert young_of("unsexed") == "CH"


def test_rule_3_a_mixed_group_may_hold_females_mated_in_the_wild() -> None:
    assert short(derive([came(1, "MIX", reared=True), came(2), laid(9, A)], [pair(A, B)])[9]) == "CH"
    assert short(derive([came(1, "MIX", reared=False), came(2), laid(9, A)], [pair(A, B)])[9]) == "F1"


def test_rule_3_that_the_mother_was_wild_is_known_no_better_than_it_was_stated() -> None:
    def evidence(documents: str) -> int:
        lots = [came(1, reared=True, documents=documents), came(2), laid(9, A)]
        return derive(lots, [pair(A, B)])[9].origin.evidence

    assert (evidence(""), evidence("import note 7")) == (1, 2)


def test_rule_3_a_tub_of_a_merged_lot_is_followed_to_the_lot_that_tub_came_from() -> None:
    def young_of(tub: str) -> str:
        merged = LotFacts(
            4,
            "L04",
            1,
            sources=(
                Source(1, "merged", day("2024-05-01"), (("a", "n1"),)),
                Source(2, "merged", day("2024-05-01"), (("b", "n2"),)),
            ),
        )
        lots = [came(1, tub="a"), came(2, tub="b", reared=True), merged, came(3), laid(9, AnimalRef(4, tub))]
        return short(derive(lots, [pair(AnimalRef(4), C)])[9])

    assert young_of("n1") == "F1"
    assert young_of("n2") == "CH"
    assert young_of("n3") == "CH", "a tub of which nothing is on record may hold either"


def test_rule_3_a_female_harvested_grown_from_a_colony_may_be_one_of_its_founders() -> None:
    def young_of(reared: bool) -> str:
        harvest = LotFacts(
            4,
            "L04",
            4,
            laid_to=day("2024-03-01"),
            arrivals=(Arrival("harvested", day("2024-03-01"), reared=reared),),
            sources=(Source(1, "harvested", day("2024-03-01")),),
        )
        colony = came(1, "WC", on="2024-01-01", reared=True, species=4)
        lots = [colony, harvest, laid(9, AnimalRef(4), species=4)]
        found = derive(lots, [pair(AnimalRef(4), AnimalRef(4), "2024-05-01")])[9]
        return short(found)

    assert young_of(reared=True) == "CH"
    assert young_of(reared=False) == "F1"


def test_rule_3_a_female_of_unknown_origin_that_came_reared_has_young_of_unknown_origin() -> None:
    def young_of(reared: bool) -> str:
        return short(derive([came(1, "UNK", reared=reared), came(2), laid(9, A)], [pair(A, B, seen=True)])[9])

    assert young_of(reared=True) == "UNK"
    assert young_of(reared=False) == "CBU"


def test_rule_3_a_female_taken_from_a_merged_lot_may_be_the_one_that_came_mated() -> None:
    grown, young_one = came(1, reared=True), came(1, reared=False)

    def young_of(first: LotFacts) -> str:
        lots = [first, came(2), from_lots(4, "merged", 1, 2), came(3), laid(9, AnimalRef(4))]
        return short(derive(lots, [pair(AnimalRef(4), C)])[9])

    assert young_of(grown) == "CH"
    assert young_of(young_one) == "F1"


def test_rule_3_a_female_that_came_only_after_the_laying_is_not_the_mother() -> None:
    def young_of(on: str) -> str:
        return short(derive([came(1, on=on), came(2), laid(9, A)], [pair(A, B)])[9])

    assert young_of("2024-06-02") == "UNK"
    assert young_of("2024-06-01") == "F1"


# --- rules 4 and 5: generations -------------------------------------------------------------------


def family(*males: int) -> tuple[list[LotFacts], list[Exposure]]:
    """L01 wild, L11 F1, L12 F2, L13 F3, L20 unknown generation; L30 is laid by L13 with the males given."""
    lots = [came(1), came(20, "CBU")]
    exposures = []
    for generation, year in ((1, 2020), (2, 2021), (3, 2022)):
        mother = AnimalRef(generation + 9 if generation > 1 else 1)
        lots.append(laid(generation + 10, mother, on=f"{year}-06-01", hatched=f"{year}-07-01"))
        exposures.append(pair(mother, mother, f"{year}-05-01", f"{year}-05-09"))
    lots = [
        replace(lot, arrivals=tuple(replace(one, on=day("2019-01-01")) for one in lot.arrivals))
        if lot.lot_id in (1, 20)
        else lot
        for lot in lots
    ]
    lots.append(laid(30, AnimalRef(13), on="2024-06-01"))
    exposures += [pair(AnimalRef(13), AnimalRef(male), "2024-05-01", "2024-05-02") for male in males]
    return lots, exposures


@pytest.mark.parametrize(
    ("males", "young"),
    [
        ((13,), "F4"),
        ((12,), "F3"),
        ((11,), "F2"),
        ((1,), "F1"),
        ((13, 12), "F3 or later"),
        ((13, 1), "F1 or later"),
    ],
)
def test_rule_4_young_are_one_more_than_the_lowest_generation_of_all_possible_parents(
    males: tuple[int, ...], young: str
) -> None:
    lots, exposures = family(*males)

    found = derive(lots, exposures)[30]

    assert short(found) == young


def test_rule_4_an_outcross_to_wild_stock_starts_again_at_f1_and_says_so() -> None:
    lots, exposures = family(1)

    found = derive(lots, exposures)[30]

    assert label(found.origin) == "captive bred, F1 by our records"
    assert any("is 0, of L01 (wild-collected); so the young are F1" in reason for reason in found.reasons)


@pytest.mark.parametrize("code", ["WC", "WR", "CH", "MIX"])
def test_rule_4_every_wild_origin_counts_as_generation_0(code: str) -> None:
    assert short(derive([came(1, code), came(2, code), laid(9, A)], [pair(A, B)])[9]) == "F1"


def test_rule_5_a_parent_of_unknown_generation_gives_captive_bred_without_a_number() -> None:
    unknown = derive(*family(20))[30]
    beside_a_wild_one = derive(*family(20, 1))[30]
    known = derive(*family(13))[30]

    assert (short(unknown), short(beside_a_wild_one), short(known)) == ("CBU", "CBU", "F4")
    assert any("L20 (captive bred, generation not known)" in reason for reason in unknown.reasons)


def test_rule_5_an_imported_generation_counts_only_with_a_document() -> None:
    def pair_of(documents: str) -> list[LotFacts]:
        return [came(one, "CB", generation=1, documents=documents) for one in (1, 2)]

    documented = derive([*pair_of("breeder's card 4"), laid(9, A)], [pair(A, B)])
    word_of_mouth = derive([*pair_of(""), laid(9, A)], [pair(A, B)])

    assert [short(documented[lot]) for lot in (1, 9)] == ["F1", "F2"]
    assert documented[9].origin.evidence == 2, "the number rests on the document"
    assert label(documented[1].origin) == "captive bred, F1, stated, not derived"
    assert [short(word_of_mouth[lot]) for lot in (1, 9)] == ["CBU", "CBU"]


@pytest.mark.parametrize(
    ("stated", "evidence", "documents", "kept"),
    [("WC", 3, "", 1), ("WC", 3, "note", 2), ("WC", 1, "note", 1), ("WC", 0, "note", 0), ("UNK", 3, "note", 0)],
)
def test_a_founder_has_no_better_evidence_than_a_document_or_a_statement(
    stated: str, evidence: int, documents: str, kept: int
) -> None:
    lot = came(1, stated, documents=documents)
    assert lot.stated is not None

    assert derive([replace(lot, stated=replace(lot.stated, evidence=evidence))])[1].origin.evidence == kept


@pytest.mark.parametrize(("stated", "found"), [(None, "WC"), ("WC", "WC"), ("WR", "WR"), ("CBU", "WC"), ("CB", "WC")])
def test_what_the_keeper_collected_is_wild_whatever_was_stated(stated: str | None, found: str) -> None:
    lot = came(1, stated or "WC", documents="card", generation=1)
    arrivals = (replace(lot.arrivals[0], kind="collected"),)
    collected = replace(lot, arrivals=arrivals, stated=lot.stated if stated else None)

    origin = derive([collected])[1].origin

    assert (origin.code, origin.evidence) == (found, 3)


# --- rule 6: one parent ---------------------------------------------------------------------------


def test_rule_6_young_without_mating_have_one_parent_and_the_same_rules() -> None:
    def young_of(species: int, **how: object) -> str:
        return short(derive([came(1, species=species, **how), laid(9, A, species=species)])[9])  # type: ignore[arg-type]

    assert young_of(2) == "F1"
    assert young_of(1) == "UNK", "this species needs a male"
    assert young_of(2, on="2024-05-01", reared=True) == "CH"
    assert young_of(2, code="CBU") == "CBU"


def test_rule_6_a_male_that_was_there_is_still_a_possible_father() -> None:
    lots = [came(1, species=2), came(2, "CBU", species=2), laid(9, A, species=2)]

    assert short(derive(lots, [pair(A, B)])[9]) == "CBU"
    assert short(derive(lots)[9]) == "F1"


# --- rule 7: splits, merges, colonies -------------------------------------------------------------


def test_rule_7_splitting_keeps_the_origin_and_merging_weakens_it() -> None:
    lots = [came(1), came(2, "CBU"), from_lots(3, "split", 2), from_lots(4, "merged", 1, 2)]

    derived = derive(lots)

    assert derived[3].origin == derived[2].origin
    assert short(derived[4]) == "MIX"
    assert derived[4].chain == (4, 1, 2)


def test_rule_7_young_harvested_from_a_colony_are_its_next_generation_or_later() -> None:
    def harvested(code: str, *, reared: bool) -> str:
        lot = replace(
            laid(9, on="2025-06-01", species=4),
            arrivals=(Arrival("harvested", day("2025-07-01"), reared=reared),),
            sources=(Source(1, "harvested", day("2025-07-01")),),
        )
        return short(derive([came(1, code, species=4, breeds=True), lot])[9])

    assert harvested("WC", reared=False) == "F1 or later"
    assert harvested("WC", reared=True) == "MIX", "a grown animal may be one of the founders"
    assert harvested("CBU", reared=False) == "CBU"


def test_rule_7_living_in_the_same_colony_is_not_a_mating_that_was_seen() -> None:
    harvest = replace(
        laid(9, on="2025-06-01", species=4),
        arrivals=(Arrival("harvested", day("2025-07-01"), reared=False),),
        sources=(Source(1, "harvested", day("2025-07-01")),),
    )
    colony = came(1, "CBU", on="2025-03-01", reared=True, species=4, breeds=True)

    assert short(derive([colony, harvest])[9]) == "UNK"
    assert short(derive([colony, harvest], [pair(A, A, "2025-03-02", seen=True)])[9]) == "CBU"


def test_rule_7_or_later_goes_on_to_the_young() -> None:
    def grandchild(second: int) -> str:
        lots, exposures = family(13)
        lots += [from_lots(40, "merged", 11, second), laid(41, AnimalRef(40), on="2024-12-01")]
        return short(derive(lots, [*exposures, pair(AnimalRef(40), AnimalRef(40), "2024-11-20")])[41])

    assert grandchild(12) == "F2 or later"
    assert grandchild(11) == "F2"


def test_rule_7_a_colony_that_keeps_its_own_young_holds_both() -> None:
    def colony(code: str, *, breeds: bool) -> str:
        lot = came(1, code, species=4, breeds=breeds, documents="card", generation=2)
        lot = replace(lot, arrivals=(*lot.arrivals, Arrival("hatched", day("2024-08-01"))))
        return short(derive([lot])[1])

    assert colony("CBU", breeds=True) == "CBU"
    assert colony("WC", breeds=True) == "MIX"
    assert colony("CB", breeds=True) == "F2 or later"
    assert colony("CBU", breeds=False) == "UNK", "young of a mother that is not on record were put among them"


def test_rule_7_animals_bought_into_a_lot_bred_here_weaken_it() -> None:
    lots = [came(1), came(2), laid(9, A)]
    joined = replace(lots[2], arrivals=(*lots[2].arrivals, Arrival("bought", day("2024-09-01"))))

    assert short(derive(lots, [pair(A, B)])[9]) == "F1"
    assert short(derive([*lots[:2], joined], [pair(A, B)])[9]) == "UNK"


# --- rule 8: counts -------------------------------------------------------------------------------


def up(more: int, tolerance: int = 2, why: str = "") -> CountUp:
    return CountUp(more, tolerance, why, day("2025-03-30"))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("count", "evidence"),
    [
        (None, 3),
        (up(3), 2),
        (up(1), 2),
        (up(2, why="miscounted before"), 3),
        (up(3, why="miscounted before"), 2),
        (up(3, why="explained"), 3),
    ],
)
def test_rule_8_an_unexplained_upward_count_lowers_the_evidence_until_explained(
    count: CountUp | None, evidence: int
) -> None:
    lots = [came(1), came(2), laid(9, A, counts_up=(count,) if count else ())]

    found = derive(lots, [pair(A, B)])[9]

    assert (short(found), found.origin.evidence, found.origin.doubted) == ("F1", evidence, evidence < 3)


def test_rule_8_a_colony_that_breeds_is_expected_to_grow() -> None:
    derived = derive([came(1, "CBU", counts_up=(up(40),), breeds=True), came(2, "CBU", counts_up=(up(40),))])

    assert [derived[lot].origin.evidence for lot in (1, 2)] == [1, 0]


def test_rule_8_the_doubt_goes_with_the_young() -> None:
    def grandchild(*counts: CountUp) -> tuple[str, int]:
        lots = [came(1), came(2), laid(8, A, counts_up=counts), laid(9, AnimalRef(8), on="2024-12-01")]
        found = derive(lots, [pair(A, B), pair(AnimalRef(8), AnimalRef(8), "2024-11-20")])[9]
        return short(found), found.origin.evidence

    assert grandchild(up(3)) == ("F2", 2)
    assert grandchild() == ("F2", 3)


def test_rule_8_a_stray_among_wild_parents_is_doubted_in_their_young_too() -> None:
    def child(*counts: CountUp) -> tuple[str, int, bool]:
        origin = derive([came(1, counts_up=counts), came(2), laid(9, A)], [pair(A, B)])[9].origin
        return f"F{origin.generation}", origin.evidence, origin.doubted

    assert child(up(1)) == ("F1", 2, True)
    assert child() == ("F1", 3, False)


# --- rule 9: a person lowers or raises ------------------------------------------------------------


def claimed(*claims: Claim) -> str:
    found = derive([came(1), came(2), laid(9, A, claims=claims)], [pair(A, B)])[9]
    return label(found.origin)


def test_rule_9_a_lowering_is_followed_and_a_raising_needs_its_document() -> None:
    assert claimed(Claim("CBU", note="sire in doubt")) == "captive bred, generation not known"
    assert claimed(Claim("CB", 2, note="I am sure")) == "captive bred, F1 by our records"
    assert claimed(Claim("CB", 2, "studbook 12")) == "captive bred, F2, stated, not derived"


def test_rule_9_what_was_lowered_may_be_set_back_to_what_the_records_give_but_not_above() -> None:
    assert claimed(Claim("UNK", note="a"), Claim("CB", 1, note="b")) == "captive bred, F1 by our records"
    assert claimed(Claim("UNK", note="a"), Claim("CB", 2, note="b")) == "not known"


def test_rule_9_what_was_raised_by_a_document_may_be_lowered_without_another() -> None:
    raised = Claim("CB", 3, "studbook 12")

    assert claimed(raised, Claim("CB", 2, note="a")) == "captive bred, F2, stated, not derived"
    assert claimed(raised, Claim("CB", 4, note="a")) == "captive bred, F3, stated, not derived"


def test_rule_9_a_document_does_not_explain_a_stray_animal_among_the_parents() -> None:
    def doubted(*counts: CountUp) -> bool:
        lots = [came(1, counts_up=counts), came(2), laid(9, A, claims=(Claim("CB", 2, "studbook 12"),))]
        return derive(lots, [pair(A, B)])[9].origin.doubted

    assert doubted(up(1))
    assert not doubted()


def test_rule_9_a_lowering_does_not_outlive_a_correction_that_falls_below_it() -> None:
    lots = [came(1, reared=True), came(2), laid(9, A, claims=(Claim("CBU", note="sire in doubt"),))]
    virgin = VirginFact(A, "yes", day("2024-01-01"))

    assert short(derive(lots, [pair(A, B)], [virgin])[9]) == "CBU"

    corrected = derive(lots, [pair(A, B)], [virgin, VirginFact(A, "no", day("2024-07-05"))])[9]

    assert short(corrected) == "CH"
    assert any("it is not used" in reason for reason in corrected.reasons)


def test_rule_9_a_lowered_parent_lowers_its_young() -> None:
    def grandchild(*claims: Claim) -> str:
        lots = [came(1), came(2), laid(8, A, claims=claims), laid(9, AnimalRef(8), on="2024-12-01")]
        return short(derive(lots, [pair(A, B), pair(AnimalRef(8), AnimalRef(8), "2024-11-20")])[9])

    assert grandchild() == "F2"
    assert grandchild(Claim("CBU", note="sire in doubt")) == "CBU"


# --- rule 10: what a correction touches -----------------------------------------------------------


def test_rule_10_a_corrected_fact_changes_all_descendants_and_nothing_else() -> None:
    lots, exposures = mantids()
    lots.append(laid(20, AnimalRef(2), on="2024-12-20", hatched="2025-02-01"))
    exposures.append(pair(AnimalRef(2), AnimalRef(2), "2024-12-01", "2024-12-05"))
    virgin = VirginFact(AnimalRef(1, "f05"), "yes", day("2024-02-03"))
    corrected = VirginFact(AnimalRef(1, "f05"), "no", day("2024-07-05"))
    before = derive(lots, exposures, [virgin])
    after = derive(lots, exposures, [virgin, corrected])

    changed = affected(before, after)

    assert [(one.code, label(one.before), label(one.after)) for one in changed] == [
        ("H02", "captive bred, F1 by our records", "hatched in captivity, parent mated in the wild"),
        ("L20", "captive bred, F2 by our records", "captive bred, F1 by our records"),
    ]
    assert affected(before, before) == ()


# --- rule 11: gaps --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("how", "gap"),
    [
        ({}, None),
        ({"hatched": None}, "no hatch date on record"),
        ({"hatched": None, "unhatched": True}, None),
        ({"on": None}, None),
        ({"on": None, "stated_fathers": (B,)}, "no laying or pairing date on record"),
        ({"counts_off": 2}, "counts do not add up by 2"),
        ({"counts_up": (up(3),)}, "3 more than recorded on 2025-03-30 without an explanation"),
    ],
)
def test_rule_11_a_link_lacks_what_is_not_on_record(how: dict[str, object], gap: str | None) -> None:
    exposures = [] if "stated_fathers" in how else [pair(A, B)]

    found = derive([came(1), came(2), laid(9, A, **how)], exposures)[9]  # type: ignore[arg-type]

    assert found.gaps == ((gap,) if gap else ())


def test_rule_11_a_founder_of_which_nothing_was_stated_is_a_gap() -> None:
    assert derive([replace(came(1), stated=None)])[1].gaps == ("no origin stated on arrival",)
    assert derive([came(1)])[1].gaps == ()


# --- circles and order ----------------------------------------------------------------------------


def test_lots_named_among_their_own_ancestors_are_not_known_and_the_others_stand() -> None:
    lots = [came(1), came(2), laid(3, AnimalRef(4)), laid(4, AnimalRef(3)), laid(5, AnimalRef(5)), laid(9, A)]

    derived = derive(lots, [pair(A, B), pair(AnimalRef(3), B), pair(AnimalRef(4), B)])

    assert [short(derived[lot]) for lot in (3, 4, 5, 9)] == ["UNK", "UNK", "UNK", "F1"]
    assert all("own ancestors" in derived[lot].gaps[0] for lot in (3, 4, 5))


def test_a_thousand_generations_are_counted() -> None:
    lots = [came(1)]
    exposures = []
    for number in range(2, 1002):
        mother = AnimalRef(number - 1)
        lots.append(laid(number, mother))
        exposures.append(pair(mother, mother))

    assert short(derive(lots, exposures)[1001]) == "F1000"


# --- properties -----------------------------------------------------------------------------------


@st.composite
def pedigrees(draw: st.DrawFn) -> tuple[list[LotFacts], list[Exposure]]:
    """Founders 1 to 4 of any origin, then lots 5 to 10 bred or merged from earlier ones."""
    lots: list[LotFacts] = []
    exposures: list[Exposure] = []
    species = draw(st.sampled_from([1, 2]))
    for number in range(1, 5):
        code = draw(st.sampled_from(["WC", "WC", "WC", "CB", "CB", "CB", "WR", "CH", "CF", "CBU", "MIX", "UNK"]))
        lots.append(
            came(
                number,
                code,
                on=draw(st.sampled_from(["2023-01-01", "2024-04-01"])),
                reared=draw(st.sampled_from([False, False, False, False, False, True, None])),
                documents=draw(st.sampled_from(["card", "card", "card", ""])),
                generation=draw(st.integers(1, 3)) if code == "CB" else None,
                species=species,
            )
        )
    for number in range(5, 11):
        earlier = st.integers(1, number - 1)
        if draw(st.integers(0, 5)) == 0:
            sources = draw(st.lists(earlier, min_size=1, max_size=2, unique=True))
            lots.append(replace(from_lots(number, "merged", *sources), species_id=species))
            continue
        mothers = [AnimalRef(lot) for lot in draw(st.lists(earlier, min_size=1, max_size=2, unique=True))]
        lots.append(laid(number, *mothers, species=species))
        for mother in mothers:
            for male in draw(st.lists(earlier, min_size=draw(st.sampled_from([0, 1, 1, 1])), max_size=2, unique=True)):
                exposures.append(pair(mother, AnimalRef(male), seen=draw(st.booleans())))
    return lots, exposures


@settings(max_examples=150, deadline=None)
@given(pedigrees())
def test_a_generation_never_exceeds_one_more_than_that_of_the_lowest_possible_parent(
    pedigree: tuple[list[LotFacts], list[Exposure]],
) -> None:
    derived = derive(*pedigree)

    for one in derived.values():
        if one.origin.code is not Code.CB or not one.parents:
            continue
        parents = [derived[row.animal.lot_id].origin for row in one.parents if row.animal is not None]
        generations = [parent.generation for parent in parents]
        assert None not in generations
        assert one.origin.generation is not None
        assert one.origin.generation <= 1 + min(number for number in generations if number is not None)


@settings(max_examples=100, deadline=None)
@given(pedigrees(), st.randoms(use_true_random=False))
def test_the_order_in_which_facts_are_given_does_not_matter(
    pedigree: tuple[list[LotFacts], list[Exposure]], order: random.Random
) -> None:
    lots, exposures = pedigree
    shuffled = order.sample(lots, len(lots))

    assert {one: found.origin for one, found in derive(lots, exposures).items()} == {
        one: found.origin for one, found in derive(shuffled, order.sample(exposures, len(exposures))).items()
    }


@settings(max_examples=200, deadline=None)
@given(pedigrees(), st.integers(5, 10), st.booleans(), st.booleans())
def test_another_possible_parent_from_the_wild_never_strengthens_the_claim(
    pedigree: tuple[list[LotFacts], list[Exposure]], number: int, as_mother: bool, reared: bool
) -> None:
    lots, exposures = pedigree
    before = derive(lots, exposures)[number]
    rows = list(before.parents)
    with_father = [one for one, two in pairwise(rows) if one.role == "mother" and two.role == "father" and two.animal]
    if not with_father:
        return
    mother = with_father[0].animal
    assert mother is not None
    wild = came(99, "WC", on="2024-04-01", reared=reared, species=lots[0].species_id)
    if as_mother:
        joined = [replace(lot, mothers=(*lot.mothers, AnimalRef(99))) if lot.lot_id == number else lot for lot in lots]
        after = derive([*joined, wild], [*exposures, pair(AnimalRef(99), mother)])[number]
    else:
        after = derive([*lots, wild], [*exposures, pair(mother, AnimalRef(99))])[number]

    old, new = before.origin, after.origin
    if strength(old) is None:
        assert may_claim(replace(new, evidence=0), old) is None
    elif strength(new) is not None:
        assert strength(new) <= strength(old)  # type: ignore[operator]
    if (old.code, old.generation) == (new.code, new.generation):
        assert new.evidence <= old.evidence
