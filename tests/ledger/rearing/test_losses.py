"""What a lot lost, counted by hand: by stage beside the other lots of its species, by cause and by month."""

from __future__ import annotations

import datetime as dt

import pytest

from ledger.ledger import Ledger
from ledger.rearing.losses import Losses, losses
from ledger.records.store import Store
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, Record, Reverse

TODAY = dt.date(2025, 6, 4)


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


@pytest.fixture
def ledger(sqlite_store: Store) -> Ledger:
    """P08: 40 hatched, 4 died as L1 and 3 as L3, of which 2 by the heater; P09: 20 hatched, 10 died as L1."""
    ledger = Ledger(sqlite_store, clock=lambda: dt.datetime(2025, 6, 4, 10, 0), by="keeper")
    for command in (
        AddSpecies("PACH", "pachnoda-marginata"),
        AddLot("P08", "PACH", day("2025-01-05"), (Arrival("hatched", "L1", unsexed=40),)),
        AddLot("P09", "PACH", day("2025-01-05"), (Arrival("hatched", "L1", unsexed=20),)),
        Record("P08", (Move("died", 4, "L1"),), day("2025-01-20")),
        Record("P08", (Move("next stage", 36, "L1", to_stage="L3"),), day("2025-02-10")),
        Record("P08", (Move("died", 2, "L3", cause="exceptional"),), day("2025-03-01")),
        Record("P08", (Move("missing", 1, "L3"),), day("2025-03-02")),
        Record("P08", (Move("next stage", 5, "L3", to_stage="adult"),), day("2025-05-01")),
        Record("P08", (Move("died", 1, "adult", cause="ordinary"),), day("2025-05-20")),
        Record("P09", (Move("died", 10, "L1"),), day("2025-02-01")),
    ):
        ledger.do(command)
    return ledger


def _of(ledger: Ledger, lot: str = "P08", on: dt.date = TODAY) -> Losses:
    return ledger.ask(losses, lot, on)


def test_losses_are_counted_by_stage_and_set_beside_those_of_the_other_lots(ledger: Ledger) -> None:
    found = _of(ledger)

    assert [(one.stage, one.reared, one.came, one.lost, one.usual) for one in found.stages] == [
        ("L1", False, 40, 4, 0.5),
        ("L3", False, 36, 3, None),
        ("adult", True, 5, 1, None),
    ]
    assert found.lost == 7


def test_causes_and_months_are_those_before_the_reared_stage(ledger: Ledger) -> None:
    found = _of(ledger)

    assert found.causes == (("unknown", 4), ("exceptional", 2), ("missing", 1))
    assert found.months == ((day("2025-01-01"), 4), (day("2025-03-01"), 3))


def test_what_was_found_again_or_taken_back_is_not_lost(ledger: Ledger) -> None:
    ledger.do(Record("P08", (Move("found", 1, "L3"),), day("2025-03-20")))
    (died,) = (row for row in ledger.story("P08") if "2 L3 died" in row.text)
    assert died.movement is not None
    ledger.do(Reverse(died.movement))

    found = _of(ledger)

    assert next(one for one in found.stages if one.stage == "L3").lost == 0
    assert found.causes == (("unknown", 4),)
    assert found.months == ((day("2025-01-01"), 4),)


def test_a_past_day_knows_nothing_of_what_came_after(ledger: Ledger) -> None:
    found = _of(ledger, on=day("2025-02-01"))

    assert [(one.stage, one.lost) for one in found.stages] == [("L1", 4)]
    assert found.lost == 4
