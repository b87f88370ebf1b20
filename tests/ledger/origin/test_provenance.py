"""The provenance sheet: the chain back to the founders, its gaps, and what is printed of it."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest

from ledger.origin.facts import AnimalRef, LotFacts
from ledger.origin.provenance import Provenance, hatch_dates, provenance, provenance_lines, provenance_sentence
from ledger.origin.rules import ENDING
from tests.ledger.origin.story import came, day, derive, from_lots, laid, mantids, pair

A, B = AnimalRef(1), AnimalRef(2)


def sheet_of(lot_id: int, lots: list[LotFacts], *exposures: object) -> Provenance:
    derived = derive(lots, list(exposures))  # type: ignore[arg-type]
    return provenance(lot_id, {lot.lot_id: lot for lot in lots}, derived)


def test_the_chain_goes_back_to_the_founders_nearest_first() -> None:
    lots, exposures = mantids()

    sheet = sheet_of(12, lots, *exposures)

    assert [(row.code, row.steps_back, row.founder) for row in sheet.rows] == [
        ("H12", 0, False),
        ("H06", 1, False),
        ("H11", 1, True),
        ("H03", 2, False),
        ("H04", 2, False),
        ("H01", 3, True),
    ]


def test_rule_11_a_complete_chain_is_at_best_without_gaps_in_our_records() -> None:
    lots, exposures = mantids()

    sheet = sheet_of(13, lots, *exposures)

    assert sheet.headline == "no gaps in our records"
    assert sheet.gaps == ()


@pytest.mark.parametrize(
    ("lot_id", "lacking", "gap"),
    [
        (6, {"hatched_from": None, "hatched_to": None}, "H06: no hatch date on record"),
        (6, {"mothers": ()}, "H06: no mother on record"),
        (1, {"stated": None}, "H01: no origin stated on arrival"),
        (3, {"counts_off": 4}, "H03: counts do not add up by 4"),
    ],
)
def test_rule_11_a_gap_anywhere_in_the_chain_is_named_and_the_headline_counts_it(
    lot_id: int, lacking: dict[str, object], gap: str
) -> None:
    lots, exposures = mantids()
    lots = [replace(lot, **lacking) if lot.lot_id == lot_id else lot for lot in lots]  # type: ignore[arg-type]

    sheet = sheet_of(9, lots, *exposures)

    assert gap in sheet.gaps
    assert sheet.headline == f"{len(sheet.gaps)} gap{'' if len(sheet.gaps) == 1 else 's'} in our records"
    assert f"  Gap: {gap.split(': ', 1)[1]}" in provenance_lines(sheet)


def test_a_gap_in_another_line_is_none_of_this_chain() -> None:
    lots, exposures = mantids()
    lots = [replace(lot, hatched_from=None, hatched_to=None) if lot.lot_id == 12 else lot for lot in lots]

    assert sheet_of(9, lots, *exposures).gaps == ()
    assert sheet_of(12, lots, *exposures).gaps == ("H12: no hatch date on record",)


def test_without_any_laying_date_a_dated_pairing_still_makes_the_link() -> None:
    def gaps(*exposures: object) -> tuple[str, ...]:
        lots = [came(1), came(2), laid(9, A, on=None, stated_fathers=(B,))]
        return sheet_of(9, lots, *exposures).gaps

    assert gaps(pair(A, B)) == ()
    assert gaps() == ("L09: no laying or pairing date on record",)


def test_every_statement_ends_by_saying_it_is_no_certificate() -> None:
    lots, exposures = mantids()
    derived = derive(lots, exposures)
    by_id = {lot.lot_id: lot for lot in lots}

    for lot_id in by_id:
        sheet = provenance(lot_id, by_id, derived)
        assert provenance_lines(sheet)[-1] == ENDING
        assert provenance_sentence(sheet).endswith(ENDING)
        assert derived[lot_id].statement.endswith(ENDING)


def test_the_sheet_gives_each_reason_and_each_possible_parent_in_words() -> None:
    lots, exposures = mantids()

    lines = provenance_lines(sheet_of(2, lots, *exposures))

    assert lines[0] == "H02: hatched in captivity, parent mated in the wild"
    assert "  Laid 2024-03-20; hatched 2024-05-02" in lines
    assert "  Possible mother: H01 tub f05, on record as the mother" in lines
    assert "  Possible father: H01 tub m01, with H01 tub f05 from 2024-02-20 to 2024-03-01" in lines
    assert any(line.startswith("  Why: H02: possible mother H01 tub f05 came here from the wild") for line in lines)
    assert any("Country: XB; Supplier: Pellow Feeder Farm" in line for line in lines)


def test_the_sentence_for_a_receipt_names_the_founders() -> None:
    lots, exposures = mantids()

    assert provenance_sentence(sheet_of(12, lots, *exposures)) == (
        "H12: captive bred, F1 by our records, going back to H11 (wild-collected), H01 (wild-collected); "
        f"no gaps in our records. {ENDING}"
    )
    assert provenance_sentence(sheet_of(11, lots, *exposures)) == (
        f"H11: wild-collected; no gaps in our records. {ENDING}"
    )


def test_the_sentence_stays_short_however_many_founders_there_are() -> None:
    founders = [came(number, "MIX") for number in range(1, 200)]
    lots = [*founders, from_lots(900, "merged", *range(1, 200))]

    sentence = provenance_sentence(sheet_of(900, lots))

    assert "and 193 more lots" in sentence
    assert len(sentence) < 2000


def test_a_lot_split_off_is_no_founder() -> None:
    sheet = sheet_of(4, [came(1), from_lots(4, "split", 1)])

    assert [(row.code, row.founder, row.parents) for row in sheet.rows] == [
        ("L04", False, ("Split off L01 on 2024-05-01",)),
        ("L01", True, ()),
    ]


def test_rule_7_hatch_dates_of_a_merged_lot_are_a_range() -> None:
    lots = [
        came(1),
        laid(2, A, hatched="2024-07-15"),
        laid(3, A, hatched="2024-08-02"),
        from_lots(4, "merged", 2, 3),
        from_lots(5, "split", 2),
    ]
    by_id = {lot.lot_id: lot for lot in lots}

    assert hatch_dates(by_id[4], by_id) == (day("2024-07-15"), day("2024-08-02"))
    assert hatch_dates(by_id[5], by_id) == (day("2024-07-15"), day("2024-07-15"))
    assert hatch_dates(by_id[1], by_id) == (None, None)
    assert sheet_of(4, lots).rows[0].came == "Hatched 2024-07-15 to 2024-08-02"


def test_a_source_letter_is_shown_as_text_from_a_document_and_never_read_as_an_origin() -> None:
    lot = came(1, "UNK", documents="permit 5")
    assert lot.stated is not None
    lettered = replace(lot, stated=replace(lot.stated, source_letter="C"))

    sheet = sheet_of(1, [lettered])

    assert sheet.origin == "not known"
    assert "Source letter on the document: C" in sheet.rows[0].whence
    assert "Source letter" not in sheet_of(1, [lot]).rows[0].whence


def test_a_chain_that_runs_in_a_circle_is_printed_once_and_ends() -> None:
    lots = [laid(3, AnimalRef(4)), laid(4, AnimalRef(3))]

    sheet = sheet_of(3, lots)

    assert [row.code for row in sheet.rows] == ["L03", "L04"]
    assert sheet.headline != "no gaps in our records"


@pytest.mark.parametrize(("module", "pure"), [("ledger.origin.provenance", True), ("ledger.records.tables", False)])
def test_the_rules_of_origin_load_neither_database_nor_screen(module: str, pure: bool) -> None:
    ask = f"import sys, {module}; print(any(name in sys.modules for name in ('sqlalchemy', 'textual')))"

    said = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)

    assert said.stdout.strip() == str(not pure)
