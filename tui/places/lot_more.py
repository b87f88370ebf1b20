"""What else can be said of a lot, offered as one list: kept back, pairs, parents, origin, and what holds for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from ledger.origin.pairs import open_pairs
from ledger.stock.commands import FreeKept
from ledger.stock.keeping import kept_rows
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
            heading = f"Free again: {kept.words}"
            found.append(Choice(heading, partial(Sure, f"free {kept.earmark}", heading, free), kept.why))
    for pair in ledger.ask(open_pairs, lot):
        said = f"{pair.female} and {pair.male}"
        found.append(
            Choice(
                f"Parted: {said}",
                partial(PartedForm, pair.number, said),
                f"together since {short(pair.from_on, desk.order)}",
            )
        )
    found += [
        Choice("Keep back", partial(KeepBackForm, lot), "animals that are not for sale"),
        Choice("Together", partial(TogetherForm, lot), "a female and a male, from a day on"),
        Choice("Parents", partial(ParentsForm, lot), "who laid it"),
        Choice("State its origin", partial(StateForm, lot), "what is known of where it came from"),
        Choice("Claim less, or more by a document", partial(ClaimForm, lot), "than the records give"),
        Choice("Explain a count", partial(ExplainCountForm, lot), "why there were more than recorded"),
        Choice("Virgin or not", partial(VirginForm, lot), "a female, when she came"),
    ]
    found += [
        Choice(f"{fact[0].upper()}{fact[1:]}", partial(FactForm, lot, fact), hint) for fact, hint in FACTS.items()
    ]
    return found


async def ask_more(desk: Desk, lot: str) -> None:
    """Offer it, and open the form that was chosen."""

    async def open_chosen(make: Make | None) -> None:
        if make is not None:
            await desk.open_form(make())

    await desk.push_screen(Chooser(f"More about lot {lot}", choices(desk, lot)), open_chosen)
