"""What is said of a lot's origin before it is entered is what its records give afterwards."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.ledger import Ledger
from ledger.origin.commands import Expose, SayVirgin
from ledger.origin.foretold import Foretold, foretold
from ledger.records.store import Store
from ledger.stock.commands import AddLot, AddSpecies, Arrival, OriginStatement

TODAY = dt.date(2025, 6, 4)
BOUGHT = dt.date(2025, 1, 10)
LAID = dt.date(2025, 3, 1)


@pytest.fixture
def ledger(sqlite_store: Store) -> Ledger:
    """A keeper who bought a captive-bred F2 group as adults, and one wild-collected female."""
    ledger = Ledger(sqlite_store, clock=lambda: dt.datetime(2025, 6, 4, 10, 0), by="keeper")
    for command in (
        AddSpecies("PACH", "pachnoda-marginata"),
        AddLot(
            "B01",
            "PACH",
            BOUGHT,
            (Arrival("bought", "adult", males=2, females=3),),
            purpose="breeding",
            origin=OriginStatement("CB", 2, 1, supplier="Pellow"),
        ),
        AddLot("W01", "PACH", BOUGHT, (Arrival("collected", "adult", females=1),), origin=OriginStatement("WC")),
    ):
        ledger.do(command)
    return ledger


def _told(ledger: Ledger, command: AddLot) -> Foretold:
    plan = ledger.preview(command)
    told = ledger.ask(foretold, plan)  # type: ignore[arg-type]
    assert told is not None
    return told


def _eggs(**more: object) -> AddLot:
    return AddLot("P01", "PACH", LAID, (Arrival("laid", "egg", unsexed=40),), laid_on=LAID, **more)  # type: ignore[arg-type]


def test_eggs_of_a_bought_f2_group_will_read_not_known_and_it_is_said_what_is_missing(ledger: Ledger) -> None:
    told = _told(ledger, _eggs(mothers=("B01",)))

    assert told.sentence == "Its origin will read: not known; evidence: none."
    assert not told.known
    assert "whom B01 mated with before she came is not on record" in told.lacks
    assert "no father on record with B01" in told.lacks


def test_with_what_was_missing_recorded_the_same_eggs_will_read_f3(ledger: Ledger) -> None:
    for bought, documents in (("B01", ""), ("B02", "invoice 7")):
        origin = OriginStatement("CB", 2, 2 if documents else 1, supplier="Pellow", documents=documents)
        if documents:
            ledger.do(AddLot(bought, "PACH", BOUGHT, (Arrival("bought", "adult", males=1, females=1),), origin=origin))
        ledger.do(Expose(bought, bought, dt.date(2025, 1, 11), witnessed=True))
        ledger.do(SayVirgin(bought, "yes", BOUGHT))

    by_word, by_document = (_told(ledger, _eggs(mothers=(bought,))) for bought in ("B01", "B02"))

    assert by_word.origin == "captive bred, generation not known"
    assert "the generation of a possible parent is not known: B01" in by_word.lacks
    assert by_document.origin == "captive bred, F3 by our records"
    assert (by_document.known, by_document.lacks) == (True, "")


def test_a_generation_that_a_supplier_only_says_is_told_to_need_a_document(ledger: Ledger) -> None:
    told = _told(
        ledger, AddLot("P01", "PACH", LAID, (Arrival("bought", "L3", unsexed=9),), origin=OriginStatement("CB", 2, 1))
    )

    assert told.origin == "captive bred, generation not known"
    assert "F2 was stated without a document that shows it" in told.lacks


@pytest.mark.parametrize("seen", [None, False, True])
@pytest.mark.parametrize(
    "command",
    [
        _eggs(),
        _eggs(mothers=("B01",)),
        _eggs(mothers=("B01",), fathers=("B01",)),
        _eggs(mothers=("W01",)),
        AddLot("P01", "PACH", LAID, (Arrival("hatched", "L1", unsexed=9),), mothers=("B01",), fathers=("B01",)),
        AddLot("P01", "PACH", LAID, (Arrival("bought", "L3", unsexed=9),), origin=OriginStatement("CBU")),
        AddLot("P01", "PACH", LAID, (Arrival("bought", "L3", unsexed=9),)),
        AddLot("P01", "PACH", LAID, (Arrival("collected", "L3", unsexed=9),), origin=OriginStatement("WR")),
    ],
    ids=["no mother", "mother", "both", "wild mother", "hatched", "bought", "unsaid", "collected"],
)
def test_what_is_foretold_is_what_is_derived_afterwards(ledger: Ledger, command: AddLot, seen: bool | None) -> None:
    if seen is not None:
        ledger.do(Expose("B01", "B01", dt.date(2025, 1, 11), witnessed=seen))

    told = _told(ledger, command)
    ledger.do(command)

    after = ledger.origin("P01")
    assert (told.origin, told.evidence) == (after.origin, after.evidence)
    assert list(told.gaps) == list(after.rows[0].gaps)


def test_a_lot_without_animals_is_not_foretold(ledger: Ledger) -> None:
    plan = ledger.preview(AddLot("P01", "PACH", LAID, ()))

    assert ledger.ask(foretold, plan) is None  # type: ignore[arg-type]
