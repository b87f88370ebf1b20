"""What else can be said of a lot, offered as one list: kept back, pairs, parents, origin, and what holds for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from ledger.origin.pairs import open_pairs
from ledger.stock.commands import FreeKept
from ledger.stock.keeping import kept_rows
from ledger.wording import capital, say, word
from tui.findable import found as found_by
from tui.forms.asking import Sure
from tui.forms.lot_facts import FACTS, FactForm, KeepBackForm
from tui.forms.origin import (
    ClaimForm,
    ExplainCountForm,
    ParentsForm,
    PartedForm,
    StateForm,
    TogetherForm,
    VirginForm,
)
from tui.look import short
from tui.places.of_a_lot import TOGETHER
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.form import Form

if TYPE_CHECKING:
    from tui.app import Desk

Make = Callable[[], Form]


def choices(desk: Desk, lot: str) -> list[Choice[Make]]:
    """Everything there is to say of a lot, with what can end first."""
    ledger = desk.ledger
    found: list[Choice[Make]] = []
    for kept in ledger.ask(kept_rows):
        if lot in kept.lots:
            free = FreeKept(kept.earmark, ledger.today)
            heading = say("Free again: {words}", words=kept.words)
            found.append(
                Choice(heading, partial(Sure, say("free {earmark}", earmark=kept.earmark), heading, free), kept.why)
            )
    for pair in ledger.ask(open_pairs, lot):
        said = say("{female} and {male}", female=pair.female, male=pair.male)
        if pair.female == pair.male:
            said = say("females and males of {lot}", lot=pair.female)
        found.append(
            Choice(
                say("Parted: {pair}", pair=said),
                partial(PartedForm, pair.number, said),
                say("together since {from_on}", from_on=short(pair.from_on, desk.order)),
            )
        )
    found += [
        Choice(say("Keep back"), partial(KeepBackForm, lot), say("animals that are not for sale")),
        Choice(
            say("Together"),
            partial(TogetherForm, lot),
            say("a female and a male, from a day on"),
            found_by(TOGETHER).also,
        ),
        Choice(say("Parents"), partial(ParentsForm, lot), say("who laid it")),
        Choice(say("State its origin"), partial(StateForm, lot), say("what is known of where it came from")),
        Choice(say("Claim less, or more by a document"), partial(ClaimForm, lot), say("than the records give")),
        Choice(say("Explain a count"), partial(ExplainCountForm, lot), say("why there were more than recorded")),
        Choice(say("Virgin or not"), partial(VirginForm, lot), say("a female, when she came")),
    ]
    found += [Choice(capital(word(fact)), partial(FactForm, lot, fact), hint) for fact, hint in FACTS.items()]
    return found


async def ask_more(desk: Desk, lot: str) -> None:
    """Offer it, and open the form that was chosen."""

    async def open_chosen(make: Make | None) -> None:
        if make is not None:
            await desk.open_form(make())

    await desk.push_screen(Chooser(say("More about lot {lot}", lot=lot), choices(desk, lot)), open_chosen)
