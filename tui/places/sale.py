"""The page of one sale: what was sold and stated, the money, the post, the claims; every act about it by one key."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.errors import Refused
from ledger.wording import say
from tui.actions import Act
from tui.forms.claims import AnswerForm, ClaimForm, TellForm, after_claim
from tui.forms.posting import ArrivedForm, ParcelGoForm, PostForm, ReplaceForm, WaitForm
from tui.forms.selling import CreditForm, PaymentForm
from tui.places.page import BACK, ReckonedPage, hanging
from tui.places.receipt import PAPERS, write_papers_of
from tui.sale_page import sale_lines
from tui.widgets.foot import Answer

if TYPE_CHECKING:
    from ledger.selling.margin import SaleMargin
    from ledger.selling.one_sale import OneSale
    from ledger.selling.sale import Sale
    from tui.app import Desk

PAYMENT = Act("payment", "p", say("pay"), say("Record money received for this sale, or given back."))
POSTED = Act("posted", "o", say("posted"), say("This sale was handed to the carrier."))
CLAIM = Act("claim", "k", say("claim"), say("Animals arrived dead: write it down, or answer a claim that is open."))
CREDIT = Act("credit", "C", say("credit"), say("Undo this sale by a credit, in full or by lines."))
RIGHT_PRICE = Act(
    "right_price",
    "at",
    say("set price"),
    say("The price was too high: credit the difference to the right one."),
    shown=False,
)
RECEIPT = Act("receipt", "r", say("receipt"), say("The receipt, with the origin of each line as it was stated."))
REPLACE = Act("replace", "I", say("replace"), say("Set other animals aside in place of dead ones."), shown=False)
ARRIVED = Act("arrived", "A", say("arrived"), say("The parcel arrived, as the buyer said."), shown=False)
WAIT = Act(
    "wait",
    "semicolon",
    say("wait, go"),
    say("Keep the parcel waiting for the weather or a holiday, or let it go again."),
)
WAIT_HIDDEN = Act("wait", "semicolon", WAIT.words, WAIT.tip, shown=False)
FIRST_LOT = Act("lot", "l", say("lot"), say("Open the lot of the first line."), shown=False)


async def right_price(desk: Desk, number: str) -> None:
    """Ask what the animals of a sale should have cost."""
    from ledger.selling.sale import find_sale
    from tui.forms.right_price import RightPriceForm

    sale = desk.ledger.ask(find_sale, number)
    price = sum(line.net - line.credited_amount for line in sale.lines)
    await desk.open_form(RightPriceForm(number, price))


async def pay(desk: Desk, number: str, owed: int) -> None:
    """Money for a sale, or given back."""
    if owed == 0 and (row := desk.ledger.sale_row(number)) is not None and row.undone:
        desk.say(Answer(say("{sale} was credited in full; nothing is owed on it.", sale=number)))
    elif owed == 0:
        desk.say(Answer(say("{sale} is settled: nothing is owed either way.", sale=number)))
    else:
        await desk.open_form(PaymentForm(number, owed))


async def claim(desk: Desk, number: str) -> None:
    """Answer the claim of a sale that is open, or write one down."""
    waiting = desk.ledger.claims(only_open=True, sale=number)
    if waiting:
        await desk.open_form(AnswerForm(waiting[0]))
    else:
        await desk.open_form(ClaimForm(number), after_claim(desk))


async def wait_or_go(desk: Desk, number: str) -> None:
    """Keep a parcel waiting, or let it go if it waits."""
    from ledger.selling.one_sale import one_sale

    parcel = desk.ledger.ask(one_sale, number, desk.ledger.today).parcel
    waits = parcel is not None and parcel.waits is not None
    await desk.open_form(ParcelGoForm(number) if waits else WaitForm(number))


class SalePage(ReckonedPage):
    """One sale.

    Args:
        number: of the sale.
    """

    WHERE = "sale-page"
    HELP = say(
        "One sale as it was made, and what followed. Nothing on it is edited: a credit corrects it. The "
        "cost is what its animals carried when they left; selling costs are its own."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        PAYMENT,
        POSTED,
        CLAIM,
        CREDIT,
        PAPERS,
        RECEIPT,
        BACK,
        ARRIVED,
        WAIT_HIDDEN,
        REPLACE,
        RIGHT_PRICE,
        Act(
            "tell",
            "N",
            say("tell"),
            say("Write the note that tells the buyer of an origin stated wrongly."),
            shown=False,
        ),
        FIRST_LOT,
    )

    def __init__(self, number: str) -> None:
        super().__init__()
        self.number = number
        self._found: OneSale | None = None
        self._margin: SaleMargin | None = None

    def title_words(self) -> str:
        return self.number

    @property
    def sale(self) -> Sale | None:
        """The sale as it was last read."""
        return self._found.sale if self._found is not None else None

    def read_anew(self) -> None:
        from ledger.selling.one_sale import one_sale

        ledger = self.desk.ledger
        self._found = ledger.ask(one_sale, self.number, ledger.today)
        self._draw()
        super().read_anew()

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.margin, self.number)

    def told(self, answer: object) -> None:
        self._margin = answer  # type: ignore[assignment]
        self._draw()

    def refused(self, refusal: Refused) -> None:
        self.desk.say(Answer(refusal.sentence, "refused"))

    def _draw(self) -> None:
        if self._found is not None:
            lines = sale_lines(self._found, self._margin, self.desk.ledger.currency, self.day)
            self.show(hanging(map(self.said, lines), self.width))

    async def action_payment(self) -> None:
        """Money."""
        if self.sale is not None:
            await pay(self.desk, self.number, self.sale.owed)

    async def action_posted(self) -> None:
        """Posted."""
        await self.desk.open_form(PostForm(self.number))

    async def action_claim(self) -> None:
        """A claim, or its answer."""
        await claim(self.desk, self.number)

    async def action_credit(self) -> None:
        """A credit."""
        await self.desk.open_form(CreditForm(self.number))

    async def action_right_price(self) -> None:
        """The right price."""
        await right_price(self.desk, self.number)

    async def action_arrived(self) -> None:
        """It arrived."""
        await self.desk.open_form(ArrivedForm(self.number))

    async def action_wait(self) -> None:
        """It waits, or no longer."""
        await wait_or_go(self.desk, self.number)

    async def action_replace(self) -> None:
        """Replace dead animals."""
        await self.desk.open_form(ReplaceForm(self.number))

    async def action_tell(self) -> None:
        """Tell the buyer of an origin stated wrongly."""
        await self.desk.open_form(TellForm(self.number))

    async def action_lot(self) -> None:
        """The lot of the first line."""
        if self.sale is not None:
            await self.desk.open_lot(self.sale.lines[0].lot_code)

    async def action_receipt(self) -> None:
        """The receipt as text."""
        await self.desk.open_receipt(self.number)

    async def action_papers(self) -> None:
        """Choose which papers are written."""
        await write_papers_of(self.desk, self.number)
