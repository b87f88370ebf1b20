"""The places of the screen, in the order of their digits; each is loaded when it is first gone to."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from ledger.wording import say

if TYPE_CHECKING:
    from tui.frame import Place


@dataclass(frozen=True, slots=True)
class Way:
    """The way to a place: what the strip says of it, and how it is made."""

    NAME: str
    TITLE_WORDS: str
    made_by: str
    """Class in the module of that name here."""

    def load(self) -> type[Place]:
        """The class of the place."""
        place: type[Place] = getattr(import_module(f"tui.places.{self.NAME}"), self.made_by)
        return place

    def __call__(self) -> Place:
        """A new screen of the place."""
        return self.load()()


PLACES: tuple[Way, ...] = (
    Way("due", say("Due"), "DuePlace"),
    Way("ready", say("Ready"), "ReadyPlace"),
    Way("stock", say("Stock"), "StockPlace"),
    Way("sales", say("Sales"), "SalesPlace"),
    Way("costs", say("Costs"), "CostsPlace"),
    Way("rearing", say("Rearing"), "RearingPlace"),
    Way("year", say("Year"), "YearPlace"),
    Way("round", say("Round"), "RoundPlace"),
    Way("settings", say("Settings"), "SettingsPlace"),
)


def load_all() -> None:
    """Load every place, the jot line and what records, so that the first key for one of them does not wait."""
    for way in PLACES:
        way.load()
    import_module("tui.places.lot")
    import_module("tui.places.bring_in")
    import_module("tui.jot_line")
    import_module("tui.jot_complete")
    import_module("tui.widgets.chooser")
    import_module("ledger.ledger").handlers()
