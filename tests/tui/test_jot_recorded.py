"""Lines about young born alive and about gifts, recorded in a ledger as the forms would record them."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.errors import Ambiguous
from ledger.ledger import Ledger
from ledger.selling.giving import given
from ledger.stock.commands import AddLot, AddSpecies, Arrival
from tests.tui.business import TODAY
from tui.jot_line import line_with, read_line
from tui.jot_words import Setting

STARTED = dt.date(2025, 3, 1)


@pytest.fixture
def isopods(bare: Ledger) -> Ledger:
    bare.do(AddSpecies("PS", "porcellio-scaber"))
    bare.do(AddLot("P01", "PS", STARTED, (Arrival("opening", "adult", males=4, females=8),), place="sill"))
    return bare


def jot(ledger: Ledger, line: str) -> str:
    setting = Setting(ledger.vocabulary(), ledger.today, ledger.currency)
    return ledger.do(read_line(line, setting)).sentence


def alive(ledger: Ledger, lot: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for row in ledger.stock():
        if row.lot == lot:
            found[row.stage] = found.get(row.stage, 0) + row.count
    return found


def test_young_are_born_into_a_lot_of_their_own_as_the_form_of_stock_records_it(isopods: Ledger) -> None:
    setting = Setting(isopods.vocabulary(), isopods.today, isopods.currency)
    form = AddLot("P02", "PS", TODAY, (Arrival("hatched", "manca", unsexed=40),), place="sill", mothers=("P01",))

    assert read_line("P01 40 mancae born as P02", setting) == form
    assert "40 mancas hatched here" in jot(isopods, "P01 40 mancae born as P02 last tue")
    assert (alive(isopods, "P01"), alive(isopods, "P02")) == ({"adult": 12}, {"manca": 40})


def test_young_without_a_code_are_more_animals_of_their_mothers_lot(isopods: Ledger) -> None:
    jot(isopods, "P01 40 mancae born")

    assert alive(isopods, "P01") == {"adult": 12, "manca": 40}


def test_what_is_given_to_somebody_stands_in_the_list_of_gifts(isopods: Ledger) -> None:
    setting = Setting(isopods.vocabulary(), isopods.today, isopods.currency)
    line = "P01 2 adults given away to Lena last fri"
    with pytest.raises(Ambiguous) as asked:
        isopods.preview(read_line(line, setting))
    offered = [whole for one in asked.value.choices if (whole := line_with(line, one, setting))]
    assert offered

    jot(isopods, offered[-1])
    [gift] = isopods.ask(given)
    assert (gift.to, gift.on, gift.animals) == ("Lena", dt.date(2025, 5, 30), 2)
