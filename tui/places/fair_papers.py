"""Papers for the table of a fair, written from its page: a label for each pack, and the price list of the packs."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.wording import say
from tui.forms.papers import PackLabelsForm
from tui.papers import Paper, Papers
from tui.places.animal_papers import labels_written
from tui.places.writing import write_aside, write_into_folder
from tui.widgets.chooser import Choice, Chooser

if TYPE_CHECKING:
    from exports.documents.house import House
    from exports.documents.paper import Document
    from ledger.ledger import Ledger
    from tui.app import Desk

LABELS, PRICES = "labels", "prices"


async def ask_papers(desk: Desk, fair: str) -> None:
    """Offer the papers of a fair, ask what they need, and write them."""
    ledger, folder = desk.ledger, desk.papers

    async def chosen(which: str | None) -> None:
        if which == LABELS:
            await desk.open_form(PackLabelsForm(labels))
        elif which == PRICES:
            papers = [Paper(PRICES, "", partial(_prices, ledger, fair))]
            await write_into_folder(desk, say("Price list"), papers)

    async def labels(values: dict[str, Any]) -> None:
        await write_aside(desk, say("Labels"), partial(_labels, ledger, fair, folder, values))

    found = [
        Choice(say("Labels of the packs"), LABELS, say("mark, animals, price and origin, one for each")),
        Choice(say("Price list of the packs"), PRICES, say("for the table, with the origins")),
    ]
    await desk.push_screen(Chooser(say("Papers"), found), chosen)


def _prices(ledger: Ledger, fair: str, house: House) -> Document:
    from exports.documents.fair_papers import fair_prices

    return fair_prices(ledger, fair, house)


def _labels(ledger: Ledger, fair: str, folder: Path, values: dict[str, Any]) -> Papers:
    """Labels of the packs as PDF and as text.

    Raises:
        Refused, DiskFull, DiskFault: they cannot be written.
    """
    from exports.documents.fair_papers import pack_labels
    from exports.documents.house import House

    house = House(ledger, None, logo=False)
    return labels_written(pack_labels(ledger, fair, house), house, folder, values)
