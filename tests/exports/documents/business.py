"""An invented loft over one year, said through the front door: sales of every kind, tubs, a treatment, a correction."""

from __future__ import annotations

import datetime as dt

from ledger.ledger import Ledger
from ledger.origin.commands import Expose, LowerOrigin, WriteCorrectionNote
from ledger.records.commands import SetSetting
from ledger.records.store import Store
from ledger.selling.commands import (
    AddCustomer,
    Charge,
    CreditLine,
    CreditSale,
    GiveAway,
    LendOut,
    LineOf,
    Paid,
    Pick,
    PlaceHold,
    PostSale,
    Sell,
    SetPrice,
    Swap,
)
from ledger.stock.commands import AddLot, AddSpecies, Arrival, Move, OriginStatement, Part, Record, SetLotFact, SplitLot
from tests.exports.small_business import Clock

SETTINGS = {
    "business name": "Tallow Lane Loft",
    "address": "4 Tallow Lane\nMirebrook\nXA",
    "contact": "loft@example.org",
    "registration": "Keeper's number 12-345",
    "payment details": "Account XA00 1234, name Tallow Lane Loft",
    "terms": "Live arrival: tell us within 2 hours, with a photo.",
    "locale": "en_GB",
}
POSTED, WAITING, PARTLY, UNDONE, SWAPPED, CORRECTED = (f"S-2025-000{n}" for n in (1, 2, 3, 4, 5, 6))
"""Numbers of the sales."""


def tell_papers(store: Store) -> Ledger:
    """Tell the year."""
    clock = Clock()
    clock.today = dt.date(2025, 1, 1)
    ledger = Ledger(store, clock=clock, by="keeper")

    def say(day: str, make: object) -> dict[str, object]:
        on = dt.date.fromisoformat(day)
        clock.today = max(clock.today, on)
        return dict(ledger.do(make(on) if callable(make) else make).refs)

    for name, value in SETTINGS.items():
        say("2025-01-01", SetSetting(name, value))
    say("2025-01-01", AddSpecies("PACH", "pachnoda-marginata"))
    say("2025-01-01", AddSpecies("HIER", "hierodula-membranacea"))
    say("2025-01-01", AddCustomer("Tarn", "12 Fen Row\nMirebrook\nXA"))
    for stage, amount, more in (
        ("L3", 150, {}),
        ("L3", 1200, {"animals": 10, "pack": "group of 10"}),
        ("adult", 450, {"sex": "female"}),
        ("adult", 300, {"buyer": "trade"}),
        ("adult", 400, {}),
    ):
        say("2025-01-01", SetPrice("PACH", stage, amount, dt.date(2025, 1, 1), **more))
    say(
        "2025-01-02",
        lambda on: AddLot(
            "P01",
            "PACH",
            on,
            (Arrival("bought", "adult", males=3, females=4, value=3500),),
            origin=OriginStatement("WC", evidence=2, country="XB", supplier="Ombrel Insects", documents="note 7"),
        ),
    )
    say("2025-01-02", lambda on: Expose("P01", "P01", on, witnessed=True))
    say(
        "2025-02-10",
        lambda on: AddLot("P02", "PACH", on, (Arrival("hatched", "L1", unsexed=60),), mothers=("P01",), purpose="sale"),
    )
    say("2025-04-01", lambda on: Record("P02", (Move("next stage", 50, stage="L1", to_stage="L3"),), on))
    say("2025-04-02", lambda on: Record("P02", (Move("died", 10, stage="L1"),), on))
    say(
        "2025-04-03",
        lambda on: AddLot(
            "T01",
            "PACH",
            on,
            (Arrival("bought", "L3", unsexed=1, tub="A1"), Arrival("bought", "L3", unsexed=1, tub="A2")),
            origin=OriginStatement("CBU", supplier="Ombrel Insects"),
        ),
    )
    say("2025-04-05", lambda on: SetLotFact("P02", "treatment", "mites: dry leaf litter, all tubs", on))
    say("2025-04-06", lambda on: SetLotFact("P02", "mark", "green dot on the lid", on))
    say("2025-04-07", lambda on: SplitLot("P02", "P03", (Part(5, stage="L3"),), on))
    say(
        "2025-04-10",
        lambda on: Sell(
            (
                LineOf("P02", 10, 1200, stage="L3", extra=1, pack="group of 10"),
                LineOf("P01", 1, 450, stage="adult", sex="female", discount=50),
            ),
            on,
            "Tarn",
            channel="post",
            charges=(Charge("postage", 650),),
            paid=(Paid(2250, "transfer"),),
            to_post=True,
        ),
    )
    say("2025-04-12", lambda on: PostSale(POSTED, on))
    say(
        "2025-04-20",
        lambda on: Sell((LineOf("T01", 1, 500, tub="A1"),), on, "Wren", channel="post", to_post=True),
    )
    say("2025-05-01", lambda on: PlaceHold("Marlow", (Pick("P02", 4, stage="L3"),), on, "2025-06-01", deposit=300))
    say("2025-05-02", lambda on: Sell((LineOf("P02", 4, 600, stage="L3"),), on, hold="R-001", paid=(Paid(200),)))
    say("2025-05-04", lambda on: CreditSale(PARTLY, on, "1 dead on arrival", (CreditLine(1, 150, count=1),)))
    say("2025-05-10", lambda on: Sell((LineOf("P02", 1, 150, stage="L3"),), on, paid=(Paid(150),)))
    say("2025-05-11", lambda on: CreditSale(UNDONE, on, "entered by mistake"))
    say(
        "2025-06-01",
        lambda on: Swap(
            (Pick("P02", 5, stage="L3"),),
            AddLot("H01", "HIER", on, (Arrival("swapped in", "ootheca", unsexed=1),), origin=OriginStatement("UNK")),
            750,
            on,
            partner="Alder",
        ),
    )
    say("2025-06-05", lambda on: Sell((LineOf("P03", 2, 300, stage="L3"),), on, "Tarn", paid=(Paid(300),)))
    say("2025-06-10", lambda on: LowerOrigin("P02", "UNK", "tubs were mixed up", on))
    affected = next(row for row in ledger.affected_sales() if row.number == CORRECTED)
    say("2025-06-11", lambda on: WriteCorrectionNote(affected.sale_line, on, "tubs were mixed up"))
    say("2025-07-01", lambda on: Record("P01", (Move("died", 1, stage="adult", sex="male"),), on))
    say(
        "2025-12-01", lambda on: PlaceHold("Marlow", (Pick("P02", 2, stage="L3"),), on, "2026-01-10T18:00", deposit=100)
    )
    say("2025-12-02", lambda on: GiveAway((Pick("P02", 3, stage="L3"),), on, "sample", "Fen School"))
    say(
        "2025-12-03",
        lambda on: LendOut("P03", "Alder", on, "half of the young", back_by=dt.date(2026, 3, 1)),
    )
    clock.today = dt.date(2025, 12, 31)
    return ledger
