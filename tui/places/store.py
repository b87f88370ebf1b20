"""What is in store, at its average price, and what came and went of one thing of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from ledger.costs.store import StoreStep, history, in_words, stores
from ledger.money import amount_text, round_half_even
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.forms.store import PutBackForm, StoreInForm, TakeOutForm
from tui.places.listing import ListPage, ReckonedList
from tui.places.page import BACK
from tui.places.page import Page as OnTop
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from fractions import Fraction

    from ledger.costs.store import StoreRow
    from ledger.money import Currency


def rounded(amount: Fraction, currency: Currency) -> str:
    """An exact amount to the smallest coin."""
    return amount_text(round_half_even(amount.numerator, amount.denominator), currency)


class StorePage(ReckonedList, OnTop):
    """What is in store."""

    WHERE = "store"
    HELP = say(
        "What is weighed or counted out as it is used, at the average price of its purchases. Enter "
        "shows what came and went of one thing; there a taking entered by mistake is put back."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("came and went"), say("What came into the store and went out of this thing.")),
        Act("take_out", "right_parenthesis", say("take out"), say("Record what was weighed or counted out of it.")),
        Act("put_in", "n", say("new"), say("Record what was bought for the store.")),
        BACK,
    )
    COLUMNS = (
        Column(say("category"), 12),
        Column(say("what")),
        Column(say("there"), 12, right=True),
        Column(say("average"), 12, right=True),
        Column(say("worth"), 9, right=True),
        Column(say("last out"), 11),
    )
    EMPTY = (
        say("Nothing was ever put in store."),
        say("Press n for what you weigh or count out as you use it; a bag that is simply used up needs no store."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._items: dict[str, StoreRow] = {}

    def title_words(self) -> str:
        return say("In store")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.store_items

    def rows_of(self, answer: object) -> list[Row]:
        rows: tuple[StoreRow, ...] = answer  # type: ignore[assignment]
        self._items = {f"{row.category}/{row.item}": row for row in rows}
        money = self.desk.ledger.currency
        return [
            Row(
                key,
                (
                    word(row.category),
                    (row.item, "bold"),
                    in_words(row.quantity, row.unit),
                    "" if row.average is None else strung((rounded(row.average, money), "/", row.unit), ""),
                    amount_text(row.value, money),
                    self.day(row.last_out) if row.last_out else "",
                ),
            )
            for key, row in self._items.items()
        ]

    def sum_up(self) -> str:
        money = self.desk.ledger.currency
        return say(
            "{sum} {code} in store",
            sum=amount_text(sum(row.value for row in self._items.values()), money),
            code=money.code,
        )

    def _here(self) -> StoreRow | None:
        return self._items.get(self.chosen or "")

    async def action_open(self) -> None:
        """What came and went."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(ItemPage(row))

    async def action_take_out(self) -> None:
        """Some goes out."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(TakeOutForm(row))

    async def action_put_in(self) -> None:
        """Some comes in."""
        await self.desk.open_form(StoreInForm(self._here()))


class ItemPage(ListPage):
    """What came and went of one thing in store.

    Args:
        row: the item.
    """

    WHERE = "store-item"
    HELP = say("Every purchase and every taking, the newest first, with what was left after it.")
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("put_back", "x", say("take back"), say("This taking was entered by mistake: put it back in store.")),
        BACK,
    )
    COLUMNS = (
        Column(say("day"), 11),
        Column(say("what"), 11),
        Column(say("no."), 6, right=True),
        Column(say("quantity"), 13, right=True),
        Column(say("amount"), 10, right=True),
        Column(say("left"), 13, right=True),
        Column(""),
    )

    def __init__(self, row: StoreRow) -> None:
        super().__init__()
        self._item = row
        self._steps: dict[str, StoreStep] = {}

    def title_words(self) -> str:
        return say("In store: {item}", item=self._item.item)

    def all_rows(self) -> list[Row]:
        wanted = self._item.category.casefold(), self._item.item.casefold()
        found = self.desk.ledger.ask(stores)
        steps: tuple[StoreStep, ...] = ()
        for (category, item), stored in found.items():
            if (category, item or category) == wanted:
                steps = history(stored)
        self._steps = {str(at): step for at, step in enumerate(reversed(steps))}
        money, unit = self.desk.ledger.currency, self._item.unit
        return [
            Row(
                key,
                (
                    self.day(step.on),
                    word(step.what),
                    str(step.number),
                    in_words(step.quantity, unit),
                    rounded(step.amount, money),
                    in_words(step.quantity_left, unit),
                    "",
                ),
            )
            for key, step in self._steps.items()
        ]

    def sum_up(self) -> str:
        return self.title_words()

    async def action_put_back(self) -> None:
        """A mistaken taking."""
        step = self._steps.get(self.chosen or "")
        if step is None:
            return
        if step.what == "taken out":
            await self.desk.open_form(PutBackForm(str(step.number)))
        else:
            self.desk.say(Answer(say("Only a taking is put back here; a purchase is taken back in Costs (x).")))
