"""What waits to be posted, and what stands against posting it: the weekday, a stage, animals lacking, the weather."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from ledger.money import amount_text
from ledger.records.series import SALES
from ledger.wording import say, strung
from tui.actions import Act
from tui.forms.posting import PostForm, ReplaceForm
from tui.places.listing import ListPage, ReckonedList
from tui.places.numbers import wide_enough
from tui.places.page import BACK
from tui.places.sale import REPLACE, WAIT, SalePage, wait_or_go
from tui.widgets.paged import ROOMY, Column, Row

if TYPE_CHECKING:
    from ledger.selling.parcels import Parcel


class ParcelsPage(ReckonedList, ListPage):
    """Parcels, the oldest sale first."""

    WHERE = "parcels"
    HELP = say(
        "Sales whose animals are still here. What stands against posting today is your own limits, a "
        "stage that must not travel, animals lacking, or a wait you set. Degrees are asked for when you "
        "post."
    )
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("open", "enter", say("open{act}", act=""), say("Open the sale of this parcel.")),
        Act("posted", "o", say("posted"), say("This sale was handed to the carrier.")),
        WAIT,
        Act("replace", "I", say("replace"), REPLACE.tip),
        BACK,
    )
    COLUMNS = (
        Column(say("sale"), 11),
        Column(say("sold"), 11, above=ROOMY),
        Column(say("buyer"), 18, above=ROOMY),
        Column(say("what"), 12, above=110),
        Column(say("owed"), 7, right=True, above=ROOMY),
        Column(say("today")),
    )
    EMPTY = (say("Nothing waits to be posted."), say("A sale by post waits here until it is handed to the carrier."))

    def columns(self) -> tuple[Column, ...]:
        return wide_enough(self.COLUMNS, self.desk.ledger, SALES)

    def __init__(self) -> None:
        super().__init__()
        self._parcels: dict[str, Parcel] = {}

    def title_words(self) -> str:
        return say("Parcels")

    def question(self) -> Callable[[], object]:
        return self.desk.ledger.parcels

    def rows_of(self, answer: object) -> list[Row]:
        found: tuple[Parcel, ...] = answer  # type: ignore[assignment]
        self._parcels = {one.number: one for one in found}
        money = self.desk.ledger.currency
        return [
            Row(
                one.number,
                (
                    (one.number, "bold"),
                    self.day(one.sold_on),
                    one.customer,
                    say("{animals} of {lots}", animals=one.animals, lots=" ".join(one.lots)),
                    amount_text(one.owed, money) if one.owed else "",
                    (say("✓ may go"), "$success")
                    if one.may_go
                    else (say("! {against}", against=self.said(strung(one.against, "; "))), "$warning"),
                ),
            )
            for one in self._parcels.values()
        ]

    def detail(self, key: str) -> str:
        one = self._parcels[key]
        what = say("{number}: {animals} of {lots}", number=one.number, animals=one.animals, lots=strung(one.lots, ", "))
        if one.may_go:
            return say("{what}. Nothing that is known stands against posting it today.", what=what)
        return self.said(
            say("{what}. Against posting it today: {against}.", what=what, against=strung(one.against, "; "))
        )

    def sum_up(self) -> str:
        may_go = sum(one.may_go for one in self._parcels.values())
        return say("{parcels} to post · {may_go} may go today", parcels=len(self._parcels), may_go=may_go)

    async def action_open(self) -> None:
        """The sale."""
        if self.chosen is not None:
            await self.desk.open_form(SalePage(self.chosen))

    async def action_posted(self) -> None:
        """Posted."""
        if self.chosen is not None:
            await self.desk.open_form(PostForm(self.chosen))

    async def action_wait(self) -> None:
        """It waits, or no longer."""
        if self.chosen is not None:
            await wait_or_go(self.desk, self.chosen)

    async def action_replace(self) -> None:
        """Replace dead animals."""
        if self.chosen is not None:
            await self.desk.open_form(ReplaceForm(self.chosen))
