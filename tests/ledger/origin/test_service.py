"""Origins derived from what commands wrote to the records: the mantids of the example business, each kind of fact."""

from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotFound, Refused
from ledger.origin.commands import (
    EndExposure,
    ExplainCount,
    Expose,
    LowerOrigin,
    NameParents,
    RaiseOrigin,
    SayVirgin,
    StateOrigin,
)
from ledger.origin.load import ancestry, load
from ledger.origin.memo import OriginMemo
from ledger.origin.service import origin_of, origins_of, provenance_of, said_of
from ledger.records.store import Store
from ledger.stock.commands import (
    AddLot,
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
from ledger.stock.queries import find_lot
from tests.ledger.origin.story import derive as derive_pure
from tests.ledger.origin.story import mantids, short
from tests.ledger.selling.shop import Shop, day

MANTID = DescribeSpecies(
    "HIER",
    "Inventus mantis",
    "loft mantid",
    "mantid",
    (StageSpec("ootheca", unit="object"), StageSpec("nymph", saleable=True), StageSpec("adult", saleable=True)),
    "adult",
    stored_sperm_days=180,
)
IMPORTED = OriginStatement(
    "WC", evidence=2, country="XB", supplier="Pellow Feeder Farm", documents="import note 7", source_letter="W"
)


def at(shop: Shop, on: str, *commands: object) -> None:
    """Record commands as of a day."""
    shop.today = day(on)
    for command in commands:
        shop.do(command)


def bred(code: str, mother: str, laid: str, hatched: str, *tubs: tuple[str, str]) -> AddLot:
    """A lot laid and hatched here; adults in tubs (label, sex) stand for those it is bred on from."""
    grown = tuple(
        Arrival("hatched", "nymph", tub=tub, **{"females" if sex == "f" else "males": 1}) for tub, sex in tubs
    )
    return AddLot(
        code,
        "HIER",
        day(laid),
        (Arrival("laid", "ootheca", unsexed=1), *grown),
        mothers=(mother,),
        laid_on=day(laid),
        arrived_on=day(hatched),
    )


def seen(female: str, male: str, first: str, last: str) -> Expose:
    return Expose(female, male, day(first), day(last))


@pytest.fixture
def loft(store: Store) -> Shop:
    """Lots H01 to H13 as keepers would record them, in order of time."""
    shop = Shop(store, day("2024-02-03"))
    tubs = ("F01", "F02", "F03", "F04")
    shop.do(MANTID)
    shop.do(
        AddLot(
            "H01",
            "HIER",
            shop.today,
            (
                *(Arrival("bought", "nymph", females=1, tub=tub) for tub in tubs),
                *(Arrival("bought", "nymph", males=1, tub=tub) for tub in ("M01", "M02", "M03")),
                Arrival("bought", "adult", females=1, tub="F05"),
            ),
            origin=IMPORTED,
        )
    )
    at(
        shop,
        "2024-05-02",
        seen("H01/F05", "H01/M01", "2024-02-20", "2024-03-01"),
        bred("H02", "H01/F05", "2024-03-20", "2024-05-02"),
        seen("H01/F01", "H01/M01", "2024-04-20", "2024-04-25"),
    )
    at(
        shop,
        "2024-07-12",
        seen("H01/F02", "H01/M02", "2024-04-28", "2024-05-03"),
        seen("H01/F03", "H01/M03", "2024-05-10", "2024-05-15"),
        bred("H03", "H01/F01", "2024-05-10", "2024-06-20", ("A", "f"), ("M", "m")),
        bred("H04", "H01/F02", "2024-05-20", "2024-07-01", ("A", "f"), ("M", "m")),
        bred("H05", "H01/F03", "2024-06-01", "2024-07-12", ("A", "f"), ("M", "m")),
    )
    at(
        shop,
        "2025-03-14",
        seen("H03/A", "H04/M", "2024-11-10", "2024-11-14"),
        seen("H04/A", "H05/M", "2024-12-10", "2024-12-14"),
        seen("H05/A", "H03/M", "2025-01-10", "2025-01-14"),
        bred("H06", "H03/A", "2024-12-05", "2025-01-16", ("A", "f"), ("M", "m")),
        bred("H07", "H04/A", "2025-01-04", "2025-02-14", ("A", "f"), ("M", "m")),
        bred("H08", "H05/A", "2025-02-01", "2025-03-14", ("A", "f"), ("M", "m")),
        AddLot(
            "H11",
            "HIER",
            day("2025-03-08"),
            tuple(Arrival("bought", "nymph", females=1, tub=tub) for tub in ("F01", "F02")),
            origin=IMPORTED,
        ),
    )
    at(
        shop,
        "2025-10-22",
        seen("H06/A", "H07/M", "2025-07-10", "2025-07-14"),
        seen("H07/A", "H08/M", "2025-07-20", "2025-07-24"),
        seen("H08/A", "H06/M", "2025-08-20", "2025-08-24"),
        seen("H11/F01", "H06/M", "2025-06-01", "2025-06-05"),
        bred("H09", "H06/A", "2025-08-02", "2025-09-12"),
        bred("H10", "H07/A", "2025-08-20", "2025-09-30"),
        bred("H12", "H11/F01", "2025-07-01", "2025-08-12"),
        bred("H13", "H08/A", "2025-09-10", "2025-10-22"),
    )
    return shop


def number(shop: Shop, code: str) -> int:
    return shop.ask(find_lot, code).id


def reads(shop: Shop, code: str) -> str:
    """'F1', 'WC', ...: the origin of a lot."""
    return short(shop.ask(origin_of, number(shop, code)))


def test_the_mantids_read_from_the_records_as_they_do_from_bare_facts(loft: Shop) -> None:
    lots, exposures = mantids()
    bare = {derived.code: derived for derived in derive_pure(lots, exposures).values()}

    for code, expected in bare.items():
        derived = loft.ask(origin_of, number(loft, code))
        assert short(derived) == short(expected), code
        assert [gap.casefold() for gap in derived.gaps] == [gap.casefold() for gap in expected.gaps], code
        assert derived.origin.evidence == expected.origin.evidence, code
    assert [reads(loft, code) for code in ("H01", "H02", "H03", "H06", "H09", "H12")] == [
        "WC",
        "CH",
        "F1",
        "F2",
        "F3",
        "F1",
    ]


def test_only_the_ancestry_of_a_lot_is_read(loft: Shop) -> None:
    def codes(of: str) -> set[str]:
        lots = loft.ask(load, [number(loft, of)]).lots
        return {lot.code for lot in lots.values()}

    assert codes("H02") == {"H01", "H02"}
    assert codes("H12") == {"H12", "H11", "H06", "H03", "H04", "H01"}
    assert codes("H09") == {"H09", "H06", "H07", "H03", "H04", "H05", "H01"}


def test_many_origins_at_once_are_those_of_each_alone(loft: Shop) -> None:
    ids = [number(loft, f"H{n:02}") for n in range(1, 14)]

    together = loft.ask(origins_of, ids)

    assert together == {lot: loft.ask(origin_of, lot).origin for lot in ids}
    assert loft.ask(origins_of, []) == {}


def test_what_a_receipt_says_names_the_founders_and_ends_as_it_must(loft: Shop) -> None:
    lot = number(loft, "H06")
    said = loft.ask(said_of, [lot])[lot]

    assert said.text == "captive bred, F2 by our records; evidence: own records"
    assert said.sentence == (
        "H06: captive bred, F2 by our records, going back to H01 (wild-collected); no gaps in our records. "
        "By our records; not a certificate."
    )


def test_a_source_letter_stays_a_text_beside_the_origin(loft: Shop) -> None:
    sheet = loft.ask(provenance_of, number(loft, "H03"))

    founder = next(row for row in sheet.rows if row.founder)
    assert "Source letter on the document: W" in founder.whence
    assert founder.origin == "wild-collected"


def test_a_corrected_fact_derives_every_descendant_anew_and_says_so_before_it_is_recorded(loft: Shop) -> None:
    loft.do(SayVirgin("H01/F05", "yes", loft.today))
    assert reads(loft, "H02") == "F1"
    command = SayVirgin("H01/F05", "no", loft.today)

    plan = loft.preview(command)
    assert reads(loft, "H02") == "F1"
    loft.do(command)

    assert plan.cautions[0] == (
        "H02 will read “hatched in captivity, parent mated in the wild”, not “captive bred, F1 by our records”."
    )
    assert reads(loft, "H02") == "CH"
    assert [reads(loft, code) for code in ("H03", "H06", "H09")] == ["F1", "F2", "F3"]


def test_a_fact_about_another_animal_changes_nothing_here(loft: Shop) -> None:
    done = loft.do(SayVirgin("H01/F04", "no", loft.today))

    assert done.cautions == ()


def test_an_animal_is_followed_through_tubs_it_was_moved_to(loft: Shop) -> None:
    """F05 came reared; moved to tub F09 and named by it she is still the one that came reared."""
    loft.record("H01", Move("tub moved", 1, stage="adult", tub="F05", to_tub="F09"))
    loft.do(NameParents("H02", ("H01/F09",), laid_on=day("2024-03-20")))

    assert reads(loft, "H02") == "CH"


def test_a_later_naming_of_parents_takes_the_place_of_the_earlier(loft: Shop) -> None:
    loft.do(NameParents("H03", ("H01/F05",)))
    assert reads(loft, "H03") == "CH"

    loft.do(NameParents("H03", ("H01/F01",), laid_on=day("2024-05-10")))
    assert reads(loft, "H03") == "F1"


def test_reversed_arrivals_count_for_nothing(loft: Shop) -> None:
    from ledger.stock.commands import Reverse

    loft.do(AddLot("H20", "HIER", loft.today, (Arrival("collected", "nymph", unsexed=2),)))
    assert reads(loft, "H20") == "WC"
    movement = next(row for row in loft.rows("movement") if row.reason == "collected")

    loft.do(Reverse(movement.id))

    assert reads(loft, "H20") == "UNK"


def test_splits_keep_the_origin_and_merges_across_origins_are_accidents_only(loft: Shop) -> None:
    loft.do(SplitLot("H03", "H30", (Part(1, stage="nymph", tub="A"),), loft.today))
    loft.do(SplitLot("H06", "H31", (Part(1, stage="nymph", tub="A"),), loft.today))
    loft.do(SplitLot("H11", "H32", (Part(1, stage="nymph", tub="F02"),), loft.today))
    assert [reads(loft, code) for code in ("H30", "H31", "H32")] == ["F1", "F2", "WC"]

    loft.do(MergeLots(("H30", "H31"), "H40", loft.today))
    assert reads(loft, "H40") == "F1 or later"
    assert "not of one origin" in str(loft.refused(MergeLots(("H40", "H32"), "H41", loft.today)))
    loft.do(MergeLots(("H40", "H32"), "H41", loft.today, "mixed by accident"))
    assert reads(loft, "H41") == "MIX"


def test_an_unexplained_find_lowers_the_evidence_until_it_is_explained(loft: Shop) -> None:
    lot = number(loft, "H03")
    loft.record("H03", Move("found", 3, stage="nymph", tub="A", sex="female"))
    doubted = loft.ask(origin_of, lot).origin
    assert (doubted.evidence, doubted.doubted) == (2, True)

    loft.do(ExplainCount("H03", "three more in the lid", loft.today))

    assert loft.ask(origin_of, lot).origin.evidence == 3
    loft.refused(ExplainCount("H03", "again", loft.today))


def test_missing_animals_found_again_and_a_small_miscount_lower_nothing(loft: Shop) -> None:
    lot = number(loft, "H03")
    loft.record("H03", Move("missing", 1, stage="nymph", tub="A"))
    loft.record("H03", Move("found", 1, stage="nymph", tub="A", sex="female"))
    loft.record("H03", Move("found", 1, stage="nymph", tub="A", sex="female", explained=True))

    assert loft.ask(origin_of, lot).origin.evidence == 3
    loft.record("H03", Move("found", 5, stage="nymph", tub="A", sex="female", explained=True))
    assert loft.ask(origin_of, lot).origin.evidence == 2


def test_lowering_needs_a_note_and_must_lower(loft: Shop) -> None:
    loft.refused(LowerOrigin("H03", "CBU", "", loft.today), BadInput)
    loft.refused(LowerOrigin("H03", "CB", "x", loft.today, generation=2))
    loft.refused(LowerOrigin("H03", "CB", "x", loft.today, generation=1))
    loft.refused(LowerOrigin("H01", "CBU", "x", loft.today))
    loft.refused(LowerOrigin("H03", "XX", "x", loft.today), BadInput)

    done = loft.do(LowerOrigin("H03", "CBU", "a male was loose", loft.today))

    assert reads(loft, "H03") == "CBU"
    assert reads(loft, "H06") == "CBU"
    assert any(caution.startswith("H06 will read “captive bred, generation not known”") for caution in done.cautions)


def test_raising_needs_a_document_and_stays_marked(loft: Shop) -> None:
    loft.refused(RaiseOrigin("H02", "CB", "", loft.today, generation=1))
    loft.refused(RaiseOrigin("H03", "CBU", "paper 3", loft.today))

    loft.do(RaiseOrigin("H02", "CB", "paper 3", loft.today, generation=1))

    lot = number(loft, "H02")
    assert loft.ask(said_of, [lot])[lot].text.startswith("captive bred, F1, stated, not derived")


def test_a_statement_is_corrected_by_a_later_one_and_never_makes_a_generation_of_its_own(loft: Shop) -> None:
    loft.do(StateOrigin("H11", OriginStatement("CB", 2, 1), loft.today))
    assert reads(loft, "H11") == "CBU"
    assert reads(loft, "H12") == "CBU"

    loft.do(StateOrigin("H11", OriginStatement("CB", 2, 2, documents="paper 9"), loft.today))
    assert reads(loft, "H11") == "F2"
    loft.refused(StateOrigin("H11", OriginStatement("CF", 2), loft.today), BadInput)
    loft.refused(StateOrigin("H11", OriginStatement("WC", country="Atlantis"), loft.today), BadInput)
    loft.refused(StateOrigin("H77", OriginStatement("WC"), loft.today), NotFound)


def test_pairings_are_refused_when_they_cannot_have_been(loft: Shop) -> None:
    on = loft.today
    loft.refused(Expose("H01/M01", "H01/M02", on), BadInput)
    loft.refused(Expose("H01/F01", "H01/F02", on), BadInput)
    loft.refused(Expose("H01/F77", "H01/M01", on), NotFound)
    loft.refused(Expose("H01/F01", "H01/M01", on, day("2024-01-01")), BadInput)
    loft.refused(Expose("H01/F01", "H01/M01", day("2026-01-01")), BadInput)


def test_a_pairing_is_ended_once_and_bounds_who_may_be_the_father(loft: Shop) -> None:
    done = loft.do(Expose("H11/F02", "H06/M", day("2025-04-01")))
    loft.do(bred("H50", "H11/F02", "2025-10-01", "2025-10-20"))
    assert reads(loft, "H50") == "F1"
    exposure = int(done.refs["exposure"])
    loft.refused(EndExposure(exposure, day("2025-03-31")), BadInput)

    loft.do(EndExposure(exposure, day("2025-04-02")))

    assert reads(loft, "H50") == "UNK"
    loft.refused(EndExposure(exposure, loft.today))
    loft.refused(EndExposure(exposure + 1, loft.today), NotFound)


def test_parents_of_another_species_of_its_own_or_of_its_young_are_refused(loft: Shop) -> None:
    loft.refused(NameParents("H03", ("H03",)), Refused)
    loft.refused(NameParents("H03", ("H06/A",)), Refused)
    loft.refused(NameParents("H03", ()), BadInput)
    loft.refused(NameParents("H03", ("H01/M01",)), BadInput)
    loft.refused(NameParents("H03", ("H01/F01",), laid_on=day("2025-10-01")), BadInput)
    loft.refused(SayVirgin("H01/F05", "perhaps", loft.today), BadInput)


def test_a_colony_and_what_is_harvested_from_it(loft: Shop) -> None:
    on = loft.today
    loft.do(AddLot("C01", "HIER", on, (Arrival("bought", "nymph", unsexed=50),), origin=OriginStatement("WC")))
    loft.do(SetLotFact("C01", "colony", "yes", on))
    loft.do(AddLot("C02", "HIER", on, (Arrival("harvested", "nymph", unsexed=5),), colony="C01"))

    assert reads(loft, "C02") == "F1 or later"


def test_hermaphrodites_may_be_the_mother_on_either_side_of_a_pairing(store: Store) -> None:
    shop = Shop(store, day("2024-01-01"))
    snail = (StageSpec("egg", unit="object"), StageSpec("adult", saleable=True))
    shop.do(DescribeSpecies("SNAI", "Inventus helix", "loft snail", "land snail", snail, "adult", stored_sperm_days=30))
    for code in ("S01", "S02"):
        arrival = Arrival("bought", "adult", hermaphrodites=1)
        shop.do(AddLot(code, "SNAI", shop.today, (arrival,), origin=OriginStatement("WC", country="XB")))
    shop.do(Expose("S01", "S02", day("2024-01-01")))
    shop.today = day("2024-08-01")
    laid = Arrival("laid", "egg", unsexed=1)
    shop.do(AddLot("S03", "SNAI", day("2024-06-01"), (laid,), mothers=("S02",), laid_on=day("2024-06-01")))

    assert reads(shop, "S03") == "F1"


def test_a_figure_of_stored_sperm_decides_whether_an_early_mating_counts(loft: Shop) -> None:
    assert reads(loft, "H02") == "CH"

    loft.do(SetFigure("HIER", None, "stored sperm days", 5, day("2024-01-01")))

    assert reads(loft, "H02") == "UNK"


def test_ancestors_are_found_through_every_kind_of_link(loft: Shop) -> None:
    loft.do(SplitLot("H09", "H60", (Part(1, stage="ootheca"),), loft.today))

    found = loft.ask(ancestry, [number(loft, "H60")])

    assert {number(loft, code) for code in ("H60", "H09", "H06", "H07", "H03", "H04", "H05", "H01")} == found


def test_a_memo_answers_as_if_it_had_none_whatever_is_recorded_between(loft: Shop) -> None:
    memo = OriginMemo()
    on = loft.today
    acts: list[object] = [
        SayVirgin("H01/F05", "yes", on),
        LowerOrigin("H04", "CBU", "a male was loose", on),
        Expose("H11/F02", "H06/M", day("2025-04-01")),
        bred("H50", "H11/F02", "2025-10-01", "2025-10-20"),
        EndExposure(12, day("2025-04-02")),
        NameParents("H02", ("H01/F01",), laid_on=day("2024-03-20")),
        SplitLot("H03", "H30", (Part(1, stage="nymph", tub="A"),), on),
        StateOrigin("H11", OriginStatement("CF"), on),
        SetLotFact("H13", "colony", "yes", on),
        SetFigure("HIER", None, "without mating", 1, day("2024-01-01")),
    ]

    def agrees() -> None:
        ids = [row.id for row in loft.rows("lot")]
        assert loft.ask(memo.origins_of, ids) == loft.ask(origins_of, ids)

    agrees()
    for act in acts:
        loft.do(act)
        agrees()
    loft.record("H03", Move("found", 3, stage="nymph", tub="M", sex="male"))
    agrees()
    loft.record("H01", Move("tub moved", 1, stage="nymph", tub="F01", to_tub="F05"))
    agrees()


def test_a_memo_derives_only_once_while_nothing_is_recorded(loft: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from ledger.origin import memo as module

    ids = [row.id for row in loft.rows("lot")]
    memo = OriginMemo()
    first = loft.ask(memo.origins_of, ids)
    loft.record("H03", Move("died", 1, stage="nymph", tub="M"))

    monkeypatch.setattr(module, "load", None)

    assert loft.ask(memo.origins_of, ids) == first
    with pytest.raises(TypeError):
        loft.ask(OriginMemo().origins_of, ids)
