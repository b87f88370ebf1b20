"""What was spent month by month and category by category; Enter shows where a month of one went."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.places.listing import LIST_ACTS, FindPage, ReckonedList
from tui.places.page import BACK
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.costs.explain.months import MonthRow

POWER = "power"
"""The category that a keeper looks for by what the power is for."""


class MonthsPage(ReckonedList, FindPage):
    """Spending by month and kind."""

    WHERE = "months"
    HELP = say(
        "What animals were to bear in each month, category by category, whenever it was paid: a bag counts in the "
        "months in which it is used up. Enter shows where it went. f finds a month or a category: jul power."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Where this month of this kind went.")),
        Act("explain", "e", say("explain"), say("Where this month of this kind went."), shown=False),
        LIST_ACTS[0],
        BACK,
    )
    COLUMNS = (
        Column(say("month"), 10),
        Column(say("category")),
        Column(say("amount"), 10, right=True),
    )
    EMPTY = (say("Nothing was spent yet."), say("Press -, or write: space, then feed 24.00 and the shop's name"))

    def __init__(self) -> None:
        super().__init__()
        self._months: dict[str, MonthRow] = {}

    def title_words(self) -> str:
        return say("Spending by month")

    def question(self) -> Callable[[], object]:
        from ledger.costs.explain.months import months_of_spending

        ledger = self.desk.ledger
        return partial(ledger.ask, months_of_spending, ledger.today)

    def rows_of(self, answer: object) -> list[Row]:
        from ledger.costs.explain.naming import month_words

        rows: tuple[MonthRow, ...] = answer  # type: ignore[assignment]
        self._months = {f"{row.month} {row.category}": row for row in rows}
        money = self.desk.ledger.currency
        return [
            Row(
                key,
                ((month_words(row.month), "bold"), word(row.category), amount_text(row.shown, money)),
                also=strung((row.month, say("heating electricity") if row.category.casefold() == POWER else "")),
            )
            for key, row in self._months.items()
        ]

    async def action_open(self) -> None:
        """Where it went."""
        from tui.places.explain import MonthWentPage

        row = self._months.get(self.chosen or "")
        if row is not None:
            await self.desk.open_form(MonthWentPage(row.category, row.month))

    async def action_explain(self) -> None:
        """Where it went."""
        await self.action_open()
