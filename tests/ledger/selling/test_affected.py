"""The story of the female f05: recorded as a virgin on arrival, and later found to have been mated in the wild."""

from __future__ import annotations

import pytest

from ledger.errors import BadInput, NotFound
from ledger.origin.commands import Expose, LowerOrigin, SayVirgin, StateOrigin, WriteCorrectionNote
from ledger.records.store import Store
from ledger.selling.affected import AffectedRow, affected_sales
from ledger.selling.commands import CreditSale, LineOf, Sell
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, OriginStatement, StageSpec
from tests.ledger.selling.shop import Shop, day

MANTID = DescribeSpecies(
    "HIER",
    "Inventus mantis",
    "loft mantid",
    "mantid",
    (
        StageSpec("ootheca", unit="object", saleable=True),
        StageSpec("nymph", saleable=True),
        StageSpec("subadult", saleable=True),
        StageSpec("adult", saleable=True),
    ),
    "adult",
    stored_sperm_days=240,
)


@pytest.fixture
def loft(store: Store) -> Shop:
    """H01 from the wild, H02 of its female f05, H03 of females that came before they were adult; H09 beside them."""
    shop = Shop(store, day("2024-02-03"))
    shop.do(MANTID)
    shop.do(
        AddLot(
            "H01",
            "HIER",
            shop.today,
            (
                Arrival("bought", "subadult", males=3, value=3000),
                Arrival("bought", "subadult", females=4, tub="F01", value=6000),
                Arrival("bought", "adult", females=1, tub="F05", value=2000),
            ),
            origin=OriginStatement("WC", country="XB", evidence=2, documents="invoice 12"),
            purpose="breeding",
        )
    )
    shop.do(SayVirgin("H01/F05", "yes", shop.today))
    shop.do(Expose("H01", "H01", day("2024-02-03"), witnessed=True))
    shop.today = day("2024-05-10")
    shop.do(young("H02", ("H01/F05",), "2024-03-20"))
    shop.do(young("H03", ("H01/F01",), "2024-05-08"))
    shop.do(
        AddLot(
            "H09", "HIER", shop.today, (Arrival("bought", "nymph", unsexed=9, value=900),), origin=OriginStatement("CF")
        )
    )
    shop.today = day("2024-06-20")
    return shop


def young(code: str, mothers: tuple[str, ...], laid: str) -> AddLot:
    """A lot of hatched nymphs."""
    return AddLot(
        code,
        "HIER",
        day("2024-05-10"),
        (Arrival("hatched", "nymph", unsexed=40),),
        mothers=mothers,
        laid_on=day(laid),
    )


def sell(shop: Shop, lot: str, count: int = 5, **more: str) -> str:
    return str(shop.do(Sell((LineOf(lot, count, 1000, "nymph", **more),), shop.today, "Tarn")).refs["number"])


def affected(shop: Shop) -> tuple[AffectedRow, ...]:
    return shop.ask(affected_sales)


def test_correcting_the_fact_lists_exactly_the_sales_it_made_untrue(loft: Shop) -> None:
    numbers = [sell(loft, lot) for lot in ("H02", "H03", "H02", "H09")]
    assert [loft.sale(number).lines[0].origin_code for number in numbers] == ["CB", "CB", "CB", "CF"]
    assert "captive bred, F1 by our records" in loft.sale(numbers[0]).lines[0].origin_text
    assert affected(loft) == ()
    loft.today = day("2024-07-05")

    done = loft.do(SayVirgin("H01/F05", "no", loft.today, "ootheca laid within two weeks of arrival"))

    assert any(
        caution.startswith("H02 will read “hatched in captivity, parent mated in the wild”")
        for caution in done.cautions
    )
    rows = affected(loft)
    assert [row.number for row in rows] == [numbers[0], numbers[2]]
    assert {row.lot for row in rows} == {"H02"}
    assert all(row.was.startswith("captive bred, F1 by our records") for row in rows)
    assert all(row.now.startswith("hatched in captivity, parent mated in the wild") for row in rows)
    assert loft.sale(numbers[0]).lines[0].origin_text.startswith("captive bred, F1")


