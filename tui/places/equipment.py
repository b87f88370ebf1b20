"""The register of equipment: what is left of each lasting thing, and what became of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.wording import say
from tui.actions import Act
from tui.forms.costs import DisposeForm, SpendForm
from tui.places.costs import WENT
from tui.places.listing import ReckonedList
from tui.places.page import BACK
from tui.places.page import Page as OnTop
from tui.places.store import rounded
from tui.widgets.foot import Answer
from tui.widgets.paged import Column, Row

if TYPE_CHECKING:
    from ledger.costs.equipment import EquipmentRow

WIDE = 110


class EquipmentPage(ReckonedList, OnTop):
    """The register of lasting things."""

    WHERE = "equipment"
    HELP = say(
        "Lasting things, what animals took of each so far in equal parts a day, and what is left. "
        "Declining balance stands there for comparison only. What is left of a thing that is sold or "
        "thrown away is nobody's to carry."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("dispose", "G", say("dispose"), say("This equipment was sold or thrown away.")),
        WENT,
        Act("spend", "minus", say("spend"), say("Record what was bought: say how long it will last.")),
        Act("new_thing", "n", say("new"), say("Record what was bought, as - does."), shown=False),
        BACK,
    )
    COLUMNS = (
        Column(say("no."), 4, right=True),
        Column(say("bought"), 11),
        Column(say("what")),
        Column(say("cost"), 9, right=True),
        Column(say("lasts"), 9, right=True),
        Column(say("used up"), 12, right=True),
        Column(say("left"), 9, right=True),
        Column(say("declining"), 9, right=True, above=WIDE),
        Column(say("gone on"), 11, above=WIDE),
    )
    EMPTY = (
        say("There is no equipment."),
        say("Press - and say how long it lasts, such as 5 years: then it is used up by days."),
    )

    def __init__(self) -> None:
        super().__init__()
        self._things: dict[str, EquipmentRow] = {}

    def title_words(self) -> str:
        return say("Equipment")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.equipment

    def rows_of(self, answer: object) -> list[Row]:
        rows: tuple[EquipmentRow, ...] = answer  # type: ignore[assignment]
        self._things = {str(row.cost): row for row in rows}
        money = self.desk.ledger.currency
        return [
            Row(
                key,
                (
                    (key, "bold"),
                    self.day(row.bought_on),
                    row.item,
                    amount_text(row.basis, money),
                    _lasts(row.life_days),
                    amount_text(row.used_up, money),
                    (say("gone"), "$quiet") if row.disposed_on else amount_text(row.left, money),
                    "" if row.disposed_on else rounded(row.declining, money),
                    self.day(row.disposed_on) if row.disposed_on else "",
                ),
            )
            for key, row in self._things.items()
        ]

    def detail(self, key: str) -> str:
        row, money = self._things[key], self.desk.ledger.currency
        if row.disposed_on is not None:
            return say(
                "Gone on {disposed_on} for {proceeds}; {expensed} was left of it and no animals carry that.",
                disposed_on=self.day(row.disposed_on),
                proceeds=amount_text(row.proceeds, money),
                expensed=amount_text(row.expensed, money),
            )
        rest = (
            say("; {residual} of the cost is what it will still be worth", residual=amount_text(row.residual, money))
            if row.residual
            else ""
        )
        declining = rounded(row.declining, money)
        return say(
            "{item}: by declining balance {declining} would be left, for comparison only{rest}.",
            item=row.item,
            declining=declining,
            rest=rest,
        )

    def sum_up(self) -> str:
        money = self.desk.ledger.currency
        return say(
            "{sum} {code} left", sum=amount_text(sum(row.left for row in self._things.values()), money), code=money.code
        )

    def _here(self) -> EquipmentRow | None:
        return self._things.get(self.chosen or "")

    async def action_dispose(self) -> None:
        """Sold or thrown away."""
        row = self._here()
        if row is None:
            return
        if row.disposed_on is not None:
            self.desk.say(Answer(say("{item} went on {day} already.", item=row.item, day=self.day(row.disposed_on))))
        else:
            await self.desk.open_form(DisposeForm(str(row.cost)))

    async def action_explain(self) -> None:
        """Where its cost went."""
        from tui.places.explain import WentPage

        row = self._here()
        if row is not None:
            await self.desk.open_form(WentPage(row.cost))

    async def action_new_thing(self) -> None:
        """Spend, by the key that is new everywhere."""
        await self.action_spend()

    async def action_spend(self) -> None:
        """Bought."""
        await self.desk.open_form(SpendForm())


def _lasts(days: int) -> str:
    return say("{years} years", years=days // 365) if days % 365 == 0 and days > 365 else say("{days} days", days=days)
