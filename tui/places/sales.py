"""What was sold to whom, what is still owed or to be posted, and what is promised; receipts and corrections."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from tui.actions import Act
from tui.forms.selling import CreditForm, PaymentForm, PostForm, ReleaseForm, ReplaceForm, SaleForm
from tui.places.listing import LIST_ACTS, Listing, ListScreen, cut
from tui.places.page import BACK, TextPage
from tui.widgets.foot import Answer
from tui.widgets.paged import PAGE, Column, Page, Row

if TYPE_CHECKING:
    from ledger.selling.holds import Hold
    from ledger.selling.listing import SaleRow

WIDE = 110


def state_of(row: SaleRow) -> tuple[str, str]:
    """What is still to do about a sale, in a word with its sign."""
    if row.undone:
        return "credited", "$quiet"
    if row.waits:
        return "! to post", "$warning"
    if row.owed > 0:
        return "! unpaid", "$warning"
    if row.owed < 0:
        return "! give back", "$warning"
    return "✓ settled", "$success"


class SalesPlace(Listing):
    """Sales, newest first."""

    NAME = "sales"
    WHERE = "sales"
    TITLE_WORDS = "Sales"
    HELP = (
        "Every sale with its gapless number. Nothing on a sale is edited: a credit corrects it. Holds are promises: "
        "they have a list of their own (h)."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("receipt", "enter,r", "receipt", "The receipt, with the origin of each line as it was stated."),
        Act("new_sale", "n", "sell", "A new sale; from 2 Ready it is quicker."),
        Act("payment", "p", "payment", "Record money received for this sale, or given back."),
        Act("posted", "o", "posted", "This sale was handed to the carrier."),
        Act("credit", "c", "credit", "Undo this sale in full by a credit."),
        Act("replace", "e", "replace", "Set other animals aside in place of dead ones.", shown=False),
        Act("holds", "h", "holds", "What is promised, to whom, until when."),
        *LIST_ACTS,
    )
    COLUMNS = (
        Column("number", 11),
        Column("day", 11),
        Column("buyer"),
        Column("what", 12, above=WIDE),
        Column("total", 8, right=True),
        Column("owed", 7, right=True),
        Column("state", 11),
        Column("how", 10, above=WIDE),
    )
    EMPTY = ("Nothing was sold yet.", "Sell from 2 Ready: put the cursor on a row and press s")

    def __init__(self) -> None:
        super().__init__()
        self._sales: dict[str, SaleRow] = {}

    def page(self, after: str | None) -> Page:
        if after is None:
            self._sales.clear()
        rows = self.desk.ledger.sales(PAGE, None if after is None else int(after))
        self._sales.update({str(row.id): row for row in rows})
        return Page([self._row(row) for row in rows], len(rows) == PAGE)

    def _row(self, row: SaleRow) -> Row:
        money = self.desk.ledger.currency
        extra = f" + {row.extra}" if row.extra else ""
        owed = amount_text(row.owed, money) if row.owed else ""
        return Row(
            str(row.id),
            (
                (row.number, "bold"),
                self.day(row.sold_on),
                row.customer,
                f"{row.animals}{extra} of {' '.join(row.lots)}",
                amount_text(row.total, money),
                owed,
                state_of(row),
                row.channel,
            ),
        )

    def detail(self, key: str) -> str:
        row = self._sales[key]
        held = f", {row.hold} taken up" if row.hold else ""
        posted = f", posted {self.day(row.posted_on)}" if row.posted_on else ""
        to = row.customer or "no one named"
        said = f"{row.animals} of {', '.join(row.lots)} to {to}, {row.channel}{posted}{held}."
        return f"{said} {row.note}".rstrip()

    def sum_up(self) -> str:
        waiting = sum(row.waits for row in self._sales.values())
        held = f"{self.rows.held}{' and more' if self.rows.more else ''} sales"
        return f"{held} · {waiting} to post" if waiting else held

    def _here(self) -> SaleRow | None:
        return self._sales.get(self.chosen or "")

    async def action_receipt(self) -> None:
        """The receipt."""
        row = self._here()
        if row is not None:
            number = row.number
            await self.desk.open_form(TextPage(number, lambda: self.desk.ledger.receipt_text(number, 76).splitlines()))

    async def action_new_sale(self) -> None:
        """A new sale."""
        await self.desk.open_form(SaleForm())

    async def action_payment(self) -> None:
        """Money."""
        row = self._here()
        if row is None:
            return
        if row.owed == 0:
            self.desk.say(Answer(f"{row.number} is settled: nothing is owed either way."))
        else:
            await self.desk.open_form(PaymentForm(row.number, row.owed))

    async def action_posted(self) -> None:
        """Posted."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(PostForm(row.number))

    async def action_credit(self) -> None:
        """Credit in full."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(CreditForm(row.number))

    async def action_replace(self) -> None:
        """Replace dead animals."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(ReplaceForm(row.number))

    async def action_holds(self) -> None:
        """The holds."""
        await self.desk.open_form(HoldsPage())


