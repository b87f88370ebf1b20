"""What needs doing, the longest due first, each with what settles it one key away."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.places.listing import LIST_ACTS, Drawn, ReckonedListing
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.books.due import DueRow
    from ledger.ledger import Ledger
    from ledger.selling.holds import Hold
    from ledger.selling.listing import SaleRow
    from ledger.selling.parcels import Parcel

DOES = {
    "round": say("the round"),
    "ready": say("seen hard"),
    "hold": say("sell, release"),
    "deposit": say("decide"),
    "post": say("posted"),
    "claim": say("answer"),
    "queue": say("offer"),
    "loan": say("is back"),
    "short": say("replace"),
    "unpaid": say("take money"),
    "give back": say("give back"),
    "cost": say("pay"),
    "bag": say("used up"),
}
"""What Enter does about each kind."""


def _due(ledger: Ledger) -> tuple[tuple[DueRow, ...], tuple[Parcel, ...]]:
    """What is due, and the parcels if any waits."""
    rows = ledger.due()
    return rows, ledger.parcels() if any(row.kind == "post" for row in rows) else ()


class DuePlace(ReckonedListing):
    """What needs doing."""

    NAME = "due"
    WHERE = "due"
    TITLE_WORDS = say("Due")
    HELP = say(
        "Rounds that are due, animals turning hard, holds about to lapse, parcels, money owed either "
        "way. Enter does what stands at the right; nothing is recorded before you have seen it written "
        "out."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("settle", "enter", say("do it"), say("Do what stands at the right of the row.")),
        Act("lot", "l", say("lot"), say("Open the lot, or the sale, that the row is about.")),
        Act("parcels", "i", say("parcels"), say("What waits to be posted, and what stands against it.")),
        *LIST_ACTS,
    )
    # How much is due stands on every screen.
    GIVES_WAY = False
    COLUMNS = (Column(say("since"), 13), Column(say("what")), Column(say("enter does"), 15, above=ROOMY))
    EMPTY = (
        say("Nothing is due."),
        say(
            "Rounds, animals turning hard, holds, parcels and bills will stand here. Lots are opened in 3 "
            "Stock; space writes down what happens to them."
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._due: dict[str, DueRow] = {}
        self._walked: tuple[int, str] = -1, ""
        """What is said of a round that was begun, and the turn of the drafts it is said of."""
        self._against: dict[str, str] = {}
        """What stands against posting a sale today."""

    def _changed(self, _: object) -> None:
        """Ask anew at once, also when another place is shown: how much is due stands on every strip."""
        self.ask_anew()

    def question(self) -> Callable[[], object]:
        return partial(_due, self.desk.ledger)

    def rows_of(self, answer: object) -> Sequence[Row]:
        rows: tuple[DueRow, ...]
        waiting: tuple[Parcel, ...]
        rows, waiting = answer  # type: ignore[misc]
        self._against = {one.number: strung(one.against, "; ") for one in waiting if one.against}
        self._due = {f"{row.kind} {row.ref} {row.sentence}": row for row in rows}
        self.desk.wait(self.NAME, sum(row.on <= self.desk.ledger.today for row in self._due.values()))
        return Drawn(list(self._due.items()), self._row)

    def _row(self, one: tuple[str, DueRow]) -> Row:
        key, row = one
        return Row(
            key,
            (
                (say("! {on}", on=self.day(row.on)), "$warning") if row.late else f"  {self.day(row.on)}",
                self.said(self._with_wait(row)),
                (say("→ {what}", what=DOES.get(row.kind, "")), "$quiet"),
            ),
        )

    def _with_wait(self, row: DueRow) -> str:
        """The sentence of a row, after a sign when it cannot be posted today."""
        return (
            say("! not today: {sentence}", sentence=row.sentence)
            if row.kind == "post" and row.ref in self._against
            else row.sentence
        )

    def detail(self, key: str) -> str:
        row = self._due[key]
        against = self._against.get(row.ref, "") if row.kind == "post" else ""
        return self.said(
            say("{sentence} Against posting it today: {against}.", sentence=row.sentence, against=against)
            if against
            else row.sentence
        )

    def sum_up(self) -> str:
        late = sum(row.late for row in self._due.values())
        return (
            counted(len(self._due), "{n} thing · {late} late", "{n} things · {late} late", late=late)
            if late
            else counted(len(self._due), "{n} thing", "{n} things")
        )

    def resumed(self) -> None:
        super().resumed()
        self._say_detail()

    def remark(self) -> str:
        """A round that was begun is no thing to do by itself, and must not be forgotten."""
        if self._walked[0] != self.desk.drafts.turn:
            self._walked = self.desk.drafts.turn, self._half_walked()
        return self._walked[1]

    def _half_walked(self) -> str:
        if not self.desk.drafts.get("round"):
            return ""
        from tui.round_marks import summed_up
        from tui.round_walk import Walk

        marked = Walk(self.desk.drafts).marked
        if not marked:
            return ""
        return say("A round is half walked, nothing of it is recorded yet: {marks} (8).", marks=summed_up(marked))

    async def action_lot(self) -> None:
        """The lot of the row, or its sale."""
        from tui.places.sale import SalePage

        row = self._due.get(self.chosen or "")
        if row is None:
            return
        if row.ref in self.desk.jot_setting().vocabulary.stages:
            await self.desk.open_lot(row.ref)
        elif (number := self._sale_of(row)) is not None:
            await self.desk.open_form(SalePage(number))

    def _sale_of(self, row: DueRow) -> str | None:
        """Number of the sale a row is about."""
        if row.kind == "claim":
            return next((one.number for one in self.desk.ledger.claims() if str(one.id) == row.ref), None)
        sale = self._sale(row.ref) if row.kind in ("post", "short", "unpaid", "give back") else None
        return sale.number if sale is not None else None

    async def action_parcels(self) -> None:
        """The parcels."""
        from tui.places.parcels import ParcelsPage

        await self.desk.open_form(ParcelsPage())

    async def action_settle(self) -> None:
        """Do what the row asks for."""
        from tui.forms.claims import AnswerForm
        from tui.forms.leaving import LoanBackForm
        from tui.forms.posting import PostForm
        from tui.forms.queue import OfferForm
        from tui.forms.selling import PaymentForm
        from tui.places.in_use import InUsePage

        row = self._due.get(self.chosen or "")
        if row is None:
            return
        if row.kind == "round":
            self.desk.go_to_round(row.ref)
        elif row.kind == "ready":
            await self.desk.jot_with(say("{ref} seen hard", ref=row.ref))
        elif row.kind == "post":
            await self.desk.open_form(PostForm(row.ref))
        elif row.kind in ("unpaid", "give back"):
            sale = self._sale(row.ref)
            if sale is not None:
                await self.desk.open_form(PaymentForm(row.ref, sale.owed))
        elif row.kind == "cost":
            await self._pay(int(row.ref))
        elif row.kind == "bag":
            await self.desk.open_form(InUsePage())
        elif row.kind == "claim":
            claim = next(one for one in self.desk.ledger.claims() if str(one.id) == row.ref)
            await self.desk.open_form(AnswerForm(claim))
        elif row.kind == "loan":
            await self.desk.open_form(LoanBackForm(row.ref))
        elif row.kind == "queue":
            await self.desk.open_form(OfferForm(row.ref))
        else:
            await self._about_promise(row)

    async def _about_promise(self, row: DueRow) -> None:
        """A hold about to lapse, a deposit to be decided on, or animals that are lacking."""
        from tui.forms.posting import ReplaceForm
        from tui.forms.promising import ReleaseForm

        hold = next((hold for hold in self.desk.ledger.holds() if hold.number == row.ref), None)
        if hold is not None and not hold.open:
            await self.desk.open_form(ReleaseForm(hold.number, over=True, deposit=hold.deposit))
        elif hold is not None:
            choices = [
                Choice(say("Sell what was promised"), "sell", hold.customer),
                Choice(say("Release it: its animals are free again"), "release", hold.number),
            ]
            asked = Chooser(self.said(row.sentence), choices)
            await self.desk.push_screen(asked, lambda chosen: self._end(hold, chosen))
        elif self._sale(row.ref) is not None:
            await self.desk.open_form(ReplaceForm(row.ref))
        else:
            self.desk.say(Answer(row.sentence))

    async def _end(self, hold: Hold, chosen: str | None) -> None:
        from tui.forms.promising import ReleaseForm
        from tui.forms.selling import SaleForm

        if chosen == "sell":
            await self.desk.open_form(SaleForm(hold=hold.number, buyer=hold.customer))
        elif chosen == "release":
            await self.desk.open_form(ReleaseForm(hold.number, deposit=hold.deposit))

    def _sale(self, number: str) -> SaleRow | None:
        return self.desk.ledger.sale_row(number)

    async def _pay(self, cost: int) -> None:
        from tui.forms.costs import PayCostForm

        (row,) = self.desk.ledger.costs(1, cost + 1)
        await self.desk.open_form(PayCostForm(str(cost), row.gross - row.paid))
