"""Papers about a lot and its species, written from the screen: labels, the provenance sheet, the animal register.

Knows no layout (`exports.documents` has it) and no widget; what it offers is carried out in a worker.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tui.papers import Paper, Papers, write_papers

if TYPE_CHECKING:
    from exports.documents.house import House
    from exports.documents.paper import Document
    from ledger.ledger import Ledger

PRINT_AT = "Print it at 100 %, without scaling."


@dataclass(frozen=True, slots=True)
class Offer:
    """A paper that can be written."""

    words: str
    beside: str
    write: Callable[[], Papers]


def papers_of_lot(ledger: Ledger, lot: str, species: str, folder: Path) -> list[Offer]:
    """What can be written besides labels: the provenance of a lot, the register of its species this year and last."""
    from exports.documents.provenance_sheet import provenance_sheet

    sheet = Paper("", "", lambda house: provenance_sheet(ledger, lot, house))
    offers = [
        Offer(
            "Provenance sheet",
            "back to its founders, with the gaps",
            lambda: write_papers(ledger, [sheet], folder),
        )
    ]
    for back, words in ((0, "this year so far"), (1, "last year")):
        paper = Paper("", "", lambda house, back=back: _register(ledger, species, back, house))  # type: ignore[misc]
        offers.append(
            Offer(
                f"Animal register of {species}, {words}",
                "who from, when in, when out, to whom",
                lambda paper=paper: write_papers(ledger, [paper], folder),  # type: ignore[misc]
            )
        )
    return offers


def _register(ledger: Ledger, species: str, years_back: int, house: House) -> Document:
    from exports.documents.animal_register import animal_register
    from ledger.books.register import register

    today = ledger.today
    year = today.year - years_back
    last = today if not years_back else today.replace(year=year, month=12, day=31)
    book = ledger.ask(register, last.replace(month=1, day=1), last, today=today, species=species)
    return animal_register(book, house, species=species)


def places_on_sheet(ledger: Ledger) -> int:
    """How many labels the sheet has that is set, or else is usual. Raises BadInput."""
    from exports.documents.sheets import USUAL, read_sheet
    from ledger.records.settings import setting

    return read_sheet(ledger.ask(setting, "label sheet", "") or USUAL).per_page


def write_labels(ledger: Ledger, lot: str, start: int, folder: Path) -> Papers:
    """Write a label for each tub of a lot, or one for the lot where its tubs have none.

    Args:
        ledger: the ledger.
        lot: its code.
        start: place of the first label on the sheet, from 1.
        folder: where to.

    Raises:
        BadInput, NotFound, DiskFull, DiskFault: they cannot be written.
    """
    from exports.documents import fonts, labels
    from exports.documents.house import House
    from exports.documents.sheets import USUAL, read_sheet
    from exports.files import write_revision
    from ledger.records.settings import setting

    house = House(ledger, logo=False)
    sheet = read_sheet(ledger.ask(setting, "label sheet", "") or USUAL)
    made = labels.labels(ledger, [lot], house.language, tubs=True)
    pdf = labels.labels_pdf(made, sheet, house.language, start=start)
    path = write_revision(folder, "labels", ".pdf", lambda _: pdf)
    return Papers(folder, (path.name,), (PRINT_AT, *fonts.cautions(line for one in made for line in one.lines)))