def test_a_note_is_written_for_each_line_once(loft: Shop) -> None:
    sell(loft, "H02")
    sell(loft, "H02")
    loft.do(SayVirgin("H01/F05", "no", loft.today))

    for row in affected(loft):
        loft.do(WriteCorrectionNote(row.sale_line, loft.today, "she was mated before she came"))

    notes = loft.rows("correction_note")
    assert [(note.was[:12], note.now[:20]) for note in notes] == [("captive bred", "hatched in captivity")] * 2
    assert [row.noted_on for row in affected(loft)] == [loft.today, loft.today]
    loft.refused(WriteCorrectionNote(affected(loft)[0].sale_line, loft.today))


def test_a_line_that_still_holds_needs_no_note(loft: Shop) -> None:
    number = sell(loft, "H03")
    line = loft.sale(number).lines[0].id
    loft.do(SayVirgin("H01/F05", "no", loft.today))

    assert "there is nothing to correct" in str(loft.refused(WriteCorrectionNote(line, loft.today)))
    loft.refused(WriteCorrectionNote(line + 1, loft.today), NotFound)


def test_a_note_cannot_be_dated_before_the_sale_or_ahead(loft: Shop) -> None:
    sell(loft, "H02")
    loft.do(SayVirgin("H01/F05", "no", loft.today))
    [row] = affected(loft)

    loft.refused(WriteCorrectionNote(row.sale_line, day("2024-06-19")), BadInput)
    loft.refused(WriteCorrectionNote(row.sale_line, day("2024-06-21")), BadInput)


def test_a_sale_undone_is_not_listed(loft: Shop) -> None:
    number = sell(loft, "H02")
    loft.do(CreditSale(number, loft.today, "entered by mistake"))
    loft.do(SayVirgin("H01/F05", "no", loft.today))

    assert affected(loft) == ()


def test_a_line_stated_as_less_is_listed_only_when_even_that_is_too_much(loft: Shop) -> None:
    unknown = sell(loft, "H02", claim="UNK")
    bred = sell(loft, "H02", claim="CBU")
    loft.do(SayVirgin("H01/F05", "no", loft.today))

    assert [row.number for row in affected(loft)] == [bred]
    assert unknown not in {row.number for row in affected(loft)}


def test_a_correction_taken_back_leaves_nothing_to_tell(loft: Shop) -> None:
    sell(loft, "H02")
    loft.do(SayVirgin("H01/F05", "no", loft.today))
    assert len(affected(loft)) == 1

    loft.do(SayVirgin("H01/F05", "yes", loft.today))

    assert affected(loft) == ()


def test_a_statement_corrected_later_is_found_too(loft: Shop) -> None:
    number = sell(loft, "H09")
    loft.do(StateOrigin("H09", OriginStatement("WC"), loft.today))

    assert [(row.number, row.now.split(";")[0]) for row in affected(loft)] == [(number, "wild-collected")]


def test_after_the_correction_new_sales_state_the_new_origin(loft: Shop) -> None:
    loft.do(SayVirgin("H01/F05", "no", loft.today))

    number = sell(loft, "H02")

    assert loft.sale(number).lines[0].origin_code == "CH"
    loft.refused(Sell((LineOf("H02", 1, 100, "nymph", claim="F1"),), loft.today))


def test_lowering_an_origin_today_lists_what_was_sold_as_more(loft: Shop) -> None:
    number = sell(loft, "H03")

    loft.do(LowerOrigin("H03", "CBU", "a male was loose in the room", loft.today))

    assert [(row.number, row.now.split(";")[0]) for row in affected(loft)] == [
        (number, "captive bred, generation not known")
    ]
