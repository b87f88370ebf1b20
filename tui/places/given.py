"""Animals that left without money: breeding loans both ways and whether they are back, gifts, samples and own use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from ledger.wording import say, word
from tui.actions import Act
from tui.forms.leaving import GiveForm, LendForm, LoanBackForm, SwapForm
from tui.papers import Paper
from tui.places.listing import ListPage, ReckonedList
from tui.places.page import BACK
from tui.places.writing import write_into_folder
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.form import Form
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.ledger import Ledger
    from ledger.selling.borrowing import BorrowedRow
    from ledger.selling.giving import GivenRow
    from ledger.selling.lending import LoanRow

    _All = tuple[Sequence[LoanRow], Sequence[BorrowedRow], Sequence[GivenRow]]


def _all_of_it(ledger: Ledger) -> _All:
    """Our loans, theirs, and what was given: each reads the whole journal."""
    from ledger.selling.borrowing import borrowed

    return ledger.loans(), ledger.ask(borrowed), ledger.given()


@dataclass(frozen=True, slots=True)
class _Left:
    """One row: a loan, or animals that were given."""

    lots: tuple[str, ...]
    sentence: str
    lent: bool = False
    """A loan of ours that is not over."""
    borrowed: bool = False
    """A loan to us that is not over."""
    given: int | None = None
    """Number of a gift or a sample; `None`: a loan, or for own use."""
    loan: bool = False
    animals: int = 0
    """Of a loan to us."""


class GivenPage(ReckonedList, ListPage):
    """Loans first, those that are out before those that are over; then what was given, the latest first."""

    WHERE = "given"
    HELP = say(
        "A loan changes no owner: lent animals stay yours and stay counted until they are back, and "
        "animals lent to you are never sold. What is given away leaves with its cost. A swap makes a "
        "sale and a new lot; it stands in the list of sales."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("back_home", "enter", say("is back"), say("The loan of this row is over: its animals are back.")),
        Act("new_leaving", "n", say("new"), say("Give animals away, lend them for breeding, or swap them.")),
        Act(
            "papers",
            "w",
            say("papers"),
            say("Write the paper of the loan or gift, or a provenance sheet, as PDF and text."),
        ),
        Act("lot", "l", say("lot"), say("Open the lot of this row.")),
        BACK,
    )
    COLUMNS = (
        Column(say("day"), 11),
        Column(say("as"), 10),
        Column(say("animals"), 14),
        Column(say("with")),
        Column(say("state"), 16),
    )
    EMPTY = (say("Nothing was given away or lent."), say("Press n to give animals away, lend them or swap them."))

    QUICK = True

    def __init__(self) -> None:
        super().__init__()
        self._left: dict[str, _Left] = {}

    def title_words(self) -> str:
        return say("Given, lent")

    def question(self) -> Callable[[], object]:
        return partial(_all_of_it, self.desk.ledger)

    def rows_of(self, answer: object) -> list[Row]:
        lent, here, given = cast("_All", answer)
        self._left = {}
        ours = [(one.back_on is not None, self._lent(at, one)) for at, one in enumerate(lent)]
        theirs = [(one.left_on is not None, self._borrowed(at, one)) for at, one in enumerate(here)]
        loans = [row for _, row in sorted(ours + theirs, key=lambda one: one[0])]
        return loans + [self._given(one) for one in reversed(given)]

    def _lent(self, at: int, loan: LoanRow) -> Row:
        key = say("loan {at}", at=at)
        by = say(", to be back by {back_by}", back_by=self.day(loan.back_by)) if loan.back_by else ""
        terms = (
            say("Agreed: {split}.", split=" ".join(loan.terms.split())) if loan.terms else say("No terms were noted.")
        )
        sentence = say(
            "{lot} lent to {to}{by}. {terms} {note}", lot=loan.lot, to=loan.to, by=by, terms=terms, note=loan.note
        )
        self._left[key] = _Left((loan.lot,), sentence, lent=loan.back_on is None, loan=True)
        state = (say("= there"), "")
        if loan.back_on:
            state = (say("back {back_on}", back_on=self.day(loan.back_on)), "$quiet")
        elif loan.late(self.desk.ledger.today):
            state = (say("! should be back"), "$warning")
        return Row(key, (self.day(loan.lent_on), say("lent"), loan.lot, loan.to, state))

    def _borrowed(self, at: int, one: BorrowedRow) -> Row:
        key = say("borrowed {at}", at=at)
        what = {"animals": one.animals, "lot": one.lot}
        sentence = (
            say(
                "{animals} of {lot} lent to us for breeding; whose they are: {owner}. They are not ours and never "
                "sold.",
                owner=one.owner,
                **what,
            )
            if one.owner
            else say(
                "{animals} of {lot} lent to us for breeding; whose they are was not said. They are not ours and never "
                "sold.",
                **what,
            )
        )
        self._left[key] = _Left((one.lot,), sentence, borrowed=one.left_on is None, loan=True, animals=one.animals)
        state = (say("went {left_on}", left_on=self.day(one.left_on)), "$quiet") if one.left_on else (say("= here"), "")
        return Row(
            key,
            (
                self.day(one.came_on),
                say("lent to us"),
                say("{animals} of {lots}", animals=one.animals, lots=one.lot),
                one.owner,
                state,
            ),
        )

    def _given(self, one: GivenRow) -> Row:
        key = say("given {entry}", entry=one.entry)
        what = say("{animals} of {lots}", animals=one.animals, lots=" ".join(one.lots))
        number = None if one.kind == "own use" else one.entry
        self._left[key] = _Left(
            one.lots, say("{what}, {kind}. {note}", what=what, kind=word(one.kind), note=one.note), given=number
        )
        return Row(key, (self.day(one.on), word(one.kind), what, one.to, (say("left"), "$quiet")))

    def detail(self, key: str) -> str:
        return self._left[key].sentence.rstrip()

    def sum_up(self) -> str:
        lent, here = (sum(getattr(one, name) for one in self._left.values()) for name in ("lent", "borrowed"))
        return say("{lent} lent out", lent=lent) + (say(" · {here} here on loan", here=here) if here else "")

    def _here(self) -> _Left | None:
        return self._left.get(self.chosen or "")

    async def action_back_home(self) -> None:
        """The loan is over."""
        row = self._here()
        if row is None:
            return
        if row.lent:
            await self.desk.open_form(LoanBackForm(row.lots[0]))
        elif row.borrowed:
            await self.desk.jot_with(say("{lots} {animals} went back", lots=row.lots[0], animals=row.animals))
        else:
            self.desk.say(Answer(say("Nothing of this row is still to come back.")))

    async def action_new_leaving(self) -> None:
        """Give, lend or swap."""
        choices: list[Choice[type[Form]]] = [
            Choice(say("Give away"), GiveForm, say("a gift, a sample, own use")),
            Choice(say("Lend for breeding"), LendForm, say("they stay yours")),
            Choice(say("Swap"), SwapForm, say("at an agreed value, without cash")),
        ]
        await self.app.push_screen(Chooser(say("Animals leave without money"), choices), self._open_chosen)

    async def _open_chosen(self, form: type[Form] | None) -> None:
        if form is not None:
            await self.desk.open_form(form())

    async def action_lot(self) -> None:
        """Its lot."""
        row = self._here()
        if row is not None:
            await self.desk.open_lot(row.lots[0])

    async def action_papers(self) -> None:
        """Choose which papers of the row are written."""
        row = self._here()
        if row is None:
            return
        papers = self._papers_of(row)

        async def write(chosen: Sequence[Paper] | None) -> None:
            if chosen:
                await write_into_folder(self.desk, say("Papers"), chosen)

        if len(papers) == 1:
            await write(papers)
            return
        choices: list[Choice[tuple[Paper, ...]]] = [Choice(one.words, (one,), one.beside) for one in papers]
        choices.append(Choice(say("All of these"), tuple(papers)))
        asked = Chooser(say("Written as PDF and text into {papers}", papers=self.desk.papers), choices)
        await self.app.push_screen(asked, write)

    def _papers_of(self, row: _Left) -> list[Paper]:
        from exports.documents.handed_papers import gift, loan
        from exports.documents.provenance_sheet import provenance_sheet

        ledger, number = self.desk.ledger, row.given
        papers = []
        if row.loan:
            papers.append(
                Paper(say("The loan"), say("what, with whom, until when"), partial(loan, ledger, row.lots[0]))
            )
        if number is not None:
            papers.append(Paper(say("The gift"), say("with the origin, no price"), partial(gift, ledger, number)))
        papers += [
            Paper(
                say("Provenance sheet of {lot}", lot=lot),
                say("back to its founders, with the gaps"),
                partial(provenance_sheet, ledger, lot),
            )
            for lot in row.lots
        ]
        return papers
