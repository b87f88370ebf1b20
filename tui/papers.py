"""Papers of a sale, or of a price list, written from the screen: each as PDF and as text, into the keeper's folder.

Knows no layout (`exports.documents` has it) and no widget; runs in a worker.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.wording import say, strung
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from exports.documents.house import House
    from exports.documents.paper import Document
    from ledger.ledger import Ledger
    from ledger.selling.sale import Sale

MOST_NAMED = 2
"""Files named in the answer; of more only the number is said, as their folder is."""
Made = Callable[["House"], "Document"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that can be written."""

    words: str
    beside: str
    make: Made
    """A function of a module with what it is given (`functools.partial`), so that it can be sent elsewhere."""


@dataclass(frozen=True, slots=True)
class Papers:
    """Papers that were written."""

    folder: Path
    files: tuple[str, ...]
    cautions: tuple[str, ...]
    hints: tuple[str, ...] = ()
    """Said with them; nothing to beware of."""

    @property
    def answer(self) -> Answer:
        """Where they are, and what to know before handing them on."""
        kinds: dict[str, list[str]] = {}
        for name in self.files:
            stem, _, kind = name.rpartition(".")
            kinds.setdefault(stem, []).append(kind)
        files = strung((say("{stem} ({of})", stem=stem, of=strung(of, ", ")) for stem, of in kinds.items()), ", ")
        if len(kinds) > MOST_NAMED:
            files = say(
                "{papers} papers, each as {formats}",
                papers=len(kinds),
                formats=strung(next(iter(kinds.values())), say(" and ")),
            )
        sentence = say("Written into {folder}: {files}.", folder=self.folder, files=files)
        cautions = (say("Caution: {caution}", caution=caution) for caution in self.cautions)
        return Answer(strung((sentence, *self.hints, *cautions), " "), "caution" if self.cautions else "done")


def where_they_are(written: object) -> Answer:
    """What is said of papers that were written aside."""
    assert isinstance(written, Papers)
    return written.answer


def papers_of_sale(ledger: Ledger, sale: Sale) -> list[Paper]:
    """Every paper a sale can have, the usual one first."""
    from exports.documents.provenance_sheet import provenance_sheet
    from exports.documents.receipt import receipt
    from exports.documents.sale_papers import correction, credit, packing
    from ledger.books.papers import correction_notes

    number = sale.number
    found = [
        Paper(say("Receipt"), say("with the origin of every line"), partial(receipt, ledger, number)),
        Paper(say("Invoice"), say("with how to pay"), partial(receipt, ledger, number, kind="invoice")),
    ]
    if sale.to_post:
        found.append(Paper(say("Packing note"), say("without prices"), partial(packing, ledger, number)))
    for lot in dict.fromkeys(line.lot_code for line in sale.lines):
        found.append(
            Paper(
                say("Provenance sheet of {lot}", lot=lot),
                say("back to its founders, with the gaps"),
                partial(provenance_sheet, ledger, lot),
            )
        )
    for one in sale.credits:
        found.append(
            Paper(
                say("Credit {number}", number=one.number),
                one.reason,
                partial(credit, ledger, one.number),
            )
        )
    for note in ledger.ask(correction_notes):
        if note.number == number:
            found.append(
                Paper(
                    say("Correction note {id}", id=note.id),
                    say("line {position}", position=note.line.position),
                    partial(correction, ledger, note.id),
                )
            )
    return found


def write_papers(ledger: Ledger, papers: Sequence[Paper], folder: Path) -> Papers:
    """Write papers, each as PDF and as text, as new files.

    Raises:
        BadInput, DiskFull, DiskFault, NotFound: one cannot be written; those before it are there.
    """
    from exports.documents.house import House
    from exports.documents.write import write

    house = House(ledger)
    files: list[str] = []
    cautions: list[str] = []
    for paper in papers:
        document = paper.make(house)
        pdf, text = write(document, folder, "pdf"), write(document, folder, "text")
        files += [pdf.path.name, text.path.name]
        cautions += pdf.cautions
    return Papers(folder, tuple(files), tuple(dict.fromkeys(cautions)))
