"""What needs doing, the longest due first, each with what settles it one key away."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from tui.actions import Act
from tui.places.listing import LIST_ACTS, ReckonedListing
from tui.widgets.chooser import Choice, Chooser
from tui.widgets.foot import Answer
from tui.widgets.paged import PAGE, Column, Row

if TYPE_CHECKING:
    from ledger.books.due import DueRow
    from ledger.selling.holds import Hold
    from ledger.selling.listing import SaleRow

DOES = {
    "round": "fed, looked",
    "ready": "seen hard",
    "hold": "sell, release",
    "deposit": "decide",
    "post": "posted",
    "short": "replace",
    "unpaid": "take money",
    "give back": "give back",
    "cost": "pay",
}
"""What Enter does about each kind."""


class DuePlace(ReckonedListing):
    """What needs doing."""

    NAME = "due"
    WHERE = "due"
    TITLE_WORDS = "Due"
    HELP = (
        "Rounds that are due, animals turning hard, holds about to lapse, parcels, money owed either way. Enter does "
        "what stands at the right; nothing is recorded before you have seen it written out."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("settle", "enter", "do it", "Do what stands at the right of the row."),
        Act("lot", "l", "lot", "Open the lot the row is about."),
        *LIST_ACTS,
    )
    COLUMNS = (Column("since", 13), Column("what"), Column("enter does", 15))
    EMPTY = ("Nothing is due.", "Rounds, animals turning hard, holds, parcels and bills will stand here.")

    def __init__(self) -> None:
        super().__init__()
        self._due: dict[str, DueRow] = {}

    def _changed(self, _: object) -> None:
        """Ask anew at once, also when another place is shown: how much is due stands on every strip."""
        self.ask_anew()

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.due

    def rows_of(self, answer: object) -> list[Row]:
        rows: tuple[DueRow, ...] = answer  # type: ignore[assignment]
        self._due = {f"{row.kind} {row.ref} {row.sentence}": row for row in rows}
        self.desk.wait(self.NAME, sum(row.on <= self.desk.ledger.today for row in self._due.values()))
        return [
            Row(
                key,
                (
                    (f"! {self.day(row.on)}", "$warning") if row.late else f"  {self.day(row.on)}",
                    self.said(row.sentence),
                    (f"→ {DOES.get(row.kind, '')}", "$quiet"),
                ),
            )
            for key, row in self._due.items()
        ]

    def detail(self, key: str) -> str:
        return self.said(self._due[key].sentence)

    def sum_up(self) -> str:
        late = sum(row.late for row in self._due.values())
        return f"{len(self._due)} things · {late} late" if late else f"{len(self._due)} things"

    async def action_lot(self) -> None:
        """The lot of the row."""
        row = self._due.get(self.chosen or "")
        if row is not None and row.ref in self.desk.jot_setting().vocabulary.stages:
            await self.desk.open_lot(row.ref)

    async def action_settle(self) -> None:
        """Do what the row asks for."""
        from tui.forms.selling import PaymentForm, PostForm

        row = self._due.get(self.chosen or "")
        if row is None:
            return
        if row.kind == "round":
            self.desk.jot_with(f"{row.ref} fed and looked")
        elif row.kind == "ready":
            self.desk.jot_with(f"{row.ref} seen hard")
        elif row.kind == "post":
            await self.desk.open_form(PostForm(row.ref))
        elif row.kind in ("unpaid", "give back"):
            sale = self._sale(row.ref)
            if sale is not None:
                await self.desk.open_form(PaymentForm(row.ref, sale.owed))
        elif row.kind == "cost":
            await self._pay(int(row.ref))
        else:
            await self._about_promise(row)

    async def _about_promise(self, row: DueRow) -> None:
        """A hold about to lapse, a deposit to be decided on, or animals that are lacking."""
        from tui.forms.selling import ReleaseForm, ReplaceForm

        hold = next((hold for hold in self.desk.ledger.holds() if hold.number == row.ref), None)
        if hold is not None and not hold.open:
            await self.desk.open_form(ReleaseForm(hold.number, over=True, deposit=hold.deposit))
        elif hold is not None:
            choices = [
                Choice("Sell what was promised", "sell", hold.customer),
                Choice("Release it: its animals are free again", "release", hold.number),
            ]
            asked = Chooser(self.said(row.sentence), choices)
            await self.desk.push_screen(asked, lambda chosen: self._end(hold, chosen))
        elif self._sale(row.ref) is not None:
            await self.desk.open_form(ReplaceForm(row.ref))
        else:
            self.desk.say(Answer(row.sentence))

    async def _end(self, hold: Hold, chosen: str | None) -> None:
        from tui.forms.selling import ReleaseForm, SaleForm

        if chosen == "sell":
            await self.desk.open_form(SaleForm(hold=hold.number, buyer=hold.customer))
        elif chosen == "release":
            await self.desk.open_form(ReleaseForm(hold.number, deposit=hold.deposit))

    def _sale(self, number: str) -> SaleRow | None:
        before: int | None = None
        while rows := self.desk.ledger.sales(PAGE, before):
            found = next((row for row in rows if row.number == number), None)
            if found is not None:
                return found
            before = rows[-1].id
        return None

    async def _pay(self, cost: int) -> None:
        from tui.forms.costs import PayCostForm

        (row,) = self.desk.ledger.costs(1, cost + 1)
        await self.desk.open_form(PayCostForm(str(cost), row.gross - row.paid))
