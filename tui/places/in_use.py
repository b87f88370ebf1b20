"""Feed in use: what is open, since when, until about when; finished earlier or later than thought."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from ledger.money import amount_text
from ledger.wording import say, strung, word
from tui.actions import Act
from tui.forms.costs import EVERYTHING, SpendForm, UsedUpForm
from tui.places.costs import WENT
from tui.places.listing import ReckonedList
from tui.places.page import BACK
from tui.places.page import Page as OnTop
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.costs.in_use import OpenRow
    from ledger.costs.taken import TakenRow

WIDE = 110


class InUsePage(ReckonedList, OnTop):
    """Feed and the like that is open."""

    WHERE = "in-use"
    HELP = say(
        "A bag lasts until the next of the same thing is opened, and nobody is asked for days: until "
        "then the last one's length is the guess. Finished earlier, or still going? u says its last day, "
        "also one before today."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("used_up", "u", say("used up"), say("This bag is finished, or will be, on a day you say.")),
        Act("again", "a", say("again"), say("Open the next: spend on the same again.")),
        WENT,
        BACK,
    )
    COLUMNS = (
        Column(say("no."), 5, right=True),
        Column(say("category"), 12, above=WIDE),
        Column(say("what")),
        Column(say("for"), 8),
        Column(say("opened"), 11),
        Column(say("until about"), 11),
        Column(say("cost"), 8, right=True),
        Column(say("state"), 8),
    )
    EMPTY = (
        say("Nothing is in use."),
        say("What you spend on feed is in use from that day: - in Costs, or write feed 24.00."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._open: dict[str, OpenRow] = {}
        self._taken: dict[str, TakenRow] = {}

    def title_words(self) -> str:
        return say("In use")

    def question(self) -> Callable[[], object]:
        from ledger.costs.taken import all_in_use

        ledger = self.desk.ledger
        return partial(ledger.ask, all_in_use, ledger.today)

    def rows_of(self, answer: object) -> list[Row]:
        rows, taken = cast("tuple[tuple[OpenRow, ...], tuple[TakenRow, ...]]", answer)
        self._open = {str(row.cost): row for row in rows}
        self._taken = {f"out {row.number}": row for row in taken}
        money = self.desk.ledger.currency
        out = [
            Row(
                key,
                (
                    say("store"),
                    row.category,
                    strung((row.item, row.quantity), ", "),
                    row.whom or say("all"),
                    self.day(row.on),
                    self.day(row.used_to),
                    "",
                    (say("= in use"), ""),
                ),
            )
            for key, row in self._taken.items()
        ]
        return out + [
            Row(
                key,
                (
                    (key, "bold"),
                    word(row.category),
                    word(row.item) if row.item == row.category else row.item,
                    strung(row.whom, " ") or say("all"),
                    self.day(row.opened_on),
                    self.day(row.thought_until),
                    amount_text(row.basis, money),
                    (say("! over?"), "$warning") if row.overdue else (say("= in use"), ""),
                ),
            )
            for key, row in self._open.items()
        ]

    def detail(self, key: str) -> str:
        if key in self._taken:
            return say("Taken out of the store; what is there, and what came and went, is in the store: ( in Costs.")
        row = self._open[key]
        said = (
            say("{category}: {item}.", category=word(row.category), item=row.item)
            if row.item != row.category
            else say("{item}.", item=word(row.item))
        )
        if row.overdue:
            said += say(
                " Thought to be finished since {thought_until}: open the next (a), or press u.",
                thought_until=self.day(row.thought_until),
            )
        return said

    def sum_up(self) -> str:
        over = sum(row.overdue for row in self._open.values())
        return say("{open} in use", open=len(self._open) + len(self._taken)) + (
            say(" · {over} thought to be finished", over=over) if over else ""
        )

    def _here(self) -> OpenRow | None:
        return self._open.get(self.chosen or "")

    async def action_used_up(self) -> None:
        """Finished."""
        row = self._here()
        if row is not None:
            await self.desk.open_form(UsedUpForm(str(row.cost)))

    async def action_again(self) -> None:
        """The next one."""
        row = self._here()
        if row is not None:
            item = "" if row.item == row.category else row.item
            await self.desk.open_form(SpendForm(row.category, item, strung(row.whom, " ") or EVERYTHING))

    async def action_explain(self) -> None:
        """Where it went."""
        from tui.places.explain import WentPage

        row = self._here()
        if row is not None:
            await self.desk.open_form(WentPage(row.cost))
