"""Two lots of beetles with figures that can be worked out by hand, for the tests of explanations over a real ledger.

P01: ten larvae for 30.00 and 20.00 of feed; two die, eight are reared at 6.25, three are sold. P02: ten larvae for
12.00 and 18.00 of feed, ten reared at 3.00. A year of heat of 36.50 from April on. Today is 2 June 2025.
"""

from __future__ import annotations

import datetime as dt

from ledger.costs.commands import Spend
from ledger.ledger import Ledger
from ledger.records.store import Store
from ledger.selling.commands import LineOf, Paid, Sell, SetPrice
from ledger.stock.commands import AddLot, Arrival, DescribeSpecies, Move, Record, StageSpec

NOW = dt.datetime(2025, 6, 2, 10, 0)
CAME, REARED, SOLD = dt.date(2025, 1, 10), dt.date(2025, 4, 1), dt.date(2025, 5, 1)
EATEN = dt.date(2025, 3, 31)
STAGES = (StageSpec("larva", saleable=True), StageSpec("adult", saleable=True))

COMMANDS: tuple[object, ...] = (
    DescribeSpecies("BUG", "Species inventa", "bug", "beetle", STAGES, "adult"),
    AddLot("P01", "BUG", CAME, (Arrival("bought", "larva", unsexed=10, value=3000),)),
    AddLot("P02", "BUG", CAME, (Arrival("bought", "larva", unsexed=10, value=1200),)),
    Spend(CAME, "feed", 2000, "Ombrel", scope="lots", lots=("P01",), window_to=EATEN),
    Spend(CAME, "feed", 1800, "Ombrel", scope="lots", lots=("P02",), window_to=EATEN),
    Record("P01", (Move("died", 2, cause="ordinary"),), REARED),
    Record("P01", (Move("next stage", 8, to_stage="adult"),), REARED),
    Record("P02", (Move("next stage", 10, to_stage="adult"),), REARED),
    Spend(REARED, "heat", 3650, kind="overhead", window_from=REARED, window_to=dt.date(2026, 3, 31)),
    Spend(REARED, "rack", 1000, kind="lasting", life_days=100, residual=200),
    Spend(SOLD, "postage", 400, kind="selling", scope="none"),
    SetPrice("BUG", "adult", 900, CAME),
    Sell((LineOf("P01", 3, stage="adult"),), SOLD, "Tarn", paid=(Paid(2700),)),
)
COST_OF_P01, FEED_OF_P01, HEAT, RACK, POSTAGE = 1, 3, 5, 6, 7
"""Numbers of costs."""


def beetles(store: Store) -> Ledger:
    """The ledger of the beetles over an empty store."""
    ledger = Ledger(store, clock=lambda: NOW, by="keeper")
    for number, command in enumerate(COMMANDS):
        ledger.do(command, token=f"beetles-{number}", source="demo")
    return ledger
