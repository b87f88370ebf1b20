"""Papers about animals, written from Stock: labels for tubs, the register of a period, a provenance sheet."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.wording import capital, say
from tui.forms.papers import LabelsForm, RegisterForm
from tui.papers import Paper, Papers
from tui.places.writing import write_aside, write_into_folder
from tui.verbs.documents import PRINT_AT
from tui.widgets.chooser import Choice, Chooser

if TYPE_CHECKING:
    from exports.documents.house import House
    from exports.documents.labels import Label
    from ledger.ledger import Ledger
    from tui.app import Desk

LABELS, ALL_LABELS, REGISTER, PROVENANCE = "labels", say("all labels"), "register", "provenance"


async def ask_papers(desk: Desk, lot: str) -> None:
    """Offer the papers, ask what each needs, and write it."""
    found = [
        Choice(say("Labels of {lot}", lot=lot), LABELS, say("for its tubs, with a QR code")),
        Choice(say("Provenance sheet of {lot}", lot=lot), PROVENANCE, say("back to its founders, with the gaps")),
    ]
    found = [*(found if lot else []), Choice(say("Labels of all lots"), ALL_LABELS, say("every lot with animals"))]
    found.append(Choice(say("Register of animals"), REGISTER, say("of a period: who from, in, out, to whom")))

    async def chosen(which: str | None) -> None:
        if which in (LABELS, ALL_LABELS):
            await desk.open_form(LabelsForm(labels, lot if which == LABELS else ""))
        elif which == REGISTER:
            await desk.open_form(RegisterForm(register))
        elif which == PROVENANCE:
            await write(PROVENANCE, [Paper(lot, "", partial(_provenance, desk.ledger, lot))])

    async def labels(values: dict[str, Any]) -> None:
        await write_aside(desk, say("Labels"), partial(write_labels, desk.ledger, desk.papers, values))

    async def register(values: dict[str, Any]) -> None:
        await write(say("Register"), [Paper("register", "", partial(_register, desk.ledger, values))])

    async def write(title: str, papers: list[Paper]) -> None:
        await write_into_folder(desk, capital(title), papers)

    await desk.push_screen(Chooser(say("Papers"), found), chosen)


def _provenance(ledger: Ledger, lot: str, house: Any) -> Any:
    from exports.documents.provenance_sheet import provenance_sheet

    return provenance_sheet(ledger, lot, house)


def _register(ledger: Ledger, values: dict[str, Any], house: Any) -> Any:
    from exports.documents.animal_register import animal_register
    from ledger.books.register import register

    species = values["species"].upper() or None
    book = ledger.ask(register, values["first"], values["last"], today=ledger.today, species=species)
    return animal_register(book, house, species=species)


def write_labels(ledger: Ledger, folder: Path, values: dict[str, Any]) -> Papers:
    """Labels as PDF and as text, as new files.

    Raises:
        NotFound, BadInput, DiskFull, DiskFault: they cannot be written.
    """
    from exports.documents import labels as made
    from exports.documents.house import House

    house = House(ledger, None, logo=False)
    rows = made.labels(ledger, values["lots"], house.language, tubs=values["tubs"] == "each tub")
    return labels_written(rows, house, folder, values)


def labels_written(rows: Sequence[Label], house: House, folder: Path, values: dict[str, Any]) -> Papers:
    """Labels that were made as PDF and as text, as new files."""
    from exports.documents import fonts
    from exports.documents import labels as made
    from exports.files import write_revision

    outline = values["outline"] == "yes"
    pdf = made.labels_pdf(
        rows, values["sheet"], house.language, start=values["start"], shift=values["shift"], outline=outline
    )
    lacking = fonts.cautions(line for row in rows for line in row.lines)
    files = (
        write_revision(folder, "labels", ".pdf", lambda _: pdf).name,
        write_revision(folder, "labels", ".txt", lambda _: made.labels_text(rows).encode()).name,
    )
    return Papers(folder, files, tuple(lacking), (PRINT_AT,))
