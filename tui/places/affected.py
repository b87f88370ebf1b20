"""Sales whose stated origin no longer reads as the records give it: whom to tell, who was told, the notes to send."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.records.series import SALES
from ledger.wording import counted, say
from tui.actions import Act
from tui.forms.claims import TellForm
from tui.papers import Paper
from tui.places.listing import Drawn, ReckonedList
from tui.places.numbers import wide_enough
from tui.places.page import BACK, Page
from tui.places.sale import SalePage
from tui.places.writing import write_into_folder
from tui.tongue import on_paper
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.selling.affected import AffectedRow


class AffectedPage(ReckonedList, Page):
    """Lines of sales that state what no longer holds; those whose buyer is still to be told first."""

    WHERE = "affected"
    HELP = say(
        "When a fact of origin is corrected, or an origin lowered, what was stated on a sale may no "
        "longer hold. The sale stays as it was sold; the note tells the buyer what was stated then and "
        "what the records give now."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("sale"), say("Open the sale of this row.")),
        Act("tell", "N", say("tell"), say("Write the note that tells the buyer of an origin stated wrongly.")),
        Act("papers", "w", say("papers"), say("Write the notes of this row's sale as PDF and text.")),
        Act("lot", "l", say("lot"), say("Open the lot of this row.")),
        BACK,
    )
    COLUMNS = (
        Column(say("sale"), 11),
        Column(say("sold on"), 11),
        Column(say("buyer")),
        Column(say("line"), 5, right=True),
        Column(say("lot"), 6),
        Column(say("buyer was told"), 16),
    )
    EMPTY = (
        say("Every sale states what the records still give."),
        say("After a correction of origin, look here again."),
    )

    def columns(self) -> tuple[Column, ...]:
        return wide_enough(self.COLUMNS, self.desk.ledger, SALES)

    def __init__(self) -> None:
        super().__init__()
        self._affected: dict[str, AffectedRow] = {}

    def title_words(self) -> str:
        return say("Origins stated wrongly")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.affected_sales

    def rows_of(self, answer: object) -> Sequence[Row]:
        found: tuple[AffectedRow, ...] = answer  # type: ignore[assignment]
        ordered = sorted(found, key=lambda one: one.noted_on is not None)
        self._affected = {str(one.sale_line): one for one in ordered}
        return Drawn(ordered, self._row)

    def _row(self, one: AffectedRow) -> Row:
        return Row(
            str(one.sale_line),
            (
                (one.number, "bold"),
                self.day(one.sold_on),
                one.customer or say("no one named"),
                str(one.position),
                one.lot,
                (say("✓ {noted_on}", noted_on=self.day(one.noted_on)), "$success")
                if one.noted_on
                else (say("! not yet (N)"), "$warning"),
            ),
        )

    def detail(self, key: str) -> str:
        one = self._affected[key]
        return say(
            "{animals} of {lot}, stated then: {was}. By our records now: {now}.",
            animals=one.animals,
            lot=one.lot,
            was=on_paper(one.was),
            now=on_paper(one.now),
        )

    def sum_up(self) -> str:
        waiting = sum(one.noted_on is None for one in self._affected.values())
        return counted(
            len(self._affected), "{n} line · {waiting} to tell", "{n} lines · {waiting} to tell", waiting=waiting
        )

    def _here(self) -> AffectedRow | None:
        return self._affected.get(self.chosen or "")

    async def action_open(self) -> None:
        """The sale."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(SalePage(row.number))

    async def action_tell(self) -> None:
        """Tell the buyer."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(TellForm(row.number))

    async def action_lot(self) -> None:
        """The lot."""
        row = self._here()
        if row is not None:
            await self.desk.open_lot(row.lot)

    async def action_papers(self) -> None:
        """The notes of the sale that were written."""
        from exports.documents.sale_papers import correction
        from ledger.books.papers import correction_notes

        row, ledger = self._here(), self.desk.ledger
        if row is None:
            return
        papers = [
            Paper("Note", "", partial(correction, ledger, one.id))
            for one in ledger.ask(correction_notes)
            if one.number == row.number
        ]
        if papers:
            await write_into_folder(self.desk, row.number, papers)
        else:
            self.desk.say(Answer(say("No note was written for {sale} yet: N writes it.", sale=row.number)))
