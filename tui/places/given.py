"""Animals that left without money: breeding loans and whether they are back, gifts, samples and own use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from ledger.errors import Refused
from tui.actions import Act
from tui.aside import Aside
from tui.forms.leaving import GiveForm, LendForm, LoanBackForm, SwapForm
from tui.papers import Paper, Papers, write_papers
from tui.places.listing import ListPage
from tui.places.page import BACK
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.form import Form
from tui.widgets.paged import Column, Row


@dataclass(frozen=True, slots=True)
class _Left:
    """One row: a loan, or animals that were given."""

    lots: tuple[str, ...]
    sentence: str
    lent: bool
    """A loan that is not over."""


class GivenPage(ListPage, Aside[None]):
    """Loans first, those that are out before those that are over; then what was given, the latest first."""

    WHERE = "given"
    HELP = (
        "A loan changes no owner: lent animals stay yours and stay counted until they are back. What is given away "
        "leaves with its cost. A swap makes a sale and a new lot; it stands in the list of sales."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("back_home", "enter", "is back", "The loan of this row is over: its animals are back."),
        Act("new_leaving", "n", "new", "Give animals away, lend them for breeding, or swap them."),
        Act("papers", "w", "papers", "Write the provenance sheet of the row's lot as PDF and text."),
        Act("lot", "l", "lot", "Open the lot of this row."),
        BACK,
    )
    COLUMNS = (Column("day", 11), Column("as", 9), Column("animals", 16), Column("to"), Column("state", 16))
    EMPTY = ("Nothing was given away or lent.", "Press n to give animals away, lend them or swap them.")

    def __init__(self) -> None:
        super().__init__()
        self._left: dict[str, _Left] = {}

    def title_words(self) -> str:
        return "Given, lent"

    def all_rows(self) -> list[Row]:
        self._left = {}
        made = []
        for at, loan in enumerate(sorted(self.desk.ledger.loans(), key=lambda one: one.back_on is not None)):
            key = f"loan {at}"
            terms = f"Agreed: {' '.join(loan.terms.split())}." if loan.terms else "Nothing was noted as agreed."
            self._left[key] = _Left((loan.lot,), f"{loan.lot} lent to {loan.to}. {terms} {loan.note}", not loan.back_on)
            state = (f"back {self.day(loan.back_on)}", "$quiet") if loan.back_on else "= there"
            made.append(Row(key, (self.day(loan.lent_on), "loan", loan.lot, loan.to, state)))
        for one in reversed(self.desk.ledger.given()):
            key = f"given {one.entry}"
            what = f"{one.animals} of {' '.join(one.lots)}"
            self._left[key] = _Left(one.lots, f"{what}, {one.kind}. {one.note}", False)
            made.append(Row(key, (self.day(one.on), one.kind, what, one.to, ("left", "$quiet"))))
        return made

    def detail(self, key: str) -> str:
        return self._left[key].sentence.rstrip()

    def sum_up(self) -> str:
        return f"{sum(one.lent for one in self._left.values())} lent out"

    def _here(self) -> _Left | None:
        return self._left.get(self.chosen or "")

    async def action_back_home(self) -> None:
        """The loan is over."""
        row = self._here()
        if row is None:
            return
        if row.lent:
            await self.desk.open_form(LoanBackForm(row.lots[0]))
        else:
            self.desk.say(Answer("Nothing of this row is still to come back."))

    async def action_new_leaving(self) -> None:
        """Give, lend or swap."""
        choices: list[Choice[type[Form]]] = [
            Choice("Give away", GiveForm, "a gift, a sample, own use"),
            Choice("Lend for breeding", LendForm, "they stay yours"),
            Choice("Swap", SwapForm, "at an agreed value, without cash"),
        ]
        await self.app.push_screen(Chooser("Animals leave without money", choices), self._open_chosen)

    async def _open_chosen(self, form: type[Form] | None) -> None:
        if form is not None:
            await self.desk.open_form(form())

    async def action_lot(self) -> None:
        """Its lot."""
        row = self._here()
        if row is not None:
            await self.desk.open_lot(row.lots[0])

    def action_papers(self) -> None:
        """The provenance sheet of each lot of the row."""
        from exports.documents.provenance_sheet import provenance_sheet

        row, ledger, folder = self._here(), self.desk.ledger, self.desk.papers
        if row is None:
            return
        papers = [
            Paper(lot, "", lambda house, lot=lot: provenance_sheet(ledger, lot, house))  # type: ignore[misc]
            for lot in row.lots
        ]
        self.ask_aside(lambda: write_papers(ledger, papers, folder))

    def told(self, answer: object) -> None:
        if isinstance(answer, Papers):
            self.desk.say(answer.answer)

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))
