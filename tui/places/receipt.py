"""The receipt of a sale as text, and the papers of a sale: chosen and written from wherever the sale is in sight."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from ledger.wording import say
from tui.actions import Act
from tui.papers import Paper, papers_of_sale
from tui.places.page import TextPage
from tui.places.writing import write_into_folder
from tui.widgets.chooser import Choice, Chooser

if TYPE_CHECKING:
    from ledger.selling.sale import Sale
    from tui.app import Desk

PAPERS = Act(
    "papers", "w", say("papers"), say("Write receipt, invoice, packing note, provenance or credit as PDF and text.")
)
ALL_OF_THEM = say("All of these")


def papers_chooser(desk: Desk, sale: Sale) -> Chooser[tuple[Paper, ...]]:
    """Asks which papers of a sale are written."""
    papers = papers_of_sale(desk.ledger, sale)
    choices: list[Choice[tuple[Paper, ...]]] = [Choice(one.words, (one,), one.beside) for one in papers]
    choices.append(Choice(ALL_OF_THEM, tuple(papers)))
    return Chooser(
        say("{number}: written as PDF and text into {papers}", number=sale.number, papers=desk.papers), choices
    )


async def write_papers_of(desk: Desk, number: str) -> None:
    """Choose which papers of a sale are written, and write them."""
    from ledger.selling.sale import find_sale

    async def write(papers: tuple[Paper, ...] | None) -> None:
        if papers:
            await write_into_folder(desk, number, papers)

    await desk.push_screen(papers_chooser(desk, desk.ledger.ask(find_sale, number)), write)


class ReceiptPage(TextPage):
    """The receipt of a sale as text; here its papers are written too.

    Args:
        number: of the sale.
        lines: gives the lines of the receipt.
    """

    WHERE = "receipt"
    HELP = say("Text as it would be printed. The arrow keys scroll; it can be copied into a message.")
    ACTS: ClassVar[tuple[Act, ...]] = (*TextPage.ACTS, PAPERS)

    def __init__(self, number: str, lines: Callable[[], Iterable[str]]) -> None:
        super().__init__(number, lines)
        self._number = number

    async def action_papers(self) -> None:
        """Receipt, invoice and the other papers as files."""
        await write_papers_of(self.desk, self._number)
