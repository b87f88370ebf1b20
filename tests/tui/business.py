"""A small ledger of an invented loft for the tests of the places, with names in it that would break a careless screen.

Today is Wednesday 4 June 2025.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from ledger.costs.commands import Spend
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.records.store import Store
from ledger.selling.commands import LineOf, Paid, Pick, PlaceHold, Sell, SetPrice
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Mark, Move, OriginStatement, Record, SaveRound
from tui.app import Desk
from tui.places import PLACES

NOW = dt.datetime(2025, 6, 4, 10, 0)
TODAY = NOW.date()
HOSTILE_BUYER = "Velo [/b] Marrick"
HOSTILE_SUPPLIER = "[@click=app.leave]Ombrel[/] & Co"


def day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


COMMANDS: tuple[object, ...] = (
    SetSetting("business name", "Quillmere [Loft]"),
    AddSpecies("PACH", "pachnoda-marginata"),
    AddSpecies("HIER", "hierodula-membranacea"),
    AddLot(
        "P01",
        "PACH",
        day("2024-11-01"),
        (Arrival("opening", "adult", males=3, females=5),),
        purpose="breeding",
        origin=OriginStatement("CB", 2, supplier=HOSTILE_SUPPLIER, note="[red]note[/red]"),
    ),
    AddLot(
        "P08",
        "PACH",
        day("2025-01-05"),
        (Arrival("hatched", "L1", unsexed=40),),
        place="shelf [3]",
        mothers=("P01",),
        fathers=("P01",),
        laid_from=day("2024-12-01"),
        laid_on=day("2024-12-20"),
    ),
    Spend(day("2025-01-05"), "feed", 2400, HOSTILE_SUPPLIER, text="leaf [litter]", window_to=day("2025-06-30")),
    Record("P08", (Move("died", 4, stage="L1"),), day("2025-01-20")),
    Record("P08", (Move("next stage", 36, stage="L1", to_stage="L3"),), day("2025-02-10")),
    Record("P08", (Move("died", 2),), day("2025-03-01"), note="note with [/]"),
    Record("P08", (Move("next stage", 20, stage="L3", to_stage="cocoon"),), day("2025-03-20")),
    Record("P08", (Move("next stage", 12, stage="cocoon", to_stage="soft adult"),), day("2025-05-01")),
    Record("P08", (Move("next stage", 8, stage="soft adult", to_stage="adult"),), day("2025-05-15")),
    Record("P08", (Move("sexed", 3, stage="adult", to_sex="female"),), day("2025-05-20")),
    SetPrice("PACH", "L3", 150, day("2025-01-01")),
    SetPrice("PACH", "adult", 450, day("2025-01-01")),
    SaveRound((Mark("P08", "fed"), Mark("P08", "looked")), day("2025-05-28")),
    Sell(
        (LineOf("P08", 4, stage="L3"),),
        day("2025-05-10"),
        HOSTILE_BUYER,
        paid=(Paid(600),),
    ),
    PlaceHold("Tarn", (Pick("P08", 2, stage="adult", sex="female"),), day("2025-06-01"), "2025-06-06T18:00", 200),
)


def fill(store: Store) -> Ledger:
    """The ledger of the loft over an empty store."""
    ledger = Ledger(store, clock=lambda: NOW, by="keeper")
    for number, command in enumerate(COMMANDS):
        ledger.do(command, token=f"made-{number}", source="demo")
    return ledger


def desk(ledger: Ledger, **more: Any) -> Desk:
    """The application over a ledger."""
    return Desk(ledger, PLACES, ledger.vocabulary, **more)
