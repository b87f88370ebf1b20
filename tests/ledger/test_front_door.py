"""The front door: many lines as one act, and names for a line in the keeper's own words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from sqlalchemy import Connection

from ledger.costs.commands import ReverseCost, Spend
from ledger.errors import BadInput, SaidDifferently
from ledger.ledger import Ledger
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, Record, Undo

ON = dt.date(2025, 6, 1)


@pytest.fixture
def kept(ledger: Ledger) -> Ledger:
    """Ten L3 in P08."""
    ledger.do(AddSpecies("PACH", "pachnoda-marginata"))
    ledger.do(AddLot("P08", "PACH", ON, (Arrival("opening", "L3", unsexed=10),)))
    return ledger


def lines(*commands: object) -> list[tuple[str, Callable[[Connection], object]]]:
    """Commands as `do_all` takes them."""
    return [(f"Line {number}", lambda conn, one=one: one) for number, one in enumerate(commands, start=1)]


def died(count: int) -> Record:
    return Record("P08", (Move("died", count),), ON)


def alive(ledger: Ledger) -> int:
    return sum(row.count for row in ledger.stock())


def test_many_commands_are_one_act_that_one_undo_takes_back(kept: Ledger) -> None:
    answers = kept.do_all(lines(died(2), died(3)), content="a")
    left = alive(kept)
    kept.do(Undo())

    assert [answer.sentence for answer in answers] == [
        "P08: 2 of 10 L3 died, 1 June 2025.",
        "P08: 3 of 8 L3 died, 1 June 2025.",
    ]
    assert (left, alive(kept)) == (5, 10)


def test_one_command_that_cannot_be_recorded_keeps_all_out(kept: Ledger) -> None:
    with pytest.raises(BadInput, match=r"^Line 2: P08 has only 8 L3.* Nothing was recorded\.$"):
        kept.do_all(lines(died(2), died(9)), content="a")

    assert alive(kept) == 10
    assert len(kept.entries()) == 1


def test_the_same_act_sent_again_counts_once(kept: Ledger) -> None:
    kept.do_all(lines(died(2), died(3)), content="a", token="t")
    (again,) = kept.do_all(lines(died(2), died(3)), content="a", token="t")

    assert again.sentence == "2 lines were recorded."
    assert alive(kept) == 5
    with pytest.raises(SaidDifferently):
        kept.do_all(lines(died(1)), content="b", token="t")


def test_names_hold_what_a_line_may_say(kept: Ledger) -> None:
    kept.do(Record("P08", (Move("tub moved", 3, to_tub="07"),), ON))
    kept.do(Spend(ON, "beetle jelly", 400, "Ombrel"))

    kept.do(Spend(ON, "beetle jelly", 400, "Ombrel cash"))
    kept.do(ReverseCost(2, "a slip"))

    names = kept.vocabulary()

    assert [name for name, unit in names.stages["P08"] if unit == "specimen"] == ["dried specimen"]
    assert names.tubs == {"P08": {"07": 3}}
    assert (names.species, names.suppliers) == (("PACH",), ("Ombrel",))
    assert (names.categories["beetle jelly"], names.categories["equipment"]) == ("used up", "lasting")


def test_a_tub_that_was_emptied_is_known_and_holds_none(kept: Ledger) -> None:
    kept.do(Record("P08", (Move("tub moved", 1, to_tub="07"),), ON))
    kept.do(Record("P08", (Move("died", 1, tub="07"),), ON))

    assert kept.vocabulary().tubs == {"P08": {"07": 0}}


def test_lots_without_animals_are_listed_only_when_asked_for(kept: Ledger) -> None:
    kept.do(died(10))

    assert kept.lots() == ()
    assert [lot.code for lot in kept.lots(empty=True)] == ["P08"]
    assert [(lot.code, lot.animals) for lot in kept.lots(dt.date(2025, 5, 31), empty=True)] == []