class HoldsPage(ListScreen[None]):
    """What is promised."""

    WHERE = "holds"
    HELP = (
        "Open holds first, soonest deadline first. A hold lapses by itself; its deposit then waits for your decision."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("take_up", "s,enter", "sell", "The buyer takes the animals: sell what was promised."),
        Act("release", "r", "release", "Free the animals again, or decide on a deposit."),
        BACK,
    )
    COLUMNS = (
        Column("number", 8),
        Column("buyer"),
        Column("what", 20),
        Column("until", 18),
        Column("deposit", 8, right=True),
        Column("state", 12),
    )
    EMPTY = (
        "Nothing is promised.",
        "Hold animals from 2 Ready (h), or write: space, then hold E03 5 for Tarn until fri",
    )

    def __init__(self) -> None:
        super().__init__()
        self._holds: dict[str, Hold] = {}
        self._page = cut(self._ask)

    def title_words(self) -> str:
        return "Holds"

    def page(self, after: str | None) -> Page:
        return self._page(after)

    def _ask(self) -> list[Row]:
        money = self.desk.ledger.currency
        found = sorted(self.desk.ledger.holds(), key=lambda hold: not hold.open)
        self._holds = {hold.number: hold for hold in found}
        made = []
        for hold in found:
            what = ", ".join(f"{line.count} {line.stage} {line.lot}" for line in hold.lines)
            state = ("= open", "") if hold.open else (hold.state, "$quiet")
            if hold.deposit_state == "undecided":
                state = ("! deposit?", "$warning")
            deposit = amount_text(hold.deposit, money) if hold.deposit else ""
            until = self.said(hold.until)
            made.append(Row(hold.number, ((hold.number, "bold"), hold.customer, what, until, deposit, state)))
        return made

    def sum_up(self) -> str:
        return f"{sum(hold.open for hold in self._holds.values())} open holds"

    async def action_take_up(self) -> None:
        """Sell what was promised."""
        hold = self._holds.get(self.chosen or "")
        if hold is not None and hold.open:
            await self.desk.open_form(SaleForm(hold=hold.number, buyer=hold.customer))

    async def action_release(self) -> None:
        """Release it, or decide on its deposit."""
        hold = self._holds.get(self.chosen or "")
        if hold is None:
            return
        if hold.open:
            await self.desk.open_form(ReleaseForm(hold.number, deposit=hold.deposit))
        elif hold.deposit_state == "undecided":
            await self.desk.open_form(ReleaseForm(hold.number, over=True, deposit=hold.deposit))
        else:
            self.desk.say(Answer(f"{hold.number} is {hold.state}; there is nothing to decide."))

    def action_back(self) -> None:
        """Leave the page."""
        self.dismiss(None)
