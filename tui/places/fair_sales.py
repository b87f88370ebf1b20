"""The sales of one fair with what each left, and what the cash there should be is made of."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.selling.fair_cash import cash_words
from ledger.wording import counted, say, strung
from tui.actions import Act
from tui.forms.selling import CreditForm
from tui.places.listing import ReckonedList
from tui.places.page import BACK
from tui.places.page import Page as OnTop
from tui.places.sale import CREDIT, RECEIPT, RIGHT_PRICE, SalePage, right_price
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.selling.fair_results import FairResult
    from ledger.selling.fairs import Fair
    from ledger.selling.margin import SaleMargin


def _what(one: SaleMargin, undone: bool) -> str | tuple[str, str]:
    """What was sold; that a sale was credited in full, as by taking it back, comes first."""
    what = strung((say("{n} of {lot}", n=line.count + line.extra, lot=line.lot) for line in one.lines), ", ")
    return (say("credited: {what}", what=what), "$quiet") if undone else what


class FairSalesPage(ReckonedList, OnTop):
    """The sales of a fair, with what each left.

    Args:
        fair: as it is planned now.
    """

    WHERE = "fair-sales"
    HELP = say(
        "Every sale of the fair with what it left: its price less credits, what its animals cost and its selling "
        "costs. Enter opens one; C credits it, @ sets a price right that was written too high. Below, what the cash "
        "there should be is made of."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "open", "enter", say("open{act}", act=""), say("Open the sale: lines, cost, margin, money, claims, papers.")
        ),
        CREDIT,
        RIGHT_PRICE,
        RECEIPT,
        BACK,
    )
    COLUMNS = (
        Column(say("number"), 11),
        Column(say("what")),
        Column(say("buyer"), 14),
        Column(say("price"), 8, right=True),
        Column(say("cost"), 8, right=True),
        Column(say("margin"), 8, right=True),
    )
    EMPTY = (say("Nothing was sold at this fair."), say("On its page Enter sells the next pack of a row."))

    def __init__(self, fair: Fair) -> None:
        super().__init__()
        self._fair = fair
        self._result: FairResult | None = None

    def title_words(self) -> str:
        return say("{name}: its sales", name=self._fair.name)

    def question(self) -> Callable[[], object]:
        return partial(self.desk.ledger.fair_result, str(self._fair.id))

    def rows_of(self, answer: object) -> list[Row]:
        result: FairResult = answer  # type: ignore[assignment]
        self._result = result
        money = self.desk.ledger.currency
        return [
            Row(
                one.number,
                (
                    (one.number, "bold"),
                    _what(one, one.number in result.undone),
                    one.customer,
                    amount_text(one.price, money),
                    amount_text(one.cost + one.selling_costs, money),
                    amount_text(one.margin, money),
                ),
            )
            for one in reversed(result.sales)
        ]

    def sum_up(self) -> str:
        return strung((self._fair.name, counted(self.rows.held, "{n} sale", "{n} sales")), ": ")

    def remark(self) -> str:
        if self._result is None:
            return ""
        return say("Cash: {made_of}.", made_of=cash_words(self._result.cash, self.desk.ledger.currency))

    async def action_open(self) -> None:
        """The whole sale."""
        if self.chosen is not None:
            await self.desk.open_form(SalePage(self.chosen))

    async def action_credit(self) -> None:
        """A credit."""
        if self.chosen is not None:
            await self.desk.open_form(CreditForm(self.chosen))

    async def action_receipt(self) -> None:
        """The receipt."""
        if self.chosen is not None:
            await self.desk.open_receipt(self.chosen)

    async def action_right_price(self) -> None:
        """The right price."""
        if self.chosen is not None:
            await right_price(self.desk, self.chosen)
