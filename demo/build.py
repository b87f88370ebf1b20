"""Makes the ledger of the invented business Quillmere Loft, through the same services as the screens."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from demo import spending, story
from demo.parameters import CURRENCY, FIRST, LAST, NAME, PEOPLE, SPECIES
from demo.trade import Trade
from demo.world import World
from ledger.ledger import Ledger
from ledger.records.commands import SetSetting
from ledger.stock.commands import AddSpecies, SetFigure

ADDRESS = "2 Loft Lane\nQuillmere\nXA"
TERMS = "Live arrival: tell us within 2 hours with a photo; animals are refunded, not postage. Your legal rights stand."
COLONY_WEIGHT = 250_000
"""Care of a colony's container, in thousandths: that of 250 adults."""


@dataclass(slots=True)
class _Clock:
    """The time it is in the loft while its two years are played."""

    now: dt.datetime

    def __call__(self) -> dt.datetime:
        return self.now

    def set(self, moment: dt.datetime) -> None:
        self.now = moment


def build_demo(target: str, progress: Callable[[float], None] = lambda part: None) -> None:
    """Make the demo ledger at a path or database URL.

    Args:
        target: where; there must be nothing yet.
        progress: told the part done, from 0 to 1.

    Raises:
        Refused: there is something at that place already, or it cannot be written.
    """
    clock = _Clock(dt.datetime.combine(FIRST, dt.time(8, 0)))
    with Ledger.create(target, currency=CURRENCY, name=NAME, clock=clock) as ledger:
        ledger.by = PEOPLE[0]
        for name, value in (
            ("address", ADDRESS),
            ("terms", TERMS),
            ("post days", "Mon Tue Wed"),
            ("kilometre rate", "0.30"),
            # Thirteen holds stand in a notebook of the years before.
            ("hold numbers", "R-014"),
        ):
            ledger.do(SetSetting(name, value), source="demo")
        for code, template in SPECIES:
            ledger.do(AddSpecies(code, template), source="demo")
        ledger.do(SetFigure("PORC", "colony", "care weight", COLONY_WEIGHT, FIRST, "as many as a tub of adults"))
        world = World(ledger, clock.set)
        trade = Trade(world)
        story.plan(world)
        spending.plan(world)
        trade.plan()
        world.play(trade.day, progress)
        ledger.do(SetSetting("pretend today", LAST.isoformat()), source="demo")
