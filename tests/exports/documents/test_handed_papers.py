"""Papers of what was not sold: a hold and its deposit, a breeding loan, a gift; each with the origin by our records."""

from __future__ import annotations

import datetime as dt

import pytest

from exports.documents.as_pdf import as_pdf
from exports.documents.as_text import as_text
from exports.documents.handed_papers import gift, hold, loan
from exports.documents.house import House
from exports.documents.paper import Document
from ledger.errors import NotFound, Refused
from ledger.ledger import Ledger
from ledger.origin.commands import LowerOrigin
from ledger.records.store import Store
from ledger.selling.commands import DecideDeposit, GiveAway, LendOut, LoanBack, Pick, PlaceHold, ReleaseHold
from ledger.stock.commands import AddLot, Arrival, Move, OriginStatement, Record
from tests.exports.documents.business import tell_papers
from tests.exports.documents.pages import text_of

TODAY = dt.date(2025, 12, 31)


def said(document: Document) -> str:
    """The document as text in one line."""
    return " ".join(as_text(document).split())


def test_the_paper_of_a_hold_says_what_until_when_what_it_will_cost_and_what_becomes_of_the_deposit(
    papers: Ledger, house: House
) -> None:
    pdf = text_of(as_pdf(hold(papers, "R-002", house)))

    assert "Held until 10 January 2026, 18:00" in pdf
    assert "2 L3, unsexed, sun beetle (Pachnoda marginata), lot P02" in pdf
    assert "Origin: not known; evidence: supplier's document" in pdf  # it was lowered
    assert "By our records; not a certificate." in pdf
    assert "Total 3.00 Deposit received -1.00 Still to pay when taken 2.00" in pdf
    assert "We keep your deposit of €1.00 for you. It counts towards the price" in pdf
    assert "Nothing written here takes away rights that the law gives the buyer." in pdf


def test_each_end_of_a_hold_and_its_deposit_is_said_on_its_paper(papers: Ledger, house: House, store: Store) -> None:
    assert "sold to you on 2 May 2025, sale S-2025-0003" in said(hold(papers, "R-001", house))
    assert "counted towards the price of sale S-2025-0003" in said(hold(papers, "R-001", house))

    ledger = tell_papers(store)
    ledger.do(PlaceHold("Wren", (Pick("P02", 1, stage="L3"),), TODAY, "2026-02-01", deposit=50))
    ledger.do(PlaceHold("Tarn", (Pick("P02", 1, stage="L3"),), TODAY, "2026-02-01", deposit=50))
    ledger.do(PlaceHold("Tarn", (Pick("P02", 1, stage="L3"),), TODAY, "2026-02-01"))
    ledger.do(ReleaseHold("R-002", TODAY, "refunded"))
    ledger.do(ReleaseHold("R-003", TODAY, "kept"))
    house = House(ledger)

    assert "released on 31 December 2025; the animals are free" in said(hold(ledger, "R-002", house))
    assert "deposit of €1.00 was given back on 31 December 2025" in said(hold(ledger, "R-002", house))
    assert "deposit of €0.50 was kept on 31 December 2025" in said(hold(ledger, "R-003", house))
    assert "There is no deposit on this hold." in said(hold(ledger, "R-005", house))

    ledger._clock = lambda: dt.datetime(2026, 2, 2, 9, 0)
    assert "This hold lapsed on 1 February 2026" in said(hold(ledger, "R-004", house))
    assert "What becomes of your deposit of €0.50 is still to be settled" in said(hold(ledger, "R-004", house))
    ledger.do(DecideDeposit("R-004", "kept", dt.date(2026, 2, 2)))
    assert "deposit of €0.50 was kept on 2 February 2026" in said(hold(ledger, "R-004", house))


def test_the_paper_of_a_loan_says_to_whom_back_when_and_that_the_owner_stays(papers: Ledger, house: House) -> None:
    pdf = text_of(as_pdf(loan(papers, "P03", house)))

    assert "Lent to Alder Back by 1 March 2026 Agreed half of the young" in pdf
    assert "These animals are lent for breeding; they stay ours." in pdf
    assert "3 L3, unsexed, sun beetle" in pdf  # of 5 split off, 2 were sold
    assert "Origin: not known; evidence: supplier's document" in pdf
    assert "Handed over by" in pdf


def test_what_a_lot_has_died_of_since_does_not_change_the_paper_of_its_loan(store: Store) -> None:
    ledger = tell_papers(store)
    before = said(loan(ledger, "P03", House(ledger)))
    ledger.do(Record("P03", (Move("died", 1, stage="L3"),), TODAY))
    ledger.do(LoanBack("P03", TODAY))

    after = said(loan(ledger, "P03", House(ledger)))

    assert "3 L3, unsexed" in after
    assert after == before.replace("Agreed:", "Came back on: 31 December 2025 Agreed:")


