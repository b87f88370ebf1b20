"""Which decision: the list of those that can be asked for a lot or a species, and the way to each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.wording import say
from tui.actions import Act
from tui.widgets.chooser import Choice, Chooser

if TYPE_CHECKING:
    from tui.app import Desk
    from tui.forms.what_if import WhatIf

DECIDE = Act(
    "decide", "D", say("decide"), say("Sell now or rear on, how many to start, what to charge, what survival is worth.")
)


def decisions(lot: str, species: str) -> list[Choice[str]]:
    """What can be asked; selling now or rearing on only of a lot."""
    of_lot = [Choice(say("{lot}: sell now or rear on?", lot=lot), "rear", say("prices, upkeep, buyers"))] if lot else []
    return [
        *of_lot,
        Choice(say("{species}: how many to start?", species=species), "start", say("for so many reared")),
        Choice(say("{species}: the least to ask for one", species=species), "price", say("cost, selling cost, margin")),
        Choice(
            say("{species}: what better survival would be worth", species=species),
            "better",
            say("cost at another share"),
        ),
    ]


def panel(which: str, lot: str, species: str) -> WhatIf:
    """The panel of a decision."""
    from tui.forms.decide import BetterSurvival, HowMany, LeastPrice, RearOrSell

    if which == "rear":
        return RearOrSell(lot)
    return {"start": HowMany, "price": LeastPrice, "better": BetterSurvival}[which](species)


async def choose_decision(desk: Desk, lot: str, species: str) -> None:
    """Ask which, and open it."""

    async def opened(which: str | None) -> None:
        if which is not None:
            await desk.open_form(panel(which, lot, species))

    await desk.push_screen(Chooser(say("Decide about {lot}", lot=lot or species), decisions(lot, species)), opened)
