"""The animal register holds every animal that was here, and how it came and went."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from exports.documents.animal_register import animal_register
from exports.documents.as_text import as_text
from exports.documents.house import House
from ledger.books.papers import credit_paper, parcel
from ledger.books.register import InOrOut, Register, RegisterLot, register
from ledger.errors import BadInput, NotFound
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.stock.queries import stock_on
from tests.exports.documents.business import POSTED, UNDONE, WAITING, tell_papers
from tests.exports.small_business import Story

FIRST, LAST = dt.date(2025, 1, 1), dt.date(2025, 12, 31)


def of(ledger: Ledger, first: dt.date = FIRST, last: dt.date = LAST, species: str | None = None) -> Register:
    return ledger.ask(register, first, last, today=ledger.today, species=species)


def lot(book: Register, code: str) -> RegisterLot:
    return next(one for one in book.lots if one.code == code)


def acts(one: RegisterLot) -> list[tuple[str, bool, str, int, str, str]]:
    return [(str(act.on), act.came, act.what, act.count, act.who, act.paper) for act in one.moved]


def test_who_from_and_to_whom_and_when_stand_in_the_register(papers: Ledger) -> None:
    book = of(papers)

    assert acts(lot(book, "P01")) == [
        ("2025-01-02", True, "bought", 7, "Ombrel Insects", ""),
        ("2025-04-12", False, "sold", 1, "Tarn", POSTED),
        ("2025-07-01", False, "died", 1, "", ""),
    ]
    assert acts(lot(book, "P02")) == [
        ("2025-02-10", True, "hatched here", 60, "", ""),
        ("2025-04-02", False, "died", 10, "", ""),
        ("2025-04-07", False, "split off", 5, "", "P03"),
        ("2025-04-12", False, "sold", 11, "Tarn", POSTED),
        ("2025-05-02", False, "sold", 4, "Marlow", "S-2025-0003"),
        ("2025-06-01", False, "went out by swap", 5, "Alder", "S-2025-0005"),
        ("2025-12-02", False, "given away", 3, "Fen School", ""),
    ]
    assert acts(lot(book, "P03"))[0] == ("2025-04-07", True, "split off", 5, "", "P02")
    assert lot(book, "H01").moved[0].what == "came in by swap"


def test_sexes_stages_marks_and_treatments_stand_in_the_register(papers: Ledger) -> None:
    book = of(papers)
    bought = lot(book, "P01").moved[0]

    assert (bought.by_sex, bought.stage) == ("3.4.0", "adult")
    assert lot(book, "P01").after[0].by_sex == "2.3.0"
    assert lot(book, "T01").moved[0].tubs == ("A1", "A2")
    assert lot(book, "T01").after[0].tubs == ("A1", "A2")
    assert lot(book, "P02").treatments == ((dt.date(2025, 4, 5), "mites: dry leaf litter, all tubs"),)
    assert lot(book, "P02").marks == ((dt.date(2025, 4, 6), "green dot on the lid"),)
    assert "Possible mother: P01" in lot(book, "P02").row.parents[0]


def test_what_was_taken_back_is_not_in_the_register(papers: Ledger) -> None:
    assert UNDONE not in {act.paper for one in of(papers).lots for act in one.moved}


def check(book: Register, ledger: Ledger) -> None:
    """Every lot adds up, and the counts are those of the stock."""
    assert all(one.adds_up for one in book.lots)
    for on, count in ((book.first - dt.timedelta(days=1), "count_before"), (book.last, "count_after")):
        stock = sum(row.count for row in ledger.ask(stock_on, on) if row.unit != "specimen")
        assert sum(getattr(one, count) for one in book.lots) == stock


@pytest.mark.parametrize("month", range(1, 13))
def test_the_register_adds_up_for_any_period(month: int, papers: Ledger) -> None:
    check(of(papers), papers)
    check(of(papers, dt.date(2025, month, 1), LAST), papers)
    check(of(papers, FIRST, dt.date(2025, month, 28)), papers)


@pytest.mark.parametrize("month", range(1, 13))
def test_it_adds_up_over_dried_specimens_clutches_returns_and_reversals(month: int, told: Story) -> None:
    for first, last in ((dt.date(2024, 11, 1), dt.date(2025, month, 10)), (dt.date(2025, month, 3), LAST)):
        check(of(told.ledger, first, last), told.ledger)


def test_a_row_that_is_lacking_is_noticed(papers: Ledger, house: House) -> None:
    """The control: with one act left out the lot no longer adds up, and the keeper is told."""
    book = of(papers)
    whole = lot(book, "P02")
    lacking = replace(whole, moved=whole.moved[1:])

    assert whole.adds_up
    assert not lacking.adds_up
    document = animal_register(replace(book, lots=(lacking,)), house)
    assert "The counts of P02 do not add up: 0 + 0 - 38 is not 22" in document.cautions[0]
    assert animal_register(book, house).cautions == ()


def test_animals_that_came_back_alive_name_who_sent_them(told: Story) -> None:
    back = [
        act
        for one in of(told.ledger, dt.date(2025, 8, 1), LAST).lots
        for act in one.moved
        if act.what == "came back alive"
    ]

    assert [(act.came, act.count, act.who) for act in back] == [(True, 1, "Tarn")]


def test_a_lot_that_was_gone_before_is_left_out(papers: Ledger) -> None:
    early = of(papers, FIRST, dt.date(2025, 1, 31))

    assert [one.code for one in early.lots] == ["P01"]
    assert [one.code for one in of(papers, species="HIER").lots] == ["H01"]


@pytest.mark.parametrize(
    ("first", "last", "species", "kind"),
    [
        (LAST, FIRST, None, BadInput),
        (FIRST, dt.date(2026, 1, 1), None, BadInput),
        (FIRST, LAST, "NONE", NotFound),
    ],
)
def test_bad_periods_are_refused_in_one_sentence(
    first: dt.date, last: dt.date, species: str | None, kind: type[Exception], papers: Ledger
) -> None:
    with pytest.raises(kind, match=r"^[^\n]+[.]$"):
        of(papers, first, last, species)


def test_both_kinds_of_database_give_the_same_papers(store: Store, papers: Ledger, house: House) -> None:
    ledger = tell_papers(store)
    book = of(ledger)

    assert as_text(animal_register(book, House(ledger))) == as_text(animal_register(of(papers), house))
    assert ledger.ask(credit_paper, "C-2025-0001") == papers.ask(credit_paper, "C-2025-0001")
    assert ledger.ask(parcel, WAITING) == papers.ask(parcel, WAITING)


def test_a_range_of_days_is_said_as_one(papers: Ledger, house: House) -> None:
    act = InOrOut(
        dt.date(2025, 3, 4), dt.date(2025, 3, 1), True, "found at count", 2, "0.0.2", "L3", (), "", "", "late"
    )
    book = of(papers)
    text = as_text(animal_register(replace(book, lots=(replace(lot(book, "P03"), moved=(act,)),)), house))

    assert "1 Mar 2025 to 4 Mar 2025" in " ".join(text.split())
    assert "late" in text