def test_the_paper_of_a_sample_has_its_origin_in_a_sentence_and_no_price(papers: Ledger, house: House) -> None:
    (given,) = papers.given()

    pdf = text_of(as_pdf(gift(papers, given.entry, house)))

    assert "Animals given as a sample" in pdf
    assert "For Fen School" in pdf
    assert "3 L3, unsexed, sun beetle (Pachnoda marginata), lot P02" in pdf
    assert "P02: not known, going back to" in pdf
    assert "EUR" not in pdf
    assert "€" not in pdf


def test_a_gift_of_two_lots_is_one_paper_whichever_number_is_asked_for(store: Store) -> None:
    ledger = tell_papers(store)
    ledger.do(GiveAway((Pick("P02", 1, stage="L3"), Pick("T01", 1, stage="L3", tub="A2")), TODAY, "gift", "Wren"))
    first, second = (row.entry for row in ledger.given()[-2:])

    one, other = (said(gift(ledger, number, House(ledger))) for number in (first, second))

    assert one == other
    assert "lot P02" in one
    assert "lot T01" in one


def test_what_has_no_such_paper_is_refused_in_a_sentence(store: Store) -> None:
    ledger = tell_papers(store)
    ledger.do(GiveAway((Pick("P02", 1, stage="L3"),), TODAY, "own use"))
    house = House(ledger)

    with pytest.raises(NotFound, match="no hold"):
        hold(ledger, "R-099", house)
    with pytest.raises(NotFound, match="P02 was never on a breeding loan"):
        loan(ledger, "P02", house)
    with pytest.raises(NotFound, match="Nothing was given under number 1;"):
        gift(ledger, 1, house)
    with pytest.raises(Refused, match="went to nobody"):
        gift(ledger, ledger.given()[-1].entry, house)


def test_a_day_before_the_loan_is_no_day_to_be_back_by(store: Store) -> None:
    ledger = tell_papers(store)
    before = ledger.loans()

    with pytest.raises(Refused, match="cannot be back before that day"):
        ledger.do(LendOut("T01", "Wren", TODAY, back_by=TODAY - dt.timedelta(days=1)))

    assert ledger.loans() == before


def test_papers_say_the_origin_of_their_day_and_beside_it_what_the_records_give_since(sqlite_store: Store) -> None:
    ledger = tell_papers(sqlite_store)
    ledger.do(
        AddLot(
            "Z01",
            "PACH",
            TODAY,
            (Arrival("bought", "L3", unsexed=9, value=900),),
            origin=OriginStatement("CBU", evidence=1, supplier="Ombrel Insects"),
        )
    )
    given = ledger.do(GiveAway((Pick("Z01", 1),), TODAY, "gift", "Wren")).refs["entry"]
    held = ledger.do(PlaceHold("Wren", (Pick("Z01", 2),), TODAY, "2026-02-01")).refs["number"]
    ledger.do(LendOut("Z01", "Alder", TODAY, picks=(Pick("Z01", 2),), new_code="Z02"))
    made = (
        lambda: said(gift(ledger, int(given), House(ledger))),
        lambda: said(hold(ledger, str(held), House(ledger))),
        lambda: said(loan(ledger, "Z02", House(ledger))),
    )
    then = [paper() for paper in made]
    day = dt.date(2026, 1, 4)
    ledger._clock = lambda: dt.datetime(2026, 1, 4, 9, 0)

    assert [paper() for paper in made] == then, "another day changes nothing"
    ledger.do(LowerOrigin("Z01", "UNK", "the supplier took it back", day))

    for before, paper in zip(then, made, strict=True):
        assert "By our records now" not in before
        after = paper()
        assert "captive bred, generation not known; evidence: supplier's or keeper's statement" in after
        assert "By our records now: not known" in after
        assert "Origins as our records give them on 31 December 2025." in after
    # A control: what nobody stated is said as the records give it now.
    new = ledger.do(GiveAway((Pick("Z01", 1),), day, "gift", "Wren")).refs["entry"]
    paper = said(gift(ledger, int(new), House(ledger)))
    assert "Origin: not known" in paper
    assert "By our records now" not in paper


def test_a_paper_of_an_act_older_than_the_keeping_says_the_origin_of_today(sqlite_store: Store) -> None:
    ledger = tell_papers(sqlite_store)
    given = ledger.do(GiveAway((Pick("P02", 1, stage="L3"),), TODAY, "gift", "Wren")).refs["entry"]
    with ledger.store.writing() as conn:
        conn.exec_driver_sql("DROP TRIGGER stated_origin_undeleted")
        conn.exec_driver_sql("DELETE FROM stated_origin")
    ledger._clock = lambda: dt.datetime(2026, 1, 4, 9, 0)

    paper = said(gift(ledger, int(given), House(ledger)))

    assert "Origins as our records give them on 4 January 2026." in paper
